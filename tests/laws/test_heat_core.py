"""What a core conducts in its plane, a scarf's taper as it is cut, and what the layers are made of."""

from __future__ import annotations

import numpy as np
import pytest

from examples_here import case_from, edited, text
from panelmend.job.cure.problem import HeatProblem
from panelmend.job.cure.unknowns import _core_scatter
from panelmend.physics.core_conductivity import (
    HEXAGON,
    conductivity_along_ribbon,
    radiation_in_plane,
    warmer,
)
from panelmend.physics.film import BOLTZMANN, air_conductivity
from panelmend.plan.make import make_plan
from panelmend.predict.problem_grid import layout
from whole_core import whole_core

WARM = 350.0


def _cell(corners: int, turned: float) -> float:
    """1/2 integral of cos^2 f times integral of chord^2 dh over the area; a polygon 1 wide across flats."""
    far = 0.5 / np.cos(np.pi / corners)
    angles = turned + 2.0 * np.pi * np.arange(corners) / corners
    at = far * np.column_stack([np.cos(angles), np.sin(angles)])
    area = 0.5 * corners * far**2 * np.sin(2.0 * np.pi / corners)
    count, whole = 180, 0.0
    for f in (np.arange(count) + 0.5) / count * np.pi - 0.5 * np.pi:
        along, across = np.array([np.cos(f), np.sin(f)]), np.array([-np.sin(f), np.cos(f)])
        h0, h1 = (at @ across).min(), (at @ across).max()
        h = h0 + (np.arange(500) + 0.5) / 500 * (h1 - h0)
        low, high = np.full(500, np.inf), np.full(500, -np.inf)
        for a, b in zip(at, np.roll(at, -1, axis=0), strict=True):
            if abs((b - a) @ across) < 1e-12:
                continue
            share = (h - a @ across) / ((b - a) @ across)
            cross = np.where((share >= 0.0) & (share <= 1.0), a @ along + share * ((b - a) @ along), np.nan)
            low, high = np.fmin(low, cross), np.fmax(high, cross)
        whole += np.cos(f) ** 2 * ((high - low) ** 2).mean() * (h1 - h0) / area * np.pi / count
    return 0.5 * whole


def test_radiation_across_a_cell_is_the_integral_over_its_chords() -> None:
    assert _cell(6, 0.0) == pytest.approx(HEXAGON, rel=1e-3)
    assert _cell(6, np.pi / 6.0) == pytest.approx(HEXAGON, rel=1e-3), "alike in every direction"
    assert _cell(90, 0.0) == pytest.approx(2.0 / 3.0, rel=2e-3), "a round cell, known in closed form"
    black = radiation_in_plane(0.0032, 1.0, WARM)
    assert black == pytest.approx(HEXAGON * 4.0 * BOLTZMANN * WARM**3 * 0.0032)
    assert radiation_in_plane(0.0032, 0.9, WARM) == pytest.approx(black * 0.9 / 1.1)


def test_radiation_is_a_third_of_what_paper_core_conducts_in_its_plane() -> None:
    made = whole_core(
        wall=0.13, wall_share=0.035, emissivity=0.9, thickness=0.02, cell=0.0032, temperature=WARM
    )
    share = (made.across - made.air - made.walls * 3.0 / 8.0) / made.across
    assert 0.3 < share < 0.45
    assert made.across < made.ribbon < 1.1 * made.across, (
        "its walls carry little, so neither way is much better"
    )
    metal = whole_core(
        wall=140.0, wall_share=0.02, emissivity=0.1, thickness=0.02, cell=0.0064, temperature=WARM
    )
    assert metal.ribbon / metal.across == pytest.approx(1.5, abs=0.03)


@pytest.mark.parametrize(("wall", "emissivity"), [(0.13, 0.9), (140.0, 0.1)])
def test_the_ribbon_is_told_from_what_is_known_across_it(wall: float, emissivity: float) -> None:
    made = whole_core(
        wall=wall, wall_share=0.02, emissivity=emissivity, thickness=0.02, cell=0.005, temperature=WARM
    )
    assert conductivity_along_ribbon(made.across, 0.005, emissivity, WARM) == pytest.approx(
        made.ribbon, rel=0.01
    )
    still = air_conductivity(WARM)
    assert conductivity_along_ribbon(still, 0.005, emissivity, WARM) == still, (
        "nothing beside air: no wall to speak of"
    )


