"""The lay-up before it has outlines: which ply goes where, and how far each reaches beyond the cut-out.

Used by the cut-out (which must know how far the plies will reach) and by the plies.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import cast

from panelmend.derive import Figure, Source, formula
from panelmend.derive.figure import PRACTICE
from panelmend.document.approved import Given, RepairPly, SidePlies
from panelmend.document.panel import Side
from panelmend.document.ply_kinds import PLY_KIND, PlyRole
from panelmend.document.ply_ways import LayingOrder, MarginsAre, each_side, largest_first
from panelmend.errors import InputError
from panelmend.job.basis import Basis
from panelmend.job.case import Layer
from panelmend.job.defaults import TAPER_SOURCE
from panelmend.job.formulas import half, same_length, total

WORDS: dict[Side, str] = {"outside": "OUT", "inside": "IN"}


@dataclass(frozen=True)
class Spec:
    """One ply before it has an outline: ``margin`` is beyond the cut-out on each side; ``path`` its field."""

    id: str
    role: PlyRole
    cloth: str
    warp: float
    margin: Figure
    path: str
    place: str


@formula("taper x depth", source=TAPER_SOURCE, kind="length")
def taper_run(taper: float, depth: float) -> float:
    """How far a taper runs beyond the bottom of the cut on each side.

    taper: length of the taper to its depth [1]
    depth: height above the bottom of the cut [m]
    return: the run on each side [m]
    """
    return taper * depth


@formula("depth x ply / plies", source=Source("equal steps over the depth of the cut"), kind="length")
def share_of_depth(depth: float, ply: int, plies: int) -> float:
    """Height of a repair ply's upper face where repair and skin differ in their number of plies.

    depth: depth of the cut [m]
    ply: number of the ply from the bottom [1]
    plies: number of repair plies [1]
    return: height above the bottom of the cut [m]
    """
    return depth * ply / plies


def cut_layers(basis: Basis, side: Side) -> tuple[Layer, ...]:
    """The plies of a skin that are cut, from its face down."""
    g, damage = basis.case.geometry, basis.case.document.damage
    layers = g.outer if side == "outside" else tuple(reversed(g.inner))
    if damage.depth == "plies" and damage.plies is not None:
        return layers[: damage.plies]
    return layers


def thickness_figures(basis: Basis, side: Side) -> tuple[Figure, ...]:
    """Cured thickness of each cut ply of a skin, from its face down."""
    found = []
    for i, layer in enumerate(cut_layers(basis, side), 1):
        cloth = basis.case.catalogue.cloth(layer.cloth)
        key = f"panel.{side}.ply_{i}.thickness"
        found.append(basis.table(key, cloth.cured_thickness, "length", of=cloth))
    return tuple(found)


def skin_depth(basis: Basis, side: Side) -> Figure:
    """Depth of the cut in a skin: the thickness of its cut plies."""
    parts = {f"ply_{i}": f for i, f in enumerate(thickness_figures(basis, side), 1)}
    return basis.ledger.derive(f"cutout.skin_depth.{side}", total, **parts)


def sides_of(basis: Basis) -> tuple[Side, ...]:
    """The skins that are repaired, the one worked on first at the head."""
    damage = basis.case.document.damage
    if not damage.through:
        return (damage.side,)
    return ("outside", "inside") if damage.side == "outside" else ("inside", "outside")


def scheme_of(basis: Basis) -> Figure:
    """Stepped, scarf or external; AssertionError for a scheme that no stage knows."""
    made = basis.usual("plies.scheme", basis.case.document.data.plies.scheme)
    if made.value not in ("stepped", "scarf", "external"):
        raise AssertionError(f"nobody lays a {made.value!r} repair")
    return made


def order_of(basis: Basis) -> Figure:
    """Smallest or largest first."""
    return basis.usual("plies.order", basis.case.document.data.plies.order)


def tape_width(basis: Basis) -> Figure:
    """Width of the PTFE tape just outside the last ply."""
    return basis.usual("plies.tape_width", basis.case.document.data.plies.tape_width)


def margin_figure(basis: Basis, name: str, default: float | None = None) -> Figure:
    """One of the margins of the data, on each side [m]; ``default`` where what is usual depends on
    another."""
    data = basis.case.document.data.plies
    typed: Given[float] | None = getattr(data, name)
    key = f"plies.{name}"
    given = (
        basis.usual(key, typed)
        if default is None
        else basis.given_or(key, typed, default, "length", source=PRACTICE)
    )
    if typed is None:
        return given  # the usual value stands for each side
    kind = basis.usual("plies.margins_are", data.margins_are)
    if each_side(cast(MarginsAre, kind.value)):
        return given
    return basis.ledger.derive(f"plies.{name}_a_side", half, whole=given)


def layup(basis: Basis, side: Side) -> tuple[Spec, ...]:
    """The plies of one skin from the panel outwards, each with its margin.

    Raises:
        InputError: the data gives no repair plies for the skin.
    """
    given: SidePlies | None = getattr(basis.case.document.data.plies, side)
    if given is None or given.repair is None:
        raise InputError(
            f"no repair plies are given for the skin on the {side}",
            where=f"{basis.case.name}, data.plies.{side}",
            read="nothing",
            expected="cloth and warp of each ply, and its place",
        )
    path = f"data.plies.{side}"
    rows: list[tuple[PlyRole, RepairPly, str, str]] = []
    stepped: list[tuple[PlyRole, Given[tuple[RepairPly, ...]] | None]]
    stepped = [("repair", given.repair), ("extra", given.extra)]
    for role, plies in stepped:
        for i, ply in enumerate(plies.value if plies else ()):
            rows.append((role, ply, f"{path}.{role}.value[{i + 1}]", plies.place if plies else ""))
    margins = _margins(basis, side, len(given.repair.value), len(rows))
    if largest_first(cast(LayingOrder, order_of(basis).value)):
        margins = tuple(reversed(margins))
    specs = list(_fill(basis, side, given))
    counts = Counter[PlyRole]()
    for (role, ply, where, place), margin in zip(rows, margins, strict=True):
        counts[role] += 1
        ident = f"{WORDS[side]}-{PLY_KIND[role].letter}{counts[role]}"
        specs.append(_spec(basis, ident, role, ply, margin, where, place))
    if given.sanding is not None:
        beyond = margin_figure(basis, "sanding_margin", float(margin_figure(basis, "further_margin")))
        largest = max(margins, key=float)
        margin = basis.ledger.derive(f"plies.{WORDS[side]}-S.reach", total, largest=largest, beyond=beyond)
        specs.append(
            _spec(
                basis,
                f"{WORDS[side]}-S",
                "sanding",
                given.sanding.value,
                margin,
                f"{path}.sanding.value",
                given.sanding.place,
            )
        )
    return tuple(specs)


def _spec(
    basis: Basis, ident: str, role: PlyRole, ply: RepairPly, margin: Figure, path: str, place: str
) -> Spec:
    return Spec(ident, role, ply.cloth, basis.case.angle(ply.warp), margin, path, place)


def _fill(basis: Basis, side: Side, given: SidePlies) -> tuple[Spec, ...]:
    if given.fill is None or scheme_of(basis).value == "external":
        return ()
    none = basis.ledger.table(
        "plies.fill_margin", 0.0, "length", source=Source("a fill ply fits the cut-out")
    )
    return tuple(
        _spec(
            basis,
            f"{WORDS[side]}-F{i}",
            "fill",
            ply,
            none,
            f"data.plies.{side}.fill.value[{i}]",
            given.fill.place,
        )
        for i, ply in enumerate(given.fill.value, 1)
    )


def _margins(basis: Basis, side: Side, repair: int, count: int) -> tuple[Figure, ...]:
    """Margins of the repair and extra plies, smallest first."""
    first, further = (margin_figure(basis, "first_margin"), margin_figure(basis, "further_margin"))
    found: list[Figure] = list(_scarf(basis, side, repair)) if scheme_of(basis).value == "scarf" else []
    scarfed = len(found)
    for i in range(scarfed, count):
        key = f"plies.{WORDS[side]}.reach_{i + 1}"
        if not found:
            found.append(basis.ledger.derive(key, same_length, value=first))
        else:
            step = first if i == scarfed else further
            found.append(basis.ledger.derive(key, total, before=found[-1], step=step))
    return tuple(found)


def taper_figure(basis: Basis) -> Figure:
    """Length of the taper to its depth."""
    given = basis.case.document.data.plies.taper
    return basis.usual("plies.taper", given)


def _scarf(basis: Basis, side: Side, repair: int) -> tuple[Figure, ...]:
    """Each repair ply ends at the outer rim of the band of the skin ply it replaces."""
    from_bottom = tuple(reversed(thickness_figures(basis, side)))
    taper, depth, word = taper_figure(basis), skin_depth(basis, side), WORDS[side]
    found = []
    for i in range(1, repair + 1):
        if repair == len(from_bottom):
            parts = {f"ply_{k}": f for k, f in enumerate(from_bottom[:i], 1)}
            height = basis.ledger.derive(f"plies.{word}.height_{i}", total, **parts)
        else:
            path = f"data.plies.{side}.repair"
            height = basis.ledger.derive(
                f"plies.{word}.height_{i}",
                share_of_depth,
                depth=depth,
                ply=basis.typed(f"plies.{word}.ply_{i}", i, path=path),
                plies=basis.typed(f"plies.{word}.repair_plies", repair, path=path),
            )
        found.append(basis.ledger.derive(f"plies.{word}.reach_{i}", taper_run, taper=taper, depth=height))
    return tuple(found)
