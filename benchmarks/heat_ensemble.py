"""A controlled cure with radiation, cure heat and a rib beside scipy, and an ensemble of 1,000 cases.

Times of one cure are processor time, the best of three, for the machine is shared; cells are those that are
there. The reference in the same run is a plain implicit scipy solution of the same cure: one sparse LU
factored once with the films of 80 C, the rest of the films, radiation and cure heat lagged, Crank-Nicolson,
with the duty our controller chose. The ensemble is that of the demonstration's document, as ``panelmend
heat`` makes it, on threads and on a Dask cluster of worker processes; its reference is the full solver on
held-out cases. All materials are invented. "streamed" is the time to read the solver's twelve fields once a
step at the copy bandwidth: the floor for grids that do not fit the cache; smaller grids beat it.

    scripts/bench heat_ensemble [--cases 1000] [--where threads,local] [--sizes 11000,17000,100000]
"""

from __future__ import annotations

import argparse
import os
import platform
import resource
import time
from pathlib import Path

import numpy as np
import scipy.sparse as sp
from scipy.sparse.linalg import splu

from panelmend.document import parse
from panelmend.job.case import case_of
from panelmend.physics.cure_chemistry import autocatalytic
from panelmend.physics.heat import (
    FaceCover,
    Follow,
    Grid,
    Heater,
    HeatLayer,
    HeatModel,
    HeatPlace,
    HeatResin,
    HeatSegment,
    Watch,
    lines,
    run,
)
from panelmend.physics.heat.assemble import faces, solid
from panelmend.plan.make import make_plan
from panelmend.predict.ensemble import COARSE, FULL, Ask, likelihood
from panelmend.predict.many_cases import workers
from panelmend.predict.reading import run_case
from panelmend.predict.run_on import run_on
from panelmend.predict.sensors import choose
from panelmend.units import INCH

AIR = 295.0
HOURS = 3.2
LAW = autocatalytic(2e4, 6.5e4, 3e5, 6.2e4, 0.8, 1.6)
LOW = np.array([4.0, 3.0, 0.05, 0.2e-3, 0.85])  # film above, film behind, core, rib contact, blanket output
HIGH = np.array([14.0, 12.0, 0.10, 4e-3, 1.05])
MIDDLE = 0.5 * (LOW + HIGH)


def cure(case: np.ndarray, spacing: float, core: int = 2) -> HeatModel:
    """A 6 in patch under a 12 in blanket, a rib 4 in from its middle, held at 250 F for 90 min."""
    above, behind, conductivity, contact, output = case
    patch, blanket, rib = 3 * INCH, 6 * INCH, (3.5 * INCH, 4.25 * INCH)
    x = lines([-blanket, -patch, patch, *rib, blanket], -0.5, 0.5, spacing, largest=5 * spacing)
    y = lines([-blanket, -patch, patch, blanket], -0.5, 0.5, spacing, largest=5 * spacing)
    grid = Grid(x, y)
    cx, cy = np.meshgrid(grid.cx, grid.cy)
    on_patch = (abs(cx) < patch) & (abs(cy) < patch)
    on_blanket = (abs(cx) < blanket) & (abs(cy) < blanket)
    on_rib = (cx > rib[0]) & (cx < rib[1])
    layers = (
        HeatLayer("blanket", np.where(on_blanket, 1.5e-3, 0.0), 0.3, 0.3, 0.25, 1.8e6),
        HeatLayer("bag", 0.5e-3, 0.1, 0.1, 0.08, 0.4e6),
        HeatLayer(
            "patch", np.where(on_patch, 1.0e-3, 0.0), 3.0, 3.0, 0.6, 1.6e6, 2, resin=HeatResin(LAW, 9e4)
        ),
        HeatLayer("skin", 0.9e-3, 3.0, 3.0, 0.6, 1.6e6),
        HeatLayer("core", 0.0254, 0.05, 0.04, conductivity, 6e4, core),
        HeatLayer("back", 0.9e-3, 3.0, 3.0, 0.6, 1.6e6, contact=contact),
        HeatLayer("rib", np.where(on_rib, 20e-3, 0.0), 120.0, 120.0, 120.0, 2.4e6),
    )
    covers = (
        FaceCover(AIR, film=above, emissivity=0.9),
        FaceCover(AIR, film=behind, emissivity=0.85),
        FaceCover(AIR, film=behind * 6.0),
    )
    off = patch + 0.5 * INCH
    places = ((off, 0.0), (-off, 0.0), (0.0, off), (0.0, -off))
    sensors = tuple(HeatPlace(f"T{n + 1}", "skin", px, py) for n, (px, py) in enumerate(places))
    recipe = (HeatSegment(394.3, 5 / 9 * 5 / 60, dwell=5400.0, band=5.6), HeatSegment(325.0, 5 / 9 * 5 / 60))
    power = np.where(on_blanket, 7750.0 * output, 0.0)
    heater = Heater("blanket", "blanket", power, Follow.LAGGING, sensors, recipe, ceiling=425.0)
    return HeatModel(
        grid,
        layers,
        AIR,
        covers,
        bottom=np.where(on_rib, 2, 1),
        heaters=(heater,),
        probes=sensors,
        watches=(Watch("bond", "patch", on_patch, -1),),
    )


