"""The bend of the panel: what contradicts itself, and radii that the panel's own size rules out."""

from __future__ import annotations

import math
from collections.abc import Iterator

from panelmend.document.fault import Fault, fault_at
from panelmend.document.geometry import shape_outline
from panelmend.document.model import Document, catalogue_of
from panelmend.document.panel import Curvature
from panelmend.document.places import Path
from panelmend.document.shape import Shape
from panelmend.errors import PanelmendError, ShapeError
from panelmend.shapes import Outline, Point
from panelmend.units import show

HERE: Path = ("panel", "curvature")
LIMB = math.sin(math.radians(60.0))  # beyond it 1 mm in plan is more than 2 mm on the surface
RATIO_ROUNDING = 1e-9
TOO_NEAR = "reaches too near to where the surface runs out of sight in plan"
MEASURE = "measure along the surface and type coordinates = 'surface', or check the radius"


def _said(document: Document) -> Iterator[Fault]:
    said, curve = document.panel.surface, document.panel.curvature
    if said == "flat" and curve is not None:
        yield fault_at(
            ("panel", "surface"),
            "the panel is said to be flat, but a radius is typed",
            "'flat', and panel.curvature",
            "'single' or 'double', or no curvature",
            "lay a straight edge on the panel along and across",
        )
    if said in ("single", "double") and curve is None:
        yield fault_at(
            ("panel", "surface"),
            "the panel is said to be curved, but no radius is typed",
            repr(said),
            "panel.curvature with its radius, axis and side",
            "measure the radius; a chord and its height give it",
        )
    if curve is None:
        return
    if said == "single" and curve.second_radius is not None:
        yield fault_at(
            ("panel", "surface"),
            "the panel is said to be curved one way, but a second radius is typed",
            "'single', and panel.curvature.second_radius",
            "'double', or one radius",
        )
    if said == "double" and curve.second_radius is None:
        yield fault_at(
            HERE,
            "the panel is said to be curved both ways, but only one radius is typed",
            "no second_radius",
            "second_radius along the axis, and second_bulges",
        )
    yield from _second(curve)


def _second(curve: Curvature) -> Iterator[Fault]:
    if curve.second_radius is not None and curve.second_bulges is None:
        yield fault_at(
            HERE,
            "a second radius without the side it bulges to",
            "no second_bulges",
            "second_bulges: outside or inside (the other side than bulges for a saddle)",
        )
    if curve.second_bulges is not None and curve.second_radius is None:
        yield fault_at(
            (*HERE, "second_bulges"),
            "a second side without a second radius",
            repr(curve.second_bulges),
            "second_radius with it",
        )
    if curve.second_radius is not None and curve.coordinates == "plan":
        yield fault_at(
            (*HERE, "coordinates"),
            "a panel that is curved both ways cannot be measured in plan",
            "'plan'",
            "'surface': x and y measured along the surface",
            "measure with a tape along the panel",
        )


def _radii(document: Document) -> Iterator[Fault]:
    """Radii against the thickness and the size of the panel."""
    panel = document.panel
    curve = panel.curvature
    if curve is None:
        return
    edge, thick = _made(panel.outline), _thickness(document)
    for name, radius, turn in (
        ("radius", curve.radius, 0.5 * math.pi),
        ("second_radius", curve.second_radius, 0.0),
    ):
        if radius is None:
            continue
        if radius <= thick:
            yield fault_at(
                (*HERE, name),
                "curved more tightly than the panel is thick",
                show(radius, "length"),
                f"more than {show(thick, 'length')}",
            )
        if edge is None or (curve.coordinates == "plan" and name == "radius"):
            continue
        size = edge.extent(curve.axis + turn)
        if size > math.pi * radius * (1.0 + RATIO_ROUNDING):
            yield fault_at(
                (*HERE, name),
                "the panel would curve more than half way round",
                f"{show(radius, 'length')} for {show(size, 'length')} of panel",
                f"at least {show(size / math.pi, 'length')}",
                "check the radius and its unit, and the direction of the axis",
            )


def _thickness(document: Document) -> float:
    """Core and skins [m]; the core alone where a cloth is not known."""
    panel = document.panel
    plies = (*panel.outer_skin.plies, *panel.inner_skin.plies)
    try:
        catalogue = catalogue_of(document)
        skins = math.fsum(catalogue.cloth(p.cloth).cured_thickness.value for p in plies)
    except PanelmendError:
        return panel.core.thickness
    return panel.core.thickness + skins


def _limb(document: Document) -> Iterator[Fault]:
    """Plan coordinates where the surface runs away from the eye."""
    panel = document.panel
    curve = panel.curvature
    if curve is None or curve.coordinates != "plan":
        return
    most = LIMB * curve.radius
    across = curve.axis + 0.5 * math.pi
    shapes: list[tuple[Path, Shape | None]] = [
        (("panel", "outline"), panel.outline),
        (("damage", "shape"), document.damage.shape),
        (("damage", "far_shape"), document.damage.far_shape),
        (("choice", "cutout"), document.choice.cutout),
    ]
    for field in ("structure", "solid_area", "earlier_repair"):
        shapes += [(("panel", field, i, "shape"), a.shape) for i, a in enumerate(getattr(panel, field))]
    for path, typed in shapes:
        made = _made(typed)
        if made is None or typed is None:
            continue
        far = max(made.support(across), made.support(across + math.pi))
        if far > most * (1.0 + RATIO_ROUNDING):
            yield fault_at((*path, typed.form), TOO_NEAR, *_limits(far, most, curve), MEASURE)
    for path, point in _points(document):
        far = abs(point[1] * math.cos(curve.axis) - point[0] * math.sin(curve.axis))
        if far > most * (1.0 + RATIO_ROUNDING):
            yield fault_at(path, TOO_NEAR, *_limits(far, most, curve), MEASURE)


def _limits(far: float, most: float, curve: Curvature) -> tuple[str, str]:
    return (
        f"{show(far, 'length')} off the reference line, radius {show(curve.radius, 'length')}",
        f"at most {show(most, 'length')} (60 degrees round)",
    )


def _points(document: Document) -> Iterator[tuple[Path, Point]]:
    """Single places typed in the panel's axes; a survey's readings are held to the limb in the case."""
    panel, survey = document.panel, document.survey
    for kind in ("fastener", "insert"):
        for i, spot in enumerate(getattr(panel, kind)):
            yield ("panel", kind, i, "at"), spot.at
    if panel.hinge is not None:
        yield ("panel", "hinge", "start"), panel.hinge.start
        yield ("panel", "hinge", "end"), panel.hinge.end
    if survey is None:
        return
    for i, cleared in enumerate(survey.cleared):
        for point in cleared.at:
            yield ("survey", "cleared", i, "at"), point


def _made(shape: Shape | None) -> Outline | None:
    """The outline, or None where it is at fault itself."""
    if shape is None:
        return None
    try:
        return shape_outline(shape)
    except ShapeError:
        return None


CHECKS = ((_said, ("panel",)), (_radii, ("panel", "materials")), (_limb, ("panel", "damage", "choice")))
