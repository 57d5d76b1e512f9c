"""The heat solver on twelve uneven cells with all that it knows at once: what it gave, array by array."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from digits_kept import tried, unchanged
from panelmend.physics.cure_chemistry import CutOff, autocatalytic, n_order, two_stage
from panelmend.physics.heat import (
    INSULATED,
    FaceCover,
    Follow,
    Grid,
    Heater,
    HeatLayer,
    HeatModel,
    HeatPlace,
    HeatSegment,
    run,
)
from panelmend.physics.heat import grid as lines_of
from panelmend.physics.heat.assemble import faces, full, solid, where
from panelmend.physics.heat.model import HeatResin, Watch, Water
from panelmend.physics.heat.places import weights
from panelmend.physics.heat.state import HeatState

GRID = Grid((-0.1, -0.03, 0.02, 0.09, 0.21), (0.0, 0.06, 0.1, 0.19))
EVERY = np.ones((3, 4), np.bool_)
PATCH = np.array([[0, 1, 1, 0], [0, 1, 1, 1], [0, 0, 1, 0]], np.bool_)
FILM1 = n_order(4.1e6, 6.3e4, 1.3)
FILM2 = autocatalytic(2.3e4, 6.3e4, 4.1e6, 6.9e4, 0.7, 1.6, cut_off=CutOff(31.0, -0.9, 4.7e-3))
FILM3 = two_stage((3.5e7, -3.3e7, 3.2e4), (8.07e4, 7.78e4, 5.66e4), 0.47, 0.3)


def _map(size: float, swing: float) -> np.ndarray:
    return size * (1.0 + swing * np.cos(np.arange(12.0)).reshape(3, 4))


LAYERS = (
    HeatLayer("blanket", _map(2e-3, 0.1), 0.3, 0.2, 0.25, 1.7e6, contact=_map(0.004, 0.3)),
    HeatLayer("caul", np.where(PATCH, 1.1e-3, 0.0), 150.0, 140.0, 150.0, 2.4e6, contact=0.001),
    HeatLayer(
        "patch",
        np.where(PATCH, 0.9e-3, 0.0),
        3.1,
        2.7,
        0.6,
        1.6e6,
        2,
        resin=HeatResin(FILM1, _map(2.1e5, 0.2), 0.04),
    ),
    HeatLayer("film", 0.3e-3, 0.25, 0.25, 0.21, 1.9e6, resin=HeatResin(FILM2, 9e4, _map(0.1, 0.5))),
    HeatLayer("skin", 0.8e-3, 4.1, 2.9, 0.7, 1.55e6, resin=HeatResin(FILM3, 6e4, 0.02)),
    HeatLayer(
        "core", 17e-3, 0.0, 0.05, 0.09, 7e4, 3, water=Water(_map(1.7, 0.8), sealed=False, boiling=371.0)
    ),
    HeatLayer(
        "under", _map(0.7e-3, 0.2), 4.1, 2.9, 0.7, 1.55e6, water=Water(np.where(EVERY & ~PATCH, 3.0, 0.0))
    ),
)
T1, T2, T3 = (
    HeatPlace("T1", "patch", 0.0, 0.07, -1),
    HeatPlace("T2", "skin", 0.13, 0.02, 0, 1.7),
    HeatPlace("T3", "film", -0.1, 0.19, 0, -0.6),
)
SEEN = (T1, T2, T3, HeatPlace("T4", "core", 0.21, 0.0, 2))
LEGS = (
    HeatSegment(345.0, 0.08, 240.0, 4.0),
    HeatSegment(381.0, 0.06, 300.0, 6.0),
    HeatSegment(361.0, 0.09, 60.0, 9.0),
)
COVERS = (
    FaceCover(296.0, emissivity=0.83, length=0.2, facing="up", pressure=93e3, draught=1.2),
    FaceCover(294.0, film=7.0, insulation=0.31),
    FaceCover(293.0, film=11.0, history=((0.0, 293.0), (900.0, 301.0), (3000.0, 288.0))),
    INSULATED,
    FaceCover(299.0, emissivity=0.5, insulation=0.2, facing="side"),
)
WATCHES = (Watch("bond", "film", PATCH), Watch("low", "core", EVERY, -1), Watch("top", "patch", PATCH, 1))


def model(*follow: Follow, **changes: Any) -> HeatModel:
    heaters = tuple(
        Heater(
            f"h{n}",
            "blanket",
            _map(4100.0 + 900.0 * n, 0.1) * PATCH,
            f,
            SEEN[: 3 - n],
            LEGS[n:],
            (0.93, 0.4, 1.0)[n],
            ceiling=(math.inf, 384.0, 379.0)[n],
        )
        for n, f in enumerate(follow)
    )
    given: dict[str, Any] = {
        "covers": COVERS,
        "top": np.where(PATCH, 0, 1),
        "bottom": 2,
        "edges": (3, 4, 1, 2),
        "heaters": heaters,
        "probes": SEEN,
        "watches": WATCHES,
    }
    given |= {"layers": LAYERS, "start": _map(295.0, 0.004)}
    return HeatModel(GRID, **(given | changes))


RUNS: dict[str, Callable[[], tuple[HeatModel, dict[str, float]]]] = {
    "leading": lambda: (model(Follow.LEADING), {"step": 30.0, "longest": 1500.0, "sample": 60.0}),
    "lagging and average": lambda: (
        model(Follow.LAGGING, Follow.AVERAGE),
        {"step": 30.0, "longest": 1500.0, "sample": 90.0},
    ),
    "constant": lambda: (model(Follow.CONSTANT), {"step": 20.0, "longest": 700.0, "sample": 20.0}),
    "to its end": lambda: (
        dataclasses.replace(
            model(Follow.AVERAGE),
            layers=LAYERS[:2] + LAYERS[4:5],
            heaters=(
                Heater(
                    "h",
                    "blanket",
                    3000.0,
                    Follow.AVERAGE,
                    (T2,),
                    (HeatSegment(320.0, 0.2, 60.0, 9.0),),
                    gain=0.1,
                    reset=300.0,
                ),
            ),
            probes=(T2,),
            watches=(),
        ),
        {"step": 20.0, "longest": 3000.0, "sample": 60.0},
    ),
    "lively": lambda: (
        dataclasses.replace(
            model(),
            layers=(dataclasses.replace(LAYERS[3], resin=HeatResin(n_order(4e7, 6.3e4, 1.0), 7e4)),),
            start=393.0,
            probes=(T3,),
            watches=(WATCHES[0],),
        ),
        {"step": 20.0, "longest": 200.0, "sample": 20.0},
    ),
    "no heat": lambda: (
        model(covers=COVERS[:4], edges=None),
        {"step": 30.0, "longest": 900.0, "sample": 300.0},
    ),
    "no water": lambda: (
        model(Follow.LEADING, layers=tuple(dataclasses.replace(x, water=None) for x in LAYERS)),
        {"step": 45.0, "longest": 1350.0, "sample": 450.0},
    ),
    "a hot wet core": lambda: (
        model(start=_map(374.0, 0.004), layers=tuple(dataclasses.replace(x, resin=None) for x in LAYERS)),
        {"step": 30.0, "longest": 900.0, "sample": 90.0},
    ),
}


@pytest.mark.parametrize("name", RUNS)
def test_runs_stand(name: str) -> None:
    made, how = RUNS[name]()
    found = run(made, **how)  # type: ignore[arg-type]
    regions = {
        k: [r.x, r.y, r.area, r.temperature, r.degree, r.hottest, r.coldest, r.place(1)]
        for k, r in found.regions.items()
    }
    unchanged(
        "heat_digits",
        f"run, {name}",
        [
            found.times,
            found.probes,
            found.duty,
            found.target,
            regions,
            found.legs,
            found.finished,
            found.energy,
            round(found.energy.unbalanced, 6),
            found.temperature,
            found.water_left,
            found.steps,
            found.step,
            found.cells,
        ],
    )


@pytest.mark.parametrize("name", RUNS)
def test_what_a_run_works_on_stands(name: str) -> None:
    made, how = RUNS[name]()
    s = HeatState(made, how["step"], how["longest"], round(how["sample"] / how["step"]))
    kept = [
        s.most,
        s.clock,
        s.T,
        s.padded,
        s.where,
        s.faces[:5],
        s.air,
        s.resin,
        s.heaters,
        s.wet,
        s.out[:4],
        [len(x) for x in s.out[4:10]],
        s.watch_parts,
        s.ended(),
        s.done,
        s.rise(),
        s.dried(),
    ]
    before = s.snapshot()
    s.split(2)
    split = [s.parts, s.clock.copy(), s.done]
    s.split(1)
    s.T += 1.0
    s.restore(before)
    unchanged("heat_digits", f"state, {name}", [kept, split, s.parts, s.clock, s.T])


def test_the_parts_stand() -> None:
    made = solid(model())
    unchanged("heat_digits", "solid", made)
    unchanged("heat_digits", "where", where(made))
    unchanged("heat_digits", "faces", faces(model(), made))
    unchanged("heat_digits", "faces without edges", faces(model(edges=None), made))


def test_places_stand() -> None:
    made = model()
    there = solid(made).present
    spots = [(x, y) for x in (-0.1, -0.065, -0.03, 0.0, 0.09, 0.15, 0.21) for y in (0.0, 0.03, 0.07, 0.19)]
    spots += [(-0.1000001, 0.1), (0.2100001, 0.1), (0.0, -1e-9), (0.0, 0.1900001)]
    found = [
        tried(weights, made, (HeatPlace("p", layer, x, y, c),), there)
        for layer, c in (("skin", 0), ("caul", 0), ("core", -1), ("core", 3), ("core", -4), ("none", 0))
        for x, y in spots
    ]
    unchanged("heat_digits", "places", found)
    thin = Grid((0.0, 0.1), (0.0, 0.1, 0.3))
    one = HeatModel(thin, (HeatLayer("s", 1e-3, 1.0, 1.0, 1.0, 2e6),), 300.0, (INSULATED,))
    unchanged(
        "heat_digits",
        "places of a strip",
        weights(one, (HeatPlace("p", "s", 0.07, 0.22),), solid(one).present),
    )


def test_grids_stand() -> None:
    asked: list[tuple[Any, ...]] = [
        ((0.1, 0.2), 0.0, 0.9, 0.03),
        ((0.0, 0.2, 0.25), 0.0, 0.25, 0.05),
        ((0.1,), 0.0, 0.7, 0.02),
        ((0.1, 0.3), 0.2, 0.9, 0.03),
        ((0.1, 0.3), 0.0, 0.2, 0.03),
        ((), 0.0, 1.0, 0.1),
        ((0.1,), 0.0, 1.0, 0.0),
        ((0.1,), 1.0, 1.0, 0.1),
        ((0.1, 0.1 + 1e-10), 0.0, 0.3, 0.05),
        ((-1e-10, 0.1), 0.0, 0.3, 0.05),
    ]
    found: list[Any] = [tried(lines_of.lines, *a) for a in asked]
    found += [
        tried(lines_of.lines, *asked[0], growth=g, largest=m)
        for g in (1.0, 1.7, 2.0, 0.99, 2.01)
        for m in (0.05, 0.3, 0.0)
    ]
    found += [
        GRID.shape,
        GRID.dx,
        GRID.dy,
        GRID.cx,
        GRID.cy,
        GRID.area,
        GRID.rectangle(-0.05, 0.1, 0.01, 0.2),
    ]
    found += [GRID.share(lambda x, y: x * x + y * y < 0.01), GRID.share(lambda x, y: x > y, 3)]
    found += [tried(Grid, x, (0.0, 1.0)) for x in ((0.0,), (0.0, 0.0), (1.0, 0.5), (0.0, 1.0))]
    unchanged("heat_digits", "grids", found)


def test_covers_stand() -> None:
    warm = np.array([271.0, 295.995, 296.0, 296.005, 296.02, 333.0, 470.0])
    found: list[Any] = [[c.coefficient(float(t)) for t in warm] for c in COVERS]
    found += [c.coefficients(warm) for c in COVERS]
    wrong: list[dict[str, Any]] = [{"air": a} for a in (149.9, 150.0, 2000.0, 2000.1)] + [
        {"air": 300.0, k: v}
        for k in ("film", "emissivity", "draught", "insulation")
        for v in (-1e-9, 0.0, 1.0, 1.0001)
    ]
    wrong += [
        {"air": 300.0, "history": ((0.0, 300.0),), **m}
        for m in ({}, {"film": 0.0}, {"film": 2.0, "emissivity": 0.1}, {"film": 2.0, "insulation": 0.1})
    ]
    found += [tried(FaceCover, **w) for w in wrong]
    legs = [(t, r, d, b) for t in (199.9, 200.0, 700.0, 700.1) for r, d, b in ((0.1, 0.0, 0.0),)]
    legs += [(300.0, r, 0.0, 0.0) for r in (0.0, 0.999, 1.0)] + [
        (300.0, 0.1, d, 1.0) for d in (-1.0, 2592000.0, 2592001.0)
    ]
    legs += [(300.0, 0.1, 0.0, -0.1)]
    found += [tried(HeatSegment, *leg) for leg in legs]
    found += [tried(Heater, "h", "skin", 1.0, most=m) for m in (-0.01, 0.0, 1.0, 1.01)]
    found += [
        tried(Heater, "h", "skin", 1.0, Follow.LEADING, s, r, ceiling=c)
        for s, r, c in (((), LEGS, 900.0), ((T1,), (), 900.0), ((T1,), LEGS, 381.0), ((T1,), LEGS, 380.9))
    ]
    unchanged("heat_digits", "covers", found)


def test_refusals_stand() -> None:
    def ran(changed: HeatModel, **how: float) -> Any:
        return run(changed, **({"step": 30.0, "longest": 60.0, "sample": 30.0} | how)).steps  # type: ignore[arg-type]

    sheet = HeatLayer("sheet", 1e-3, 1.0, 1.0, 1.0, 2e6)
    plain = model(layers=(sheet,), probes=(), watches=(), edges=None)
    found: list[Any] = [
        tried(ran, plain, step=s, longest=n, sample=m)
        for s, n, m in (
            (0.0, 60.0, 30.0),
            (30.0, 30.0, 30.0),
            (30.0, 29.9, 30.0),
            (30.0, 60.0, 45.0),
            (30.0, 60.0, 14.0),
        )
    ]
    changes: list[dict[str, Any]] = [
        {"start": 199.9},
        {"start": 200.0},
        {"layers": ()},
        {"layers": (sheet, sheet)},
        {"top": 5},
        {"top": -1},
        {"top": 4},
        {"layers": (dataclasses.replace(sheet, thickness=np.where(PATCH, 1e-3, 0.0)),)},
        {"layers": (dataclasses.replace(sheet, heat=0.0),)},
        {"layers": (dataclasses.replace(sheet, k_z=0.0),)},
        {"layers": (dataclasses.replace(sheet, k_x=0.0),)},
        {"layers": (dataclasses.replace(sheet, k_x=-1.0),)},
        {"layers": (dataclasses.replace(sheet, resin=HeatResin(FILM1, 0.0, 1.0)),)},
        {"layers": (dataclasses.replace(sheet, resin=HeatResin(FILM1, 1e4, 1.0001)),)},
        {"heaters": (Heater("h", "sheet", 0.0),)},
        {"heaters": (Heater("h", "none", 1.0),)},
        {"watches": (Watch("w", "sheet", ~EVERY),)},
        {"watches": (Watch("w", "sheet", EVERY[:2]),)},
        {"watches": (Watch("w", "sheet", EVERY, 1),)},
    ]
    found += [tried(ran, dataclasses.replace(plain, **c)) for c in changes]
    found += [tried(ran, model(heaters=(Heater("h", "caul", p),))) for p in (1.0, PATCH * 1.0)]
    found += [
        tried(full, v, (3, 4), "x", zero=z)
        for v in (0.0, 1.0, -1.0, math.inf, np.zeros((3, 4)), _map(1.0, 0.1), _map(1.0, 2.0), np.ones(3), 2)
        for z in (False, True)
    ]
    two = [
        dataclasses.replace(sheet, name=f"s{k}", water=Water(1.0, sealed=s, boiling=b))
        for k, (s, b) in enumerate(((False, 371.0), (False, 372.0), (True, 373.0)))
    ]
    found += [
        tried(ran, dataclasses.replace(plain, layers=tuple(two[a:b]))) for a, b in ((0, 2), (1, 3), (0, 1))
    ]
    unchanged("heat_digits", "refusals", found)
