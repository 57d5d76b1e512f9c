"""What happens to the core: nothing, potted, or a plug with its splice, floor and cap."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal, TypedDict

from panelmend.derive import Figure, Ledger, Source
from panelmend.derive.figure import PRACTICE
from panelmend.document.panel import Side
from panelmend.errors import InputError
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.core import formulas as f
from panelmend.job.core.part import CorePart, FloorOn, Plug
from panelmend.job.curved import Bent, Flat, bent_pieces, sagitta_figure
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.formulas import area_of, same_angle, same_length, seen_from_behind
from panelmend.job.pieces import Hole, finished, flat_of, hole_of
from panelmend.job.plies.part import PliesPart, Ply
from panelmend.job.ply_offsets import grown
from panelmend.job.templates import template_inside, template_outside
from panelmend.shapes import Outline, offset
from panelmend.units import show


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
    basis = Basis(case, ledger)
    data = case.document.data.core
    action, words = _action(basis)
    adhesive = data.adhesive.value if data.adhesive else ""
    floor = data.floor_adhesive.value if data.floor_adhesive else adhesive
    if action == "none":
        return CorePart("none", cutout.side, None, None, "", "", None, None, (), words)
    hole = hole_of(basis, cutout, cutout.side)
    if action == "pot":
        volume = ledger.derive(
            "core.potting_volume", f.layer_volume, outline=hole.outline, thickness=cutout.core_depth
        )
        return CorePart(
            "pot", cutout.side, None, cutout.opening.outline, adhesive, "", volume, None, (), words
        )
    plug = _plug(basis, cutout, hole)
    splice = ledger.derive(
        "core.splice_volume",
        f.splice_volume,
        opening=hole.outline,
        plug=ledger["core.outline"],
        depth=cutout.core_depth,
    )
    bottom, on = None, _floor_on(basis, cutout)
    if on != "nothing":
        thickness = _bond_line(basis, floor)
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
        (cap := _cap(basis, hole)),
        words,
        *_curved(basis, hole, cap),
        floor_on=on,
        **_bonded_cap(basis, hole, cutout.side, floor or adhesive),
    )


def _floor_on(basis: Basis, cutout: CutoutPart) -> FloorOn:
    """What lies under the plug when it is set: in a hole through both skins the far plies, if laid before."""
    case = basis.case
    if not case.document.damage.through:
        whole = float(cutout.core_depth) >= case.geometry.core_thickness - 1e-9
        return "far skin" if whole else "core"
    for cure in case.document.data.cure:
        if "core" in cure.lays:
            return "nothing"
        if "plies" in cure.lays and cure.side not in (None, cutout.side):
            return "far plies"
    return "nothing"


class _Bonded(TypedDict, total=False):
    cap_cured_on: Literal["panel", "plate"]
    cap_outline: Outline
    cap_template: Outline
    cap_gap: Figure
    cap_volume: Figure


def _bonded_cap(basis: Basis, hole: Hole, side: Side, adhesive: str) -> _Bonded:
    """A cap that is cured on a plate: trimmed into the opening, and bonded on the plug."""
    case, ledger = basis.case, basis.ledger
    given = case.document.data.core.cap
    if given is None or not any(c.on_plate for c in case.document.data.cure):
        return {}
    if given.value.gap is not None:
        gap = basis.given("core.cap_gap", given, "length", value=given.value.gap)
    else:
        gap = basis.default("core.cap_gap")
    opening = hole.outline.value
    assert isinstance(opening, Outline)
    if not offset(opening, -float(gap)):
        raise InputError(
            "the gap leaves nothing of the cap",
            where=f"{case.name}, data.core.cap.value.gap",
            read=show(float(gap), "length", case.view),
            expected="less than half the width of the opening",
        )
    outline = ledger.derive("core.cap_outline", f.plug_outline, opening=hole.outline, gap=gap)
    turned = template_inside if side == "inside" else template_outside
    drawn = ledger.derive("core.cap_template", turned, outline=outline, x=hole.x, y=hole.y)
    thickness = _bond_line(basis, adhesive)
    volume = ledger.derive("core.cap_volume", f.layer_volume, outline=outline, thickness=thickness)
    assert isinstance(outline.value, Outline)
    assert isinstance(drawn.value, Outline)
    return {
        "cap_cured_on": "plate",
        "cap_outline": outline.value,
        "cap_template": drawn.value,
        "cap_gap": gap,
        "cap_volume": volume,
    }


def _action(basis: Basis) -> tuple[Literal["none", "pot", "replace"], str]:
    data = basis.case.document.data.core
    if not basis.case.document.damage.cored:
        return "none", "the core is not damaged"
    if data.replace is not None and data.replace.value:
        basis.given("core.replace", data.replace, value="yes")
        return "replace", f"the data asks for new core ({data.replace.place})"
    if data.pot_limit is not None:
        limit = basis.given("core.pot_limit", data.pot_limit, "length")
        fits = basis.ledger.derive(
            "core.may_pot", f.may_pot, largest=basis.ledger["limits.largest"], limit=limit
        )
        if fits.value == "yes":
            return "pot", f"small enough to be potted ({data.pot_limit.place})"
        return "replace", f"too large to be potted ({data.pot_limit.place})"
    if data.replace is not None:
        return "pot", f"the data asks for no new core ({data.replace.place})"
    basis.ledger.default("core.replace", "yes", source=PRACTICE)
    return "replace", "the data does not say; replaced as usual"


def _plug(basis: Basis, cutout: CutoutPart, hole: Hole) -> Plug:
    case, data, ledger = basis.case, basis.case.document.data.core, basis.ledger
    gap = basis.usual("core.splice_gap", data.splice_gap)
    opening = hole.outline.value
    assert isinstance(opening, Outline)
    if not offset(opening, -float(gap)):
        raise InputError(
            "the splice gap leaves nothing of the plug",
            where=f"{case.name}, data.core.splice_gap",
            read=show(float(gap), "length", case.view),
            expected="less than half the width of the opening",
        )
    outline = ledger.derive("core.outline", f.plug_outline, opening=hole.outline, gap=gap)
    inside = cutout.side == "inside"
    drawn = ledger.derive(
        "core.template", template_inside if inside else template_outside, outline=outline, x=hole.x, y=hole.y
    )
    ribbon = basis.typed("core.ribbon", case.geometry.ribbon, "angle", path="panel.core.ribbon")
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
        thickness=ledger.derive_as("thickness", "core.thickness", same_length, value=cutout.core_depth),
        ribbon=ribbon,
        ribbon_seen=seen,
        ribbon_tolerance=basis.usual("core.ribbon_tolerance", data.ribbon_tolerance),
        gap=gap,
        area=ledger.derive("core.area", area_of, outline=outline),
        mouth_angle=cutout.mouth_angle,
    )


def _curved(
    basis: Basis, hole: Hole, cap: tuple[Ply, ...]
) -> tuple[Figure | None, Figure | None, tuple[Bent, ...]]:
    """Sagitta of the plug and what it may be, and what double curvature does to plug and cap."""
    ledger, data = basis.ledger, basis.case.document.data.core
    centre = (hole.x, hole.y)
    sagitta = sagitta_figure(basis, "core.sagitta", hole.side, ledger["core.outline"], centre)
    if sagitta is None:
        return None, None, ()
    most = basis.usual("core.sagitta_most", data.sagitta_most)
    rows = [Flat("PLUG", ledger["core.outline"], None, cloth=False)]
    rows += [replace(flat_of(basis, p), cloth=False) for p in cap]  # K108 stops, darts or not
    return sagitta, most, bent_pieces(basis, hole.side, centre, rows)


def _bond_line(basis: Basis, adhesive: str) -> Figure:
    if adhesive:
        material = basis.case.catalogue.adhesive(adhesive)
        if material.thickness is not None:
            return basis.table("core.bond_line", material.thickness, "thickness", of=material)
    return basis.default("core.bond_line")


def _cap(basis: Basis, hole: Hole) -> tuple[Ply, ...]:
    """The plies of the cap: laid beyond the opening, cured, then trimmed back to it."""
    given = basis.case.document.data.core.cap
    if given is None:
        return ()
    ledger, manual = basis.ledger, basis.case.document.data.manual
    margin = basis.given("core.cap_margin", given, "length", value=given.value.margin)
    none = ledger.table(
        "core.cap_trim", 0.0, "length", source=Source("corners stay round; trimmed after its cure")
    )
    made = []
    for i, ply in enumerate(given.value.plies, 1):
        ident = f"CAP-{i}"
        outline = ledger.derive(f"plies.{ident}.outline", grown, outline=hole.outline, margin=margin)
        warp = ledger.approved(
            f"plies.{ident}.warp",
            basis.case.angle(ply.warp),
            "angle",
            source=Source(f"{manual.number} rev {manual.revision}", given.place),
            stands=basis.case.stands(ply),
        )
        made.append(
            finished(basis, hole, ident, "cap", ply.cloth, warp, margin, outline, none, hole.outline, (i, i))
        )
    return tuple(made)
