"""Ways round the second look at signed paper, and round what an engineer let stand: refused since rules 3."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from panelmend.records import events as e
from panelmend.records.canonical import moment, sha256
from panelmend.records.doing.judged import covered
from records_made import (
    A1,
    A3,
    JOB,
    O11,
    O20,
    Shop,
    clocks,
    refused,
    shop,
    steps,
    who,
)

BARE = "O19/1/0"


def _steps(**changes: dict[str, Any]) -> tuple[e.CardStep, ...]:
    """The short card as printed, with changes by key, and a step without blanks before the bag."""
    made = []
    for step in steps():
        if step.key == O20:
            bare = e.CardStep(
                key=BARE,
                id="O19",
                operation=1,
                number=99,
                title="Look at it",
                needs=(O11,),
                blanks=(),
                printed="a" * 64,
            )
            made.append(bare)
            step = step.model_copy(update={"needs": (BARE,)})
        made.append(step.model_copy(update={"printed": "a" * 64, **changes.get(step.key, {})}))
    return tuple(made)


def _shop(*done: str, **more: Any) -> Shop:
    made = shop()
    made.receive("R-1", frozen=False, out_life=None, amount="5")
    made.begin_job(**{"steps": _steps(), **more})
    _do(made, *done)
    return made


def _do(made: Shop, *keys: str) -> None:
    for key in keys:
        if key == BARE:
            made.sign(BARE, "did", "T1")
        else:
            made.do(key)


def _paper(made: Shop, step: str, readings: list[e.Reading], **over: Any) -> int:
    fields: dict[str, Any] = {"did": "T1", "did_at": made.time.at, "why": "no machine at the panel"}
    taken = made.book.transcribe(who("T2"), JOB, step, b"a scan", readings, **{**fields, **over})
    return taken.entry.number


def _check(made: Shop, step: str, number: int) -> None:
    made.book.check_paper(who("I2"), JOB, step, number, made.book.show(JOB, step))


def _bag(made: Shop) -> list[e.Reading]:
    return [
        e.Reading(blank=0, typed="now", at=moment(made.time.at)),
        e.Reading(blank=1, typed="22", value="22"),
    ]


def _deviate(made: Shop, step: str, name: str, *covers: str) -> None:
    made.book.raise_deviation(who("T1"), JOB, step, name, covers, "seen at the bench")


def _decide(made: Shop, name: str, decision: str, again: str | None = None) -> None:
    shown = made.book.show_deviation(JOB, name)
    more = {"ground": "51-30-04", "words": "as it says", "again_from": again}
    made.book.decide(who("E1"), JOB, name, e.Decision(decision), shown, **more)


def test_a_typed_paper_that_waits_for_its_check_is_not_signed_past_it() -> None:
    """Its lots were judged by the check alone: a technician's own signature let any number through."""
    named = {"blanks": (*steps()[2].blanks[:2], steps()[2].blanks[2].model_copy(update={"names": "lots"}))}
    made = _shop(A1, A3, steps=_steps(**{O11: named}))
    at, by = moment(made.time.at), moment(made.time.at + timedelta(minutes=40))
    told = [e.Reading(blank=0, typed="1", at=at), e.Reading(blank=1, typed="2", at=by)]
    _paper(made, O11, [*told, e.Reading(blank=2, typed="R-9", names=("R-9",))])
    refused("R123", lambda: made.sign(O11, "did", "T1"))
    refused("R234", lambda: _drawn(made, told))


def _drawn(made: Shop, told: list[e.Reading]) -> None:
    number = _paper(made, O11, [*told, e.Reading(blank=2, typed="R-1", names=("R-1",))])
    _check(made, O11, number)


def test_a_typed_paper_is_not_checked_past_an_open_deviation() -> None:
    made = _shop(A1, A3, O11, BARE)
    number = _paper(made, O20, _bag(made), accepted="I1", accepted_at=made.time.at)
    _deviate(made, O11, "D1")
    refused("R123", lambda: _check(made, O20, number))
    _decide(made, "D1", "may stand")
    _check(made, O20, number)
    assert made.book.log.check().holds


def test_a_typed_paper_from_before_work_is_done_again_does_not_count() -> None:
    made = _shop(A1, A3, O11)
    number = _paper(made, BARE, [])
    _deviate(made, BARE, "D1")
    _decide(made, "D1", "do again", BARE)
    made.time.go(minutes=1)
    refused("R122", lambda: _check(made, BARE, number))
    _check(made, BARE, _paper(made, BARE, []))


