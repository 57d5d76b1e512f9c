"""DXF for cutters and CAD: millimetres, closed polylines with exact arcs, layers by operation.

Layers: CUT (what the blade follows), MARK (arrows, centre and lines to draw), TEXT, REFERENCE (not cut: the
100 mm line, roll edges, outlines shown for place). Made with fixed metadata, so the same input gives the
same bytes.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from importlib import import_module
from typing import Any

from panelmend.errors import OutputError
from panelmend.job.nest.part import Layout
from panelmend.render.nest import lying, strip_length
from panelmend.render.template import Heading, Template
from panelmend.shapes import Outline, Point, rectangle

LAYERS = {"CUT": 1, "MARK": 5, "TEXT": 8, "REFERENCE": 3}  # name -> colour number of the format
_SPACE = 0.02  # [m] between templates
_LINE = 0.1  # [m] the reference line
Vector = tuple[float, float]


def templates_dxf(heading: Heading, templates: Sequence[Template]) -> bytes:
    """Templates side by side at true size: one file for one cloth or operation.

    Args:
        heading: written beside the reference line.
        templates: what to draw; nothing is turned or mirrored.
    """
    file = _File()
    space = file.space
    x = 0.0
    for t in templates:
        boxes = [o.bounds for o in (*t.outlines, *t.reference)]
        left, low, right = min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes)
        _template(space, t, heading, (x - left, -low))
        x += right - left + _SPACE
    _reference_line(space, heading, (0.0, -0.03))
    return file.close()


def layout_dxf(heading: Heading, layout: Layout, shapes: Mapping[str, Outline]) -> bytes:
    """One strip with its pieces: x along the roll from its start, seen from the face of the cloth.

    Args:
        heading: written beside the reference line.
        layout: placements on the strip.
        shapes: true outline of each piece in piece axes [m], by piece id.

    Raises:
        MissingError: a piece without an outline.
    """
    file = _File()
    space = file.space
    used, shown, w = layout.used_length, strip_length(layout), layout.strip.width
    _polyline(space, rectangle((0.5 * shown, 0.5 * w), shown, w), "REFERENCE")
    if used < shown:
        _line(space, (used, 0.0), (used, w), "REFERENCE")
    for piece in lying(layout, shapes):
        _polyline(space, piece.outline, "CUT")
        words = f"{piece.words} (turned over)" if piece.turned_over else piece.words
        _text(space, words, piece.outline.centroid, 0.008)
    _line(space, (0.0, -0.01), (0.1, -0.01), "MARK")
    for side in (1.0, -1.0):
        _line(space, (0.1, -0.01), (0.094, -0.01 + side * 0.002), "MARK")
    _text(space, "WARP", (0.115, -0.01), 0.004)
    _text(space, f"{layout.strip.id}, FACE UP", (0.17, -0.01), 0.004)
    _reference_line(space, heading, (0.0, -0.03))
    return file.close()


class _File:
    """A new DXF file; ``close`` audits it and gives its bytes."""

    def __init__(self) -> None:
        self.ezdxf: Any = import_module("ezdxf")  # slow to import: only when a file is made
        with self._fixed():
            self.doc = self.ezdxf.new("R2010", units=4)  # 4: millimetres
        self.doc.header["$MEASUREMENT"] = 1
        for name, colour in LAYERS.items():
            self.doc.layers.add(name, color=colour)
        self.space = self.doc.modelspace()

    def close(self) -> bytes:
        found = self.doc.audit()
        if found.errors:
            raise OutputError(f"the DXF does not stand its audit: {found.errors[0].message}")
        for name in sorted(self.doc.entitydb.dxf_types_in_use()):
            self.doc.classes.add_class(name)  # in order: the library takes them from a set
        stream = io.StringIO()
        with self._fixed():
            self.doc.write(stream)
        return stream.getvalue().encode(self.doc.output_encoding, errors="dxfreplace")

    @contextmanager
    def _fixed(self) -> Iterator[None]:
        """Fixed metadata: no time of day, no random ids."""
        options = self.ezdxf.options
        kept = options.write_fixed_meta_data_for_testing
        options.write_fixed_meta_data_for_testing = True
        try:
            yield
        finally:
            options.write_fixed_meta_data_for_testing = kept


def _mm(p: Vector) -> Vector:
    return (1e3 * p[0], 1e3 * p[1])


def _polyline(space: Any, outline: Outline, layer: str) -> None:
    rows = [(*_mm((v.x, v.y)), v.bulge) for v in outline.vertices]
    space.add_lwpolyline(rows, format="xyb", close=True, dxfattribs={"layer": layer})


def _line(space: Any, a: Vector, b: Vector, layer: str) -> None:
    space.add_line(_mm(a), _mm(b), dxfattribs={"layer": layer})


def _text(space: Any, words: str, at: Vector, height: float) -> None:
    from ezdxf.enums import TextEntityAlignment

    plain = " ".join(words.split())
    text = space.add_text(plain, height=1e3 * height, dxfattribs={"layer": "TEXT"})
    text.set_placement(_mm(at), align=TextEntityAlignment.MIDDLE_CENTER)


def _template(space: Any, t: Template, heading: Heading, move: Point) -> None:
    dx, dy = move
    layer = {"mark": "MARK", "cut cloth": "CUT", "cut core": "CUT", "cut skin": "CUT"}[t.operation]
    for o in t.outlines:
        _polyline(space, o.moved(dx, dy), layer)
    for o in t.reference:
        _polyline(space, o.moved(dx, dy), "REFERENCE")
    for o in t.darts:
        _polyline(space, o.moved(dx, dy), "MARK")
    for angle in (0.0, 0.5 * math.pi):
        c, s = 7e-3 * math.cos(angle), 7e-3 * math.sin(angle)
        _line(space, (dx - c, dy - s), (dx + c, dy + s), "MARK")
    _line(space, (dx + 9e-3, dy), (dx + 25e-3, dy), "MARK")
    _text(space, "0", (dx + 28e-3, dy), 3e-3)
    if t.arrow is not None:
        _arrow(space, (dx, dy + 0.5 * t.outlines[0].bounds[3]), t.arrow, t.both_ways)
    down = 12e-3
    for words, _, _ in t.lines(heading):
        _text(space, words.replace("°", "%%d").replace("−", "-"), (dx, dy - down), 3e-3)
        down += 5e-3


def _arrow(space: Any, at: Vector, angle: float, both: bool) -> None:
    c, s = math.cos(angle), math.sin(angle)
    half = 15e-3
    tip, tail = (at[0] + half * c, at[1] + half * s), (at[0] - half * c, at[1] - half * s)
    _line(space, tail, tip, "MARK")
    for end, way in ((tip, 0.0), (tail, math.pi)) if both else ((tip, 0.0),):
        for barb in (0.9 * math.pi, 1.1 * math.pi):
            a = angle + way + barb
            _line(space, end, (end[0] + 4e-3 * math.cos(a), end[1] + 4e-3 * math.sin(a)), "MARK")


def _reference_line(space: Any, heading: Heading, at: Vector) -> None:
    x, y = at
    _line(space, (x, y), (x + _LINE, y), "REFERENCE")
    for end in (x, x + _LINE):
        _line(space, (end, y - 2e-3), (end, y + 2e-3), "REFERENCE")
    mark = f" {heading.mark}" if heading.mark else ""
    _text(space, f"100 mm   {heading.repair}   {heading.digest}{mark}", (x + 0.5 * _LINE, y - 6e-3), 3e-3)
