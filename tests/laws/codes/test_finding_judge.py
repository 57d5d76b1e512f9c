"""The codes of the cure log, its judgement and the watch from both sides; all else that is answered on the
way is held against what was answered before."""

from __future__ import annotations

import pytest

import judge_lost  # noqa: F401  # its cases stand in the table too
from digits_kept import unchanged
from judge_cases import JUDGED, Judged
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
