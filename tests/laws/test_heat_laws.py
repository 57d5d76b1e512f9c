"""Laws of the heat solver: energy, extremes, symmetry, order in time, mirrored panels."""

from __future__ import annotations

import numpy as np
import pytest

from panelmend.errors import Cancelled, InputError
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
    Progress,
    run,
)

AIR = 293.15


def panel(flip: bool = False, rib: bool = True, recipe: bool = False) -> HeatModel:
    """A panel heated off its middle, with a rib behind on one side; ``flip`` mirrors it in x."""
    x = np.linspace(-0.2, 0.2, 41)
    grid = Grid(tuple(x), tuple(np.linspace(-0.15, 0.15, 31)))
    cx, cy = np.meshgrid(grid.cx, grid.cy)
    sign = -1.0 if flip else 1.0
    power = np.where((np.abs(sign * cx - 0.02) < 0.1) & (np.abs(cy) < 0.08), 5000.0, 0.0)
    thick = np.where((sign * cx > 0.06) & (sign * cx < 0.09), 0.03 if rib else 1e-3, 1e-3)
    layers = (
        HeatLayer("blanket", 2e-3, 0.2, 0.2, 0.2, 2e6),
        HeatLayer("skin", 1e-3, 2.0, 2.0, 0.5, 1.6e6),
        HeatLayer("core", 0.02, 0.05, 0.05, 0.07, 6e4, cells=2),
        HeatLayer("back", thick, 2.0, 2.0, 0.5, 1.6e6),
    )
    sensors = tuple(
        HeatPlace(f"T{i}", "skin", sign * px, py)
        for i, (px, py) in enumerate([(0.02, 0.0), (0.07, 0.0), (-0.05, 0.05)])
    )
    heater = (
        Heater(
            "b",
            "blanket",
            power,
            follow=Follow.LAGGING,
            sensors=sensors,
            recipe=(HeatSegment(355.0, 0.03, dwell=1800.0),),
        )
        if recipe
        else Heater("b", "blanket", power)
    )
    return HeatModel(
        grid,
        layers,
        AIR,
        (FaceCover(AIR, film=12.0, emissivity=0.9), FaceCover(AIR, emissivity=0.9, facing="down")),
        top=0,
        bottom=1,
        heaters=(heater,),
        probes=sensors,
    )


@pytest.mark.parametrize("recipe", [False, True])
def test_energy_in_is_energy_stored_and_lost(recipe: bool) -> None:
    result = run(panel(recipe=recipe), step=10.0, longest=7200.0)
    assert abs(result.energy.unbalanced) < 1e-3


def test_a_mirrored_panel_gives_the_mirrored_answer() -> None:
    one, two = run(panel(), step=10.0, longest=1800.0), run(panel(flip=True), step=10.0, longest=1800.0)
    assert np.allclose(one.temperature, two.temperature[:, :, ::-1], atol=1e-7)


def test_without_heat_nothing_leaves_the_range_of_start_and_air() -> None:
    grid = Grid((0.0, 0.1, 0.2, 0.3), (0.0, 0.1, 0.2))
    start = np.array([[300.0, 400.0, 350.0], [310.0, 290.0, 380.0]])
    layers = (HeatLayer("a", 2e-3, 1.0, 1.0, 0.5, 1.5e6), HeatLayer("b", 0.01, 0.1, 0.1, 0.1, 1e5, cells=2))
    result: HeatResult = run(
        HeatModel(grid, layers, start, (FaceCover(285.0, film=10.0),)), step=5.0, longest=600.0
    )
    assert result.temperature.max() <= 400.0 + 1e-6
    assert result.temperature.min() >= 285.0 - 1e-6


def test_a_symmetric_panel_stays_symmetric() -> None:
    x = tuple(np.linspace(-0.1, 0.1, 21))
    grid = Grid(x, x)
    cx, cy = np.meshgrid(grid.cx, grid.cy)
    heat = np.where(np.hypot(cx, cy) < 0.05, 4000.0, 0.0)
    model = HeatModel(
        grid,
        (HeatLayer("s", 2e-3, 1.0, 1.0, 0.5, 1.5e6),),
        AIR,
        (FaceCover(AIR, film=10.0),),
        heaters=(Heater("h", "s", heat),),
    )
    t = run(model, step=10.0, longest=900.0).temperature[0]
    assert np.allclose(t, t[::-1], atol=1e-8)
    assert np.allclose(t, t[:, ::-1], atol=1e-8)
    assert np.allclose(t, t.T, atol=0.02), "the sweeps take x and y in turn: equal to the splitting error"


def test_halving_the_step_quarters_the_error() -> None:
    """Second order in time: on a smooth problem the error falls about fourfold (at least threefold)."""
    slab = HeatLayer("slab", 0.02, 0.0, 0.0, 0.5, 1e6, cells=20)
    model = HeatModel(
        Grid((0, 0.1), (0, 0.1)),
        (slab,),
        AIR,
        (INSULATED, FaceCover(AIR, film=30.0)),
        top=0,
        bottom=1,
        heaters=(Heater("h", "slab", 2000.0),),
        probes=(HeatPlace("p", "slab", 0, 0, cell=10),),
    )
    ends = {
        dt: float(run(model, step=dt, sample=600.0, longest=600.0).probes["p"][-1])
        for dt in (60.0, 30.0, 15.0, 1.0)
    }
    coarse, middle, fine = (abs(ends[dt] - ends[1.0]) for dt in (60.0, 30.0, 15.0))
    assert coarse > 3.0 * middle or middle < 1e-6
    assert middle > 3.0 * fine or fine < 1e-6


def test_the_controller_brings_the_slowest_into_its_band() -> None:
    result = run(panel(recipe=True), step=10.0, longest=4 * 3600.0)
    assert result.finished
    slowest = np.minimum.reduce([result.probes[f"T{i}"] for i in range(3)])
    assert slowest.max() == pytest.approx(355.0, abs=3.0)


def test_a_run_can_be_stopped_and_tells_how_far_it_is() -> None:
    told: list[Progress] = []

    def stop(progress: Progress) -> None:
        told.append(progress)
        raise Cancelled("stop")

    with pytest.raises(Cancelled):
        run(panel(), step=1.0, longest=3600.0, report=stop)
    assert told


def test_bad_models_are_refused_in_words() -> None:
    with pytest.raises(InputError, match="minute"):
        HeatSegment(350.0, 3.0)
    with pytest.raises(InputError, match="maximum temperature"):
        Heater(
            "h",
            "s",
            1.0,
            Follow.LEADING,
            (HeatPlace("p", "s", 0, 0),),
            (HeatSegment(400.0, 0.05),),
            ceiling=380.0,
        )
    with pytest.raises(InputError, match="negative"):
        FaceCover(AIR, film=-1.0)
    with pytest.raises(InputError, match="time step"):
        run(panel(), step=0.0, longest=10.0)


def test_a_run_that_breaks_down_is_refused() -> None:
    from panelmend.errors import SolverError
    from panelmend.physics.heat import held

    bar = HeatLayer("bar", 0.1, 0.0, 0.0, 55.0, 3.6e6, cells=20)
    thin = HeatLayer("thin", 1e-6, 0.0, 0.0, 55.0, 1e5)
    covers = (FaceCover(300.0, film=0.0, emissivity=0.98), held(1000.0))
    model = HeatModel(Grid((0, 0.01), (0, 0.01)), (thin, bar), 900.0, covers, top=0, bottom=1)
    with pytest.raises(SolverError, match="shorter time step"):
        run(model, step=10.0, longest=12000.0)
