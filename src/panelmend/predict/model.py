"""From a cure problem and values of its unknowns to a heat model."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelmend.job.cure.problem import HeatProblem, HeatSource, Leg, Point, Rib
from panelmend.physics import film
from panelmend.physics.fin import fin_conductance
from panelmend.physics.heat import (
    INSULATED,
    Cover,
    Follow,
    Heater,
    HeatModel,
    Layer,
    Place,
    Resin,
    Segment,
    Watch,
)
from panelmend.predict.layout import OUTSIDE, Layout, layout, to_frame

Array = NDArray[np.float64]
EMISSIVITY = 0.9
CONTACT = 500.0  # W/(m2 K), where nobody knows the contact of a rib
WARM = 40.0  # K above the air: where the film of a fin is taken
COOL_BAND = 1.0  # K
STIFF = 1e6  # W/(m2 K): a joint that holds nothing back


@dataclass(frozen=True)
class Fineness:
    """How finely a problem is solved: grid under the bag [m], time step [s], cells through the core."""

    spacing: float
    step: float
    core_cells: int


FULL = Fineness(0.010, 10.0, 2)
MEDIUM = Fineness(0.015, 20.0, 2)  # to find places and to compare changes with
QUICK = Fineness(0.030, 30.0, 1)


@dataclass(frozen=True)
class Spot:
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
    sensors: Sequence[Spot],
    values: Mapping[str, float],
    fine: Fineness = FULL,
    *,
    probes: Sequence[Spot] = (),
    maps: bool = True,
) -> HeatModel:
    """The heat model of a problem.

    Args:
        problem: the cure.
        sensors: thermocouples of the repair side that the controller follows; those of the far face are
        probes.
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
    layers = _layers(problem, on, v, fine)
    covers, top, bottom = _covers(problem, on, v)
    there = {layer.name for layer in layers}
    near = tuple(_place(problem, s) for s in sensors if s.face != "far face" and s.count)
    every = tuple(_place(problem, s) for s in (*sensors, *probes))
    heaters = [_heater(problem, problem.source, "blanket", _power(problem, on, v), near)]
    if problem.source_behind is not None:
        power = problem.source_behind.power * v.get("blanket output", 1.0) * on.shares["behind"]
        power = np.where(on.layers["blanket behind"].thickness > 0.0, power, 0.0)
        far = [s for s in sensors if s.face == "far face" and s.count]
        opposite = [Spot(f"{s.id} opposite", s.at, "far face") for s in sensors if s.face != "far face"]
        behind = tuple(_place(problem, s) for s in far or opposite)
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
        watches=_watches(on, there, maps=maps),
    )


def _place(problem: HeatProblem, spot: Spot) -> Place:
    x, y = to_frame(spot.at, problem.frame)
    if spot.face == "far face":
        return Place(spot.id, "far skin", x, y, -1)
    return Place(spot.id, "near skin", x, y, 0)


def _power(problem: HeatProblem, on: Layout, v: Mapping[str, float]) -> Array:
    whole = problem.source.power * v.get("blanket output", 1.0)
    weak = 1.0 - v.get("blanket rim", 0.0) * np.divide(
        on.shares["rim"],
        on.shares["heated"],
        out=np.zeros_like(on.shares["rim"]),
        where=on.shares["heated"] > 0.0,
    )
    present = on.layers["blanket"].thickness > 0.0
    return np.where(present, whole * weak * on.shares["heated"], 0.0)


def _heater(
    problem: HeatProblem, source: HeatSource, layer: str, power: Array, sensors: tuple[Place, ...]
) -> Heater:
    recipe = tuple(_segment(leg) for leg in problem.legs)
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


def _segment(leg: Leg) -> Segment:
    if leg.kind == "cool":
        return Segment(leg.target, leg.rate, 0.0, COOL_BAND)
    return Segment(leg.target, leg.rate, leg.dwell, max(leg.target - leg.low, 0.5))


def _layers(problem: HeatProblem, on: Layout, v: Mapping[str, float], fine: Fineness) -> tuple[Layer, ...]:
    laws = {c.layer: c.law for c in problem.curing}
    made = []
    for name, s in on.layers.items():
        stack = v.get("bag stack", 1.0) if name in ("bag", "under blanket") else 1.0
        core = v.get("core", 1.0) if name == "core" else 1.0
        resin = Resin(laws[name], on.resin[name]) if name in laws else None
        contact: Array | float = 0.0
        if name == "far skin":
            contact = _contact(problem, on, v, near=False)
        elif name == "structure near":
            contact = _contact(problem, on, v, near=True)
        made.append(
            Layer(
                name,
                s.thickness,
                s.k_x * core,
                s.k_y * core,
                s.k_z * stack * core,
                s.heat,
                cells=fine.core_cells
                if name == "core"
                else 2
                if name == "patch" and fine.core_cells > 1
                else 1,
                contact=contact,
                resin=resin,
            )
        )
    order = {name: n for n, name in enumerate(_ORDER)}
    return tuple(sorted(made, key=lambda layer: order[layer.name]))


