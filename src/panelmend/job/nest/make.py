"""The nest stage: pieces and strips from the plies and the stores, with a found layout or plain shelves."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from panelmend.derive import Figure, Ledger, Origin
from panelmend.derive.figure import PRACTICE
from panelmend.derive.memory import call_kept
from panelmend.document.bay import Roll
from panelmend.document.ply_kinds import PLY_KINDS
from panelmend.document.recipe import CurePart
from panelmend.errors import ReadingError
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.defaults import SELVEDGE
from panelmend.job.nest.formulas import (
    OWN,
    above_bound,
    lower_bound,
    nest_width,
    roll_length,
    saved,
    shelf_length,
    used_on,
)
from panelmend.job.nest.one_cloth import make_cloth
from panelmend.job.nest.part import Nest, NestPart, NestProblem, Piece, Strip
from panelmend.job.nest.stored import nest_from
from panelmend.job.plies.part import PliesPart, Ply, Role
from panelmend.shapes import to_polygon
from panelmend.units import INCH

PACKED_WITHIN = 1e-4  # m: how far the polygon used for packing may stand outside the true outline
FALLBACK_WIDTH = {"mm": 1.0, "in": 40 * INCH}  # m: where the stores hold no roll of the cloth


def make(
    case: Case, ledger: Ledger, plies: PliesPart, core: CorePart, layouts: Mapping[str, Any]
) -> NestPart:
    """Nest every cloth.

    Args:
        case: the repair.
        ledger: takes the figures.
        plies: every ply of the skins.
        core: gives the plies of the cap.
        layouts: what searches found, by problem digest; an illegal one, or one no better than shelves,
            is not used.
    """
    basis = Basis(case, ledger)
    gap = _gap(case, basis)
    groups = plies_by_sheet(case, (*core.cap, *plies.plies))
    used_remnants: set[str] = set()
    cloths = []
    for (cloth, operation), members in groups.items():
        strips = _strips(case, basis, cloth, gap, used_remnants)
        problem = NestProblem(cloth, tuple(_piece(case, p) for p in members), strips, operation)
        stored, unread = _stored(problem, layouts)
        made = make_cloth(problem, stored, case.view)
        made = replace(made, refused=(*unread, *made.refused))
        used_remnants |= {n.strip.id for n in made.nest.layouts if n.strip.remnant}
        _figures(ledger, problem, made.nest)
        cloths.append(made)
    return NestPart(tuple(cloths))


def _stored(problem: NestProblem, layouts: Mapping[str, Any]) -> tuple[Nest | None, tuple[str, ...]]:
    """The layout kept for this very problem, or why it can't be read."""
    data = layouts.get(problem.digest())
    if data is None:
        return None, ()
    try:
        return nest_from(problem, data), ()
    except ReadingError as error:
        return None, (str(error),)


def plies_by_sheet(case: Case, plies: Iterable[Ply]) -> dict[tuple[str, str], list[Ply]]:
    """Plies that are cut from one sheet: by cloth, and for wet lay-up by the operation they are laid in."""
    groups: dict[tuple[str, str], list[Ply]] = {}
    for ply in plies:
        operation = operation_of(case, ply) if is_wet(case, ply) else ""
        groups.setdefault((ply.cloth, operation), []).append(ply)
    return groups


LAID_AS: dict[Role, CurePart] = {
    **{kind.name: kind.laid for kind in PLY_KINDS},
    "cap": "cap",
    "film adhesive": "plies",
}


def is_wet(case: Case, ply: Ply) -> bool:
    """Whether the ply is dry cloth that is wetted out here."""
    return ply.role != "film adhesive" and not case.catalogue.cloth(ply.cloth).prepreg


def operation_of(case: Case, ply: Ply) -> str:
    """Name of the cure operation a ply is laid in, or "" where the data orders none for it."""
    part = LAID_AS[ply.role]
    cures = [c for c in case.document.data.cure if c.side is None or c.side == ply.side]
    for wanted in (part, "plies" if part == "fill" else part):
        for cure in cures:
            if wanted in cure.lays:
                return cure.name
    return ""


def _gap(case: Case, basis: Basis) -> Figure:
    typed = case.document.stores.gap
    if typed is not None:
        return basis.typed("nest.gap", typed, "length", path="stores.gap")
    return basis.default("nest.gap")


def _piece(case: Case, ply: Ply) -> Piece:
    points = tuple(call_kept(to_polygon, ply.template, PACKED_WITHIN, side="outside"))
    one_way = ply.role != "film adhesive" and case.catalogue.cloth(ply.cloth).one_way
    return Piece(ply.id, points, float(ply.warp_seen), ply.half_turn and not one_way, not ply.faced)


def roll_usable(roll: Roll, day: date) -> bool:
    """Neither expired nor out of its freezer for too long."""
    return not (
        (roll.expires is not None and roll.expires < day)
        or (roll.out_life is not None and roll.out_time >= roll.out_life)
    )


def _strips(case: Case, basis: Basis, cloth: str, gap: Figure, used: set[str]) -> tuple[Strip, ...]:
    """Remnants first, then rolls: opened first, then first to expire; expired ones never."""
    day = case.document.repair.work_date
    rolls = [r for r in case.document.stores.roll if r.material == cloth and roll_usable(r, day)]
    rolls.sort(key=lambda r: (not r.opened, r.expires or date.max))
    strips: list[Strip] = []
    for roll in rolls:
        edge = SELVEDGE if roll.edge is None else roll.edge
        if roll.edge is None:
            basis.ledger.default(f"nest.{roll.id}.edge", edge, "length", source=PRACTICE)
        for rest in roll.remnant:
            if rest.id not in used and min(rest.length, rest.width) > 2 * edge:
                strips.append(Strip(rest.id, rest.width, rest.length, edge, float(gap), remnant=True))
        if min(roll.length, roll.width) > 2 * edge:
            strips.append(Strip(roll.id, roll.width, roll.length, edge, float(gap)))
    if not any(not s.remnant for s in strips):
        width = basis.ledger.default(
            f"nest.{cloth}.width", FALLBACK_WIDTH[case.view], "length", source=PRACTICE
        )
        strips.append(Strip(f"{cloth} (no roll in the stores)", float(width), None, SELVEDGE, float(gap)))
    return tuple(strips)


def _figures(ledger: Ledger, problem: NestProblem, nest: Nest) -> None:
    key = f"nest.{problem.name}"
    templates = tuple((p.id, f"plies.{p.id}.template") for p in problem.pieces)
    inputs = tuple((name, k) for name, k in templates if k in ledger)
    asked = ledger.add(Figure(f"{key}.pieces", problem, "", Origin.COMPUTED, OWN, "", inputs))
    laid = ledger.add(Figure(f"{key}.layout", nest, "", Origin.COMPUTED, OWN, "", (("problem", asked.key),)))
    used = ledger.derive(f"{key}.length", roll_length, nest=laid)
    low = ledger.derive(f"{key}.bound", lower_bound, problem=asked)
    plain = ledger.derive(f"{key}.shelves", shelf_length, problem=asked)
    ledger.derive(f"{key}.above_bound", above_bound, used=used, bound=low)
    ledger.derive(f"{key}.saved", saved, shelves=plain, used=used)
    for layout in nest.layouts:
        strip = f"{key}.{layout.strip.id}"
        named = ledger.typed(f"{strip}.id", layout.strip.id, source=OWN)
        ledger.derive(f"{strip}.used", used_on, nest=laid, strip=named)
        ledger.derive(f"{strip}.width", nest_width, nest=laid, problem=asked, strip=named)
