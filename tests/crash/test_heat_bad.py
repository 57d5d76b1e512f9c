"""Bad heat models: each is refused with words that say what stands wrong."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from panelmend.errors import InputError
from panelmend.physics.heat import (
    FaceCover,
    Follow,
    Grid,
    Heater,
    HeatLayer,
    HeatModel,
    HeatPlace,
    HeatSegment,
    Watch,
    Water,
    lines,
    run,
)

GRID = Grid((0.0, 0.1, 0.2), (0.0, 0.1))
SKIN = HeatLayer("skin", 1e-3, 1.0, 1.0, 0.5, 1.6e6)
GOOD = HeatModel(GRID, (SKIN,), 295.0, (FaceCover(295.0, film=10.0),))


@pytest.mark.parametrize(
    ("model", "words"),
    [
        (replace(GOOD, layers=()), "layers are needed"),
        (replace(GOOD, layers=(SKIN, SKIN)), "name of its own"),
        (replace(GOOD, layers=(replace(SKIN, thickness=-1e-3),)), "thickness"),
        (replace(GOOD, layers=(replace(SKIN, thickness=0.0),)), "no layer at all"),
        (replace(GOOD, layers=(replace(SKIN, k_z=0.0),)), "k_z"),
        (replace(GOOD, layers=(replace(SKIN, heat=float("nan")),)), "heat"),
        (replace(GOOD, layers=(replace(SKIN, k_x=np.ones((3, 3))),)), "another shape"),
        (replace(GOOD, start=21.0), "kelvin"),
        (replace(GOOD, top=3), "does not exist"),
        (replace(GOOD, probes=(HeatPlace("p", "core", 0.0, 0.0),)), "no layer is called"),
        (replace(GOOD, probes=(HeatPlace("p", "skin", 1.0, 0.0),)), "off the panel"),
        (replace(GOOD, probes=(HeatPlace("p", "skin", 0.0, 0.0, cell=4),)), "has 1 cells"),
        (replace(GOOD, heaters=(Heater("h", "skin", 0.0),)), "no power"),
        (replace(GOOD, heaters=(Heater("h", "skin", -5.0),)), "power"),
        (replace(GOOD, watches=(Watch("w", "skin", np.zeros((1, 2), dtype=bool)),)), "absent everywhere"),
        (
            replace(
                GOOD,
                layers=(
                    replace(SKIN, water=Water(5.0, sealed=False, boiling=330.0)),
                    replace(SKIN, name="b", water=Water(5.0, sealed=False, boiling=340.0)),
                ),
            ),
            "one boiling",
        ),
    ],
)
def test_refused(model: HeatModel, words: str) -> None:
    with pytest.raises(InputError, match=words):
        run(model, longest=60.0)


def test_heater_over_an_absent_layer() -> None:
    half = HeatLayer("blanket", np.array([[1e-3, 0.0]]), 0.2, 0.2, 0.2, 2e6)
    model = replace(GOOD, layers=(half, SKIN), heaters=(Heater("h", "blanket", 100.0),))
    with pytest.raises(InputError, match="absent"):
        run(model, longest=60.0)


def test_recipes_and_faces() -> None:
    with pytest.raises(InputError, match="kelvin"):
        HeatSegment(121.0, 0.05)
    with pytest.raises(InputError, match="negative"):
        HeatSegment(394.0, 0.05, dwell=-1.0)
    with pytest.raises(InputError, match="sensors"):
        Heater("h", "skin", 100.0, Follow.LAGGING)
    with pytest.raises(InputError, match="duty"):
        Heater("h", "skin", 100.0, most=1.5)
    with pytest.raises(InputError, match="emissivity"):
        FaceCover(295.0, emissivity=1.2)
    with pytest.raises(InputError, match="given film"):
        FaceCover(295.0, emissivity=0.9, history=((0.0, 295.0), (60.0, 300.0)))
    with pytest.raises(InputError, match="kelvin"):
        FaceCover(21.0)


def test_grids_and_times() -> None:
    with pytest.raises(InputError, match="rise"):
        Grid((0.0, 0.0, 1.0), (0.0, 1.0))
    with pytest.raises(InputError, match="between the ends"):
        lines([0.0, 2.0], 0.0, 1.0, 0.01)
    with pytest.raises(InputError, match="whole number"):
        run(GOOD, longest=60.0, step=7.0, sample=10.0)
