"""Laws of the prediction: energy, mirror, refinement, what warms and cools, and a panel worked by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from heat_problem import demo, mirrored, spots
from panelmend.job.cure.problem import CoreSheet, HeatProblem, Sheet
from panelmend.predict.cases import outcome, read_run, solve, verdict
from panelmend.predict.counting import wilson
from panelmend.predict.model import FULL, MEDIUM, QUICK, Fineness, SensorSpot
from panelmend.predict.problem_grid import from_frame, layout, to_frame, warm
from panelmend.shapes import rectangle

STILL = {"draught over": 0.0, "draught behind": 0.0, "blanket rim": 0.0}


@pytest.mark.parametrize("number", [1, 2])
def test_energy_balances_within_a_thousandth(number: int) -> None:
    problem = demo(number)
    _, result = solve(problem, spots(problem), {}, QUICK)
    assert abs(result.energy.unbalanced) < 1e-3
    assert result.energy.heaters > 0.0
    assert result.energy.cure > 0.0


def test_a_mirrored_panel_gives_the_mirrored_answer() -> None:
    problem = demo()
    other = mirrored(problem)
    _, one = solve(problem, spots(problem), {}, QUICK)
    _, two = solve(other, spots(other), {}, QUICK)
    a, b = read_run(problem, spots(problem), one), read_run(other, spots(other), two)
    # shares of curved outlines are sampled, so the two grids differ by a trace
    assert np.abs(a.sensors - b.sensors).max() < 0.1
    assert np.abs(a.hottest - b.hottest).max() < 0.1
    hot_a, hot_b = (
        from_frame(r.regions["bond"].place(int(r.regions["bond"].temperature.max(axis=0).argmax())), p.frame)
        for r, p in ((one, problem), (two, other))
    )
    assert hot_b == pytest.approx((hot_a[0], -hot_a[1]), abs=0.031)


def test_finer_grids_and_steps_come_together() -> None:
    problem = demo()
    legs = tuple(replace(leg, dwell=min(leg.dwell, 1800.0)) for leg in problem.legs if leg.kind == "heat")
    problem = replace(problem, legs=legs)
    coldest, hottest = [], []
    for fine in (QUICK, MEDIUM, FULL, Fineness(0.006, 5.0, 3)):
        found = verdict(problem, outcome(problem, spots(problem), {}, fine))
        coldest.append(found.coldest)
        hottest.append(found.hottest)
    assert abs(coldest[2] - coldest[3]) < 0.5
    assert abs(hottest[2] - hottest[3]) < 0.2
    assert abs(hottest[2] - hottest[3]) < abs(hottest[0] - hottest[3])
    assert abs(coldest[2] - coldest[3]) < abs(coldest[0] - coldest[3])


def test_what_warms_and_what_cools() -> None:
    problem = demo()
    at = spots(problem)
    base = outcome(problem, at, {}, MEDIUM)

    def far(case: HeatProblem, values: dict[str, float]) -> float:
        _, result = solve(case, at, values, MEDIUM)
        return float(result.regions["far skin"].hottest.max())

    plain = far(problem, {})
    assert far(problem, {"draught behind": 4.0}) < plain - 0.5
    assert far(problem, {"core": 1.25}) > plain + 0.5
    assert far(replace(problem, insulation_behind=0.25), {}) > plain + 5.0
    # the heat of cure leaves the middle more easily
    windy = outcome(problem, at, {"draught over": 8.0}, MEDIUM)
    assert windy.hottest.max() < base.hottest.max()
    weak = replace(problem, source=replace(problem.source, power=250.0))
    assert not outcome(weak, at, {}, MEDIUM).finished


def test_a_rib_behind_is_a_cold_place() -> None:
    (x, y), _ = demo().frame
    rib = replace(demo().ribs[0], outline=rectangle((x, y), 0.3, 0.04), contact=2000.0, height=None)
    problem = demo()
    without = replace(problem, ribs=())
    with_rib = replace(problem, ribs=(rib,))

    def behind(case: HeatProblem) -> float:
        _, result = solve(case, (*spots(case), SensorSpot("C", (x, y), "far face", count=False)), {}, MEDIUM)
        return float(result.probes["C"].max())

    assert behind(with_rib) < behind(without) - 2.0
    near = replace(problem, core=None, ribs=(rib,))
    bare = replace(problem, core=None, ribs=())
    cold, none = (verdict(p, outcome(p, spots(p), {}, MEDIUM)).coldest for p in (near, bare))
    assert cold < none - 1.0, "without core the rib reaches the bond line"


def _plain(film: float) -> HeatProblem:
    """The demo with one skin, core and skin under an endless blanket, and nothing that cures."""
    problem = demo()
    everywhere = rectangle(problem.frame[0], 1.6, 1.6, problem.frame[1])
    sheets = (
        Sheet("bag", "breather", 2e-3, 0.05, 0.05, 2e5),
        Sheet("blanket", "blanket", 1.6e-3, 0.25, 0.25, 1.7e6),
        Sheet("patch", "ply", 0.5e-3, 0.6, 0.3, 1.8e6),
        Sheet("near skin", "skin", 1e-3, 0.6, 0.3, 1.8e6),
        Sheet("far skin", "skin", 1e-3, 0.6, 0.3, 1.8e6),
    )
    return replace(
        problem,
        sheets=sheets,
        core=CoreSheet(0.02, 0.05, 0.05, 0.07, 6e4, 0.0, (), None),
        curing=(),
        ribs=(),
        panel=everywhere,
        source=replace(problem.source, heated=everywhere, outer=everywhere),
        larger=None,
        film=film,
        legs=(replace(problem.legs[0], dwell=4 * 3600.0), problem.legs[1]),
    )


def test_a_panel_worked_by_hand() -> None:
    """Steady and endless: one flux goes down from the near skin to the air, one up through the breather."""
    film = 9.0
    problem = _plain(film)
    _, result = solve(problem, spots(problem), STILL | {"emissivity": 0.0}, MEDIUM)
    case = read_run(problem, spots(problem), result)
    last = int(np.flatnonzero(case.dwelling)[-1])
    skin, air = case.sensors[last].mean(), problem.air
    down = 0.5e-3 / 0.3 + 0.02 / 0.07 + 1e-3 / 0.3 + 1.0 / film  # from the middle of the near skin to the air
    flux = (skin - air) / down
    far = air + flux * (1.0 / film + 0.5e-3 / 0.3)
    assert result.regions["far skin"].temperature[last].mean() == pytest.approx(far, abs=0.05)
    blanket = skin + flux * (0.5e-3 / 0.3 + 0.5e-3 / 0.3 + 0.8e-3 / 0.25)
    assert result.regions["blanket"].temperature[last].mean() == pytest.approx(blanket, abs=0.05)
    up = (blanket - air) / (0.8e-3 / 0.25 + 2e-3 / 0.05 + 1.0 / film)
    duty = next(iter(result.duty.values()))[last]
    assert duty * problem.source.power == pytest.approx(flux + up, rel=0.005)


def test_shares_of_the_layout_are_areas() -> None:
    problem = demo()
    on = layout(problem, MEDIUM.spacing)
    area = on.grid.area
    assert float((on.shares["bond"] * area).sum()) == pytest.approx(problem.bond.area, rel=0.01)
    heated = warm(problem, on, problem.source, "blanket").power
    assert float((heated * area).sum()) == pytest.approx(problem.source.heated.area, rel=1e-6)
    heat = float((on.resin["patch"] * area).sum())
    assert heat == pytest.approx(sum(h * o.area for h, o in problem.curing[0].parts), rel=0.01)


def test_frames_turn_back() -> None:
    frame = ((0.3, -0.1), 0.7)
    assert from_frame(to_frame((1.2, 0.4), frame), frame) == pytest.approx((1.2, 0.4))
    assert to_frame(frame[0], frame) == pytest.approx((0.0, 0.0))


@pytest.mark.parametrize(("held", "cases"), [(81, 263), (15, 148), (0, 20), (1, 29)])
def test_the_interval_of_what_fails_is_the_rest(held: int, cases: int) -> None:
    low, high = wilson(held, cases)
    assert wilson(cases - held, cases) == pytest.approx((1.0 - high, 1.0 - low), abs=1e-12)
