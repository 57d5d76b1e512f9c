"""Outlines of plies: from the cut-out and a margin to one ply with all its figures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from panelmend.derive import Figure, Source
from panelmend.derive.figure import PRACTICE
from panelmend.document.panel import Side
from panelmend.document.ply_ways import Corners, corners_rounded
from panelmend.job import templates as f
from panelmend.job.basis import Basis
from panelmend.job.curvature import on_skin, point_on
from panelmend.job.curved import Flat
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.defaults import FILM_THICKNESS
from panelmend.job.forms import has_corners
from panelmend.job.formulas import area_of, both_sides, least_overlap_of, same_angle, seen_from_behind
from panelmend.job.plies.part import Ply, Role
from panelmend.job.ply_offsets import grown, longest_trim, trimmed
from panelmend.shapes import Outline


@dataclass(frozen=True)
class Hole:
    """The cut-out in one skin: its outline, the one with sharp corners (None where plies are rounded), the
    longest corner trim, and its centre (x, y) as figures."""

    side: Side
    outline: Figure
    sharp: Figure | None
    most: Figure | None
    x: Figure
    y: Figure


@dataclass(frozen=True)
class Smaller:
    """The next smaller piece: its outline and margin."""

    outline: Figure
    margin: Figure | None


def hole_of(basis: Basis, cutout: CutoutPart, side: Side) -> Hole:
    """The cut-out of one skin as figures."""
    case, ledger = basis.case, basis.ledger
    corners = None
    if has_corners(cutout.opening.form):
        corners = basis.usual("plies.corners", case.document.data.plies.corners)
    outline = on_skin(basis, f"plies.{side}.hole", ledger["cutout.outline"], cutout.side, side)
    sharp = most = None
    if corners is not None and not corners_rounded(cast(Corners, corners.value)):
        sharp = on_skin(basis, f"plies.{side}.sharp", ledger["cutout.sharp_outline"], cutout.side, side)
        most = basis.usual("plies.trim", case.document.data.plies.trim)
    x, y = point_on(case, cutout.opening.centre, cutout.side, side)
    found = Source("the cut-out", "its centre")
    return Hole(
        side,
        outline,
        sharp,
        most,
        ledger.typed(f"plies.{side}.centre_x", x, "length", source=found),
        ledger.typed(f"plies.{side}.centre_y", y, "length", source=found),
    )


def piece(basis: Basis, key: str, hole: Hole, margin: Figure, smaller: Smaller) -> tuple[Figure, Figure]:
    """Outline and corner trim of a piece ``margin`` beyond the cut-out."""
    derive = basis.ledger.derive
    if float(margin) <= 0.0:
        trim = basis.ledger.table(f"{key}.trim", 0.0, "length", source=Source("a fill ply fits the cut-out"))
        return derive(f"{key}.outline", f.same_outline, outline=hole.outline), trim
    if hole.sharp is None or hole.most is None:
        trim = basis.ledger.table(f"{key}.trim", 0.0, "length", source=Source("corners stay round"))
        return derive(f"{key}.outline", grown, outline=hole.outline, margin=margin), trim
    before = smaller.margin or basis.ledger.table(
        "plies.cutout_margin", 0.0, "length", source=Source("the cut-out itself")
    )
    trim = derive(
        f"{key}.trim",
        longest_trim,
        cutout=hole.outline,
        sharp=hole.sharp,
        smaller=smaller.outline,
        margin=margin,
        smaller_margin=before,
        most=hole.most,
    )
    return derive(f"{key}.outline", trimmed, sharp=hole.sharp, margin=margin, trim=trim), trim


def finished(
    basis: Basis,
    hole: Hole,
    ident: str,
    role: Role,
    material: str,
    warp: Figure,
    margin: Figure,
    outline: Figure,
    trim: Figure,
    smaller: Figure,
    place: tuple[int, int],
) -> Ply:
    """One ply with every figure; ``place`` is its number from the panel outwards and its laying order."""
    key, derive = f"plies.{ident}", basis.ledger.derive
    inside = hole.side == "inside"
    template = derive(
        f"{key}.template",
        f.template_inside if inside else f.template_outside,
        outline=outline,
        x=hole.x,
        y=hole.y,
    )
    seen = (
        derive(f"{key}.warp_seen", seen_from_behind, angle=warp)
        if inside
        else derive(f"{key}.warp_seen", same_angle, value=warp)
    )
    thickness, mark, half_turn, faced = _material(basis, key, role, material)
    shape, drawn = outline.value, template.value
    assert isinstance(shape, Outline)
    assert isinstance(drawn, Outline)
    return Ply(
        id=ident,
        side=hole.side,
        role=role,
        number=place[0],
        lay_order=place[1],
        cloth=material,
        outline=shape,
        template=drawn,
        warp=warp,
        warp_seen=seen,
        margin=margin,
        margin_total=derive(f"{key}.margin_total", both_sides, side=margin),
        trim=trim,
        overlap=derive(f"{key}.overlap", least_overlap_of, inner=hole.outline, outer=outline),
        step=derive(f"{key}.step", least_overlap_of, inner=smaller, outer=outline),
        area=derive(f"{key}.area", area_of, outline=outline),
        thickness=thickness,
        half_turn=half_turn,
        faced=faced,
        warp_mark=mark,
    )


def flat_of(basis: Basis, ply: Ply) -> Flat:
    """A ply as it is developed; films and unidirectional cloths have no yarn crossings that shear."""
    film = ply.role == "film adhesive"
    woven = not film and basis.case.catalogue.cloth(ply.cloth).woven
    ledger, key = basis.ledger, f"plies.{ply.id}"
    return Flat(ply.id, ledger[f"{key}.outline"], ledger[f"{key}.warp"] if woven else None)


def _material(basis: Basis, key: str, role: Role, material: str) -> tuple[Figure, str, bool, bool]:
    catalogue = basis.case.catalogue
    if role == "film adhesive":
        film = catalogue.adhesive(material)
        if film.thickness is not None:
            thickness = basis.table(f"{key}.thickness", film.thickness, "length", of=film)
        else:
            thickness = basis.ledger.default(f"{key}.thickness", FILM_THICKNESS, "length", source=PRACTICE)
        return thickness, "no warp: a film has none", True, False
    cloth = catalogue.cloth(material)
    thickness = basis.table(f"{key}.thickness", cloth.cured_thickness, "length", of=cloth)
    return thickness, cloth.warp_mark, not cloth.one_way, cloth.faced
