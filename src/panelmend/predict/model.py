"""From a cure problem and values of its unknowns to a heat model."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from panelmend.job.cure.problem import LAYERS, HeatProblem, HeatSource, Leg, Point, Rib
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
from panelmend.predict.layout import OUTSIDE, THIN, Layout, layout, to_frame

Array = NDArray[np.float64]
EMISSIVITY = 0.9
CONTACT = 500.0  # W/(m2 K), where nobody knows the contact of a rib
WARM = 40.0  # K above the air: where the film of a fin is taken
COOL_BAND = 1.0  # K
NEAR_AIR = 5.0  # K above the bay's air: a cool-down is not followed further
PARTS = 8  # a rib's share of a cell is taken in eighths, rounded up: rather a little colder


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
    layers = _layers(problem, on, v, fine)
    covers, top, bottom = _covers(problem, on, v)
    there = {layer.name for layer in layers}
    near = tuple(_place(problem, s) for s in sensors if s.face != "far face" and s.count)
    every = tuple(_place(problem, s) for s in (*sensors, *probes))
    heaters = [
        _heater(
            problem,
            problem.source,
            "blanket",
            _power(problem.source, on, v, ("heated", "rim", "blanket")),
            near,
        )
    ]
    if problem.source_behind is not None:
        far = [s for s in sensors if s.face == "far face" and s.count]
        opposite = [Spot(f"{s.id} opposite", s.at, "far face") for s in sensors if s.face != "far face"]
        behind = tuple(_place(problem, s) for s in far or opposite)
        power = _power(problem.source_behind, on, v, ("behind", "rim behind", "blanket behind"))
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


def _power(source: HeatSource, on: Layout, v: Mapping[str, float], names: tuple[str, str, str]) -> Array:
    """Power of a blanket [W/m2]; ``names`` are of the shares heated and of the rim, and of its layer."""
    heated, rim = on.shares[names[0]], on.shares[names[1]]
    whole = source.power * v.get("blanket output", 1.0)
    weak = 1.0 - v.get("blanket rim", 0.0) * np.divide(
        rim, heated, out=np.zeros_like(rim), where=heated > 0.0
    )
    return np.where(on.layers[names[2]].thickness > 0.0, whole * weak * heated, 0.0)


def _heater(
    problem: HeatProblem, source: HeatSource, layer: str, power: Array, sensors: tuple[Place, ...]
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


def _segment(leg: Leg, air: float) -> Segment:
    if leg.kind == "cool":
        # a panel only comes near the air, and an unknown of the cases is how warm that is
        return Segment(max(leg.target, air + NEAR_AIR), leg.rate, 0.0, COOL_BAND)
    return Segment(leg.target, leg.rate, leg.dwell, max(leg.target - leg.low, 0.5))


def _layers(problem: HeatProblem, on: Layout, v: Mapping[str, float], fine: Fineness) -> tuple[Layer, ...]:
    laws = {c.layer: c.law for c in problem.curing}
    made = []
    for name, s in on.layers.items():
        stack = v.get("bag stack", 1.0) if name in ("bag", "under blanket", "bag behind") else 1.0
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
    return tuple(sorted(made, key=lambda layer: _ORDER.index(layer.name)))


_ORDER = (OUTSIDE, *LAYERS)


def _contact(problem: HeatProblem, on: Layout, v: Mapping[str, float], *, near: bool) -> Array:
    made = np.zeros(on.grid.shape)
    for rib, share in on.ribs:
        if rib.near == near:
            conductance = (rib.contact if rib.contact is not None else CONTACT) * v.get("rib contact", 1.0)
            # a cell that the rib covers in part is joined by that part
            there = share * rib.thickness > THIN
            made = np.where(there, 1.0 / np.maximum(conductance * share, 1e-3), made)
    return made


def _covers(
    problem: HeatProblem, on: Layout, v: Mapping[str, float]
) -> tuple[tuple[Cover, ...], NDArray[np.int64], NDArray[np.int64]]:
    """Outer faces: 0 nothing, 1 over the bag, 2 far face, 3 bare panel beside the bag, then some for each
    rib."""
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

    def face(facing: str, draught: float, insulation: float) -> Cover:
        return Cover(
            air,
            film=problem.film,
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
        face(behind, lower, problem.insulation_behind),
        face(over, upper, 0.0),
    ]
    inside = on.shares["panel"] > 0.5
    bagged = (on.layers["bag"].thickness > 0.0) if "bag" in on.layers else inside
    top = np.where(bagged, 1, np.where(inside, 3, 0))
    bottom = np.where(inside, 2, 0)
    for rib, share in on.ribs:
        if rib.kind not in ("rib", "spar"):
            continue  # a doubler or fitting is faced like the skin it lies on
        side = over if rib.near else behind
        still = (
            problem.film
            if problem.film is not None
            else film.convection(air + WARM, air, size, side, problem.pressure)
        )
        plain = top if rib.near else bottom
        made = plain.copy()
        for part in range(1, PARTS + 1):
            where = (share * rib.thickness > THIN) & inside & (np.ceil(share * PARTS - 1e-9) == part)
            for under in np.unique(plain[where]):
                covers.append(_rib_cover(covers[under], still, rib, part / PARTS))
                made[where & (plain == under)] = len(covers) - 1
        if rib.near:
            top = made
        else:
            bottom = made
    return tuple(covers), top.astype(np.int64), bottom.astype(np.int64)


def _rib_cover(plain: Cover, still: float, rib: Rib, share: float) -> Cover:
    """The face of a cell that a rib covers in part: what the cell gives off anyway, and what the web draws.

    Insulation lies on the flange and on both faces of the web, so each has it in series with its own film.
    ``still`` is the film of still air [W/(m2 K)].
    """
    bare = still + plain.draught + film.radiation(plain.air + WARM, plain.air, plain.emissivity)
    each = 1.0 / (1.0 / bare + plain.insulation)
    width = rib.outline.area / rib.outline.largest_extent()
    fin = fin_conductance(each, rib.conductivity, rib.thickness, rib.height) / width
    if plain.insulation == 0.0:
        return replace(plain, film=still + share * fin)
    return replace(plain, film=each + share * fin, emissivity=0.0, draught=0.0, insulation=0.0)


def _watches(on: Layout, there: set[str], *, maps: bool) -> tuple[Watch, ...]:
    made = []
    bonded = next((n for n in ("bond line", "patch") if n in there), None)
    if bonded is not None:
        made.append(Watch("bond", bonded, _lies(on, bonded, "bond"), -1))
    if np.any(on.shares["floor"] > 0.5):
        # without a thickness of its adhesive the foot of the plug stands for the floor
        floor = "floor" if "floor" in there else "core"
        made.append(Watch("floor", floor, _lies(on, floor, "floor"), -1))
    for name in ("near skin", "far skin"):
        if name in there:
            made.append(Watch(name, name, on.layers[name].thickness > 0.0))
    if maps and "patch" in there:
        made.append(Watch("patch", "patch", on.layers["patch"].thickness > 0.0, 0))
        made.append(Watch("patch below", "patch", on.layers["patch"].thickness > 0.0, -1))
    for name in ("blanket", "blanket behind"):
        if name in there:
            made.append(Watch(name, name, on.layers[name].thickness > 0.0))
    for rib, share in on.ribs:
        name = "structure near" if rib.near else "structure far"
        where = (
            (share * rib.thickness > THIN) & (on.layers[name].thickness > 0.0) if name in on.layers else None
        )
        if where is not None and where.any():
            made.append(Watch(f"rib {rib.id}", name, where))
    return tuple(made)


def _lies(on: Layout, layer: str, share: str) -> NDArray[np.bool_]:
    """Where a layer is there and most of a cell belongs to a region."""
    return (on.shares[share] > 0.5) & (on.layers[layer].thickness > 0.0)
