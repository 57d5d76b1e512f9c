"""Load that a stiff patch draws: nothing for an equal one, no more than a rigid one, its direction."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from examples_here import text
from panelmend.job.strength.as_laid import AsLaid
from panelmend.job.strength.drawn import STRIPS, draw_factor
from panelmend.job.strength.levels import Level, settled_value, solve_levels
from panelmend.job.strength.loads import loads_of
from panelmend.physics.structure_inputs import NotComputed
from strength_made import lay_of

# a rigid round insert in an endless sheet, Muskhelishvili: (k+1)/4 + (k+1)/2k of the pull, k = (3-v)/(1+v)
ROUND = {v: (k + 1.0) / 4.0 + (k + 1.0) / (2.0 * k) for v in (0.13,) for k in ((3.0 - v) / (1.0 + v),)}


@pytest.fixture(scope="module")
def demo() -> tuple[AsLaid, tuple[Level, ...]]:
    lay = lay_of(text("gear_door"))
    levels = solve_levels(lay.case, lay, loads_of(lay.case), lambda *_: True)
    assert not isinstance(levels, NotComputed)
    return lay, levels


def factors(lay: AsLaid, levels: tuple[Level, ...]) -> dict[str, float]:
    found = {}
    for name, angle in STRIPS:
        f = draw_factor(lay, levels, "outside", angle)
        assert not isinstance(f, NotComputed)
        found[name] = f
    return found


def test_a_patch_that_changes_nothing_draws_nothing(demo: tuple[AsLaid, tuple[Level, ...]]) -> None:
    lay, levels = demo
    same = tuple(replace(v, repaired=v.sound) for v in levels)
    assert set(factors(lay, same).values()) == {1.0}


def test_a_patch_draws_less_than_a_rigid_insert(demo: tuple[AsLaid, tuple[Level, ...]]) -> None:
    """Its ends lie in a wide panel; each grid for itself."""
    lay, levels = demo
    assert ROUND[0.13] == pytest.approx(1.57, abs=0.03)
    found = factors(lay, levels)
    assert all(1.0 <= f < ROUND[0.13] for f in found.values())
    assert max(found.values()) > 1.02


def test_what_is_drawn_settles_on_finer_grids(demo: tuple[AsLaid, tuple[Level, ...]]) -> None:
    """The two grids agree to 5 %; the larger is taken."""
    lay, levels = demo
    each = [factors(lay, (level,)) for level in levels]
    both = factors(lay, levels)
    for name in both:
        assert both[name] == max(e[name] for e in each)
        assert settled_value(each[0][name], each[1][name], levels[0].size, levels[1].size).error < 0.05


def test_the_load_is_drawn_along_the_pull_it_is_computed_for(demo: tuple[AsLaid, tuple[Level, ...]]) -> None:
    """Twice the repaired panel's field under the pull along 0 degrees raises 0 degrees most."""
    lay, levels = demo
    made = []
    for v in levels:
        first = replace(v.repaired[0], eps=2.0 * v.repaired[0].eps, kappa=2.0 * v.repaired[0].kappa)
        made.append(replace(v, repaired=(first, *v.repaired[1:])))
    before, after = factors(lay, levels), factors(lay, tuple(made))
    assert after["0°"] > 1.6 * before["0°"]
    assert after["90°"] < after["0°"]


def test_a_panel_without_bare_skin_outside_the_patch_is_not_said_to_draw_nothing(
    demo: tuple[AsLaid, tuple[Level, ...]],
) -> None:
    lay, levels = demo
    none = []
    for v in levels:
        cells = replace(v.state.cells, share=np.zeros_like(v.state.cells.share))
        none.append(replace(v, state=replace(v.state, cells=cells)))
    found = draw_factor(lay, tuple(none), "outside", math.pi / 2)
    assert isinstance(found, NotComputed)
