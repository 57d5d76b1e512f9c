"""Two validation cases of others: an insulated panel with a metal edge member, and layers driven by a sine.

ISO 10211 (2007 and 2017), annex on validation, case 2: temperatures and heat flow printed to 0.1. It is a
building panel, the nearest published thing to a sandwich with a metal close-out: thin skin, poor core, metal
skin, and a metal Z joining them.

ISO 13786 (transfer matrices), four layers, period 24 h: the number is printed in the read-me of the public
repository sononicola/Static-and-Dynamic-thermal-characterics-of-buildings-components.

Looked for and not found: a heat-blanket cure with printed temperatures, a measured exotherm of a stated mass
of resin.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from panelmend.physics.heat import FaceCover, Grid, HeatLayer, HeatModel, HeatPlace, run

C0 = 273.15
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
    for name, printed in PRINTED.items():
        assert found[name] == pytest.approx(printed, abs=0.1 + 0.05), name  # printed to 0.1
    assert flow == pytest.approx(9.5, abs=0.1)


def test_four_layers_driven_by_a_daily_sine() -> None:
    """ISO 13786: periodic transmittance 0.04397 W/(m2 K); the lag is our own transfer chain's, 10.22 h."""
    day = 86400.0
    rows = (
        (0.015, 0.21, 1150, 1100),
        (0.096, 0.13, 500, 1600),
        (0.13, 0.043, 190, 2100),
        (0.015, 0.9, 1800, 1000),
    )
    layers = tuple(
        HeatLayer(f"layer {n}", d, 0.0, 0.0, k, rho * c, cells=max(6, round(d / 0.003)))
        for n, (d, k, rho, c) in enumerate(rows)
    )
    times = np.arange(0.0, 7 * day + 1.0, 300.0)
    air = tuple((float(t), C0 + 20.0 + 10.0 * math.sin(2 * math.pi * t / day)) for t in times)
    covers = (FaceCover(C0 + 20.0, film=1.0 / 0.13), FaceCover(C0 + 20.0, film=1.0 / 0.04, history=air))
    thin = HeatLayer("inner face", 1e-6, 0.0, 0.0, 1.0, 1e3)
    model = HeatModel(
        Grid((0.0, 1.0), (0.0, 1.0)),
        (thin, *layers),
        C0 + 20.0,
        covers,
        top=0,
        bottom=1,
        probes=(HeatPlace("face", "inner face", 0.5, 0.5),),
    )
    result = run(model, longest=7 * day, step=300.0, sample=300.0)
    last = result.times >= 6 * day - 1e-6
    t, flow = result.times[last], (result.probes["face"][last] - C0 - 20.0) / 0.13
    wave = np.exp(-2j * math.pi * t / day)
    answer = 2.0 * np.mean(flow[:-1] * wave[:-1])
    assert abs(answer) / 10.0 == pytest.approx(0.04397424174344255, rel=2e-3)
    lag = (np.angle(answer) + math.pi / 2) % (2 * math.pi) / (2 * math.pi) * 24.0
    assert lag == pytest.approx(10.2243, rel=5e-3)
