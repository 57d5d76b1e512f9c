"""The codes of the cure log, its judgement and the watch from both sides; all else that is answered on the
way is held against what was answered before."""

from __future__ import annotations

import re
from typing import Any

import pytest

import judge_lost  # noqa: F401  # its cases stand in the table too
from digits_kept import unchanged
from judge_apart import apart, far
from judge_cases import JUDGED, Judged
from judge_lines import made, recipe
from judge_seen import seen, told_of
from panelmend.app.pages import import_registering
from panelmend.errors import all_codes
from panelmend.plan.judge import judge
from panelmend.plan.judge.said import in_units
from panelmend.plan.judge.watch import look
from strange_units import INCHES, METRIC

CASES = [(code, case) for code, cases in JUDGED.items() for case in cases]


# Of these a step is no number of the log: how many digits a logger has, and every third swing of it.
OF_MANY = {("V119", "steps of 1.9 K"), ("V576", "15 min")}
SAID = {"V573", "V227", "V229", "V534", "V577"}  # something is said on one side and not on the other


@pytest.mark.parametrize(("code", "case"), CASES, ids=[f"{c} {b.limit}" for c, b in CASES])
def test_a_code_is_silent_just_inside_its_limit_and_fires_just_outside(code: str, case: Judged) -> None:
    """The two sides are the next that can be read, typed or counted: a limit moved leaves one wrong."""
    sides: tuple[list[Any], list[Any]] = ([], [])
    with seen(sides[0]) as within:
        assert [f.words for f in case.by(True) if f.code == code] == []
    with seen(sides[1]) as without:
        fired = [f for f in case.by(False) if f.code == code]
    assert fired
    assert {f.severity for f in fired} == {c.severity for c in all_codes() if c.code == code}
    unchanged("judge_digits", f"{code} {case.limit}", [told_of(a) for a in (*within, *without)])
    differ, alone = apart(*sides)
    assert differ or alone
    assert (code in SAID) == (not differ)
    if (code, case.limit) not in OF_MANY:
        assert far(differ, case.limit) == []


@pytest.mark.parametrize(("view", "foreign"), [("mm", INCHES), ("in", METRIC)])
def test_title_words_and_action_are_in_the_readers_units(
    view: str, foreign: re.Pattern[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of every code of the cure log, for either reader."""
    for asked in (judge, look):
        assert asked.__kwdefaults__ is not None
        monkeypatch.setitem(asked.__kwdefaults__, "view", view)
    titles = {c.code: c.title for c in all_codes()}
    with in_units(view):
        told = [f for _, case in CASES for f in case.by(False)]
    assert {f.code for f in told} >= set(JUDGED)
    strange = {f.code: f for f in told for s in (titles[f.code], f.words, f.todo) if foreign.search(s)}
    assert strange == {}


def test_every_code_of_the_cure_log_has_its_two_sides() -> None:
    import_registering()
    assert {c.code for c in all_codes() if c.code[0] == "V"} == set(JUDGED)


def test_sides_two_steps_apart_are_seen() -> None:
    def by(off: float) -> list[Any]:
        m = made()
        m.temps[:, 0] += off
        return [((recipe(), m.log()), {})]

    assert [round(x.most, 3) for x in far(apart(by(-0.1), by(0.1))[0], "a kelvin")] == [0.2]
    assert far(apart(by(-0.05), by(0.05))[0], "a kelvin") == []
