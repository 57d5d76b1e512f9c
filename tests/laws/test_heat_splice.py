"""Paste round a plug warms itself: a strip of its own beside the panel's grid, a limit, a finding."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from heat_problem import demo, spots
from made_prediction import made_prediction
from panelmend.job.cure.prediction import PLUG_EDGE, Extreme, Limit, LimitRow
from panelmend.physics.cure_chemistry.rate import rate
from panelmend.predict.cases import read_run, solve
from panelmend.predict.limits import limit_rows
from panelmend.predict.model import QUICK
from panelmend.predict.problem_grid import in_frame
from panelmend.predict.splice import OVER_IT, SPLICE, paste_width, with_splice
from panelmend.render.views.heat_map import NOT_MAPPED, legend
from panelmend.shapes import distance_to_point

CHOSEN = 'rate = "0.53 C/min"\nmeasured = [ { what = "splice cells", low = 0.0, high = 0.4'
FASTER = (CHOSEN, CHOSEN.replace("0.53", "2"))


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
    assert paste_width(paste, {"splice cells": 0.5}) == pytest.approx(0.0031)
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
    assert shown < problem.ceiling - 10.0, "no thermocouple shows it"


@pytest.mark.parametrize("behind", [True, False])
def test_without_the_paste_s_heat_the_strip_keeps_the_panel_s_temperatures(behind: bool) -> None:
    """A second blanket or a bare far side: the air beyond the strip is chosen so that nothing moves."""
    problem = demo(1)
    if not behind:
        sheets = tuple(s for s in problem.sheets if not s.layer.endswith("behind"))
        problem = replace(problem, source_behind=None, sheets=sheets)
    _, result = solve(problem, spots(problem), {"cure heat": 1e-9}, QUICK, maps=False)
    over, bond = result.regions[OVER_IT].hottest, result.regions["bond"].hottest
    held = slice(len(over) // 2, 3 * len(over) // 4)  # of a dwell of two hours in less than four
    assert np.abs(over - bond)[held].max() < 0.4
    heating = (over - bond)[: len(over) // 2]
    assert heating.max() < 1.5, "on the ramp it leads a little: the safe side"
    assert heating.min() > -0.6
    assert 0.0 < (over - bond).max() < 3.0, "while it cools it stays behind: the safe side, too"


def test_the_bond_line_over_the_paste_is_counted_with_its_heat() -> None:
    problem = demo(1)
    _, result = solve(problem, spots(problem), {"splice cells": 0.4}, QUICK, maps=False)
    over, bond = result.regions[OVER_IT].hottest, result.regions["bond"].hottest
    assert over.max() > bond.max() + 3.0, "it was left out of the run of the panel"
    assert over.max() < result.regions[SPLICE].hottest.max()
    case = read_run(problem, spots(problem), result)
    assert case.hottest.max() == pytest.approx(over.max(), abs=0.05)
    assert case.coldest.min() == pytest.approx(result.regions["bond"].coldest.min(), abs=1.0)
    named = limit_rows(problem, spots(problem), result)
    peak = next(r for r in named if r.code is Limit.PEAK)
    assert peak.predicted == pytest.approx(over.max(), abs=0.05)
    x, y = result.regions[OVER_IT].place(0)
    assert problem.splice is not None
    edge = in_frame(problem.splice.opening, problem.frame)
    assert abs(distance_to_point(edge, (x, y))) < 0.03, "it is placed at the plug's edge"


@pytest.mark.parametrize(("layer", "hopeless"), [(PLUG_EDGE, False), ("bond line", True)])
def test_paste_that_runs_away_leaves_changes_to_try(layer: str, hopeless: bool) -> None:
    hot = Extreme(500.0, 1.0, (0.0, 0.0), layer)
    row = LimitRow("hottest", "it", 366.0, 500.0, "temperature", "below", -134.0, Limit.PEAK)
    assert replace(made_prediction(demo(1)), hottest=hot, limits=(row,)).hopeless is hopeless


def test_maps_say_that_the_paste_is_not_in_them() -> None:
    assert legend(demo(1)).endswith(NOT_MAPPED)
    assert NOT_MAPPED not in legend(demo(2))


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