def lagged(m: HeatModel, duty: np.ndarray, step: float) -> tuple[float, np.ndarray]:
    """Plain scipy: seconds of processor, and temperatures (nz, ny, nx).

    Cells without a layer stay in, as in ours: they join the cells above and below."""
    begun = time.process_time()
    made = solid(m)
    outer = faces(m, made)
    nz, ny, nx = made.capacity.shape
    number = np.arange(nz * ny * nx).reshape(nz, ny, nx)
    rows, cols, values = [], [], []
    for g, axis in ((made.g_x, 2), (made.g_y, 1), (made.g_z, 0)):
        n = number.shape[axis]
        a, b = np.take(number, range(n - 1), axis).ravel(), np.take(number, range(1, n), axis).ravel()
        k = np.take(g, range(n - 1), axis).ravel()
        rows += [a, b, a, b]
        cols += [b, a, a, b]
        values += [-k, -k, k, k]
    grid_t = 150.0 + 4.0 * np.arange(outer.table.shape[1])
    area, series = outer.size.T
    air = outer.start_air[outer.cover]

    def films(t: np.ndarray) -> np.ndarray:
        h = np.empty(len(t))
        for c in range(len(m.covers)):
            at = outer.cover == c
            h[at] = np.interp(t[at], grid_t, outer.table[c])
        return area / (1.0 / np.maximum(h, 1e-12) + series)

    fixed = films(np.full(len(outer.cell), 353.0))
    rows.append(outer.cell)
    cols.append(outer.cell)
    values.append(fixed)
    matrix = sp.csr_matrix(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(cols))), (number.size,) * 2
    )
    capacity = sp.diags(np.maximum(made.capacity.ravel(), 1e-6) / step)
    # the matrix is symmetric: its best set-up, not the default
    lu = splu((capacity + 0.5 * matrix).tocsc(), permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True})
    other = (capacity - 0.5 * matrix).tocsr()
    watt = np.zeros((nz, ny, nx))
    watt[0] = np.asarray(m.heaters[0].power) * m.grid.area
    bond = np.flatnonzero(made.present[2])
    cells = np.concatenate([number[2].ravel()[bond], number[3].ravel()[bond]])
    joules = np.tile(9e4 * m.grid.area.ravel()[bond] / 2, 2)
    t, alpha = np.full(number.size, AIR), np.zeros(len(cells))
    p = LAW.packed
    for n in range(len(duty)):
        face = t[outer.cell]
        loss = films(face)
        source = duty[n] * watt.ravel()
        np.add.at(source, outer.cell, loss * air - (loss - fixed) * face)
        tc = t[cells]
        k1, k2 = p[1] * np.exp(-p[2] / tc), p[3] * np.exp(-p[4] / tc)
        rate = (k1 + k2 * np.maximum(alpha, 0.0) ** p[5]) * np.maximum(1.0 - alpha, 0.0) ** p[6]
        alpha = np.minimum(alpha + step * rate, 1.0)
        source[cells] += joules * rate
        t = lu.solve(other @ t + source)
    return time.process_time() - begun, t.reshape(nz, ny, nx)


def bandwidth() -> float:
    """Bytes a second this machine copies from memory [B/s]."""
    a = np.ones(4_000_000)
    b = np.empty_like(a)
    begun = time.process_time()
    for _ in range(5):
        np.copyto(b, a)
    return 5 * 2 * a.nbytes / (time.process_time() - begun)


def _processor() -> str:
    """Name of the processor, where the system tells it."""
    try:
        lines = Path("/proc/cpuinfo").read_text("utf8").splitlines()
    except OSError:
        return platform.processor() or "not known"
    return next((x.split(":", 1)[1].strip() for x in lines if x.startswith("model name")), "not known")


