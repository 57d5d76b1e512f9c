"""Conduction against benchmarks.

The module solves layers on a plane grid: a bar is put through the thickness or in the plane, as said.
"""

from __future__ import annotations

import math

import numpy as np

from panelmend.physics.heat import (
    INSULATED,
    FaceCover,
    Grid,
    HeatLayer,
    HeatModel,
    HeatPlace,
    HeatResult,
    held,
    run,
)
from printed_values import Seen, Source, printed

NAFEMS = Source("The Standard NAFEMS Benchmarks, TNSB rev. 3 (1990)", Seen.MEMORY)
C0 = 273.15


def at(result: HeatResult, name: str, time: float) -> float:
    i = int(np.argmin(np.abs(result.times - time)))
    assert abs(result.times[i] - time) < 1e-6 * time
    return float(result.probes[name][i])


def test_nafems_t3_sine_at_one_end() -> None:
    """At x = 0.08 m and 32 s. The bar stands through the thickness."""
    steps = np.arange(0.0, 33.0, 0.25)
    sine = tuple((float(t), C0 + 100.0 * math.sin(math.pi * t / 40.0)) for t in steps)
    bar = HeatLayer("bar", 0.1, 0.0, 0.0, 35.0, 7200.0 * 440.5, cells=100)
    hot = FaceCover(C0, film=1e9, history=sine)
    grid = Grid((0.0, 0.01), (0.0, 0.01))
    probes = tuple(HeatPlace(n, "bar", 0.0, 0.0, cell=c) for n, c in (("a", 19), ("b", 20)))
    model = HeatModel(grid, (bar,), C0, (hot, held(C0)), top=0, bottom=1, probes=probes)
    result = run(model, step=0.25, sample=1.0, longest=32.0)
    found = 0.5 * (at(result, "a", 32.0) + at(result, "b", 32.0)) - C0  # the face between two cells
    assert found == printed(36.60, source=NAFEMS, place="T3, at 0.08 m after 32 s [C]", within=0.045)


def test_nafems_t4_plate_with_convection() -> None:
    """At (0.6, 0.2). The plate lies in the plane."""
    n = 60
    grid = Grid(tuple(np.linspace(0, 0.6, n + 1)), tuple(np.linspace(0, 1.0, n + 1)))
    plate = HeatLayer("plate", 1.0, 52.0, 52.0, 52.0, 1e5)
    covers = (INSULATED, held(C0 + 100.0), FaceCover(C0, film=750.0))
    model = HeatModel(grid, (plate,), C0, covers, edges=(0, 2, 1, 2))
    result = run(model, step=20.0, sample=600.0, longest=20000.0)
    j = int(np.argmin(np.abs(grid.cy - 0.2)))
    near = np.interp(0.2, grid.cy, result.temperature[0, :, -1]) - C0
    assert abs(grid.cy[j] - 0.2) < 0.02
    half = 0.5 * 0.6 / n
    surface = near * (52.0 / half) / (52.0 / half + 750.0)  # from the last cell's centre to the edge
    assert surface == printed(18.3, source=NAFEMS, place="T4, at (0.6, 0.2) [C]", within=0.3)


def test_nafems_t2_radiation_at_one_end() -> None:
    """The end that radiates (emissivity 0.98) to 300 K, the other held at 1000 K."""
    n = 40
    bar = HeatLayer("bar", 0.1, 0.0, 0.0, 55.563, 7850.0 * 460.0, cells=n)
    grid = Grid((0.0, 0.01), (0.0, 0.01))
    space = FaceCover(300.0, film=0.0, emissivity=0.98)
    covers = (space, held(1000.0))
    model = HeatModel(grid, (bar,), 900.0, covers, top=0, bottom=1, probes=(HeatPlace("end", "bar", 0, 0),))
    result = run(model, step=10.0, sample=600.0, longest=12000.0)
    cell = float(result.probes["end"][-1])
    lost = 0.98 * 5.670374419e-8 * (927.0**4 - 300.0**4)
    end = cell - lost * (0.05 / n) / 55.563  # from the cell to its face
    assert end == printed(927.0, source=NAFEMS, place="T2, end that radiates [K]", within=0.1)
