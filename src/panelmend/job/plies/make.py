"""Laying down the plies: outlines, templates, overlaps, tape, and how they fit their surroundings."""

from __future__ import annotations

from panelmend.derive import Figure, Ledger, Source
from panelmend.document.panel import Side
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.formulas import total
from panelmend.job.layup import (
    WORDS,
    Spec,
    layup,
    order_of,
    scheme_of,
    sides_of,
    skin_depth,
    tape_width,
    taper_figure,
    taper_run,
)
from panelmend.job.pieces import Hole, Smaller, finished, hole_of, piece
from panelmend.job.plies.curved import curved_of
from panelmend.job.plies.fits import fits_of
from panelmend.job.plies.part import PliesPart, Ply, SideLayup
from panelmend.job.ply_offsets import grown
from panelmend.job.templates import same_outline
from panelmend.shapes import Outline
from panelmend.units import DEGREE

TM_ANGLES = Source("TM 1-1500-204-23-11", "3 degrees for a ply, 2 degrees for a patch")


def make(case: Case, ledger: Ledger, cutout: CutoutPart) -> PliesPart:
    """Lay down every ply of the repair.

    Args:
        case: the repair.
        ledger: takes the figures ``plies.*``.
        cutout: the cut-out part.

    Returns:
        The plies of each skin with outline, template, warp, margins and least overlaps, and every clearance.

    Raises:
        InputError: no repair plies are given for a skin, or a piece goes too far round a double curve.
    """
    basis = Basis(case, ledger)
    data = case.document.data.plies
    sides: list[SideLayup] = []
    laid = 0
    for side in _laying_order(basis):
        made = _side(basis, cutout, side, laid)
        laid += len(made.plies)
        sides.append(made)
    order = {s: i for i, s in enumerate(sides_of(basis))}
    sides.sort(key=lambda s: order[s.side])
    scheme = str(scheme_of(basis).value)
    usual = {"external": 2 * DEGREE, "scarf": 3 * DEGREE, "stepped": 3 * DEGREE}[scheme]
    tolerance = basis.given_or(
        "plies.angle_tolerance", data.angle_tolerance, usual, "angle", source=TM_ANGLES
    )
    return PliesPart(
        scheme=scheme,
        order=str(order_of(basis).value),
        sides=tuple(sides),
        angle_tolerance=tolerance,
        fits=fits_of(basis, cutout, tuple(sides)),
        **curved_of(basis, tuple(sides), tolerance),
    )


def _laying_order(basis: Basis) -> tuple[Side, ...]:
    """Skins in the order in which the cure operations lay their plies; else the one worked on first."""
    sides = sides_of(basis)
    said = [c.side for c in basis.case.document.data.cure if "plies" in c.lays and c.side in sides]
    return tuple(dict.fromkeys([s for s in said if s is not None] + list(sides)))


def _side(basis: Basis, cutout: CutoutPart, side: Side, laid: int) -> SideLayup:
    hole = hole_of(basis, cutout, side)
    shape = hole.outline.value
    assert isinstance(shape, Outline)
    plies = _plies(basis, hole, layup(basis, side), laid)
    width = tape_width(basis)
    last = max(plies, key=lambda p: float(p.margin))
    inner = basis.ledger[f"plies.{last.id}.outline"]
    outer = basis.ledger.derive(f"plies.{side}.tape_outer", grown, outline=inner, margin=width)
    assert isinstance(inner.value, Outline)
    assert isinstance(outer.value, Outline)
    taper = None
    if scheme_of(basis).value == "scarf":
        taper = basis.ledger.derive(
            f"plies.{side}.taper_run", taper_run, taper=taper_figure(basis), depth=skin_depth(basis, side)
        )
    if f"plies.{side}.cutout" not in basis.ledger:
        basis.ledger.derive(f"plies.{side}.cutout", same_outline, outline=hole.outline)
    return SideLayup(
        side=side,
        seen_from=side,
        cutout=shape,
        plies=plies,
        tape_inner=inner.value,
        tape_outer=outer.value,
        tape_width=width,
        taper=taper,
        centre=(float(hole.x), float(hole.y)),
    )


def _plies(basis: Basis, hole: Hole, specs: tuple[Spec, ...], laid: int) -> tuple[Ply, ...]:
    """Outlines from the smallest to the largest, then the plies from the panel outwards."""
    by_size = sorted(specs, key=lambda s: float(s.margin))
    outlines: dict[str, tuple[Figure, Figure, Figure]] = {}
    smaller = Smaller(hole.outline, None)
    for spec in by_size:
        outline, trim = piece(basis, f"plies.{spec.id}", hole, spec.margin, smaller)
        outlines[spec.id] = (outline, trim, smaller.outline)
        if float(spec.margin) > 0.0:
            smaller = Smaller(outline, spec.margin)
    film = basis.case.document.data.plies.film_adhesive
    first = next(s for s in specs if s.role == "repair" or not _fill_apart(basis, hole.side))
    made: list[Ply] = []
    for spec in specs:
        if film is not None and spec is first:
            made.append(_film(basis, hole, by_size[-1], film.value, len(made) + 1, laid + len(made) + 1))
        outline, trim, below = outlines[spec.id]
        warp = basis.ledger.approved(
            f"plies.{spec.id}.warp",
            spec.warp,
            "angle",
            source=Source(_manual(basis), spec.place),
            stands=basis.case.stands_at(spec.path),
        )
        made.append(
            finished(
                basis,
                hole,
                spec.id,
                spec.role,
                spec.cloth,
                warp,
                spec.margin,
                outline,
                trim,
                below,
                (len(made) + 1, laid + len(made) + 1),
            )
        )
    return tuple(made)


def _manual(basis: Basis) -> str:
    manual = basis.case.document.data.manual
    return f"{manual.number} rev {manual.revision}"


def _fill_apart(basis: Basis, side: Side) -> bool:
    """Whether the fill plies are cured before the others: the film adhesive then lies over them."""
    cures = [c for c in basis.case.document.data.cure if c.side in (None, side)]
    fill = next((c.name for c in cures if "fill" in c.lays), None)
    plies = next((c.name for c in cures if "plies" in c.lays), None)
    return fill is not None and fill != plies


def _film(basis: Basis, hole: Hole, largest: Spec, film: str, number: int, order: int) -> Ply:
    """One sheet of film adhesive against the parent, beyond the largest ply laid over it."""
    ledger, ident = basis.ledger, f"{WORDS[hole.side]}-A"
    beyond = basis.usual("bag.adhesive_margin", basis.case.document.data.bag.adhesive_margin)
    below = ledger[f"plies.{largest.id}.outline"]
    outline = ledger.derive(f"plies.{ident}.outline", grown, outline=below, margin=beyond)
    margin = ledger.derive(f"plies.{ident}.reach", total, largest=largest.margin, beyond=beyond)
    warp = basis.ledger.table(f"plies.{ident}.warp", 0.0, "angle", source=Source("a film has no warp"))
    return finished(
        basis,
        hole,
        ident,
        "film adhesive",
        film,
        warp,
        margin,
        outline,
        ledger.table(f"plies.{ident}.trim", 0.0, "length", source=Source("cut along the largest ply")),
        hole.outline,
        (number, order),
    )
