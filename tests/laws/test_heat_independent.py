"""The compiled solver against an independent one: absent layers, rib, radiation, cure heat, insulation."""

from __future__ import annotations

import numpy as np
import pytest

from heat_reference import solve
from panelmend.physics.cure_chemistry import autocatalytic
from panelmend.physics.heat import (
    FaceCover,
    Grid,
    Heater,
    HeatLayer,
    HeatModel,
    HeatPlace,
    HeatResin,
    Watch,
    run,
)

AIR = 295.0
KAMAL = autocatalytic(2e4, 6.5e4, 3e5, 6.2e4, 0.8, 1.6)


def repair(*, resin: float = 3e5, rib: bool = True) -> HeatModel:
    """A patch under a blanket that overhangs it, a rib behind, insulation over one end."""
    x = np.array([0.0, 0.03, 0.05, 0.07, 0.10, 0.16])
    y = np.array([0.0, 0.03, 0.06, 0.12])
    grid = Grid(tuple(x), tuple(y))
    cx, cy = np.meshgrid(grid.cx, grid.cy)
    patch = (cx < 0.05) & (cy < 0.03)
    blanket = (cx < 0.10) & (cy < 0.06)
    under = (cx > 0.05) & (cx < 0.07)
    skin_x, skin_y = 4.0, 3.0
    layers = (
        HeatLayer("blanket", np.where(blanket, 1.5e-3, 0.0), 0.3, 0.3, 0.25, 1.8e6),
        HeatLayer(
            "patch", np.where(patch, 1.2e-3, 0.0), 2.0, 2.0, 0.5, 1.6e6, 2, resin=HeatResin(KAMAL, resin)
        ),
        HeatLayer("skin", 0.8e-3, skin_x, skin_y, 0.6, 1.6e6),
        HeatLayer("core", 0.012, 0.05, 0.04, 0.08, 6e4, cells=2),
        HeatLayer("back", 0.8e-3, skin_x, skin_y, 0.6, 1.6e6, contact=2e-3),
        HeatLayer("rib", np.where(under & rib, 4e-3, 0.0), 120.0, 120.0, 120.0, 2.4e6),
    )
    covers = (
        FaceCover(AIR, emissivity=0.9),
        FaceCover(AIR, emissivity=0.9, insulation=0.1),
        FaceCover(AIR - 5.0, emissivity=0.8, facing="down"),
        FaceCover(AIR - 5.0, film=60.0),
    )
    return HeatModel(
        grid,
        layers,
        AIR,
        covers,
        top=np.where(cx > 0.07, 1, 0),
        bottom=np.where(under & rib, 3, 2),
        heaters=(Heater("b", "blanket", np.where(blanket, 2600.0, 0.0)),),
        probes=(HeatPlace("bond", "patch", 0.0, 0.0, -1),),
        watches=(Watch("bond line", "patch", patch, -1),),
    )


@pytest.mark.parametrize(("resin", "rib"), [(0.0, True), (3e5, True), (3e5, False)])
def test_against_an_independent_assembly_and_integrator(resin: float, rib: bool) -> None:
    """With 2 s steps the two differ by splitting and tabled films: 0.3 K of a rise over 100 K."""
    model = repair(resin=resin, rib=rib)
    slow, degree = solve(model, [300.0, 1500.0])
    fast = run(model, longest=1500.0, step=2.0, sample=300.0)
    assert np.nanmax(slow[-1]) > AIR + 80.0
    there = ~np.isnan(slow[-1])
    assert np.array_equal(there, fast.present)
    assert fast.temperature[there] == pytest.approx(slow[-1][there], abs=0.3)
    if resin:
        mine = fast.region("bond line").degree[-1].reshape(-1)
        other = degree[-1][2][there[2]].reshape(-1)
        assert other.min() > 0.05
        assert mine == pytest.approx(other, abs=3e-3)


def test_the_gap_closes_with_the_step() -> None:
    model = repair()
    slow, _ = solve(model, [900.0])
    there = ~np.isnan(slow[-1])
    gaps = [
        float(np.abs(run(model, longest=900.0, step=dt, sample=900.0).temperature - slow[-1])[there].max())
        for dt in (30.0, 10.0, 2.0)
    ]
    assert gaps[0] > gaps[1]
    assert gaps[2] < 0.3


def test_cure_heat_is_what_the_resin_holds() -> None:
    model = repair()
    result = run(model, longest=6 * 3600.0, step=10.0)
    region = result.region("bond line")
    assert (np.diff(region.degree, axis=0) >= 0.0).all()
    area = float((model.grid.area * (np.asarray(model.layers[1].thickness) > 0.0)).sum())
    upper = run(repair(resin=0.0), longest=6 * 3600.0, step=10.0)
    assert upper.energy.cure == 0.0
    assert result.energy.cure <= 3e5 * area
    assert result.energy.cure == pytest.approx(3e5 * area * float(region.degree[-1].mean()), rel=0.05)
    assert abs(result.energy.unbalanced) < 1e-3
    assert result.probes["bond"].max() > upper.probes["bond"].max() + 1.0  # the exotherm shows
