"""Shapes: outlines that cannot be, damage and cut-outs that leave the panel."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.fault import Fault, fault_at
from panelmend.document.geometry import shape_outline
from panelmend.document.model import Document
from panelmend.document.places import Path
from panelmend.document.shape import Shape
from panelmend.errors import ShapeError
from panelmend.shapes import Outline, without_area
from panelmend.units import show

PAST_THE_EDGE = 5e-3  # m; a traced edge of damage may pass a typed edge of the panel by so much
LARGEST_PANEL = 30.0  # m
NOTHING_IN = 0.999  # of an area: where more of it lies outside, none of it is in the panel


def _made(path: Path, shape: Shape | None) -> tuple[Outline | None, list[Fault]]:
    if shape is None:
        return None, []
    here = (*path, shape.form)
    try:
        return shape_outline(shape), []
    except ShapeError as error:
        return None, [fault_at(here, error.words, error.read or shape.form, error.expected, error.todo)]


def _panel_shapes(document: Document) -> list[tuple[Path, Shape]]:
    panel = document.panel
    rows: list[tuple[Path, Shape]] = [(("panel", "outline"), panel.outline)]
    for field in ("structure", "solid_area", "earlier_repair"):
        for i, item in enumerate(getattr(panel, field)):
            rows.append((("panel", field, i, "shape"), item.shape))
    return rows


def _panel(document: Document) -> Iterator[Fault]:
    edge: Outline | None = None
    for path, shape in _panel_shapes(document):
        made, faults = _made(path, shape)
        yield from faults
        if path == ("panel", "outline"):
            edge = made
    if edge is None:
        return
    x0, y0, x1, y1 = edge.bounds
    if max(x1 - x0, y1 - y0) > LARGEST_PANEL:
        yield fault_at(
            ("panel", "outline"),
            "larger than any panel",
            f"{x1 - x0:.1f} m x {y1 - y0:.1f} m",
            f"at most {LARGEST_PANEL:.0f} m",
            "check the unit",
        )
    if 2 * document.panel.edge_band >= min(x1 - x0, y1 - y0):
        yield fault_at(
            ("panel", "edge_band"),
            "the edge band leaves no core",
            show(document.panel.edge_band, "length"),
            f"less than half of {show(min(x1 - x0, y1 - y0), 'length')}",
        )
    for field, what in (("earlier_repair", "earlier repair"), ("solid_area", "area without core")):
        for i, area in enumerate(getattr(document.panel, field)):
            drawn, _ = _made(("panel", field, i, "shape"), area.shape)
            if drawn is not None and without_area(drawn, edge) > NOTHING_IN * drawn.area:
                yield fault_at(
                    ("panel", field, i, "shape"),
                    f"the {what} lies outside the panel",
                    _box(drawn),
                    f"a shape within {_box(edge)}",
                    "check the point that coordinates are measured from, and the unit",
                )
    for field in ("fastener", "insert"):
        for i, item in enumerate(getattr(document.panel, field)):
            if not edge.contains(item.at, PAST_THE_EDGE):
                yield fault_at(
                    ("panel", field, i, "at"),
                    f"the {field} stands outside the panel",
                    _at(*item.at),
                    f"a point within {_box(edge)}",
                )


def _hinge(document: Document) -> Iterator[Fault]:
    panel = document.panel
    hinge = panel.hinge
    if hinge is not None and abs(hinge.start[0] - hinge.end[0]) + abs(hinge.start[1] - hinge.end[1]) < 1e-6:
        yield fault_at(
            ("panel", "hinge"), "a hinge line of no length", _at(*hinge.start), "two different points"
        )


def _damage(document: Document) -> Iterator[Fault]:
    for field in ("shape", "far_shape"):
        yield from _made(("damage", field), getattr(document.damage, field))[1]


def _cutout(document: Document) -> Iterator[Fault]:
    yield from _made(("choice", "cutout"), document.choice.cutout)[1]


def _outside_panel(
    document: Document, path: Path, shape: Shape | None, slack: float, what: str
) -> Iterator[Fault]:
    edge, _ = _made(("panel", "outline"), document.panel.outline)
    inner, _ = _made(path, shape)
    if edge is None or inner is None or shape is None:
        return
    worst, at = 0.0, (0.0, 0.0)
    for v in (inner.segments()[i].at(t) for i in range(len(inner.vertices)) for t in (0.0, 0.5)):
        if not edge.contains(v, slack):
            distance = edge.reach(*v)[0]
            if distance > worst:
                worst, at = distance, v
    if worst > 0.0:
        yield fault_at(
            (*path, shape.form),
            f"{what} lies outside the panel",
            f"{_at(*at)}, {show(worst, 'length')} past the edge",
            f"a shape within the panel, {_box(edge)}",
        )


def _damage_within(document: Document) -> Iterator[Fault]:
    yield from _outside_panel(
        document, ("damage", "shape"), document.damage.shape, PAST_THE_EDGE, "the damage"
    )
    far = document.damage.far_shape
    yield from _outside_panel(
        document, ("damage", "far_shape"), far, PAST_THE_EDGE, "the damage of the far skin"
    )


def _cutout_within(document: Document) -> Iterator[Fault]:
    yield from _outside_panel(document, ("choice", "cutout"), document.choice.cutout, 1e-6, "the cut-out")


def _permitted(document: Document) -> Iterator[Fault]:
    forms, chosen = document.data.cutout.forms, document.choice.form
    if forms is not None and not forms.value:
        yield fault_at(("data", "cutout", "forms"), "no form is permitted", "[]", "at least one form")
    elif forms is not None and chosen is not None and chosen not in forms.value:
        yield fault_at(
            ("choice", "form"),
            "the data does not permit this form",
            repr(chosen),
            f"{' or '.join(forms.value)} ({forms.place})",
        )


def _at(x: float, y: float) -> str:
    return f"{show(x, 'length')}, {show(y, 'length')}"


def _box(edge: Outline) -> str:
    x0, y0, x1, y1 = edge.bounds
    return f"{_at(x0, y0)} to {_at(x1, y1)}"


CHECKS = (
    (_panel, ("panel",)),
    (_hinge, ("panel",)),
    (_damage, ("damage",)),
    (_cutout, ("choice",)),
    (_damage_within, ("damage", "panel")),
    (_cutout_within, ("choice", "panel")),
    (_permitted, ("choice", "data.cutout")),
)
