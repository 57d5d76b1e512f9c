"""Two heats in one log: the rules find a dwell in one of them and would say nothing of the other."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from made_curelog import INHG, Made, made_cure
from panelmend.plan.judge import Outcome, judge
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.evidence import gather
from panelmend.plan.judge.rules_heats import heats
from recipe_curelog import RECIPE

# written out: a number taken from the code would move with it
BACK, HEAT = 0.5, 30.0


def after(first: Made, second: Made, seconds: float = 60.0) -> Made:
    return dataclasses.replace(
        first,
        times=np.concatenate([first.times, first.times[-1] + seconds + second.times]),
        temps=np.vstack([first.temps, second.temps]),
        vacuum=np.concatenate([first.vacuum, second.vacuum]),
        set_point=np.concatenate([first.set_point, second.set_point]),
    )


def cold(seed: int) -> Made:
    """Never in the band."""
    made = made_cure(seed)
    made.temps = 294.0 + 0.8 * (made.temps - 294.0)
    return made


def test_a_good_cure_before_a_cold_one_does_not_conform() -> None:
    verdict = judge(RECIPE, after(made_cure(1), cold(2)).log())
    assert verdict.outcome is Outcome.UNKNOWN
    assert [r.code for r in verdict.against()] == [c.HEATS.code]
    assert "heated 2 times" in verdict.against()[0].words
    assert judge(RECIPE, after(cold(1), made_cure(2)).log()).outcome is not Outcome.CONFORMS
    assert judge(RECIPE, made_cure(1).log()).outcome is Outcome.CONFORMS


def _hump(rise: float, back: float) -> list[float]:
    """A cure to 394 K, back by a share of its rise, up again by ``rise``."""
    times = np.arange(0.0, 20000.0, 30.0)
    low = 394.0 - back * 100.0
    course = np.interp(times, [0, 600, 4600, 9000, 12000, 15000], [294, 294, 394, 394, low, low + rise])
    made = made_cure(1, sensors=3)
    made.times, made.temps = times, np.column_stack([course + 0.1 * i for i in range(3)])
    made.vacuum, made.set_point = np.full(times.size, 24 * INHG) + np.sin(times), course + 5.0
    return heats(gather(made.log()))


@pytest.mark.parametrize(
    ("rise", "back", "count"),
    [(HEAT - 0.5, 0.9, 1), (HEAT + 0.5, 0.9, 2), (HEAT + 9.0, BACK - 0.01, 1), (HEAT + 9.0, BACK + 0.01, 2)],
)
def test_a_heat_is_told_on_both_sides_of_its_limits(rise: float, back: float, count: int) -> None:
    assert len(_hump(rise, back)) == count
