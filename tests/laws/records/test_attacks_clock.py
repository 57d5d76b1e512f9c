"""Midnight and the clock that is put forward and back: the day is the shop's, seconds are seconds."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from panelmend.records import events as e
from panelmend.records.book import Book, When
from panelmend.records.canonical import moment
from panelmend.records.state import State
from records_made import CHEAP, JOB, O11, Shop, Time, refused, secret_of, shop, who

SECOND = timedelta(seconds=1)


def _issue(made: Shop, when: When | None = None, lot: str = "L1") -> None:
    made.book.issue(who("S1"), lot, JOB, O11, "1", when or When())


@pytest.mark.parametrize(
    ("day", "ends"),
    [
        ("2027-03-27", datetime(2027, 3, 28, 0, tzinfo=UTC)),
        ("2027-03-28", datetime(2027, 3, 28, 23, tzinfo=UTC)),  # of 23 hours
        ("2027-10-30", datetime(2027, 10, 30, 23, tzinfo=UTC)),
        ("2027-10-31", datetime(2027, 11, 1, 0, tzinfo=UTC)),  # of 25 hours
    ],
)
def test_the_last_day_ends_at_the_shops_midnight_where_its_clock_is_changed(day: str, ends: datetime) -> None:
    made = shop()
    made.begin_job()
    made.book.authorise(who("K1"), "S1", e.Scope.STORES, "2031-12-31", "paper")
    for lot in ("L1", "L2"):
        made.receive(lot, expires=day, out_life=None, frozen=False)
    made.time.at = ends - timedelta(milliseconds=1)
    _issue(made)
    made.time.at = ends
    refused("R141", lambda: _issue(made))
    refused("R141", lambda: _issue(made, When(ends - SECOND, "forgot"), "L2"))


@pytest.mark.parametrize(("day", "hours"), [("2027-03-28", 2), ("2027-10-31", 4)])
def test_out_time_is_time_that_went_by_and_no_difference_of_clocks(day: str, hours: int) -> None:
    """From half past midnight to half past three the clock on the wall went three hours."""
    made = shop()
    made.begin_job()
    made.book.authorise(who("K1"), "S1", e.Scope.STORES, "2031-12-31", "paper")
    made.receive("L1", expires="2031-12-31", out_life=hours * 3600)
    zone, wall = ZoneInfo("Europe/Lisbon"), datetime.fromisoformat(day)
    made.time.at = (wall + timedelta(minutes=30)).replace(tzinfo=zone).astimezone(UTC)
    made.book.move(who("S1"), "L1", False, "bench")
    until = (wall + timedelta(hours=3, minutes=30)).replace(tzinfo=zone).astimezone(UTC)
    made.time.at = until
    assert made.state.lots["L1"].out_at(moment(until)) == hours * 3600
    _issue(made)
    made.time.at = until + SECOND
    refused("R142", lambda: _issue(made))


@pytest.mark.parametrize("day", ["2027-03-28", "2027-10-31"])
def test_an_authorisation_ends_with_the_shops_day_where_its_clock_is_changed(day: str) -> None:
    made = shop()
    made.begin_job()
    made.book.authorise(who("K1"), "S1", e.Scope.STORES, day, "paper")
    zone = ZoneInfo("Europe/Lisbon")
    ends = (datetime.fromisoformat(day) + timedelta(days=1)).replace(tzinfo=zone).astimezone(UTC)
    made.time.at = ends - SECOND
    made.receive("L1", expires="2031-12-31")
    made.time.at = ends
    refused("R116", lambda: made.receive("L2", expires="2031-12-31"))


ZONES = (
    *("UTC", "Europe/Lisbon", "Asia/Kathmandu", "America/St_Johns", "Australia/Lord_Howe", "Pacific/Chatham"),
    *("America/Santiago", "Africa/Cairo", "Asia/Beirut", "America/Havana", "Pacific/Apia"),
)


@pytest.mark.parametrize("zone", ZONES)
def test_the_day_changes_with_no_second_before_or_behind_the_zones_own(zone: str) -> None:
    """Around every midnight of two years, also where midnight is put forward to one or comes twice."""
    state, own = State(zone=zone), ZoneInfo(zone)
    at = datetime(2026, 1, 1, tzinfo=UTC)
    while at < datetime(2028, 1, 1, tzinfo=UTC):
        wall = at.astimezone(own)
        ahead = (datetime(wall.year, wall.month, wall.day) + timedelta(days=1)).replace(tzinfo=own)
        for fold in (0, 1):
            midnight = ahead.replace(fold=fold).astimezone(UTC)
            for shift in (-3600, -1, 0, 1, 3600):
                found = midnight + shift * SECOND
                assert state.day(moment(found)) == found.astimezone(own).date(), (zone, found)
        at += timedelta(days=1)


def test_a_shop_by_utc_ends_its_day_there(tmp_path: Path) -> None:
    time = Time(datetime(2027, 3, 28, 12, tzinfo=UTC))
    where, name = str(tmp_path / "utc.sqlite"), "Ada Keeps"
    book = Book.begin(where, "K1", name, secret_of("K1"), zone="UTC", invented=True, cost=CHEAP, now=time)
    assert str(book.state.day("2027-03-28T23:59:59.999Z")) == "2027-03-28"
    assert str(book.state.day("2027-03-29T00:00:00.000Z")) == "2027-03-29"
