"""The other hand of a panel: its mirror image about the 0-degree direction; y and every angle change sign.

Cloths are never mirrored: a ply at +45 degrees is cut at -45 degrees from the same cloth, the same face up.
"""

from __future__ import annotations

from panelmend.document.approved import ApprovedData, PliesData, RepairPly, SidePlies
from panelmend.document.panel import Curvature, Fastener, Hinge, Panel, Skin, SkinPly
from panelmend.document.ply_kinds import PLY_KINDS
from panelmend.document.shape import Shape, TracedShape
from panelmend.shelves.model import OtherHand

Point = tuple[float, float]


def mirrored_point(point: Point) -> Point:
    """The mirror image of a point [m]."""
    return point[0], _sign_changed(point[1])


def mirrored_shape(shape: Shape) -> Shape:
    """The mirror image of a shape."""
    made = getattr(shape, shape.form)
    if isinstance(made, TracedShape):
        points = tuple((p[0], _sign_changed(p[1]), *(_sign_changed(b) for b in p[2:])) for p in made.points)
        new = made.model_copy(update={"points": points})
    else:
        update: dict[str, object] = {"centre": mirrored_point(made.centre)}
        if "angle" in type(made).model_fields:
            update["angle"] = _sign_changed(made.angle)
        new = made.model_copy(update=update)
    return shape.model_copy(update={shape.form: new})


def mirrored_panel(panel: Panel, other: OtherHand) -> Panel:
    """The other hand of a panel; its serial and the repairs in it are its own and stay as they were typed."""

    def spot(one: Fastener) -> Fastener:
        return one.model_copy(update={"at": mirrored_point(one.at)})

    d = panel.directions
    update = {
        "name": other.name,
        "part_number": other.part_number,
        "outline": mirrored_shape(panel.outline),
        "directions": d.model_copy(update={"at_90": d.at_270, "at_270": d.at_90}),
        "outer_skin": _skin(panel.outer_skin),
        "inner_skin": _skin(panel.inner_skin),
        "core": panel.core.model_copy(update={"ribbon": _sign_changed(panel.core.ribbon)}),
        "fastener": tuple(map(spot, panel.fastener)),
        "insert": tuple(map(spot, panel.insert)),
        "structure": tuple(s.model_copy(update={"shape": mirrored_shape(s.shape)}) for s in panel.structure),
        "solid_area": tuple(
            a.model_copy(update={"shape": mirrored_shape(a.shape)}) for a in panel.solid_area
        ),
        "curvature": _curvature(panel.curvature),
        "hinge": _hinge(panel.hinge),
    }
    return panel.model_copy(update=update)


def mirrored_data(data: ApprovedData) -> ApprovedData:
    """Approved data for the other hand: ply angles and running shear change sign, nothing else does."""
    plies, core = data.plies, data.core
    cap = core.cap
    if cap is not None:
        value = cap.value.model_copy(update={"plies": tuple(map(_ply, cap.value.plies))})
        core = core.model_copy(update={"cap": cap.model_copy(update={"value": value})})
    loads = tuple(c.model_copy(update={"nxy": _sign_changed(c.nxy)}) for c in data.strength.case)
    return data.model_copy(
        update={
            "plies": _plies(plies),
            "core": core,
            "strength": data.strength.model_copy(update={"case": loads}),
        }
    )


def has_a_hand(data: ApprovedData) -> bool:
    """Whether the mirror image of the data differs from it."""
    return mirrored_data(data) != data


def _sign_changed(value: float) -> float:
    """The value with its sign changed; zero has none."""
    return -value if value else 0.0


def _skin(skin: Skin) -> Skin:
    def ply(one: SkinPly) -> SkinPly:
        return one.model_copy(update={"warp": _sign_changed(one.warp)})

    return skin.model_copy(update={"plies": tuple(map(ply, skin.plies))})


def _ply(ply: RepairPly) -> RepairPly:
    return ply.model_copy(update={"warp": _sign_changed(ply.warp)})


def _plies(plies: PliesData) -> PliesData:
    return plies.model_copy(update={side: _side(getattr(plies, side)) for side in ("outside", "inside")})


def _side(side: SidePlies | None) -> SidePlies | None:
    if side is None:
        return None
    update: dict[str, object] = {}
    for kind in PLY_KINDS:
        given = getattr(side, kind.name)
        if given is not None:
            turned = tuple(map(_ply, given.value)) if kind.many else _ply(given.value)
            update[kind.name] = given.model_copy(update={"value": turned})
    return side.model_copy(update=update)


def _curvature(curve: Curvature | None) -> Curvature | None:
    return None if curve is None else curve.model_copy(update={"axis": _sign_changed(curve.axis)})


def _hinge(hinge: Hinge | None) -> Hinge | None:
    if hinge is None:
        return None
    return hinge.model_copy(update={"start": mirrored_point(hinge.start), "end": mirrored_point(hinge.end)})
