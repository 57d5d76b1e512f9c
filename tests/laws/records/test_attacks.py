"""With what, and what was judged: what somebody dishonest or tired would try, refused; all once passed."""

from __future__ import annotations

import json
from datetime import datetime, timedelta

import pytest

from panelmend.records import events as e
from panelmend.records.book import When
from panelmend.records.canonical import moment, sha256
from records_made import (
    A1,
    A3,
    JOB,
    O11,
    O20,
    O24,
    ago,
    job_shop,
    naming_card,
    refused,
    report_of,
    shop,
    who,
)

# --- with what


def test_out_time_that_the_log_has_counted_is_not_talked_away_later() -> None:
    made = job_shop()
    made.receive("L1", out_life=36000)
    made.book.move(who("T1"), "L1", False, "bench")
    made.time.go(hours=10, minutes=1)
    before = made.state.lots["L1"].out_at(moment(made.time.at))
    made.book.move(who("T1"), "L1", True, "freezer", ago(made, hours=10))
    assert made.state.lots["L1"].out_time == before
    refused("R142", lambda: made.book.open_lot(who("S1"), "L1"))


def test_what_comes_back_late_was_out_until_it_is_entered() -> None:
    made = job_shop(A1, A3)
    made.receive("L1", out_life=36000)
    made.book.issue(who("S1"), "L1", JOB, O11, "2")
    made.time.go(hours=11)
    made.book.take_back(who("S1"), "L1", "L1-b", JOB, "1", True, ago(made, hours=10, minutes=50))
    assert made.state.lots["L1-b"].out_time == 11 * 3600


def test_a_lot_past_its_date_is_not_used_by_signing_for_an_earlier_day() -> None:
    made = job_shop(A1, A3)
    made.receive("L1", expires="2026-11-27", out_life=None, frozen=False)
    made.book.issue(who("S1"), "L1", JOB, O11, "2")
    made.fill(O11)
    made.time.go(days=2)
    late = When(datetime.fromisoformat("2026-11-27T08:00:00+00:00"), "forgot")
    refused("R141", lambda: made.sign(O11, "did", "T1", when=late))


def test_what_was_drawn_for_an_earlier_step_is_still_usable_when_it_goes_under_vacuum() -> None:
    """Drawn with the kit, thawed, laid a day later: the step it was drawn for was signed in good time."""
    made = job_shop(A1, A3)
    made.receive("L1", out_life=1500)
    made.book.issue(who("S1"), "L1", JOB, O11, "2")
    made.do(O11)
    made.time.go(minutes=21)
    made.fill(O20)
    refused("R142", lambda: made.sign(O20, "did", "T1"))


@pytest.mark.parametrize("names", [("L1",), ("L1", "L2")])
def test_a_blank_for_lots_takes_lots_that_were_drawn_for_the_job_and_are_in_date(
    names: tuple[str, ...],
) -> None:
    """A number written into the blank and never drawn from the stores was nobody's business."""
    made = job_shop(A1, steps=naming_card(A3, "lots"))
    answer = {"yes": True, "names": names}
    refused("R134", lambda: made.read(A3, {"yes": True}))
    refused("R122", lambda: made.read(A3, answer))
    for lot in names:
        made.receive(lot, expires="2026-11-26", out_life=None, frozen=False)
    refused("R234", lambda: made.read(A3, answer))
    drawn = made.time.at
    for lot in names:
        made.book.issue(who("S1"), lot, JOB, O11, "2")
    refused("R145", lambda: made.read(A3, answer, when=When(drawn - timedelta(seconds=1), "x")))
    made.time.at = made.time.at.replace(hour=23, minute=59)
    made.read(A3, answer)
    made.time.go(days=1)
    refused("R141", lambda: made.read(A3, {**answer, "why": "again"}, when=ago(made, hours=3)))
    assert f"lot {names[0]}" in made.state.of
    assert made.book.history(f"lot {names[0]}")[-1].what.kind == "readings"


