"""Doing the job: order, limits, clocks, files, the verdict, the release; refusals from both sides."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from panelmend.records import events as e
from panelmend.records.book import When
from panelmend.records.canonical import sha256
from panelmend.records.doing.judged import Met, items
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
    names,
    refused,
    shop,
    stands_at,
    steps,
    who,
)


@pytest.mark.parametrize("mark", ["READY", "DRAFT", "STOP"])
def test_work_begins_from_a_ready_plan_only(mark: str) -> None:
    made = shop()
    if mark == "READY":
        made.begin_job(standing=mark)
        return
    refused("R121", lambda: made.begin_job(standing=mark))
    assert not made.state.jobs


def test_a_job_is_opened_once_and_another_follows_only_what_was_stopped() -> None:
    made = job_shop()
    refused("R120", lambda: made.begin_job())
    refused("R120", lambda: made.begin_job(JOB.lower()))
    refused("R121", lambda: made.begin_job("TAS-26-0418 A", follows=JOB))
    refused("R122", lambda: made.begin_job("TAS-26-0418 A", follows="nothing"))
    made.book.stop_job(who("P1"), JOB, "more damage found")
    made.begin_job("TAS-26-0418 A", follows=JOB)
    refused("R136", lambda: made.fill(A1))


def test_steps_are_taken_in_their_order_and_stand_as_they_stand() -> None:
    made = job_shop()
    assert [stands_at(made, k) for k in KEYS] == [At.READY, *[At.BLOCKED] * 6]
    refused("R123", lambda: made.fill(A3))
    made.fill(A1)
    made.sign(A1, "did", "T1")
    assert stands_at(made, A1) is At.HOLD
    assert "planner" in standing(made.state.jobs[JOB], A1).words
    refused("R123", lambda: made.fill(A3))
    made.sign(A1, "accepted", "P1")
    assert [stands_at(made, k) for k in KEYS[:3]] == [At.COMPLETE, At.READY, At.BLOCKED]


def test_a_step_is_signed_when_every_blank_is_filled_and_within() -> None:
    made = job_shop(A1)
    refused("R125", lambda: made.sign(A3, "did", "T1"))
    made.read(A3, {"yes": True}, {"value": "10"})
    refused("R125", lambda: made.sign(A3, "did", "T1"))
    made.read(A3, {}, {}, {"meets": True, "value": "0.5", "limit": "0.5 mm"})
    made.sign(A3, "did", "T1")


@pytest.mark.parametrize(
    ("blank", "inside", "outside"),
    [
        (0, {"yes": True}, {"yes": False}),
        (1, {"value": "10"}, {"value": "10.00000001"}),
        (
            2,
            {"value": "1", "meets": True, "limit": "1 mm"},
            {"value": "1", "meets": False, "limit": "0.5 mm"},
        ),
    ],
)
def test_a_reading_is_judged_at_once_and_outside_its_limit_nobody_signs(
    blank: int, inside: dict[str, Any], outside: dict[str, Any]
) -> None:
    made = job_shop(A1)
    made.fill(A3, **{f"b{blank}": outside})
    assert list(items(made.state.jobs[JOB], A3))[blank].met is Met.OUTSIDE
    refused("R126", lambda: made.sign(A3, "did", "T1"))
    answer = [{}] * blank + [{**inside, "why": "read again"}]
    made.read(A3, *answer)
    assert list(items(made.state.jobs[JOB], A3))[blank].met is Met.WITHIN
    made.sign(A3, "did", "T1")


@pytest.mark.parametrize(
    "answer",
    [
        {"blank": 0, "value": "1"},
        {"blank": 0, "yes": True, "value": "1"},
        {"blank": 1, "typed": "ten"},
        {"blank": 1, "value": "5", "meets": True},
        {"blank": 2, "value": "1"},
        {"blank": 2, "value": "1", "meets": True, "limit": " "},
        {"blank": 2, "meets": True, "limit": "1 mm"},
        {"blank": 3, "yes": True},
    ],
)
def test_what_is_no_answer_to_a_blank_is_refused(answer: dict[str, Any]) -> None:
    made = job_shop(A1)
    refused("R134", lambda: made.read(A3, answer))


def test_a_blank_written_again_needs_its_reason_and_the_first_stays() -> None:
    made = job_shop(A1)
    made.fill(A3)
    refused("R134", lambda: made.read(A3, {"yes": True}))
    made.read(A3, {"yes": True, "why": "read again"})
    assert len(made.state.jobs[JOB].now(A3).replaced) == 1


@pytest.mark.parametrize(("minutes", "good"), [(40, True), (40.02, False), (-1, False)])
def test_the_pot_life_runs_from_what_was_written_to_vacuum_on(minutes: float, good: bool) -> None:
    made = job_shop(A1, A3)
    mixed = made.time.at
    long = (mixed + timedelta(hours=2)).strftime("%Y-%m-%dT%H:%M:%S.000Z")
    made.fill(O11, b1={"at": long})
    made.sign(O11, "did", "T1")
    made.time.go(hours=1)
    on = (mixed + timedelta(minutes=minutes)).strftime("%Y-%m-%dT%H:%M:%S.000Z")
    made.fill(O20, b0={"at": on}, when=When(None, "gloves on"))
    if good:
        made.sign(O20, "did", "T1")
    else:
        assert "pot life" in refused("R126", lambda: made.sign(O20, "did", "T1"))


@pytest.mark.parametrize(("minutes", "good"), [(30, True), (30.02, False)])
def test_vacuum_is_on_by_the_time_that_was_written(minutes: float, good: bool) -> None:
    made = job_shop(A1, A3)
    by = (made.time.at + timedelta(minutes=30)).strftime("%Y-%m-%dT%H:%M:%S.000Z")
    made.fill(O11, b1={"at": by})
    made.sign(O11, "did", "T1")
    made.time.go(minutes=minutes)
    made.fill(O20)
    if good:
        made.sign(O20, "did", "T1")
    else:
        assert "vacuum on by" in refused("R126", lambda: made.sign(O20, "did", "T1"))


def test_only_a_time_by_which_something_is_due_may_lie_ahead() -> None:
    made = job_shop(A1, A3)
    soon = (made.time.at + timedelta(seconds=1)).strftime("%Y-%m-%dT%H:%M:%S.000Z")
    refused("R134", lambda: made.fill(O11, b0={"at": soon}))
    made.fill(O11, b1={"at": soon})


def test_no_time_on_the_card_lies_before_the_job() -> None:
    made = job_shop(A1, A3)
    refused("R134", lambda: made.fill(O11, b0={"at": "2026-11-26T07:00:59.999Z"}))
    made.fill(O11, b0={"at": "2026-11-26T07:01:00.000Z"})


PREVIEW = b"\xff\xd8\xff\xe1\x00\x0b Exif \xff\xd9"
PICTURE = PREVIEW + b"\xff\xff\xda\x00\x04\x00\x00scan\xff\x00\xff\xd3more\xff\xd9"


@pytest.mark.parametrize(
    ("data", "good"),
    [
        (b"\xff\xd8a\xff\xd9", True),
        (b"\xff\xd8a\xff\xd9\0\0", True),
        (b"\xff\xd8a\xff", False),
        (b"\x89PNG\r\n\x1a\nxIEND\xaeB`\x82", True),
        (b"\x89PNG\r\n\x1a\nxIEND\xaeB`", False),
        (PICTURE, True),
        (PICTURE + b"what a telephone writes after it", True),
        (PICTURE[:-1], False),
        (PICTURE[:-2] + b"\xff\x00 no end", False),
        (PREVIEW, False),  # it ends in the end of its preview
        (b"plain words", True),
        (b"", False),
    ],
)
def test_a_photograph_cut_off_is_not_kept(data: bytes, good: bool) -> None:
    made = job_shop()

    def keep() -> None:
        made.book.keep_file(who("T1"), JOB, A1, "p.jpg", data, "photograph")

    if good:
        keep()
        assert made.book.log.paper(sha256(data)) == data
    else:
        refused("R108", keep)


def test_the_size_of_a_file_is_what_is_kept_and_not_too_much() -> None:
    made = job_shop()
    for size, good in ((3, True), (4, False), (64 * 2**20 + 1, False)):
        what = e.FileKept(job=JOB, step=A1, name="p", digest=sha256(b"abc"), size=size, what="x")

        def keep(what: e.FileKept = what) -> None:
            made.book.act(who("T1"), lambda state: what, papers={sha256(b"abc"): b"abc"})

        if good:
            keep()
        else:
            refused("R108", keep)


@pytest.mark.parametrize("outcome", ["conforms", "does not conform", "cannot be judged"])
def test_the_bag_is_opened_on_a_verdict_that_conforms(outcome: str) -> None:
    made = job_shop(A1, A3, O11, O20)
    refused("R131", lambda: made.sign(O24, "did", "T1"))
    made.verdict(outcome, b"log 1")
    made.sign(O24, "did", "T1")
    refused("R123", lambda: made.fill(O25))
    if outcome == "conforms":
        made.sign(O24, "accepted", "I1")
        made.fill(O25)
        return
    refused("R131", lambda: made.sign(O24, "accepted", "I1"))
    made.book.raise_deviation(who("I1"), JOB, O24, "D1", ["v"], "the data lets 80 C stand for 10 min")
    decide(made, "D1", "may stand")
    made.sign(O24, "accepted", "I2")
    made.fill(O25)


def test_a_log_is_judged_again_only_where_it_could_not_be_judged() -> None:
    made = job_shop(A1, A3, O11, O20)
    refused("R134", lambda: made.verdict(cure="Cure B"))
    made.verdict("cannot be judged", b"log 1")
    refused("R124", lambda: made.verdict("conforms", b"log 2"))
    made.verdict("does not conform", b"log 1")
    refused("R124", lambda: made.verdict("conforms", b"log 1"))
    assert len(made.state.jobs[JOB].now(O24).verdicts) == 2


def test_a_log_serves_one_cure_of_one_job() -> None:
    made = job_shop(A1, A3, O11, O20)
    made.verdict(log=b"log 1")
    made.begin_job("TAS-26-0419")
    made.do(A1, A3, O11, O20, job="TAS-26-0419")
    refused("R132", lambda: made.verdict(log=b"log 1", job="TAS-26-0419"))
    made.verdict(log=b"log 2", job="TAS-26-0419")


def test_an_instrument_out_of_calibration_reads_nothing() -> None:
    made = job_shop(A1)
    made.book.know_instrument(who("S1"), "V-7", "vapour meter", "cert 1", made.time.at.date().isoformat())
    reading = {"value": "1", "instrument": "V-7"}
    refused("R138", lambda: made.read(A3, {}, {**reading, "instrument": "V-8"}))
    made.read(A3, {}, reading)
    made.time.go(days=1)
    refused("R138", lambda: made.read(A3, {}, {**reading, "why": "again"}))
    late = When(made.time.at - timedelta(days=1), "entered from my notes")
    refused("R138", lambda: made.read(A3, {}, {**reading, "why": "again"}, when=late))


def test_a_late_entry_has_its_true_time_and_its_reason_and_none_lies_before_the_job() -> None:
    made = job_shop(A1)
    made.time.go(hours=3)
    true = made.time.at - timedelta(hours=2, minutes=55)
    refused("R110", lambda: made.read(A3, {"yes": True}, when=When(true, "")))
    made.read(A3, {"yes": True}, when=When(true, "gloves on"))
    assert made.state.jobs[JOB].now(A3).filled[0].at == true.strftime("%Y-%m-%dT%H:%M:%S.000Z")
    before = When(made.time.at - timedelta(hours=5), "x")
    refused("R145", lambda: made.read(A3, {}, {"value": "1"}, when=before))


@pytest.mark.parametrize("missing", ["description", "completed", "certificate_number", "certificate_kind"])
def test_a_release_lacks_no_field_of_the_rule(missing: str) -> None:
    made = job_shop(*KEYS)
    assert missing in refused("R137", lambda: made.release(**{missing: "  "}))
    refused("R137", lambda: made.release(completed="26 November"))
    refused("R137", lambda: made.release(completed="2026-11-25"))
    refused("R137", lambda: made.release(completed="2026-11-27"))
    made.release()
    (released, by, _) = made.state.jobs[JOB].released
    assert (by, released.performed_by) == ("I1", tuple(names(["T1"])))
    assert standing(made.state.jobs[JOB], E10).at is At.COMPLETE
    refused("R136", lambda: made.release())
    refused("R136", lambda: made.book.raise_deviation(who("T1"), JOB, A3, "D9", [], "late thought"))


def test_a_release_waits_for_every_step_and_deviation_and_is_not_by_who_worked() -> None:
    made = job_shop(*KEYS[:-1])
    refused("R123", lambda: made.release())
    made.do(E10)
    refused("R128", lambda: made.sign(E10, "accepted", "I1"))
    refused("R116", lambda: made.release("I2"))
    made.book.raise_deviation(who("I2"), JOB, A3, "D1", [], "earth lead found loose")
    refused("R133", lambda: made.release())
    decide(made, "D1", "may stand")
    made.book.authorise(who("K1"), "I2", e.Scope.RELEASE, "2027-01-01", "paper")
    made.release("I2")


def test_a_worker_with_the_right_to_release_does_not_release() -> None:
    made = shop()
    made.book.authorise(who("K1"), "I2", e.Scope.RELEASE, "2027-01-01", "paper")
    made.begin_job()
    made.do(*KEYS[:2])
    made.do(*KEYS[2:], by="I2")
    refused("R127", lambda: made.release("I2"))
    made.release("I1")


def test_a_job_whose_steps_do_not_hang_together_is_refused() -> None:
    made = shop()
    good = steps()
    for bad in (
        (good[1], good[0]),
        (good[0], good[0]),
        (good[0].model_copy(update={"hold_by": None}),),
    ):
        refused("R108", lambda b=bad: made.begin_job(steps=b, clocks=()))
    refused("R108", lambda: made.begin_job(steps=good[:3]))
