"""Layers as SVG: one user unit is one millimetre of the panel, y down, arcs as arcs.

Pens are classes of ``static/drawing.css``: no colour or width stands here, so that both themes and every zoom
use the same drawing. Words and dots stand in groups of class ``still``, which the style sheet keeps at
their size.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

from panelmend.document.panel import Side
from panelmend.plan.plan import Plan
from panelmend.render.drawing import Drawing, Hatch, outline_loop
from panelmend.render.strokes import Stroke
from panelmend.render.svg import num, path_commands
from panelmend.screen.drawing.layers import Dot, DrawnArea, DrawnLayer, DrawnLine, Hatching, Mark, layers
from panelmend.shapes import Outline, Point

MM = 1e3  # [1/m] millimetres to a metre
Box = tuple[float, float, float, float]  # x, y, width, height [mm], y down
SIGNS = {
    "tc": '<circle r="5"/>',
    "tc-behind": '<circle r="5.5"/>',
    "base": '<path d="M-7 0H7M0 -7V7"/><circle r="4.5"/>',
    "dull": '<circle r="5"/>',
    "sound": '<circle r="4.5"/>',
    "next": '<path d="M-8 0H8M0 -8V8"/>',
    "next-small": '<path d="M-4 0H4M0 -4V4"/>',
    "again": '<path d="M-6 -6L6 6M-6 6L6 -6"/>',
}


@dataclass(frozen=True)
class DrawnSheet:
    """A drawing ready for the page: its layers with their markup, and what to look at [mm, y down]."""

    side: Side
    layers: tuple[tuple[DrawnLayer, str], ...]
    panel: Box
    repair: Box


def sheet(plan: Plan, side: Side, more: Iterable[DrawnLayer] = ()) -> DrawnSheet:
    """The drawing of a plan seen from a side, with further layers on top."""
    made = tuple((layer, layer_svg(layer)) for layer in (*layers(plan, side), *more))
    outlines = [o for layer, _ in made for o in _outlines(layer) if layer.group == "panel"]
    shown = [x for x, _ in made if x.shown and x.group in ("damage", "repair")]
    near = [o for layer in shown for o in _outlines(layer)]
    return DrawnSheet(side, made, box_of(outlines), box_of(near or outlines, 0.12))


def _outlines(layer: DrawnLayer) -> list[Outline]:
    return [o for mark in layer.marks if isinstance(mark, DrawnArea) for o in mark.outlines]


def box_of(outlines: Iterable[Outline], room: float = 0.04) -> Box:
    """The box round outlines with some room, a share of its larger side [mm, y down]."""
    boxes = [o.bounds for o in outlines]
    x0, x1 = MM * min(b[0] for b in boxes), MM * max(b[2] for b in boxes)
    y0, y1 = -MM * max(b[3] for b in boxes), -MM * min(b[1] for b in boxes)
    grow = room * max(x1 - x0, y1 - y0)
    return (x0 - grow, y0 - grow, x1 - x0 + 2 * grow, y1 - y0 + 2 * grow)


def layer_svg(layer: DrawnLayer) -> str:
    """The inside of a layer's group."""
    return "".join(map(_mark, layer.marks))


def _mark(mark: Mark) -> str:
    match mark:
        case DrawnArea():
            d = "".join(path_commands(outline_loop(o, MM)) for o in mark.outlines)
            held = f' data-held="{escape(mark.held)}"' if mark.held else ""
            return f'<path{held} class="{mark.pen}" d="{d}" fill-rule="evenodd"/>'
        case Hatching():
            return f'<path class="{mark.pen}" d="{_hatching(mark)}"/>'
        case DrawnLine():
            d = "L".join(_pair(p) for p in mark.points)
            return f'<path class="{mark.pen}" d="M{d}"/>'
        case Dot():
            name = f'<text x="9" y="-6">{escape(mark.name)}</text>' if mark.name else ""
            held = f' data-held="{escape(mark.held)}"' if mark.held else ""
            return _still(mark.at, f'<g class="{mark.sign}">{SIGNS[mark.sign]}</g>{name}', held)
    beside = ' x="10"' if mark.beside else ' text-anchor="middle"'
    return _still(mark.at, f'<text class="{mark.pen}" y="5"{beside}>{escape(mark.text)}</text>')


def _still(at: Point, inside: str, held: str = "") -> str:
    return f'<g{held} transform="translate({_pair(at)})"><g class="still">{inside}</g></g>'


def _pair(p: Point) -> str:
    return f"{num(MM * p[0])} {num(-MM * p[1])}"


def _hatching(mark: Hatching) -> str:
    drawn = Drawing((Hatch(mark.outlines, mark.angle, MM * mark.spacing),)).flat()
    return "".join(
        path_commands(loop) for stroke in drawn if isinstance(stroke, Stroke) for loop in stroke.loops
    )
