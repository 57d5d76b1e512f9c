"""Paste round a plug warms itself: a strip of its own beside the panel's grid, a limit, a finding."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from heat_problem import demo
from panelmend.job.cure.problem import HeatProblem
from panelmend.physics.cure_chemistry.rate import rate
from panelmend.predict.cases import solve
from panelmend.predict.limits import limit_rows
from panelmend.predict.model import QUICK, SensorSpot
from panelmend.predict.splice import SPLICE, width_of, with_splice

CHOSEN = 'rate = "0.53 C/min"\nmeasured = [ { what = "splice cells", low = 0.0, high = 0.4'
FASTER = (CHOSEN, CHOSEN.replace("0.53", "2"))


def spots(problem: HeatProblem) -> tuple[SensorSpot, ...]:
    return tuple(SensorSpot(n, at) for n, at in problem.sensors)


@cache
def _top(filled: float, *changes: tuple[str, str], heat: float = 1.0) -> tuple[float, float]:
    """Hottest of the paste and of the bond line [K]."""
    problem = demo(1, *changes)
    _, result = solve(problem, spots(problem), {"splice cells": filled, "cure heat": heat}, QUICK, maps=False)
    return float(result.regions[SPLICE].hottest.max()), float(result.regions["bond"].hottest.max())


def test_what_stands_round_the_plug_is_read_from_the_document() -> None:
    paste = demo(1).splice
    assert paste is not None
    # by hand: 900 kg/m3 with 12 % filler on the resin, 350 kJ/kg; gap of the data, cells of 3.2 mm
    assert paste.heat == pytest.approx(900.0 / 1.12 * 350e3)
    assert (paste.gap, paste.cell, paste.depth) == pytest.approx((0.0015, 0.0032, 0.02))
    assert width_of(paste, {"splice cells": 0.5}) == pytest.approx(0.0031)
    assert demo(2).splice is None, "by then it has cured"


def test_it_gets_hotter_than_what_lies_over_it_and_the_more_the_wider() -> None:
    (bare, bond), (some, _), (all_of_it, _) = (_top(x) for x in (0.0, 0.4, 1.0))
    assert bond + 3.0 < bare < some < all_of_it
    assert _top(0.4, heat=1.15)[0] > some + 1.0


def test_without_its_heat_it_is_no_hotter_than_the_skins() -> None:
    made, bond = _top(0.4, heat=1e-6)
    assert made == pytest.approx(bond, abs=1.0)


def test_the_demonstration_holds_at_its_rate_and_burns_at_that_of_the_data() -> None:
    problem, fast = demo(1), demo(1, FASTER)
    assert problem.ceiling is not None
    assert _top(0.2)[0] < problem.ceiling - 10.0
    assert _top(0.2, FASTER)[0] > problem.ceiling + 30.0
    _, result = solve(fast, spots(fast), {}, QUICK, maps=False)
    row = next(r for r in limit_rows(fast, spots(fast), result) if r.place == "paste round the plug")
    assert not row.holds
    shown = max(float(v.max()) for v in result.probes.values())
    assert shown < problem.ceiling - 10.0, "no thermocouple sees it"


def test_against_a_wall_solved_otherwise() -> None:
    """The middle of a wide wall warms itself before anything reaches it: one equation, integrated here."""
    problem = demo(1)
    assert problem.splice is not None
    assert problem.core is not None
    still = replace(problem.core, k_across=1e-4, k_through=1e-4)
    paste = replace(problem.splice, depth=0.2, gap=0.02, k=1e-4)
    thick = replace(problem, core=replace(still, thickness=0.2), splice=paste)
    _, result = solve(problem, spots(problem), {}, QUICK, maps=False)
    values = {"splice cells": 0.0, "cure heat": 0.1}
    made = with_splice(thick, values, result).regions[SPLICE].hottest
    law, kelvin, alpha, step = paste.law.packed, result.regions["bond"].hottest[0], 0.0, 1.0
    for _ in range(math.floor(float(result.times[-1]) / step)):
        d = min(step * float(rate(np.array(law), alpha, kelvin)), 1.0 - alpha)
        alpha += d
        kelvin += 0.1 * paste.heat * d / paste.stored
    assert float(made[-1]) == pytest.approx(kelvin, abs=1.0)
