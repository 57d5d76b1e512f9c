"""Deviations: who decides, what may stand, work done again."""

from __future__ import annotations

import pytest

from panelmend.records import events as e
from panelmend.records.doing.standing import At, standing
from records_made import (
    A1,
    A3,
    E10,
    JOB,
    KEYS,
    O11,
    O20,
    O24,
    O25,
    decide,
    job_shop,
    refused,
    shop,
    stands_at,
    who,
)


def test_a_deviation_is_decided_by_an_engineer_who_had_no_part_in_it() -> None:
    made = job_shop(A1)
    made.fill(A3, b1={"value": "11"})
    made.book.raise_deviation(who("T1"), JOB, A3, "D1", ["b1"], "meter reads 11 %")
    assert "D1" in standing(made.state.jobs[JOB], A3).words
    refused("R123", lambda: made.read(A3, {"yes": True, "why": "x"}))
    refused("R111", lambda: decide(made, "D1", "may stand", "I1"))
    decide(made, "D1", "may stand")
    made.sign(A3, "did", "T1")
    refused("R124", lambda: decide(made, "D1", "may stand", "E2"))
    assert made.book.log.check().holds


def test_no_later_step_goes_on_while_a_deviation_before_it_is_not_decided() -> None:
    made = job_shop(A1)
    made.fill(A3, b1={"value": "11"})
    made.book.raise_deviation(who("T1"), JOB, A3, "D1", ["b1"], "meter reads 11 %")
    job = made.state.jobs[JOB]
    told = {key: standing(job, key).words for key in KEYS}
    after = KEYS[KEYS.index(A3) :]
    assert [key for key in KEYS if "D1" in told[key]] == list(after)
    assert len(after) > 2
    assert all(standing(job, key).at is At.BLOCKED for key in after)


def test_who_raised_or_worked_or_accepted_does_not_decide_and_who_decided_does_not_work_or_accept() -> None:
    made = shop()
    every = [e.Role.TECHNICIAN, e.Role.ENGINEER, e.Role.INSPECTOR]
    for person in ("E1", "E2", "I1"):
        made.book.set_roles(who("K1"), person, every, "a small shop")
        for scope in (e.Scope.BONDING, e.Scope.ENGINEERING, e.Scope.INSPECTION):
            made.book.authorise(who("K1"), person, scope, "2027-01-01", "paper")
    made.begin_job()
    made.do(A1)
    made.fill(A3, b1={"value": "11"})
    made.book.raise_deviation(who("E1"), JOB, A3, "D1", ["b1"], "meter reads 11 %")
    refused("R135", lambda: decide(made, "D1", "may stand", "E1"))
    decide(made, "D1", "may stand", "E2")
    refused("R135", lambda: made.read(A3, {"yes": True, "why": "x"}, by="E2"))
    made.sign(A3, "did", "T1")
    made.do(O11)
    made.fill(O20)
    made.sign(O20, "did", "T1")
    refused("R127", lambda: made.sign(O20, "accepted", "E2"))
    made.sign(O20, "accepted", "I1")
    made.book.raise_deviation(who("T1"), JOB, O24, "D2", [], "logger stood still")
    refused("R135", lambda: decide(made, "D2", "may stand", "I1"))


@pytest.mark.parametrize("part", ["none", "raised", "worked"])
def test_each_part_in_the_work_alone_keeps_from_deciding(part: str) -> None:
    """An engineer who is a technician too: no part, raised it alone, read a meter alone."""
    made = shop()
    made.book.set_roles(who("K1"), "E1", [e.Role.TECHNICIAN, e.Role.ENGINEER], "a small shop")
    for scope in (e.Scope.BONDING, e.Scope.ENGINEERING):
        made.book.authorise(who("K1"), "E1", scope, "2027-01-01", "paper")
    made.begin_job()
    made.do(A1)
    made.fill(A3, **({"by": "E1"} if part == "worked" else {}), b1={"value": "11"})
    made.book.raise_deviation(
        who("E1" if part == "raised" else "T1"), JOB, A3, "D1", ["b1"], "meter reads 11 %"
    )
    if part == "none":
        decide(made, "D1", "may stand", "E1")
    else:
        refused("R135", lambda: decide(made, "D1", "may stand", "E1"))