_ORDER = (
    OUTSIDE,
    "bag",
    "blanket",
    "under blanket",
    "structure near",
    "patch",
    "bond line",
    "near skin",
    "core",
    "floor",
    "far skin",
    "structure far",
    "blanket behind",
)


def _contact(problem: HeatProblem, on: Layout, v: Mapping[str, float], *, near: bool) -> Array:
    made = np.zeros(on.grid.shape)
    for rib, share in on.ribs:
        if rib.near == near:
            conductance = (rib.contact if rib.contact is not None else CONTACT) * v.get("rib contact", 1.0)
            made = np.where(share * rib.thickness > 1e-5, 1.0 / max(conductance, 1e-3), made)
    return made


def _covers(
    problem: HeatProblem, on: Layout, v: Mapping[str, float]
) -> tuple[tuple[Cover, ...], NDArray[np.int64], NDArray[np.int64]]:
    """Outer faces: 0 nothing, 1 over the bag, 2 far face, 3 far face insulated, then one for each rib."""
    air = problem.air + v.get("air", 0.0)
    emissivity = v.get("emissivity", EMISSIVITY)
    over, behind = {"repair up": ("up", "down"), "repair down": ("down", "up"), "upright": ("side", "side")}[
        problem.attitude
    ]
    x0, y0, x1, y1 = problem.seal_line.bounds
    size = (
        (x1 - x0) * (y1 - y0) / (2.0 * (x1 - x0 + y1 - y0))
        if problem.attitude != "upright"
        else max(y1 - y0, x1 - x0)
    )

    def face(facing: str, draught: float, insulation: float, film_: float | None = None) -> Cover:
        given = problem.film if film_ is None else film_
        return Cover(
            air,
            film=given,
            emissivity=emissivity,
            insulation=insulation,
            length=size,
            facing=facing,
            pressure=problem.pressure,
            draught=draught,
        )

    upper, lower = v.get("draught over", 0.0), v.get("draught behind", 0.0)
    covers = [
        INSULATED,
        face(over, upper, problem.insulation_over),
        face(behind, lower, 0.0),
        face(behind, lower, problem.insulation_behind),
    ]
    inside = on.shares["panel"] > 0.5
    bagged = (on.layers["bag"].thickness > 0.0) if "bag" in on.layers else inside
    top = np.where(inside | bagged, 1, 0)
    bottom = np.where(inside, np.where(on.shares["insulated"] > 0.5, 3, 2), 0)
    for rib, share in on.ribs:
        side, stir = (over, upper) if rib.near else (behind, lower)
        insulated = problem.insulation_over if rib.near else problem.insulation_behind
        covers.append(face(side, 0.0, insulated, _rib_film(problem, rib, air, side, size, stir, emissivity)))
        where = (share * rib.thickness > 1e-5) & inside
        if rib.near:
            top = np.where(where, len(covers) - 1, top)
        else:
            bottom = np.where(where, len(covers) - 1, bottom)
    return tuple(covers), top.astype(np.int64), bottom.astype(np.int64)


def _rib_film(
    problem: HeatProblem, rib: Rib, air: float, facing: str, size: float, draught: float, emissivity: float
) -> float:
    """Film of a rib's flange: the air's own and what its web draws, spread over the flange's width [W/(m2
    K)].

    Radiation of the flange itself is the cover's; the web's is in its film.
    """
    still = (
        problem.film
        if problem.film is not None
        else film.convection(air + WARM, air, size, facing, problem.pressure)
    )
    own = still + draught
    if rib.kind not in ("rib", "spar"):
        return own
    wide = film.radiation(air + WARM, air, emissivity) + own
    width = rib.outline.area / rib.outline.largest_extent()
    return own + fin_conductance(wide, rib.conductivity, rib.thickness, rib.height) / width


def _watches(on: Layout, there: set[str], *, maps: bool) -> tuple[Watch, ...]:
    bond = on.shares["bond"] > 0.5
    layer = "bond line" if "bond line" in there else "patch"
    there_bond = on.layers[layer].thickness > 0.0
    made = [Watch("bond", layer, bond & there_bond, -1)]
    if "floor" in there and np.any(on.shares["floor"] > 0.5):
        made.append(
            Watch("floor", "floor", (on.shares["floor"] > 0.5) & (on.layers["floor"].thickness > 0.0))
        )
    for name in ("near skin", "far skin"):
        if name in there:
            made.append(Watch(name, name, on.layers[name].thickness > 0.0))
    if maps and "patch" in there:
        made.append(Watch("patch", "patch", on.layers["patch"].thickness > 0.0, 0))
    made.append(Watch("blanket", "blanket", on.layers["blanket"].thickness > 0.0))
    for rib, share in on.ribs:
        name = "structure near" if rib.near else "structure far"
        where = (
            (share * rib.thickness > 1e-5) & (on.layers[name].thickness > 0.0) if name in on.layers else None
        )
        if where is not None and where.any():
            made.append(Watch(f"rib {rib.id}", name, where))
    return tuple(made)
