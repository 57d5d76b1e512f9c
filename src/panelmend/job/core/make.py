"""What happens to the core: nothing, potted, or a plug with its splice, floor and cap."""

from __future__ import annotations

from typing import Literal

from panelmend.derive import Figure, Ledger, Source
from panelmend.errors import InputError
from panelmend.job.case import Case
from panelmend.job.core import formulas as f
from panelmend.job.core.part import CorePart, Plug
from panelmend.job.curved import Bent, Flat, bent_pieces, sagitta_figure
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.formulas import area_of, same_angle, same_length, seen_from_behind
from panelmend.job.ground import Ground
from panelmend.job.pieces import Hole, finished, flat_of, hole_of
from panelmend.job.plies.part import PliesPart, Ply
from panelmend.job.reach import grown
from panelmend.job.templates import template_inside, template_outside
from panelmend.shapes import Outline, offset
from panelmend.units import DEGREE

GAP = 0.0015  # [m] splice gap, common practice
BOND_LINE = 0.0002  # [m] paste bond line, common practice
RIBBON = 5.0 * DEGREE  # common practice
SAGITTA = 0.0005  # [m] what a bond line fills under a flat plug, common practice, no source


def make(case: Case, ledger: Ledger, cutout: CutoutPart, plies: PliesPart) -> CorePart:
    """Decide what happens to the core and size what goes in.

    Args:
        case: the repair.
        ledger: takes the figures ``core.*`` and those of the cap plies.
        cutout: the cut-out part.
        plies: the plies part.

    Returns:
        Plug or potting with its adhesive, and the plies of the cap.

    Raises:
        InputError: a splice gap that leaves nothing of the plug.
    """
    ground = Ground(case, ledger)
    data = case.document.data.core
    action, words = _action(ground)
    adhesive = data.adhesive.value if data.adhesive else ""
    floor = data.floor_adhesive.value if data.floor_adhesive else adhesive
    if action == "none":
        return CorePart("none", cutout.side, None, None, "", "", None, None, (), words)
    hole = hole_of(ground, cutout, cutout.side)
    if action == "pot":
        volume = ledger.derive(
            "core.potting_volume", f.layer_volume, outline=hole.outline, thickness=cutout.core_depth
        )
        return CorePart(
            "pot", cutout.side, None, cutout.opening.outline, adhesive, "", volume, None, (), words
        )
    plug = _plug(ground, cutout, hole)
    splice = ledger.derive(
        "core.splice_volume",
        f.splice_volume,
        opening=hole.outline,
        plug=ledger["core.outline"],
        depth=cutout.core_depth,
    )
    bottom = None
    if case.document.damage.depth != "through":
        thickness = _bond_line(ground, floor)
        bottom = ledger.derive(
            "core.floor_volume", f.layer_volume, outline=ledger["core.outline"], thickness=thickness
        )
    return CorePart(
        "replace",
        cutout.side,
        plug,
        None,
        adhesive,
        floor if bottom is not None else "",
        splice,
        bottom,
        (cap := _cap(ground, hole)),
        words,
        *_curved(ground, hole, cap),
    )


def _action(ground: Ground) -> tuple[Literal["none", "pot", "replace"], str]:
    data, depth = ground.case.document.data.core, ground.case.document.damage.depth
    if depth not in ("skin and core", "through"):
        return "none", "the core is not damaged"
    if data.replace is not None and data.replace.value:
        ground.given("core.replace", data.replace, value="yes")
        return "replace", f"the data asks for new core ({data.replace.place})"
    if data.pot_limit is not None:
        limit = ground.given("core.pot_limit", data.pot_limit, "length")
        fits = ground.ledger.derive(
            "core.may_pot", f.may_pot, largest=ground.ledger["limits.largest"], limit=limit
        )
        if fits.value == "yes":
            return "pot", f"small enough to be potted ({data.pot_limit.place})"
        return "replace", f"too large to be potted ({data.pot_limit.place})"
    if data.replace is not None:
        return "pot", f"the data asks for no new core ({data.replace.place})"
    ground.ledger.default("core.replace", "yes")
    return "replace", "the data does not say; replaced as usual"


