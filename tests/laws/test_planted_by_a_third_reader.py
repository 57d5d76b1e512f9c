"""Faults that a third reader planted and no nearest test noticed: each answer here is written by hand."""

from __future__ import annotations

from datetime import datetime, timedelta
from types import SimpleNamespace as Made
from typing import Any

import pytest

from panelmend.job.card import bag_closed, drying, frozen
from panelmend.job.card.cautions import STEAM
from panelmend.records import events as e
from panelmend.records.book import When
from panelmend.records.doing.judged import covered
from records_made import (
    A1,
    A3,
    JOB,
    O11,
    O20,
    Shop,
    clocks,
    decide,
    job_shop,
    refused,
    secret_of,
    shop,
    steps,
    who,
)


@pytest.mark.parametrize("alone", [None, 900.0])
def test_the_bag_on_the_other_side_is_told_by_its_own_force(alone: float | None) -> None:
    """4000 N press on this bag, 2500 N on the other one: each is held against its own."""
    other = Made(bagged=True, side="inside", force=2500.0, alone=alone, push=300.0, difference=3000.0)
    said = bag_closed._other_bag(Made(behind=other, force=4000.0))  # type: ignore[arg-type]
    parts: list[Any] = [p for words in said for p in words]
    assert 2500.0 in parts
    assert 4000.0 not in parts


@pytest.mark.parametrize("kelvin", [(380.0, 350.0), (350.0, 380.0), (350.0, 380.0, 360.0)])
def test_steam_is_told_of_the_hottest_heating_of_a_cure(kelvin: tuple[float, ...]) -> None:
    rows = [Made(number=1, temperature=t, lift=10.0 * t, lift_deepest=20.0 * t, bagged=True) for t in kelvin]
    rows.append(Made(number=2, temperature=400.0, lift=1.0, lift_deepest=1.0, bagged=True))
    (words,), (caution,) = drying.steam(Made(drying=Made(heatings=rows, wet=True)), 1)  # type: ignore[arg-type]
    assert [w for w in words if isinstance(w, float)] == [380.0, 3800.0, 7600.0]
    assert caution is STEAM


@pytest.mark.parametrize(
    ("cut_from", "told"), [("R1", ["R1"]), ("R1-rest", ["R1"]), ("R2", ["R2"]), ("R9", [])]
)
def test_a_roll_whose_remnant_is_cut_has_its_limit_of_out_time(cut_from: str, told: list[str]) -> None:
    rolls = [
        Made(id="R1", material="film", remnant=[Made(id="R1-rest")], out_life=36000.0),
        Made(id="R2", material="film", remnant=[], out_life=36000.0),
        Made(id="R9", material="glass", remnant=[], out_life=36000.0),
    ]
    cloths = [Made(nest=Made(layouts=[Made(strip=Made(id=cut_from))]))]
    bench = Made(
        case=Made(document=Made(stores=Made(roll=rolls, lot=[]))), work=Made(nest=Made(cloths=cloths))
    )
    found = frozen._aging(bench, {"film"})  # type: ignore[arg-type]
    assert [stock.id for stock, _ in found] == told


def _again_enrolled(made: Shop, person: str, by: str) -> None:
    made.book.enrol(person, made.book.new_code(who(by), person, "they forgot it"), secret_of(person))


@pytest.mark.parametrize("coded", [False, True])
def test_a_keeper_whom_another_gave_a_code_is_no_second_keeper(coded: bool) -> None:
    """Who gave Bo the code may sit behind Bo: both numbers are then one hand."""
    made = shop()
    if coded:
        _again_enrolled(made, "K2", "K1")
    _again_enrolled(made, "I1", "K1")

    def authorise() -> None:
        made.book.authorise(who("K2"), "I1", e.Scope.INSPECTION, "2027-06-30", "paper")

    if coded:
        refused("R146", authorise)
    else:
        authorise()


def _paper(made: Shop, done: datetime, accepted: str, typed_by: str = "T2") -> int:
    at = done.strftime("%Y-%m-%dT%H:%M:%S.000Z")
    told = [e.Reading(blank=0, typed="07:20", at=at), e.Reading(blank=1, typed="22", value="22")]
    fields: dict[str, Any] = {"did": "T1", "did_at": done, "accepted": accepted, "accepted_at": done}
    taken = made.book.transcribe(who(typed_by), JOB, O20, b"scan", told, why="no machine", **fields)
    return int(taken.entry.number)


def _check(made: Shop, number: int) -> None:
    made.book.check_paper(who("I2"), JOB, O20, number, made.book.show(JOB, O20))


def _third_inspector(made: Shop, roles: tuple[e.Role, ...]) -> None:
    made.book.enrol("I3", made.book.add_person(who("K1"), "I3", "L. Brandt", roles), secret_of("I3"))