def test_a_deviation_lets_stand_only_what_it_covers() -> None:
    made = job_shop(A1)
    made.fill(A3, b0={"yes": False}, b1={"value": "11"})
    made.book.raise_deviation(who("T1"), JOB, A3, "D1", ["b1"], "meter reads 11 %")
    refused("R120", lambda: made.book.raise_deviation(who("T1"), JOB, A3, "d1", ["b1"], "again"))
    refused("R122", lambda: made.book.raise_deviation(who("T1"), JOB, A3, "D2", ["b9"], "no such blank"))
    decide(made, "D1", "may stand")
    assert "Power off" in refused("R126", lambda: made.sign(A3, "did", "T1"))


def test_what_was_let_stand_is_what_was_seen_and_nothing_written_after_it() -> None:
    made = job_shop(A1)
    made.fill(A3, b1={"value": "11"})
    made.book.raise_deviation(who("T1"), JOB, A3, "D1", ["b1"], "meter reads 11 %")
    decide(made, "D1", "may stand")
    made.read(A3, {}, {"value": "99", "why": "read again"})
    refused("R126", lambda: made.sign(A3, "did", "T1"))


def test_a_clock_let_stand_is_the_one_that_was_seen() -> None:
    made = job_shop(A1, A3, O11)
    made.time.go(hours=1)
    made.fill(O20)
    made.book.raise_deviation(who("T1"), JOB, O20, "D1", ["c0", "c1"], "an hour, the resin still ran")
    decide(made, "D1", "may stand")
    made.time.go(hours=1)
    later = made.time.at.strftime("%Y-%m-%dT%H:%M:%S.000Z")
    before = made.state.jobs[JOB].now(O20).filled[0].reading
    made.read(O20, {"at": later, "why": "looked again"})
    refused("R126", lambda: made.sign(O20, "did", "T1"))
    made.book.raise_deviation(who("T1"), JOB, O20, "D2", ["c0", "c1"], "two hours, it still ran")
    decide(made, "D2", "may stand")
    made.sign(O20, "did", "T1")
    assert before.at < later


def test_a_blank_let_stand_empty_stays_empty() -> None:
    made = job_shop(A1)
    made.read(A3, {"yes": True}, {}, {"meets": True, "value": "0.2", "limit": "0.5 mm"})
    made.book.raise_deviation(who("T1"), JOB, A3, "D1", ["b1"], "no fuel near, no meter")
    decide(made, "D1", "may stand")
    made.sign(A3, "did", "T1")


def test_a_number_is_kept_as_it_was_typed() -> None:
    made = job_shop(A1)
    refused("R134", lambda: made.read(A3, {}, {"value": "5", "typed": "50"}))
    refused("R134", lambda: made.read(A3, {}, {"value": "5", "typed": "five"}))
    made.read(A3, {}, {"value": "5.5", "typed": "5,50"})


def test_work_done_again_leaves_the_first_attempt_where_it_was() -> None:
    made = job_shop(A1, A3, O11, O20)
    made.verdict("does not conform", b"log 1")
    made.sign(O24, "did", "T1")
    refused("R131", lambda: made.sign(O24, "accepted", "I1"))
    made.sign(O24, "rejected", "I1", "ceiling passed for 9 min")
    assert stands_at(made, O24) is At.BLOCKED
    made.book.raise_deviation(who("I1"), JOB, O24, "D1", ["v", "r"], "ceiling passed")
    refused("R134", lambda: decide(made, "D1", "may stand"))
    refused("R134", lambda: decide(made, "D1", "do again", again=O25))
    refused("R108", lambda: decide(made, "D1", "do again"))
    decide(made, "D1", "do again", again=O11)
    job = made.state.jobs[JOB]
    assert {k: len(v) for k, v in job.attempts.items()} == {
        A1: 1,
        A3: 1,
        O11: 2,
        O20: 2,
        O24: 2,
        O25: 1,
        E10: 1,
    }
    assert job.attempts[O24][0].verdict is not None
    assert [stands_at(made, k) for k in KEYS[:4]] == [At.COMPLETE, At.COMPLETE, At.READY, At.BLOCKED]
    made.do(O11, O20)
    refused("R132", lambda: made.verdict(log=b"log 1"))
    made.do(O24, O25, E10)
    made.release()
    assert made.state.jobs[JOB].closed == "released"
    assert made.book.log.check().holds