def _plug(ground: Ground, cutout: CutoutPart, hole: Hole) -> Plug:
    case, data, ledger = ground.case, ground.case.document.data.core, ground.ledger
    gap = ground.given_or("core.splice_gap", data.splice_gap, GAP, "length")
    opening = hole.outline.value
    assert isinstance(opening, Outline)
    if not offset(opening, -float(gap)):
        raise InputError(
            "the splice gap leaves nothing of the plug",
            where=f"{case.name}, data.core.splice_gap",
            read=f"{float(gap) * 1e3:.1f} mm",
            expected="less than half the width of the opening",
        )
    outline = ledger.derive("core.outline", f.plug_outline, opening=hole.outline, gap=gap)
    inside = cutout.side == "inside"
    drawn = ledger.derive(
        "core.template", template_inside if inside else template_outside, outline=outline, x=hole.x, y=hole.y
    )
    ribbon = ground.typed("core.ribbon", case.geometry.ribbon, "angle", path="panel.core.ribbon")
    seen = (
        ledger.derive("core.ribbon_seen", seen_from_behind, angle=ribbon)
        if inside
        else ledger.derive("core.ribbon_seen", same_angle, value=ribbon)
    )
    assert isinstance(outline.value, Outline)
    assert isinstance(drawn.value, Outline)
    assert cutout.mouth_angle is not None
    return Plug(
        material=data.material.value if data.material else case.document.panel.core.material,
        opening=opening,
        outline=outline.value,
        template=drawn.value,
        thickness=ledger.derive("core.thickness", same_length, value=cutout.core_depth),
        ribbon=ribbon,
        ribbon_seen=seen,
        ribbon_tolerance=ground.given_or("core.ribbon_tolerance", data.ribbon_tolerance, RIBBON, "angle"),
        gap=gap,
        area=ledger.derive("core.area", area_of, outline=outline),
        mouth_angle=cutout.mouth_angle,
    )


def _curved(
    ground: Ground, hole: Hole, cap: tuple[Ply, ...]
) -> tuple[Figure | None, Figure | None, tuple[Bent, ...]]:
    """Sagitta of the plug and what it may be, and what double curvature does to plug and cap."""
    ledger, data = ground.ledger, ground.case.document.data.core
    centre = (hole.x, hole.y)
    sagitta = sagitta_figure(ground, "core.sagitta", hole.side, ledger["core.outline"], centre)
    if sagitta is None:
        return None, None, ()
    most = ground.given_or("core.sagitta_most", data.sagitta_most, SAGITTA, "length")
    rows = [Flat("PLUG", ledger["core.outline"], None)]
    rows += [flat_of(ground, p) for p in cap]
    return sagitta, most, bent_pieces(ground, hole.side, centre, rows)


def _bond_line(ground: Ground, adhesive: str) -> Figure:
    if adhesive:
        material = ground.case.catalogue.adhesive(adhesive)
        if material.thickness is not None:
            return ground.table("core.bond_line", material.thickness, "length", of=material)
    return ground.ledger.default("core.bond_line", BOND_LINE, "length")


def _cap(ground: Ground, hole: Hole) -> tuple[Ply, ...]:
    """The plies of the cap: laid beyond the opening, cured, then trimmed back to it."""
    given = ground.case.document.data.core.cap
    if given is None:
        return ()
    ledger, manual = ground.ledger, ground.case.document.data.manual
    margin = ground.given("core.cap_margin", given, "length", value=given.value.margin)
    none = ledger.table(
        "core.cap_trim", 0.0, "length", source=Source("corners stay round; trimmed after its cure")
    )
    made = []
    for i, ply in enumerate(given.value.plies, 1):
        ident = f"CAP-{i}"
        outline = ledger.derive(f"plies.{ident}.outline", grown, outline=hole.outline, margin=margin)
        warp = ledger.approved(
            f"plies.{ident}.warp",
            ground.case.angle(ply.warp),
            "angle",
            source=Source(f"{manual.number} rev {manual.revision}", given.place),
        )
        made.append(
            finished(ground, hole, ident, "cap", ply.cloth, warp, margin, outline, none, hole.outline, (i, i))
        )
    return tuple(made)