def _authorised(made: Shop) -> None:
    made.book.authorise(who("K1"), "I3", e.Scope.INSPECTION, "2027-06-30", "paper")


@pytest.mark.parametrize("late", [None, "role", "authorisation"])
def test_a_paper_is_accepted_by_who_had_both_role_and_authorisation_on_its_day(late: str | None) -> None:
    made = shop()
    _third_inspector(made, () if late == "role" else (e.Role.INSPECTOR,))
    if late != "authorisation":
        _authorised(made)
    made.begin_job()
    made.do(A1, A3, O11)
    done = made.time.at
    made.time.go(days=1)
    if late == "role":
        made.book.set_roles(who("K1"), "I3", (e.Role.INSPECTOR,), "passed")
    if late == "authorisation":
        _authorised(made)
    number = _paper(made, done, "I3")
    if late is None:
        _check(made, number)
    else:
        refused("R128", lambda: _check(made, number))


@pytest.mark.parametrize("away", [False, True])
def test_a_role_that_was_taken_away_counts_from_when_it_was_given_again(away: bool) -> None:
    made = shop()
    _third_inspector(made, (e.Role.INSPECTOR,))
    _authorised(made)
    if away:
        made.book.set_roles(who("K1"), "I3", (), "eyes to be tested")
    made.time.go(days=1)
    made.begin_job()
    made.do(A1, A3, O11)
    done = made.time.at
    made.time.go(days=1)
    if away:
        made.book.set_roles(who("K1"), "I3", (e.Role.INSPECTOR,), "eyes are sound")
    number = _paper(made, done, "I3")
    if away:
        refused("R128", lambda: _check(made, number))
    else:
        _check(made, number)


@pytest.mark.parametrize("decided", [False, True])
def test_who_let_a_deviation_stand_accepts_no_hold_of_that_job_on_paper(decided: bool) -> None:
    made = shop()
    _third_inspector(made, (e.Role.INSPECTOR, e.Role.ENGINEER))
    _authorised(made)
    made.book.authorise(who("K1"), "I3", e.Scope.ENGINEERING, "2027-06-30", "paper")
    made.begin_job()
    made.do(A1)
    made.fill(A3, b1={"value": "11"})
    made.book.raise_deviation(who("T1"), JOB, A3, "D1", ["b1"], "meter reads 11 %")
    decide(made, "D1", "may stand", "I3" if decided else "E1")
    made.sign(A3, "did", "T1")
    made.time.go(minutes=5)
    made.do(O11)
    done = made.time.at
    made.time.go(days=1)
    number = _paper(made, done, "I3")
    if decided:
        refused("R127", lambda: _check(made, number))
    else:
        _check(made, number)


@pytest.mark.parametrize("order", [(O11, A3), (A3, O11)])
def test_nothing_is_read_at_a_step_before_any_of_the_steps_it_needs(order: tuple[str, str]) -> None:
    """Pulled vacuum is told of a minute before the resin was mixed, and of the minute after."""
    card = [s.model_copy(update={"needs": order}) if s.key == O20 else s for s in steps()]
    made = job_shop(A1, A3, O11, steps=card)
    mixed = datetime.fromisoformat(made.state.jobs[JOB].now(O11).done_at)
    made.time.go(minutes=10)

    def read(when: datetime) -> None:
        made.read(O20, {}, {"value": "22"}, when=When(when, "the hands were busy"))

    refused("R145", lambda: read(mixed - timedelta(minutes=1)))
    read(mixed + timedelta(minutes=1))


@pytest.mark.parametrize("again", [False, True])
def test_a_clock_let_stand_is_judged_anew_when_its_until_is_written_anew(again: bool) -> None:
    """Vacuum ten minutes too late may stand; what is then typed as an earlier limit was never seen."""
    until = e.CardBlank(what="vacuum on by", entry=e.EntryKind.TIME, ahead=True)
    card = [s.model_copy(update={"blanks": (*s.blanks, until)}) if s.key == O20 else s for s in steps()]
    pot, on_by = clocks()
    on_by = on_by.model_copy(update={"until": O20, "until_blank": 2})
    made = job_shop(A1, A3, O11, steps=card, clocks=(pot, on_by))

    def at(minutes: int) -> str:
        return f"{made.time.at - timedelta(minutes=minutes):%Y-%m-%dT%H:%M:%S.000Z}"

    made.read(O20, {"at": at(0)}, {"value": "22"}, {"at": at(1)})
    made.book.raise_deviation(who("T1"), JOB, O20, "D1", ["c1"], "a minute too late")
    decide(made, "D1", "may stand")
    if again:
        made.read(O20, {}, {}, {"at": at(4), "why": "read again"})
    assert ("c1" in covered(made.state.jobs[JOB], O20)) is not again
