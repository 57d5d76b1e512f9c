"""When it was: ways to make times, people and lots fit afterwards, each refused; all once passed."""

from __future__ import annotations

from datetime import timedelta

import pytest

from panelmend.records import events as e
from panelmend.records.book import When
from panelmend.records.canonical import moment
from panelmend.records.store.log import Draft
from records_made import A1, A3, JOB, O11, O20, ago, job_shop, refused, shop, who


def test_a_right_of_today_does_not_reach_back() -> None:
    """Made an inspector, or authorised, today: nothing is signed for a day on which they were not."""
    made = job_shop(A1, A3, O11)
    made.fill(O20)
    made.sign(O20, "did", "T1")
    made.time.go(days=2)
    made.book.set_roles(who("K1"), "T2", [e.Role.INSPECTOR], "joins the inspectors")
    made.book.authorise(who("K1"), "T2", e.Scope.INSPECTION, "2027-06-30", "paper")
    refused("R116", lambda: made.sign(O20, "accepted", "T2", when=ago(made, days=1)))
    made.sign(O20, "accepted", "T2")


def test_an_authorisation_that_had_lapsed_is_not_made_whole_by_a_new_one() -> None:
    made = job_shop(A1)
    made.book.authorise(who("K1"), "T1", e.Scope.BONDING, "2026-11-26", "paper")
    made.time.go(days=3)
    made.book.authorise(who("K1"), "T1", e.Scope.BONDING, "2027-06-30", "paper")
    late = ago(made, days=1)
    refused("R116", lambda: made.read(A3, {"yes": True}, when=late))
    made.read(A3, {"yes": True})


@pytest.mark.parametrize(("minutes", "good"), [(15, True), (15.1, False)])
def test_what_is_so_when_it_is_entered_is_never_entered_for_an_earlier_time(
    minutes: float, good: bool
) -> None:
    made = job_shop(A1)
    made.time.go(hours=1)
    at = moment(made.time.at - timedelta(minutes=minutes))
    what = e.JobStopped(job=JOB, why="x")

    def stop() -> None:
        made.book.log.append(lambda state, c: [Draft("P1", what, at, "late")])

    if good:
        stop()
    else:
        refused("R230", stop)


def test_nothing_was_so_in_a_step_before_the_steps_it_needs_were_done_and_accepted() -> None:
    made = job_shop()
    made.fill(A1)
    made.sign(A1, "did", "T1")
    made.time.go(hours=2)
    made.sign(A1, "accepted", "P1")
    accepted = made.time.at
    made.time.go(hours=2)
    early = When(accepted - timedelta(seconds=1), "worked on before the planner came")
    refused("R145", lambda: made.read(A3, {"yes": True}, when=early))
    made.read(A3, {"yes": True}, when=When(accepted, "gloves on"))


def test_a_hold_is_not_accepted_for_a_time_before_the_work_was_done() -> None:
    made = job_shop(A1, A3, O11)
    made.time.go(minutes=30)
    made.fill(O20)
    made.sign(O20, "did", "T1")
    done = made.time.at
    made.time.go(hours=1)
    refused("R145", lambda: made.sign(O20, "accepted", "I1", when=When(done - timedelta(seconds=1), "late")))
    made.sign(O20, "accepted", "I1", when=When(done, "late"))


def test_work_done_again_is_not_told_of_a_time_before_it_was_decided() -> None:
    made = job_shop(A1, A3)
    made.book.raise_deviation(who("T1"), JOB, A3, "D1", [], "contaminated")
    made.time.go(hours=1)
    made.book.decide(
        who("E1"),
        JOB,
        "D1",
        e.Decision.AGAIN,
        made.book.show_deviation(JOB, "D1"),
        ground="note 4",
        words="again",
        again_from=A3,
    )
    made.time.go(hours=1)
    refused("R145", lambda: made.read(A3, {"yes": True}, when=ago(made, hours=1, seconds=1)))
    made.read(A3, {"yes": True}, when=ago(made, hours=1))


def test_a_time_in_a_blank_long_before_its_entry_says_why() -> None:
    made = job_shop(A1, A3)
    made.time.go(hours=1)
    at = {"at": moment(made.time.at - timedelta(minutes=15, seconds=1))}
    refused("R110", lambda: made.read(O11, at))
    refused("R134", lambda: made.read(O11, {"at": moment(made.time.at)}, when=ago(made, minutes=30)))
    made.read(O11, {"at": moment(made.time.at - timedelta(minutes=15))})
    made.read(O11, {**at, "why": "read again"}, when=When(None, "gloves on"))
    entry = made.book.history(f"job {JOB}")[-1]
    assert (entry.late, entry.at == entry.entered) == ("gloves on", True)


def test_one_person_with_the_machines_clock_does_not_make_an_expired_lot_young_again() -> None:
    made = job_shop(A1)
    made.receive("L1", expires="2026-11-30")
    made.time.go(days=10)
    made.receive("L2")
    first = next(i for i, t in enumerate(made.state.entered, 1) if t == made.state.latest)
    made.time.go(days=-9)
    refused("R141", lambda: made.book.open_lot(who("S1"), "L1"))
    made.book.clock_was_wrong(who("K1"), first, made.state.number, "the battery")
    refused("R141", lambda: made.book.open_lot(who("S1"), "L1"))
    refused("R146", lambda: made.book.clock_was_wrong(who("K1"), first, made.state.number - 1, "the battery"))
    assert made.state.wrong == set()
    made.book.clock_was_wrong(who("K2"), first, made.state.number - 1, "seen it too")
    made.book.open_lot(who("S1"), "L1")


def test_only_entries_made_ahead_of_the_clock_can_have_been_made_by_a_clock_that_was_ahead() -> None:
    made = shop()
    made.receive("L1")
    refused("R108", lambda: made.book.clock_was_wrong(who("K1"), 1, made.state.number, "all of it"))
