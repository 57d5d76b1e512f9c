"""Two validation cases of others: an insulated panel with a metal edge member, and layers driven by a sine.

The first is a building panel, the nearest published thing to a sandwich with a metal close-out: thin skin,
poor core, metal skin, and a metal Z joining them; temperatures and heat flow are printed to 0.1.
"""

from __future__ import annotations

import numpy as np

from daily_sine import wall_answer
from panelmend.physics.heat import FaceCover, Grid, HeatLayer, HeatModel, HeatPlace, run
from printed_values import Seen, Source, printed

C0 = 273.15
EDGE = Source("ISO 10211 (2007 and 2017), annex on validation, case 2", Seen.MEMORY)
FLOW = Source(EDGE.title, Seen.QUOTED)  # in the validation notes of sebbypy/MScalculator
WALL = Source(
    "read-me of the public repository "
    "sononicola/Static-and-Dynamic-thermal-characterics-of-buildings-components, "
    "by ISO 13786 (transfer matrices)",
    Seen.READ,
)
PRINTED = {"A": 7.1, "B": 0.8, "C": 7.9, "D": 6.3, "E": 0.8, "F": 16.4, "G": 16.3, "H": 16.8, "I": 18.3}
THIN = 2e-5  # m of a cell that stands for a surface


def _edge_member(step: float, longest: float) -> tuple[dict[str, float], float]:
    x = np.unique(
        np.concatenate(
            [
                [0.0, 0.00075, 0.0015],
                np.linspace(0.0015, 0.015, 16),
                0.015 + 0.485 * np.linspace(0, 1, 40) ** 2,
            ]
        )
    )
    grid = Grid(tuple(x), (0.0, 1.0))
    flange, web = (grid.cx[None, :] < w for w in (0.015, 0.0015))

    def layer(name: str, thickness: float, k: object, cells: int = 1) -> HeatLayer:
        k = np.broadcast_to(np.asarray(k, dtype=float), grid.shape).copy()
        return HeatLayer(name, thickness, k, k, k, 2e3, cells=cells)

    skin, core, metal = 1.15, 0.029, 230.0
    strip = np.where(flange, 0.12, core)
    layers = (
        layer("top", THIN, skin),
        layer("skin", 0.006 - 2 * THIN, skin, 6),
        layer("under skin", THIN, skin),
        layer("strip", 0.005, strip, 8),
        layer("flange", 0.0015, np.where(flange, metal, core), 2),
        layer("core", 0.0335, np.where(web, metal, core), 24),
        layer("bottom", 0.0015 - THIN, metal, 2),
        layer("face", THIN, metal),
    )
    covers = (FaceCover(C0, film=1.0 / 0.06), FaceCover(C0 + 20.0, film=1.0 / 0.11))
    places = {
        "A": ("top", 0.0),
        "B": ("top", 0.5),
        "C": ("under skin", 0.0),
        "D": ("under skin", 0.015),
        "E": ("under skin", 0.5),
    }
    places |= {"F": ("flange", 0.0), "G": ("flange", 0.0145), "H": ("face", 0.0), "I": ("face", 0.5)}
    probes = tuple(HeatPlace(n, where, at, 0.5) for n, (where, at) in places.items())
    model = HeatModel(grid, layers, C0 + 10.0, covers, top=0, bottom=1, probes=probes)
    result = run(model, longest=longest, step=step, sample=longest / 2)
    # by the top face, over the last half of the run
    first = run(model, longest=longest / 2, step=step, sample=longest / 2)
    flow = (result.energy.lost[0] - first.energy.lost[0]) / (longest / 2)
    return {n: float(v[-1]) - C0 for n, v in result.probes.items()}, float(flow)


def test_insulated_panel_with_a_metal_edge_member() -> None:
    """ISO 10211 case 2: every temperature within 0.1 K, the flow within 0.1 W/m of 9.5."""
    found, flow = _edge_member(2.0, 4000.0)
    for name, celsius in PRINTED.items():  # printed to 0.1
        assert found[name] == printed(celsius, source=EDGE, place=f"temperature {name} [C]", within=0.15), (
            name
        )
    assert flow == printed(9.5, source=FLOW, place="heat flow [W/m]", within=0.1)


def test_four_layers_driven_by_a_daily_sine() -> None:
    transmittance, _ = wall_answer()
    place = "periodic transmittance of wall 3c [W/(m2 K)]"
    assert transmittance == printed(0.04397424174344255, source=WALL, place=place, rel=2e-3)
