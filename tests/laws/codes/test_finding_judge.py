"""The codes of the cure log, its judgement and the watch from both sides; all else that is answered on the
way is held against what was answered before."""

from __future__ import annotations

import pytest

import judge_lost  # noqa: F401  # its cases stand in the table too
from digits_kept import unchanged
from judge_apart import apart, far
from judge_case import Found
from judge_case import found as judged
from judge_cases import JUDGED, Judged
from judge_lines import made, recipe
from judge_seen import seen, told_of
from panelmend.app.pages import import_registering
from panelmend.errors import all_codes

CASES = [(code, case) for code, cases in JUDGED.items() for case in cases]


@pytest.mark.parametrize(("code", "case"), CASES, ids=[f"{c} {b.limit}" for c, b in CASES])
def test_a_code_is_silent_just_inside_its_limit_and_fires_just_outside(code: str, case: Judged) -> None:
    with seen() as answers:
        assert [f.words for f in case.by(True) if f.code == code] == []
        fired = [f for f in case.by(False) if f.code == code]
    assert fired
    assert {f.severity for f in fired} == {c.severity for c in all_codes() if c.code == code}
    unchanged("judge_digits", f"{code} {case.limit}", [told_of(a) for a in answers])


def test_every_code_of_the_cure_log_has_its_two_sides() -> None:
    import_registering()
    assert {c.code for c in all_codes() if c.code[0] == "V"} == set(JUDGED)


# Of these a step is no number of the log: how many digits a logger has, and every third swing of it.
OF_MANY = {("V119", "steps of 1.9 K"), ("V576", "15 min")}
SAID = {"V573", "V227", "V229", "V534"}  # something is said on one side and not on the other


@pytest.mark.parametrize(("code", "case"), CASES, ids=[f"{c} {b.limit}" for c, b in CASES])
def test_the_two_sides_of_a_limit_are_the_next_that_can_be_read_or_typed(code: str, case: Judged) -> None:
    """A limit that is moved by a tenth of a kelvin, a sample or one per cent leaves one on the wrong side."""
    found, alone = apart(case)
    assert found or alone
    if (code, case.limit) not in OF_MANY:
        assert far(case) == []
    assert (code in SAID) == (not found)


def test_sides_two_steps_apart_are_seen() -> None:
    def by(inside: bool) -> Found:
        m = made()
        m.temps[:, 0] += -0.1 if inside else 0.1
        return judged(recipe(), m)

    assert [round(x.most, 3) for x in far(Judged("a kelvin", by))] == [0.2]