def spacing_for(cells: int) -> float:
    """Grid spacing that gives about this many cells."""
    low, high = 0.5e-3, 40e-3
    for _ in range(30):
        middle = (low * high) ** 0.5
        size = int(solid(cure(MIDDLE, middle)).present.sum())
        low, high = (middle, high) if size > cells else (low, middle)
    return high


def single(sizes: list[int], rate: float) -> None:
    """Whole cures of several sizes beside scipy."""
    heads = (
        "cells",
        "hours",
        "ours s",
        "ns/cell/step",
        "streamed s",
        "scipy s",
        "ratio",
        "apart K",
        "peak MB",
    )
    print("".join(f"{h:>13}" for h in heads))
    for size in sizes:
        model = cure(MIDDLE, spacing_for(size))
        ours = float("inf")
        for _ in range(3):
            begun = time.process_time()
            result = run(model, longest=HOURS * 3600.0, step=10.0, sample=10.0 if size < 50_000 else 60.0)
            ours = min(ours, time.process_time() - begun)
        streamed = result.steps * result.temperature.size * 8 * 12 / rate
        per = ours / result.steps / result.cells * 1e9
        scipy = f"{'not run':>13}{'-':>13}{'-':>13}"
        if size < 50_000:
            duty = result.duty["blanket"][1 : result.steps + 1]
            seconds, other = lagged(model, duty, 10.0)
            apart = float(np.abs(other - result.temperature)[result.present].max())
            scipy = f"{seconds:13.2f}{seconds / ours:13.1f}{apart:13.3f}"
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        row = f"{result.cells:13d}{result.times[-1] / 3600.0:13.2f}{ours:13.2f}{per:13.1f}{streamed:13.2f}"
        row += f"{scipy}{memory:13.0f}"
        print(row, flush=True)


def ensemble(cases: int, places: list[str], number: int) -> None:
    """The ensemble of a cure of the demonstration in each place; the answers must be the same."""
    document = parse((Path(__file__).parents[1] / "examples/gear_door/repair.toml").read_bytes())
    work = make_plan(case_of(document)).work
    assert work is not None
    problem = work.cure.operations[number - 1].problem
    assert problem is not None
    ask = Ask(problem, choose(problem), cases)
    likelihood(Ask(problem, ask.spots, 2))  # compiled
    print(f"\n{problem.operation}: {cases} cases over {len(problem.unknowns)} unknowns")
    found = None
    for place in places:
        on, begun, own = run_on(place), time.perf_counter(), time.process_time()
        with workers(on) as ready:
            started = time.perf_counter() - begun
            made = likelihood(ask, on=ready)
            total, own = time.perf_counter() - begun, time.process_time() - own
        print(f"{on.words}: {total:.1f} s, of it {started:.1f} s to start; {own:.1f} s of processor here")
        assert found is None or made == found, "the answer depends on where it is made"
        found = made
    assert found is not None
    if found.held_out_rms is not None:
        rms, worst = found.held_out_rms, found.held_out_worst
        print(f"held out ({found.held_out_cases} cases): rms {rms:.2f} K, worst {worst:.2f} K")
        print(f"judged otherwise of those: {found.wrong}")
    print(f"{found.everything} of {found.cases} cases tried hold")
    few = ask.drawn(6, 99, FULL), ask.drawn(30, 99, COARSE)
    for name, some in zip(("full", "coarse"), few, strict=True):
        begun, own = time.perf_counter(), time.process_time()
        for one in some:
            run_case(one)
        each, own = (time.perf_counter() - begun) / len(some), (time.process_time() - own) / len(some)
        print(f"{name} run alone: {each:.3f} s ({own:.3f} s of processor), {each * cases:.0f} s for all")


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--cases", type=int, default=1000)
    parser.add_argument("--where", default="threads,local", help="places, separated by commas")
    parser.add_argument("--operation", type=int, default=2)
    parser.add_argument("--sizes", default="11000,17000,100000", help='cells, or "" for none')
    chosen = parser.parse_args()
    run(cure(MIDDLE, 30e-3), longest=60.0, step=10.0)
    rate = bandwidth()
    print(f"processor: {_processor()}")
    print(f"copy bandwidth {rate / 1e9:.1f} GB/s; load of the machine before {os.getloadavg()[0]:.1f}")
    if chosen.sizes:
        single([int(v) for v in chosen.sizes.split(",")], rate)
    ensemble(chosen.cases, chosen.where.split(","), chosen.operation)


if __name__ == "__main__":
    main()
