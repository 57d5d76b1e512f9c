"""From a cure problem and values of its unknowns to a heat model."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelmend.job.cure.problem import LAYERS, HeatProblem, HeatSource, Leg, Point
from panelmend.physics.heat import Follow, Heater, HeatLayer, HeatModel, HeatPlace, HeatSegment, Watch
from panelmend.predict.in_layers import resins_of, water_of, wetted
from panelmend.predict.outer_faces import covers_of
from panelmend.predict.problem_grid import (
    ABSENT_BELOW,
    CORES,
    OUTSIDE,
    ProblemGrid,
    Stacked,
    Warm,
    layout,
    potting_of,
    to_frame,
    warm,
)

Array = NDArray[np.float64]
RIB_CONTACT = 500.0  # W/(m2 K), where nobody knows the contact of a rib
COOL_BAND = 1.0  # K
NEAR_AIR = 5.0  # K above the bay's air: a cool-down is not followed further
POTTING_CELLS = 3  # for each cell through a core: 6 of a full run
POTTING = "potting"


@dataclass(frozen=True)
class Fineness:
    """How finely a problem is solved: grid under the bag [m], time step [s], cells through the core."""

    spacing: float
    step: float
    core_cells: int


FULL = Fineness(0.010, 10.0, 2)
MEDIUM = Fineness(0.015, 20.0, 2)  # to find places and to compare changes with
QUICK = Fineness(0.030, 30.0, 1)
COARSE = Fineness(0.050, 30.0, 1)  # found by trying: see docs/method/ensemble.md


@dataclass(frozen=True)
class SensorSpot:
    """Where a thermocouple sits: ``face`` "repair side" or "far face", ``at`` in standard axes [m].

    A controller follows those of its face that ``count``; the others watch.
    """

    id: str
    at: Point
    face: str = "repair side"
    count: bool = True


def likely(problem: HeatProblem) -> dict[str, float]:
    """The likely value of every unknown."""
    return {u.name: u.likely for u in problem.unknowns}


def model_of(
    problem: HeatProblem,
    sensors: Sequence[SensorSpot],
    values: Mapping[str, float],
    fine: Fineness = FULL,
    *,
    probes: Sequence[SensorSpot] = (),
    maps: bool = True,
) -> HeatModel:
    """The heat model of a problem.

    Args:
        problem: the cure.
        sensors: thermocouples; a blanket's controller follows those of its own face that count.
        values: of the unknowns by name; what is missing takes its likely value.
        fine: grid and time step.
        probes: more places to read.
        maps: watch whole layers too, for maps; without, only the bond line, ribs and skins.

    Returns:
        the model.

    Raises:
        InputError: places off the panel, values out of range.
    """
    v = likely(problem) | dict(values)
    on = layout(problem, fine.spacing)
    blankets = {"blanket": _blanket_in_case(problem, on, problem.source, "blanket", v)}
    if problem.source_behind is not None:
        blankets["blanket behind"] = _blanket_in_case(problem, on, problem.source_behind, "blanket behind", v)
    layers = _layers(problem, on, v, fine, {n: w.layer for n, w in blankets.items()})
    covers, top, bottom = covers_of(problem, on, v)
    there = {layer.name: layer.cells for layer in layers}
    near = tuple(_place(problem, s, v) for s in sensors if s.face != "far face" and s.count)
    every = tuple(_place(problem, s, v) for s in sensors) + tuple(_place(problem, s, {}) for s in probes)
    heaters = [
        _heater(problem, problem.source, "blanket", problem.source.power * blankets["blanket"].power, near)
    ]
    if problem.source_behind is not None:
        far = [s for s in sensors if s.face == "far face" and s.count]
        opposite = [SensorSpot(f"{s.id} opposite", s.at, "far face") for s in sensors if s.face != "far face"]
        behind = tuple(_place(problem, s, v) for s in far or opposite)
        power = problem.source_behind.power * blankets["blanket behind"].power
        heaters.append(_heater(problem, problem.source_behind, "blanket behind", power, behind))
    start = problem.air + v.get("air", 0.0)
    return HeatModel(
        on.grid,
        layers,
        start,
        covers,
        top=top,
        bottom=bottom,
        heaters=tuple(heaters),
        probes=every,
        watches=_watches(on, there, {n: w.layer for n, w in blankets.items()}, maps=maps),
    )


def _place(problem: HeatProblem, spot: SensorSpot, v: Mapping[str, float]) -> HeatPlace:
    """Where a thermocouple sits in a case, and by how much what it shows is off."""
    at = spot.at
    angle = problem.frame[1]
    du, dv = v.get(f"{spot.id} along", 0.0), v.get(f"{spot.id} across", 0.0)
    if du or dv:
        c, s = math.cos(angle), math.sin(angle)
        moved = (at[0] + c * du - s * dv, at[1] + s * du + c * dv)
        at = moved if problem.panel.contains(moved) and problem.seal_line.contains(moved) else at
    x, y = to_frame(at, problem.frame)
    error = v.get("thermocouples", 0.0) + v.get(f"{spot.id} shows", 0.0) if v else 0.0
    layer, cell = ("far skin", -1) if spot.face == "far face" else ("near skin", 0)
    return HeatPlace(spot.id, layer, x, y, cell, error)


def _blanket_in_case(
    problem: HeatProblem, on: ProblemGrid, source: HeatSource, layer: str, v: Mapping[str, float]
) -> Warm:
    """A blanket as it lies and heats in a case."""
    name = "blanket" if layer == "blanket" else "behind"
    off = (v.get(f"{name} along", 0.0), v.get(f"{name} across", 0.0))
    uneven = (v.get("uneven along", 0.0), v.get("uneven across", 0.0))
    return warm(problem, on, source, layer, off, v.get("blanket rim", 0.0), uneven)


def _heater(
    problem: HeatProblem, source: HeatSource, layer: str, power: Array, sensors: tuple[HeatPlace, ...]
) -> Heater:
    recipe = tuple(_segment(leg, problem.air) for leg in problem.legs)
    limit = problem.ceiling if problem.ceiling is not None else 1e6
    return Heater(
        source.id if layer == "blanket" else f"{source.id} behind",
        layer,
        power,
        Follow(problem.follow),
        sensors,
        recipe,
        ceiling=limit,
    )


def _segment(leg: Leg, air: float) -> HeatSegment:
    if leg.kind == "cool":
        # a panel only comes near the air, and an unknown of the cases is how warm that is
        return HeatSegment(max(leg.target, air + NEAR_AIR), leg.rate, 0.0, COOL_BAND)
    if leg.kind != "heat":
        raise AssertionError(f"nobody runs a leg that is {leg.kind!r}")
    return HeatSegment(leg.target, leg.rate, leg.dwell, max(leg.target - leg.low, 0.5))


def _layers(
    problem: HeatProblem,
    on: ProblemGrid,
    v: Mapping[str, float],
    fine: Fineness,
    blankets: Mapping[str, Stacked],
) -> tuple[HeatLayer, ...]:
    resins = resins_of(problem, on, v)
    made = []
    for name, plain in on.layers.items():
        s = blankets.get(name, plain)
        if name == "bleeder":
            s = wetted(problem, on, v, s)
        stack = v.get("bag stack", 1.0) if name in ("bag", "under blanket", "bleeder", "bag behind") else 1.0
        core = _core_factor(on, v) if name == "core" else v.get("core", 1.0) if name in CORES else 1.0
        contact: Array | float = 0.0
        water, across = water_of(problem, on, s) if name in CORES else (None, 0.0)
        water = water if name == "core" else None  # all of it stands in the upper part
        if name == "far skin":
            contact = _contact(problem, on, v, near=False)
        elif name == "structure near":
            contact = _contact(problem, on, v, near=True)
        made.append(
            HeatLayer(
                name,
                s.thickness,
                s.k_x * core,
                s.k_y * core,
                s.k_z * stack * core + across,
                s.heat,
                cells=_cells_through(problem, name, fine),
                contact=contact,
                resin=resins.get(name),
                water=water,
            )
        )
    return tuple(sorted(made, key=lambda layer: _ORDER.index(layer.name)))


def _core_factor(on: ProblemGrid, v: Mapping[str, float]) -> Array:
    """What a case takes the conductivities of core, and of a potting that cures in it, times."""
    filled = on.shares.get("potting", np.zeros(on.grid.shape))
    return np.asarray(v.get("core", 1.0) * (1.0 - filled) + v.get("potting", 1.0) * filled)


def _cells_through(problem: HeatProblem, layer: str, fine: Fineness) -> int:
    """Cells through a layer; a potting, which warms itself through its depth, wants more than a core."""
    if layer == "core":
        return fine.core_cells * (POTTING_CELLS if potting_of(problem) is not None else 1)
    return 2 if layer == "patch" and fine.core_cells > 1 else 1


_ORDER = (OUTSIDE, *LAYERS)


def _contact(problem: HeatProblem, on: ProblemGrid, v: Mapping[str, float], *, near: bool) -> Array:
    made = np.zeros(on.grid.shape)
    for rib, share in on.ribs:
        if rib.near == near:
            conductance = (rib.contact if rib.contact is not None else RIB_CONTACT) * v.get(
                "rib contact", 1.0
            )
            # a cell that the rib covers in part is joined by that part
            there = share * rib.thickness > ABSENT_BELOW
            made = np.where(there, 1.0 / np.maximum(conductance * share, 1e-3), made)
    return made


def _watches(
    on: ProblemGrid, there: Mapping[str, int], blankets: Mapping[str, Stacked], *, maps: bool
) -> tuple[Watch, ...]:
    made = []
    bonded = next((n for n in ("bond line", "patch") if n in there), None)
    if bonded is not None:
        made.append(Watch("bond", bonded, _lies(on, bonded, "bond"), -1))
    if np.any(on.shares["floor"] > 0.5):
        # without a thickness of its adhesive the foot of the plug stands for the floor
        floor = "floor" if "floor" in there else "core"
        made.append(Watch("floor", floor, _lies(on, floor, "floor"), -1))
    if "potting" in on.shares and "core" in there:
        filled = _lies(on, "core", "potting")
        made += [Watch(f"{POTTING} {n}", "core", filled, n) for n in range(there["core"])]
    for name in ("near skin", "far skin"):
        if name in there:
            made.append(Watch(name, name, on.layers[name].thickness > 0.0))
    if maps and "patch" in there:
        made.append(Watch("patch", "patch", on.layers["patch"].thickness > 0.0, 0))
        made.append(Watch("patch below", "patch", on.layers["patch"].thickness > 0.0, -1))
    for name in ("blanket", "blanket behind"):
        if name in there:
            made.append(Watch(name, name, blankets[name].thickness > 0.0))
    for rib, share in on.ribs:
        name = "structure near" if rib.near else "structure far"
        where = (
            (share * rib.thickness > ABSENT_BELOW) & (on.layers[name].thickness > 0.0)
            if name in on.layers
            else None
        )
        if where is not None and where.any():
            made.append(Watch(f"rib {rib.id}", name, where))
    return tuple(made)


def _lies(on: ProblemGrid, layer: str, share: str) -> NDArray[np.bool_]:
    """Where a layer is there and most of a cell belongs to a region."""
    return (on.shares[share] > 0.5) & (on.layers[layer].thickness > 0.0)
