"""What is signed late was at the bench until it is entered: no typed time makes it younger (R142, R143)."""

from __future__ import annotations

from datetime import timedelta

import pytest

from panelmend.records.book import When
from records_made import A1, A3, JOB, O11, Shop, ago, job_shop, refused, who

HOURS_OUT = 3600
LIFE = 2 * HOURS_OUT  # [s] of the lot below, drawn as it leaves the freezer


def _drawn(**lot: object) -> Shop:
    """A lot out of the freezer and drawn at this very moment for a step whose blanks are filled in."""
    made = job_shop(A1, A3)
    made.receive("L1", **lot)
    made.book.move(who("T1"), "L1", frozen=False, place="bench")
    made.book.issue(who("S1"), "L1", JOB, O11, "1")
    made.fill(O11)
    return made


@pytest.mark.parametrize(
    ("lot", "code"),
    [({"out_life": LIFE}, "R142"), ({"out_life": None, "frozen": False, "opened_life": LIFE}, "R143")],
)
def test_what_was_in_its_time_when_used_and_is_not_when_entered_is_refused(
    lot: dict[str, object], code: str
) -> None:
    """Drawn at 0:00 with two hours of life: told of 1:00 it may be signed at 2:00, and not a second later."""
    made = _drawn(**lot)
    told = When(made.time.at + timedelta(hours=1), "the hands were busy")
    made.time.go(hours=2)
    made.time.go(seconds=1)
    refused(code, lambda: made.sign(O11, "did", "T1", when=told))
    made.time.go(seconds=-1)
    made.sign(O11, "did", "T1", when=told)


def _renewed(made: Shop) -> None:
    """An instrument whose date was yesterday comes back from calibration an hour from now."""
    made.book.know_instrument(who("S1"), "I-1", "machine", "C-1", "2026-11-25")
    made.time.go(hours=1)
    made.book.know_instrument(who("S1"), "I-1", "machine", "C-2", "2027-01-31")


def test_a_reading_told_of_before_its_instrument_came_back_in_date_is_refused() -> None:
    made = job_shop(A1)
    _renewed(made)
    reading = {"value": "1", "instrument": "I-1"}
    refused("R138", lambda: made.read(A3, {}, reading, when=ago(made, minutes=30)))
    made.read(A3, {}, reading)


def test_a_coupon_tested_before_its_machine_came_back_in_date_is_refused() -> None:
    made = _drawn()
    made.book.make_coupon(who("T1"), JOB, O11, "W1", "lap shear", ("L1",))
    _renewed(made)
    asked = {"unit": "MPa", "least": "20", "ground": "table 4", "broke": "adhesive", "value": "21"}
    told = {"job": JOB, "coupon": "W1", "instrument": "I-1", **asked}
    refused("R138", lambda: made.book.test_coupon(who("T1"), b"report", ago(made, minutes=30), **told))
    made.book.test_coupon(who("T1"), b"report", **told)
