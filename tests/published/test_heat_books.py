"""Layers, contact, insulation and sudden heating against worked examples of books."""

from __future__ import annotations

import pytest

from panelmend.physics.heat import (
    INSULATED,
    FaceCover,
    Grid,
    Heater,
    HeatLayer,
    HeatModel,
    HeatPlace,
    HeatResult,
    held,
    run,
)
from printed_values import Seen, Source, printed

INCROPERA = Source("F. P. Incropera, D. P. DeWitt, Fundamentals of Heat and Mass Transfer", Seen.MEMORY)
HOLMAN = Source("J. P. Holman, Heat Transfer, 9th ed.", Seen.MEMORY)
C0 = 273.15
ONE = Grid((0.0, 0.01), (0.0, 0.01))


def _last(model: HeatModel, *, step: float, longest: float) -> HeatResult:
    return run(model, step=step, sample=longest, longest=longest)


def test_chip_on_a_substrate_with_a_joint() -> None:
    """1e4 W/m2, air 25 C and 100 W/m2K on both faces, joint 0.9e-4 m2K/W, 8 mm of aluminium (239)."""
    layers = (
        HeatLayer("chip", 1e-5, 0.0, 0.0, 150.0, 1.6e6, contact=0.9e-4),
        HeatLayer("substrate", 8e-3, 0.0, 0.0, 239.0, 2.4e6, cells=4),
    )
    model = HeatModel(
        ONE,
        layers,
        C0 + 25.0,
        (FaceCover(C0 + 25.0, film=100.0),),
        heaters=(Heater("chip", "chip", 1e4),),
        probes=(HeatPlace("chip", "chip", 0, 0),),
    )
    result = _last(model, step=5.0, longest=2000.0)
    chip = float(result.probes["chip"][-1]) - C0
    assert chip == printed(75.3, source=INCROPERA, place="chapter 3, chip on a substrate [C]", within=0.05)
    assert abs(result.energy.unbalanced) < 1e-3


@pytest.mark.parametrize("how", ["layer", "cover"])
def test_rock_wool_that_saves_four_fifths(how: str) -> None:
    """Brick 4 in (0.7), plaster 1.5 in (0.48): 58.4 mm of rock wool (0.065 W/mK) leave 20 % of the loss."""
    wall = (
        HeatLayer("brick", 0.1016, 0.0, 0.0, 0.7, 1e3, cells=4),
        HeatLayer("plaster", 0.0381, 0.0, 0.0, 0.48, 1e3, cells=2),
    )
    wool, inside, outside = 0.0584, C0 + 20.0, C0 - 10.0

    def loss(layers: tuple[HeatLayer, ...], cover: FaceCover) -> float:
        model = HeatModel(ONE, layers, inside, (cover, held(inside)), top=0, bottom=1)
        end = _last(model, step=20.0, longest=20000.0).temperature[:, 0, 0]
        place = len(end) - 1  # the last cell of the plaster lies on the warm face
        return (inside - end[place]) * 0.48 / (0.5 * 0.0381 / 2)

    bare = loss(wall, held(outside))
    if how == "layer":
        saved = loss((HeatLayer("wool", wool, 0.0, 0.0, 0.065, 1e3, cells=4), *wall), held(outside))
    else:
        saved = loss(wall, FaceCover(outside, film=1e9, insulation=wool / 0.065))
    spared = 100.0 * (1.0 - saved / bare)
    assert spared == printed(80, source=HOLMAN, place="example 2-1, loss spared by 58.4 mm [%]", within=0.1)


@pytest.mark.parametrize(("way", "celsius"), [("face held", 118.5), ("constant flux", 79.3)])
def test_steel_block_heated_suddenly(way: str, celsius: float) -> None:
    """k 45, diffusivity 1.4e-5, 35 C: 25 mm deep after 30 s, face at 250 C, or 320 kW/m2 into the face."""
    k, diffusivity = 45.0, 1.4e-5
    block = HeatLayer("block", 0.2, 0.0, 0.0, k, k / diffusivity, cells=400)
    probes = tuple(HeatPlace(n, "block", 0.0, 0.0, cell=c) for n, c in (("a", 49), ("b", 50)))
    if way == "face held":
        model = HeatModel(ONE, (block,), C0 + 35.0, (held(C0 + 250.0), INSULATED), bottom=1, probes=probes)
    else:
        face = HeatLayer("face", 1e-7, 0.0, 0.0, k, k / diffusivity)
        sheet = Heater("sheet", "face", 3.2e5)
        model = HeatModel(ONE, (face, block), C0 + 35.0, (INSULATED,), heaters=(sheet,), probes=probes)
    result = _last(model, step=0.1, longest=30.0)
    middle = 0.5 * (result.probes["a"][-1] + result.probes["b"][-1])  # the face between two cells
    deep = float(middle) - C0
    assert deep == printed(
        celsius, source=HOLMAN, place=f"example 4-2, {way}, 25 mm deep after 30 s [C]", within=0.1
    )