def test_a_typed_paper_from_before_a_revision_of_its_step_does_not_count() -> None:
    made = _shop(A1, A3, O11)
    number = _paper(made, BARE, [])
    other = [x.model_copy(update={"title": "Look at it twice"}) if x.key == BARE else x for x in _steps()]
    _revise(made, steps=other)
    made.do(A1)
    refused("R122", lambda: _check(made, BARE, number))


def _revise(made: Shop, **over: Any) -> None:
    fields: dict[str, Any] = {
        "job": JOB, "document": b"revised", "plan": sha256("2"), "pages": {"job-card.pdf": b"2"},
        "panel": "M3-5201-17-1", "serial": "0088", "standing": "READY", "steps": _steps(), "clocks": clocks(),
        "why": "more damage found",
    }  # fmt: skip
    made.book.revise_job(who("P1"), **{**fields, **over})


def test_what_was_drawn_for_an_operation_is_usable_when_the_paper_says_it_was_under_vacuum() -> None:
    made = _shop(A1, A3)
    made.receive("F1", out_life=1200)
    made.book.move(who("S1"), "F1", False, "bench")
    made.book.issue(who("S1"), "F1", JOB, O11, "1")
    _do(made, O11, BARE)
    made.time.go(minutes=14)
    last = made.time.at
    made.time.go(minutes=2)
    number = _paper(made, O20, _bag(made), accepted="I1", accepted_at=made.time.at)
    refused("R142", lambda: _check(made, O20, number))
    then = [e.Reading(blank=0, typed="then", at=moment(last)), e.Reading(blank=1, typed="22", value="22")]
    _check(made, O20, _paper(made, O20, then, did_at=last, accepted="I1", accepted_at=last))


def test_who_left_before_the_day_does_not_stand_on_paper() -> None:
    made = _shop(A1, A3, O11)
    stayed = made.time.at
    made.time.go(minutes=1)
    made.book.remove_person(who("K1"), "T1", "left")
    made.time.go(minutes=1)
    number = _paper(made, BARE, [])
    refused("R128", lambda: _check(made, BARE, number))
    _check(made, BARE, _paper(made, BARE, [], did_at=stayed))
    assert made.book.log.check().holds


def test_an_instrument_is_named_where_something_was_read() -> None:
    blanks = (
        *steps()[1].blanks[:2],
        e.CardBlank(what="Meter number", entry=e.EntryKind.TEXT, names="instruments"),
    )
    made = _shop(A1, steps=_steps(**{A3: {"blanks": blanks}}))
    made.read(A3, {"yes": True}, {"value": "2"}, {"typed": "none"})
    refused("R134", lambda: made.sign(A3, "did", "T1"))
    made.read(A3, {}, {"value": "0", "why": "no fuel is near"})
    made.sign(A3, "did", "T1")
    other = _shop(A1, steps=_steps(**{A3: {"blanks": blanks}}))
    other.book.know_instrument(who("S1"), "M-1", "meter", "cert", "2027-06-30")
    other.read(A3, {"yes": True}, {"value": "2", "instrument": "M-1"}, {"typed": "none"})
    refused("R134", lambda: other.sign(A3, "did", "T1"))
    other.read(A3, {}, {}, {"typed": "M-1", "names": ("M-1",), "why": "it has a number"})
    other.sign(A3, "did", "T1")


def test_what_may_stand_by_the_old_card_stands_for_nothing_else_on_the_new_one() -> None:
    """By number alone: the blank, or the clock, that had that place on the card before."""
    made = _shop(A1, A3, O11)
    _deviate(made, O20, "D1", "b1")
    _decide(made, "D1", "may stand")
    blanks = (
        steps()[3].blanks[0],
        e.CardBlank(what="Leak rate", entry=e.EntryKind.NUMBER, high="1", ask="figures"),
    )
    _revise(made, steps=_steps(**{O20: {"blanks": blanks}}))
    assert covered(made.state.jobs[JOB], O20) == frozenset()


def test_a_clock_that_may_stand_is_that_clock_wherever_it_stands_on_the_new_card() -> None:
    made = _shop(A1, A3, O11, BARE)
    made.time.go(minutes=60)
    made.read(O20, {"at": moment(made.time.at)}, {"value": "22"})
    _deviate(made, O20, "D1", "c0")
    _decide(made, "D1", "may stand")
    assert covered(made.state.jobs[JOB], O20) == {"c0"}
    life, on_by = clocks()
    more = e.CardClock(name="lay by", start=O11, start_blank=0, end=O11, end_blank=0, most=60)
    _revise(made, clocks=(more, more.model_copy(update={"name": "again"}), life, on_by))
    assert covered(made.state.jobs[JOB], O20) == frozenset(), "the clock of that place is another"
    _revise(made, plan=sha256("3"), clocks=())
    assert covered(made.state.jobs[JOB], O20) == frozenset(), "there is no clock of that place"
