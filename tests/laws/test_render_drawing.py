"""Drawings: pages and SVG files show the same outline, and both are the outline."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET

import pytest

from panelmend.render.drawing import (
    Arrow,
    Cross,
    Dimension,
    Drawing,
    DrawnShape,
    Hatch,
    Pointer,
    Run,
    Text,
    scale_to_fit,
    scale_words,
    upright,
)
from panelmend.render.placing import Placer, _shared
from panelmend.render.strokes import Ink, Label, Loop, Stroke, _meets_window, bounds, cubics, page_data
from panelmend.render.svg import to_svg
from panelmend.render.typesetting import compile_pdf, template
from panelmend.shapes import Arc, Outline, circle, ellipse, outline, oval, rectangle
from render_pages import Point, bezier, page_lines, read

SOURCE = (
    template("house")
    + """
#set document(title: "Drawing")
#set page(width: data.page.at(0) * 1mm, height: data.page.at(1) * 1mm, margin: 0mm)
#draw(data.drawing)
"""
)
OUTLINES = [
    circle((0.03, -0.01), 0.4),
    ellipse((0.0, 0.0), 0.5, 0.3, 0.3),
    oval((0.1, 0.2), 0.3, 0.1, -0.7),
    rectangle((0.0, 0.0), 0.3, 0.2, angle=0.2, corner_radius=0.03),
    outline([(0, 0), (0.2, 0, 0.3), (0.2, 0.2), (0.1, 0.12, -0.2), (0, 0.2)]),
]


def _off(o: Outline, points: list[Point], x0: float, y0: float) -> float:
    """Greatest distance [mm] of points on the page from the outline."""
    return max(1e3 * o.reach((x + x0) / 1e3, -(y + y0) / 1e3)[0] for x, y in points)


@pytest.mark.parametrize("o", OUTLINES)
def test_the_page_shows_the_outline_to_a_hundredth_of_a_millimetre(o: Outline) -> None:
    flats = Drawing((DrawnShape((o,)),)).flat()
    box = bounds(flats)
    page = (box[2] - box[0], box[3] - box[1])
    pdf = compile_pdf(SOURCE, {"drawing": page_data(flats), "page": page})
    (line,) = page_lines(read(pdf).pages[0])
    points = list(line.points)
    assert _off(o, points, box[0], box[1]) < 0.001
    ends = [(1e3 * v.x - box[0], -1e3 * v.y - box[1]) for v in o.vertices]
    assert max(min(math.dist(e, p) for p in points) for e in ends) < 0.001


@pytest.mark.parametrize("o", OUTLINES)
def test_svg_has_true_arcs_that_are_the_outline(o: Outline) -> None:
    svg = to_svg(Drawing((DrawnShape((o,)),)).flat(), title="a <b> & c")
    root = ET.fromstring(svg)
    d = root.findall("{*}path")[0].attrib["d"]
    arcs = re.findall(r"A([\d.]+) ", d)
    true = [s for s in o.segments() if isinstance(s, Arc)]
    assert len(arcs) == len(true)
    for text, s in zip(arcs, true, strict=True):
        assert float(text) == pytest.approx(1e3 * s.radius, abs=1e-6)
    ends = [tuple(float(n) for n in m.split()[-2:]) for m in re.findall(r"[MLA]([^MLAZ]+)", d)]
    for (x, y), v in zip(ends, o.vertices, strict=False):
        assert (x, y) == pytest.approx((1e3 * v.x, -1e3 * v.y), abs=1e-6)
    assert root.attrib["width"].endswith("mm")


@pytest.mark.parametrize("margin", [0.0, 5.0])
@pytest.mark.parametrize("mark", ["", "STOP"])
@pytest.mark.parametrize("box", [None, (-10.0, -20.0, 30.0, 60.0)])
def test_an_svg_is_at_true_size_whatever_lies_round_it(
    margin: float, mark: str, box: tuple[float, float, float, float] | None
) -> None:
    """A user unit is a millimetre on paper: width and height are those of the view box."""
    svg = to_svg(
        Drawing((DrawnShape((OUTLINES[0],)),)).flat(), title="a ply", box=box, margin=margin, mark=mark
    )
    root = ET.fromstring(svg)
    _, _, wide, high = map(float, root.attrib["viewBox"].split())
    assert (root.attrib["width"], root.attrib["height"]) == (f"{wide:g}mm", f"{high:g}mm")
    if box is not None and not mark:
        assert (wide, high) == (40.0 + 2 * margin, 80.0 + 2 * margin)


def test_cubics_stay_within_their_tolerance() -> None:
    for radius, sweep in ((2.0, 6.2), (500.0, 1.5), (5000.0, -0.4)):
        end = (radius * math.cos(sweep), radius * math.sin(sweep))
        arc = Arc(radius, 0.0, *end, 0.0, 0.0, radius, 0.0, sweep)
        at: Point = arc.start
        for x1, y1, x2, y2, x, y in cubics(arc, 1e-4):
            for i in range(11):
                p = bezier([at, (x1, y1), (x2, y2), (x, y)], i / 10)
                assert abs(math.hypot(*p) - radius) < 1.2e-4
            at = (x, y)
        assert at == arc.end


def test_hatch_stays_inside_and_out_of_holes() -> None:
    outer, hole = (
        rectangle((0, 0), 0.2, 0.1, angle=0.1, corner_radius=0.02),
        ellipse((0.01, 0), 0.08, 0.05, 0.3),
    )
    (hatch,) = Drawing((Hatch((outer, hole), 0.6, 3.0),)).flat()
    assert isinstance(hatch, Stroke)
    length = 0.0
    for loop in hatch.loops:
        (ax, ay, _), (bx, by, _) = loop.rows
        middle = (0.0005 * (ax + bx), -0.0005 * (ay + by))
        assert outer.contains(middle)
        assert not hole.contains(middle, 0.0)
        for x, y in ((ax, ay), (bx, by)):
            assert min(o.reach(x / 1e3, -y / 1e3)[0] for o in (outer, hole)) < 1e-9
        length += math.dist((ax, ay), (bx, by))
    assert length * 3.0 == pytest.approx(1e6 * (outer.area - hole.area), rel=0.01)


def test_ink_in_a_window() -> None:
    big = Stroke((Loop(((-100, 0, 1.0), (100, 0, 1.0))),), Ink())
    assert not big.inks((-10, -10, 10, 10))  # a circle round the window
    assert big.inks((60, 60, 80, 80))
    assert not big.inks((72, 72, 80, 80))
    line = Stroke((Loop(((0, 0, 0), (100, 50, 0)), closed=False),), Ink())
    assert line.inks((40, 10, 60, 30))
    assert not line.inks((60, 10, 90, 29))
    assert Label(5, 5, "words", 3).inks((0, 0, 10, 10))


def test_small_marks_keep_their_size_at_every_scale() -> None:
    items = (
        Cross((0.1, 0.1), 6, ring=True),
        Pointer((0, 0), 0.5, 20, both=True),
        Text((0, 0), "P1"),
        Arrow((0, 0), (0.1, 0.1)),
        Run(((0, 0), (0.1, 0))),
        Dimension((0, 0), (0.1, 0), "100 mm"),
    )
    for scale in (1.0, 0.1):
        flats = Drawing(items, scale).flat()
        first = flats[0].box()
        assert first[2] - first[0] == pytest.approx(6 + 0.18)
        assert (flats[0].box()[0] + first[2]) / 2 == pytest.approx(100 * scale)


def test_scales_and_upright_words() -> None:
    assert scale_to_fit([rectangle((0, 0), 0.5, 0.3, corner_radius=0.01)], 170, 120) == 0.25
    assert [scale_words(s) for s in (1.0, 0.4, 0.2, 2.0)] == ["1:1", "1:2.5", "1:5", "2:1"]
    assert upright(math.pi) == pytest.approx(0.0)
    assert upright(-math.pi / 2) == pytest.approx(math.pi / 2)
    assert upright(0.3) == pytest.approx(0.3)


STRAIGHT = [
    Loop(((1.0, 2.0, 0.0), (4.0, 2.5, -0.0), (3.0, 7.0, 0.0))),
    Loop(((1.0, 2.0, 0.0), (4.0, 2.5, 0.0), (3.0, 7.0, 0.0)), closed=False),
    Loop(((1.0, 2.0, 0.0), (4.0, 2.0, 0.0)), closed=False),
    Loop(((4.0, 1.0, 0.0), (4.0, 9.0, 0.0))),
]


@pytest.mark.parametrize("number", range(len(STRAIGHT)))
def test_corners_of_straight_lines_say_what_their_segments_say(number: int) -> None:
    """Box, ink in a window, and what is drawn, taken from corners, are those of the lines between them."""
    loop = STRAIGHT[number]
    assert loop.straight
    stroke, parts = Stroke((loop,), Ink(0.5)), loop.parts()
    low = [min(p.box()[k] for p in parts) - 0.25 for k in (0, 1)]
    high = [max(p.box()[k] for p in parts) + 0.25 for k in (2, 3)]
    assert stroke.box() == (*low, *high)
    for x in range(-1, 6):
        for y in range(-1, 10):
            for size in (0.0, 0.4, 1.0):
                window = (float(x), float(y), x + size, y + size)
                assert stroke.inks(window) == any(_meets_window(p, window) for p in parts), window
    drawn = page_data([stroke], (0.5, 0.25, 9.0, 9.0))["items"][0]["path"]
    ends = [[p.x1 - 0.5, p.y1 - 0.25] for p in parts]
    asked = [[loop.rows[0][0] - 0.5, loop.rows[0][1] - 0.25, "m"], *(ends[:-1] if loop.closed else ends)]
    assert drawn == [*asked, *([[]] if loop.closed else [])]
    assert not Loop((*loop.rows[:-1], (9.0, 9.0, 0.5))).straight
    assert not Loop(loop.rows[:1]).straight


def test_words_that_lie_level_have_the_box_of_words_hardly_turned() -> None:
    for anchor in ("left", "middle", "right"):
        for level in ("base", "middle", "top"):
            level_box = Label(3.0, 4.0, "words", 2.5, anchor, level).box()
            turned = Label(3.0, 4.0, "words", 2.5, anchor, level, 1e-13).box()
            assert level_box == pytest.approx(turned, abs=1e-11)


def test_what_a_box_covers_is_summed_over_all_that_is_taken() -> None:
    taken = [(0.0, 0.0, 2.0, 1.0), (1.0, 0.5, 3.0, 4.0), (9.0, 9.0, 10.0, 10.0), (3.0, 3.0, 4.0, 4.0)]
    placer = Placer((-5.0, -5.0, 20.0, 20.0), taken)
    for box in ((1.0, 0.0, 3.0, 3.0), (1.5, 0.75, 9.5, 9.5), (4.0, 4.0, 5.0, 5.0), (11.0, 0.0, 12.0, 1.0)):
        assert placer._covered(box) == sum(_shared(box, other) for other in taken)
