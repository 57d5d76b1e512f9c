"""The count of cases that hold, on a cure it was never tuned for: other panel, blanket, resin, temperature.

The cure is the flap's, at 121 C with a rib behind it. The truths are drawn with other dice from the same
ranges, and from ranges half as wide again. A cure in an oven has no count: it is
not predicted (H602).
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from heat_problem import operations
from panelmend.job.cure.prediction import Likelihood
from panelmend.job.cure.problem import HeatProblem
from panelmend.predict import ensemble, reading
from panelmend.predict.ensemble import Ask, likelihood
from panelmend.predict.model import Fineness
from panelmend.predict.sensors import choose

ROUGH, ROUGHER = Fineness(0.045, 60.0, 1), Fineness(0.060, 60.0, 1)  # stand for the full and the quick run
CASES, TRUTHS = 200, 200
HOTTEST = (408.0, 413.0)  # K
DRAWN = (TRUTHS, 4242, ROUGH)


@pytest.fixture(autouse=True)
def rough(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ensemble, "FULL", ROUGH)
    monkeypatch.setattr(ensemble, "COARSE", ROUGHER)


def flap(hottest: float) -> HeatProblem:
    """The flap's cure with a band whose top [K] some cases pass."""
    problem = operations(name="flap_rib_bay")[0].problem
    assert problem is not None
    held, cool = problem.legs
    assert held is problem.dwell
    return replace(
        problem,
        legs=(
            replace(held, low=held.target - 8.0, high=hottest, rate_most=None),
            replace(cool, rate_most=None),
        ),
        ceiling=None,
        panel_limit=None,
        spread_most=None,
    )


@cache
def runs(wider: float) -> list[reading.CaseReading]:
    """Cases drawn with other dice, run once for every top of the band."""
    problem = flap(HOTTEST[0])
    return [reading.run_case(c) for c in Ask(problem, tuple(choose(problem)), CASES).drawn(*DRAWN, wider)]


def truths(ask: Ask, wider: float) -> float:
    """Share of cases drawn with other dice that hold [1]."""
    found = runs(wider)
    assert reading.run_case(ask.drawn(*DRAWN, wider)[0]) == found[0], "the top of a band changes no run"
    held = [
        reading.case_verdict(ask.problem, r.kelvin, r.rest, r.began).everything for r in found if r.solved
    ]
    return sum(held) / TRUTHS


def apart(one: float, cases: int, other: float) -> float:
    """How far two shares lie apart, in standard deviations of the draw."""
    p = max(0.05, min(0.95, 0.5 * (one + other)))
    return abs(one - other) / float(np.sqrt(p * (1 - p) * (1 / cases + 1 / TRUTHS)))


@pytest.mark.parametrize("hottest", HOTTEST)
def test_the_count_is_right_about_truths_of_another_cure_and_told_where_ranges_are_too_narrow(
    hottest: float,
) -> None:
    ask = Ask(flap(hottest), tuple(choose(flap(hottest))), CASES)
    made: Likelihood = likelihood(ask)
    assert 0.05 < made.share < 0.97, "a share that nothing could miss says nothing"
    assert apart(made.share, made.cases, truths(ask, 1.0)) < 3.0
    assert made.wider is not None
    held, tried = made.wider
    too_narrow = truths(ask, 1.5)
    assert apart(held / tried, tried, too_narrow) < 3.0, "what wider ranges would do is told beside it"
