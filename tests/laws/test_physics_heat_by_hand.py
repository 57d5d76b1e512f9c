"""The heat solver's book-keeping on a strip of four cells, worked out by hand: no panel, no example."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
import pytest

from panelmend.errors import InputError
from panelmend.physics.heat import (
    INSULATED,
    FaceCover,
    Follow,
    Grid,
    Heater,
    HeatLayer,
    HeatModel,
    HeatPlace,
    HeatResult,
    HeatSegment,
    run,
)
from panelmend.physics.heat.assemble import faces, solid
from panelmend.physics.heat.places import weights
from panelmend.physics.heat.result import Energy
from panelmend.physics.heat.state import HeatState

AIR = 293.15
SHEET = HeatLayer("sheet", 1e-3, 1.0, 1.0, 1.0, 2e6)  # 2 kJ/(m2 K)
GRID = Grid((0.0, 0.1, 0.2), (0.0, 0.1, 0.2))
SEEN = (HeatPlace("T1", "sheet", 0.1, 0.1),)


def strip(*legs: HeatSegment, layers: tuple[HeatLayer, ...] = (SHEET,), **more: Any) -> HeatModel:
    """A sheet of 2 x 2 cells under 2 kW/m2 that loses 20 W/(m2 K) and follows one sensor."""
    heater = Heater("b", layers[0].name, 2000.0, follow=Follow.LEADING, sensors=SEEN, recipe=legs)
    given: dict[str, Any] = {"covers": (FaceCover(AIR, film=20.0), INSULATED), "top": 0, "bottom": 1}
    return HeatModel(GRID, layers, AIR, heaters=(heater,), probes=SEEN, **(given | more))


UP = HeatSegment(330.0, 0.05, dwell=120.0, band=2.0)
DOWN = HeatSegment(310.0, 0.05, dwell=0.0, band=2.0)


def cooled(longest: float) -> HeatResult:
    return run(strip(UP, DOWN), step=10.0, longest=longest, sample=10.0)


def test_a_run_is_finished_where_the_recipe_ends_and_not_before() -> None:
    whole = cooled(1e5)
    assert whole.finished
    ended = whole.legs["b"][-1].ended
    assert ended is not None
    for short in (60.0, ended - 20.0):
        cut = cooled(short)
        assert not cut.finished
        assert cut.legs["b"][-1].ended is None


def test_a_recipe_that_ends_with_the_last_step_is_finished() -> None:
    """The clock is read at the beginning of a step: the leg that ends in the last one ends the run."""
    ended = cooled(1e5).legs["b"][-1].ended
    assert ended is not None
    last = cooled(ended + 10.0)
    assert last.legs["b"][-1].ended == ended
    assert last.finished
    assert not cooled(ended).finished


def test_heating_waits_for_the_coldest_and_cooling_for_the_hottest() -> None:
    """What heats has come when it is warm enough, what cools when it is cold enough."""
    found = cooled(1e5)
    up, down = found.legs["b"]
    at = dict(zip(found.times, found.probes["T1"], strict=True))
    assert up.holding is not None
    assert down.holding is not None
    assert at[up.holding] >= UP.target - UP.band > at[up.holding - 10.0]
    assert at[down.holding] <= DOWN.target + DOWN.band < at[down.holding - 10.0]


def test_a_recipe_for_less_than_the_panel_has_begins_by_cooling() -> None:
    """It starts 30 K above its target: its clock must not run before it is down."""
    model = dataclasses.replace(strip(DOWN), start=340.0)
    found = run(model, step=10.0, longest=1e5)
    (down,) = found.legs["b"]
    assert down.arrived is not None
    assert down.holding is not None
    assert down.holding > down.arrived
    assert HeatState(model, 10.0, 1e3, 1).heaters[5][0, 0, 4] == 1.0
    assert HeatState(strip(UP, DOWN), 10.0, 1e3, 1).heaters[5][0, :2, 4].tolist() == [0.0, 1.0]


@pytest.mark.parametrize(
    ("behind", "counted"),
    [
        (0.0299, 2e3 + 5e3 + 1e3),  # [m2 K/W] just within what answers to a controller
        (0.0301, 2e3 + 5e3),
    ],
)
def test_a_controller_is_tuned_to_what_lies_within_its_reach(behind: float, counted: float) -> None:
    """Joints of no thickness but resistance: gain is the heat [J/(m2 K)] within 0.03 m2 K/W over power and
    60 s, from a heater in the middle of the stack; above it 5 kJ/(m2 K) count, below it as the joint lets."""
    conducts = 1e9
    layers = (
        HeatLayer("above", 1e-3, 1.0, 1.0, conducts, 5e6, contact=0.01),
        HeatLayer("sheet", 1e-3, 1.0, 1.0, conducts, 2e6, contact=behind),
        HeatLayer("below", 1e-3, 1.0, 1.0, conducts, 1e6, contact=0.05),
        HeatLayer("far", 1e-3, 1.0, 1.0, conducts, 9e6),
    )
    model = strip(UP, layers=layers)
    heater = dataclasses.replace(model.heaters[0], layer="sheet")
    state = HeatState(dataclasses.replace(model, heaters=(heater,)), 10.0, 1e3, 1)
    gain, reset = state.heaters[6][0, 1:3]
    assert gain == pytest.approx(counted / (2000.0 * 60.0), rel=1e-6)
    assert reset == pytest.approx(240.0)


def test_a_sensor_where_its_layer_is_absent_is_refused() -> None:
    here = np.array([[1.0, 0.0], [0.0, 0.0]]) > 0.0
    present = np.array([here])
    model = strip(UP)
    index, weight = weights(model, (HeatPlace("a", "sheet", 0.02, 0.02),), present)
    assert (index[0, 0], weight[0, 0]) == (0, pytest.approx(1.0))
    with pytest.raises(InputError, match="is absent at"):
        weights(model, (HeatPlace("b", "sheet", 0.18, 0.18),), present)


@pytest.mark.parametrize("conducts", [0.0, 0.05, 0.9, 3.0])
def test_a_rim_loses_heat_where_its_layer_conducts(conducts: float) -> None:
    """A layer that carries nothing sideways has no rim; one that carries little has one."""
    layer = dataclasses.replace(SHEET, k_x=conducts, k_y=conducts)
    model = strip(UP, layers=(layer,), edges=(0, 0, 0, 0))
    made = faces(model, solid(model))
    faced = 4  # above; what is insulated below has none
    assert len(made.cell) == faced + (8 if conducts > 0.0 else 0)
    if conducts > 0.0:
        area, path = made.size[faced:, 0], made.size[faced:, 1]
        assert area == pytest.approx(np.full(8, 1e-3 * 0.1))
        assert path == pytest.approx(np.full(8, 0.05 / conducts))


@pytest.mark.parametrize(("heaters", "stored", "miss"), [(0.0, 0.0, 0.0), (2.0, 1.0, 0.5), (1.0, 2.0, -0.5)])
def test_what_does_not_add_up_is_a_share_of_the_largest(heaters: float, stored: float, miss: float) -> None:
    assert Energy(heaters, 0.0, (0.0,), 0.0, stored).unbalanced == pytest.approx(miss)
