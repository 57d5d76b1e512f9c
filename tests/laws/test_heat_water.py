"""Wet core: boiling holds the temperature, latent heat is counted, sealed cells take their vapour only."""

from __future__ import annotations

import numpy as np
import pytest

from panelmend.physics import steam
from panelmend.physics.heat import (
    INSULATED,
    FaceCover,
    Grid,
    Heater,
    HeatLayer,
    HeatModel,
    HeatPlace,
    HeatResult,
    Water,
    run,
)

AIR = 293.15
GRID = Grid((0.0, 0.1, 0.2), (0.0, 0.1))


def heated(water: Water | None, hours: float, power: float = 800.0) -> HeatResult:
    core = HeatLayer("core", 0.01, 0.05, 0.05, 5.0, 6e4, cells=2, water=water)
    model = HeatModel(
        GRID,
        (HeatLayer("skin", 1e-3, 1.0, 1.0, 0.5, 1.6e6), core, HeatLayer("back", 1e-3, 1.0, 1.0, 0.5, 1.6e6)),
        AIR,
        (FaceCover(AIR, film=5.0), INSULATED),
        top=0,
        bottom=1,
        heaters=(Heater("h", "skin", power),),
        probes=(HeatPlace("core", "core", 0.05, 0.05),),
    )
    return run(model, longest=hours * 3600.0, step=5.0)


def test_open_water_holds_the_core_at_boiling_until_it_is_gone() -> None:
    result = heated(Water(20.0, sealed=False, boiling=340.0), 3.0)
    core = result.probes["core"]
    flat = np.abs(core - 340.0) < 0.5
    assert flat.sum() * 60.0 > 600.0
    assert core[-1] > 345.0
    assert result.water_left == 0.0
    latent = 20.0 * 0.01 * 0.2 * 0.1 * steam.latent_heat(340.0)
    assert result.energy.latent == pytest.approx(latent, rel=2e-3)
    assert abs(result.energy.unbalanced) < 1e-3


def test_boiling_takes_as_long_as_its_heat() -> None:
    result = heated(Water(20.0, sealed=False, boiling=340.0), 3.0)
    net = 800.0 - 5.0 * (340.0 - AIR)  # W/m2 left for boiling, within the small difference across the skin
    expected = 20.0 * 0.01 * steam.latent_heat(340.0) / net
    flat = (np.abs(result.probes["core"] - 340.0) < 0.5).sum() * 60.0
    assert flat == pytest.approx(expected, rel=0.15)


def test_sealed_water_only_slows_the_heating() -> None:
    dry, wet = heated(None, 2.0), heated(Water(20.0), 2.0)
    assert wet.water_left > 0.0
    assert wet.probes["core"][10] < dry.probes["core"][10]
    t = float(wet.probes["core"][-1])
    vapour = 0.01 * 0.2 * 0.1 * (steam.vapour_density(t) - steam.vapour_density(AIR))
    evaporated = 20.0 * 0.01 * 0.2 * 0.1 - wet.water_left
    assert evaporated == pytest.approx(vapour, rel=0.02)
    assert abs(wet.energy.unbalanced) < 1e-3


def test_less_water_dries_sooner() -> None:
    some, more = (heated(Water(m, sealed=False, boiling=340.0), 1.0) for m in (5.0, 120.0))
    assert some.water_left == 0.0
    assert more.water_left > 0.0
    assert some.probes["core"][-1] > more.probes["core"][-1]