def test_a_blank_for_instruments_takes_those_in_calibration_then_and_now() -> None:
    made = job_shop(A1, steps=naming_card(A3, "instruments"))
    answer = {"yes": True, "names": ("V-7",)}
    refused("R138", lambda: made.read(A3, answer))
    made.book.know_instrument(who("S1"), "V-7", "vapour meter", "cert 1", "2026-11-26")
    made.read(A3, answer)
    made.time.go(days=2)
    refused("R138", lambda: made.read(A3, {**answer, "why": "again"}))
    made.book.know_instrument(who("S1"), "V-7", "vapour meter", "cert 2", "2027-11-26")
    late = ago(made, days=1)
    refused("R138", lambda: made.read(A3, {**answer, "why": "again"}, when=late))
    made.read(A3, {**answer, "why": "again"})


def test_a_reading_between_two_calibrations_is_not_saved_by_the_second() -> None:
    made = job_shop(A1)
    made.book.know_instrument(who("S1"), "V-7", "vapour meter", "cert 1", "2026-11-26")
    made.time.go(days=3)
    made.book.know_instrument(who("S1"), "V-7", "vapour meter", "cert 2", "2027-11-26")
    late = ago(made, days=1)
    answer = [{}, {"value": "10", "instrument": "V-7"}]
    refused("R138", lambda: made.read(A3, *answer, when=late))
    made.read(A3, *answer)


def test_a_count_does_not_bring_back_what_was_scrapped_or_never_came() -> None:
    made = shop()
    made.receive("L1", amount="10")
    refused("R231", lambda: made.book.correct(who("S1"), "L1", "10.1", "counted"))
    made.book.correct(who("S1"), "L1", "10", "counted")
    made.book.scrap(who("S1"), "L1", "4", "past its out-time")
    refused("R231", lambda: made.book.correct(who("S1"), "L1", "6.1", "counted"))
    made.book.correct(who("S1"), "L1", "6", "counted")


# --- what was judged


def test_a_verdict_is_what_its_report_says_of_that_log() -> None:
    made = job_shop(A1, A3, O11, O20)
    keep = made.book.keep_verdict
    good = (who("T1"), JOB, O24, "Cure A", e.Judged.CONFORMS)
    refused("R233", lambda: keep(*good, b"a log", report_of(b"a log", "does not conform")))
    refused("R233", lambda: keep(*good, b"a log", report_of(b"another log")))
    refused("R233", lambda: keep(*good, b"a log", b"conforms"))
    refused("R233", lambda: keep(*good, b"a log", b'{"verdict": {"outcome": "conforms"}}'))
    keep(*good, b"a log", report_of(b"a log"))


def test_an_empty_line_more_makes_no_second_log_of_a_cure() -> None:
    made = job_shop(A1, A3, O11, O20)
    same = json.loads(report_of(b"a log"))["started"]
    made.verdict(log=b"a log")
    made.begin_job("TAS-26-0419")
    made.do(A1, A3, O11, O20, job="TAS-26-0419")
    report = report_of(b"a log\n", started=same)
    other = ("TAS-26-0419", O24, "Cure A", e.Judged.CONFORMS)
    refused("R132", lambda: made.book.keep_verdict(who("T1"), *other, b"a log\n", report))


def test_a_job_begins_from_what_its_plan_says_of_itself() -> None:
    def plan(**about: str) -> dict[str, bytes]:
        said = {"standing": "READY", "plan_digest": sha256("the plan"), "repair": JOB, **about}
        return {"plan.json": json.dumps({"about": said}).encode()}

    made = shop()
    for wrong in ({"standing": "STOP"}, {"plan_digest": "0" * 64}, {"repair": "TAS-26-0001"}):
        refused("R233", lambda w=wrong: made.begin_job(pages=plan(**w)))
    made.begin_job(pages=plan())
