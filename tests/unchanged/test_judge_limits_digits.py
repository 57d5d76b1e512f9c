"""Logs, recipes and times of which one number lies exactly on a limit of the judge, and a little on either
side: what is said is what was said before. Each row was searched for: a comparison of the judge stood on its
limit there, and the answer hung on whether the limit itself is counted."""

from __future__ import annotations

from typing import Any

import pytest

from digits_kept import unchanged
from judge_knobs import Knob, turned
from judge_limits_met import MET
from judge_short import asked, short, until
from panelmend.plan.judge import find_faults, judge, look

BESIDE = 1e-3  # of the unit in which a number is turned


def said(what: str, number: int, knobs: tuple[Knob, ...]) -> Any:
    """What is answered of a log, short."""
    of, log, how = turned(number, knobs)
    if what == "faults":
        return short(asked(find_faults, log))
    if what == "judge":
        return short(asked(judge, of, log, **how))
    share = float(what.split()[1])
    return short(asked(look, of, until(log, max(2, int(share * len(log)))), silent=float(number % 3) * 60.0))


@pytest.mark.parametrize("row", range(len(MET)))
def test_what_lies_on_a_limit_is_told_as_before(row: int) -> None:
    what, number, knob = MET[row]
    *place, by = knob
    step = BESIDE * max(1.0, abs(by)) if abs(by) > 0.1 else 0.01 * abs(by)
    answers = [said(what, number, ((*place, at),)) for at in (by - step, by, by + step)]
    unchanged("judge_limits_digits", f"{what} {number} {' '.join(map(str, knob))}", answers)
