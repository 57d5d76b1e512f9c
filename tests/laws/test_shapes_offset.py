"""Offsets: the area and perimeter laws, sums, inverses, and an independent polygon buffer."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelmend.shapes import Outline, circle, offset, outline, polygon, rectangle
from shapes_made import any_outlines, convex_outlines, copied, ring_area, swept

STEADY = settings(derandomize=True, database=None, deadline=None, max_examples=60)
DISTANCES = st.floats(-0.05, 0.08).filter(lambda d: abs(d) > 1e-5)
ELL = polygon([(0, 0), (0.3, 0), (0.3, 0.1), (0.1, 0.1), (0.1, 0.3), (0, 0.3)])
DUMBBELL = polygon(
    [
        *[(0, 0), (0.1, 0), (0.1, 0.04), (0.2, 0.04), (0.2, 0), (0.3, 0)],
        *[(0.3, 0.1), (0.2, 0.1), (0.2, 0.06), (0.1, 0.06), (0.1, 0.1), (0, 0.1)],
    ]
)


@STEADY
@given(convex_outlines(), st.floats(1e-4, 0.2))
def test_convex_growth_follows_steiner(o: Outline, d: float) -> None:
    (grown,) = offset(o, d)
    assert grown.area == pytest.approx(o.area + o.perimeter * d + math.pi * d * d, rel=1e-9)
    assert grown.perimeter == pytest.approx(o.perimeter + 2 * math.pi * d, rel=1e-9)


@STEADY
@given(convex_outlines(), st.floats(1e-4, 0.1), st.floats(1e-4, 0.1))
def test_growing_twice_is_growing_by_the_sum(o: Outline, d: float, e: float) -> None:
    (once,) = offset(o, d + e)
    (twice,) = offset(offset(o, d)[0], e)
    assert twice.area == pytest.approx(once.area, rel=1e-9)
    assert all(once.reach(v.x, v.y)[0] < 1e-9 for v in twice.vertices)


@STEADY
@given(convex_outlines(), st.floats(1e-3, 0.1))
def test_shrinking_undoes_growing(o: Outline, d: float) -> None:
    (back,) = offset(offset(o, d)[0], -d)
    assert back.area == pytest.approx(o.area, rel=1e-7)
    assert all(o.reach(v.x, v.y)[0] < 1e-6 for v in back.vertices)


@settings(STEADY, max_examples=150)
@given(any_outlines(), DISTANCES)
def test_any_shape_agrees_with_an_independent_polygon_buffer(o: Outline, d: float) -> None:
    grown = offset(o, d)
    # chords of a fortieth of an arc and of a 48th of a quarter circle
    assert sum(g.area for g in grown) == pytest.approx(ring_area(swept(o, d)), rel=5e-4, abs=3e-6)
    for g in grown:
        assert outline(g.vertices) == g  # simple, counter-clockwise
        assert all(o.reach(*s.at(0.5))[0] == pytest.approx(abs(d), abs=1e-8) for s in g.segments())


@settings(STEADY, max_examples=150)
@given(any_outlines(arcs=False), DISTANCES)
def test_drawn_out_corners_agree_with_an_independent_polygon_buffer(o: Outline, d: float) -> None:
    inside_angles = [math.pi - abs(_turn(o, i)) for i in range(len(o.vertices))]
    if min(inside_angles) < math.radians(26.0):
        return  # past the limit of five times the distance the joins differ by definition
    drawn = offset(o, d, "mitre")
    fine = copied(o).buffer(d, join_style="mitre", mitre_limit=50.0)
    assert sum(g.area for g in drawn) == pytest.approx(ring_area(fine), rel=1e-6, abs=1e-9)


def _turn(o: Outline, i: int) -> float:
    (ax, ay), (bx, by) = o.segments()[i - 1].tangent(1.0), o.segments()[i].tangent(0.0)
    return math.atan2(ax * by - ay * bx, ax * bx + ay * by)


def test_drawn_out_corners_come_back_exactly() -> None:
    for d in (0.02, -0.02):
        (there,) = offset(ELL, d, "mitre")
        (back,) = offset(there, -d, "mitre")
        assert back.area == pytest.approx(ELL.area, rel=1e-12)
        assert len(back.vertices) == 6


def test_a_neck_parts_and_a_shape_vanishes() -> None:
    assert [len(offset(DUMBBELL, d)) for d in (-0.009, -0.011, -0.049, -0.051)] == [1, 2, 2, 0]
    assert offset(circle((0, 0), 0.1), -0.05) == ()
    assert offset(rectangle((0, 0), 0.2, 0.1), -0.05) == ()


def test_concave_corners_of_the_growth_stay_sharp_and_arcs_are_true() -> None:
    (grown,) = offset(ELL, 0.02)
    radii = sorted(s.radius for s in grown.segments() if s.bulge)
    assert radii == pytest.approx([0.02] * 5, rel=1e-12)
    assert grown.contains((0.12, 0.1199))
    assert not grown.contains((0.1201, 0.1201))


def test_arcs_stay_arcs_about_their_centre() -> None:
    (smaller,) = offset(rectangle((0, 0), 0.2, 0.1, 0.3, 0.03), -0.01)
    arcs = [s for s in smaller.segments() if s.bulge]
    assert len(smaller.vertices) == 8
    assert [s.radius for s in arcs] == pytest.approx([0.02] * 4, rel=1e-12)
    (sharp,) = offset(rectangle((0, 0), 0.2, 0.1, 0.3, 0.03), -0.03)
    assert len(sharp.vertices) == 4


def test_a_far_corner_is_rounded_where_a_point_would_run_away() -> None:
    needle = polygon([(0, 0), (0.3, 0.02), (0, 0.04)])
    (grown,) = offset(needle, 0.01, "mitre")
    assert sum(1 for s in grown.segments() if s.bulge) == 1
    assert grown.bounds[2] == pytest.approx(0.31, abs=1e-12)