def _problem(*changes: tuple[str, str]) -> HeatProblem:
    made = edited(text("gear_door"), *changes)
    work = make_plan(case_from(made)).work
    assert work is not None
    problem = work.cure.operations[-1].problem
    assert problem is not None
    return problem


def test_only_metal_core_conducts_half_as_much_again_along_its_ribbon() -> None:
    core = _problem().core
    assert core is not None
    assert core.k_ribbon / core.k_across < 1.1
    metal = _problem(
        ('fibre = "aramid"\ncell_size', 'fibre = "aluminium"\ncell_size'),
        (
            'thermal = { k_in_plane = "0.05 W/mK", k_through = "0.07 W/mK"',
            'thermal = { k_in_plane = "1 W/mK", k_through = "3 W/mK"',
        ),
    ).core
    assert metal is not None
    assert metal.k_ribbon / metal.k_across == pytest.approx(1.5, abs=0.03)


def test_a_scarf_takes_the_skin_away_under_its_plies() -> None:
    scarf = _problem(
        ('scheme = { value = "stepped"', 'scheme = { value = "scarf"'),
        ("first_margin = {", 'taper = { value = 40, place = "52-10-17 fig 204" }\nfirst_margin = {'),
        ('margins_are = { value = "per side", place = "52-10-17 fig 204 note 1" }\n', ""),
    )
    skins = [s for s in scarf.sheets if s.layer == "near skin"]
    areas = [s.without.area for s in skins if s.without is not None]
    assert len(areas) == 3
    assert areas == sorted(areas, reverse=True), "the outermost ply of the skin ends farthest out"
    assert areas[0] > areas[2] * 1.05
    on = layout(scarf, 0.01)
    thick = on.layers["near skin"].thickness
    assert ((thick > 0.1e-3) & (thick < 3 * skins[0].thickness - 0.1e-3)).any(), (
        "in between a cell holds part of it"
    )
    assert any("scarf" in n for n in scarf.notes)
    stepped = [s for s in _problem().sheets if s.layer == "near skin"]
    assert len({s.without.area for s in stepped if s.without is not None}) == 1


def _hot(celsius: float) -> HeatProblem:
    """The flap, whose core's conductivity is moved up by the heat of its cure, at another set point."""
    low, high = f"{celsius - 6.0:g} C", f"{celsius + 6.0:g} C"
    made = text("flap_rib_bay").replace('ceiling = "275 F"', f'ceiling = "{celsius + 12.0:g} C"')
    made = made.replace('to = "250 F"', f'to = "{celsius:g} C"')
    made = made.replace('low = "240 F", high = "265 F"', f'low = "{low}", high = "{high}"')
    work = make_plan(case_from(made)).work
    assert work is not None
    problem = work.cure.operations[0].problem
    assert problem is not None
    return problem


def test_a_core_conducts_more_in_a_hot_cure() -> None:
    """Radiation and air as the parts of the whole formula give them, walls as they were."""
    parts = [
        whole_core(wall=0.13, wall_share=0.035, emissivity=0.9, thickness=0.0127, cell=0.0032, temperature=t)
        for t in (297.0, 410.0)
    ]
    cold, warm = (p.air / (1.0 - 0.035) + p.radiation for p in parts)
    times = warmer(0.07, thickness=0.0127, cell=0.0032, emissivity=0.9, cold=297.0, warm=410.0)
    assert times == pytest.approx(1.0 + (warm - cold) / 0.07)
    assert warmer(0.07, thickness=0.0127, cell=0.0032, emissivity=0.9, cold=297.0, warm=297.0) == 1.0


@pytest.mark.parametrize(("warm", "likely", "high"), [(1.25, 1.0, 1.25), (1.26, 1.26, 1.575)])
def test_the_range_of_the_core_moves_up_where_heat_leaves_it(warm: float, likely: float, high: float) -> None:
    made = _core_scatter(warm)
    assert (made.likely, made.low) == (likely, 0.8)
    assert made.high == pytest.approx(high)
    assert made.basis == "assumed"


def test_a_hot_cure_counts_the_core_at_its_heat() -> None:
    core = {c: next(u for u in _hot(c).unknowns if u.name == "core") for c in (90.0, 177.0)}
    assert core[90.0].likely == 1.0
    assert 1.5 < core[177.0].likely < 2.0
    assert "room temperature" in core[177.0].ground
