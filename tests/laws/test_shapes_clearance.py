"""Clearances, overlaps and trims: symmetry, independent polygons, and what a trim must leave."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point as ShapelyPoint

from panelmend.shapes import (
    Outline,
    circle,
    clearance,
    distance_to_point,
    distance_to_segment,
    inside,
    least_overlap,
    longest_trim,
    offset,
    polygon,
    rectangle,
    sharp_corners,
    trim_corners,
    trim_for_overlap,
)
from shapes_made import any_outlines, convex_outlines, copied

STEADY = settings(derandomize=True, database=None, deadline=None, max_examples=80)


@STEADY
@given(any_outlines(), any_outlines(), st.floats(0, 0.3), st.floats(0, 0.3))
def test_clearance_agrees_with_fine_polygons(a: Outline, b: Outline, dx: float, dy: float) -> None:
    b = b.moved(dx, dy)
    got = clearance(a, b)
    p, q = copied(a), copied(b)
    assert got.distance == pytest.approx(p.exterior.distance(q.exterior), abs=1e-5)
    if p.intersection(q).area > 1e-7:
        assert got.overlaps
    if p.distance(q) > 1e-5:
        assert not got.overlaps
    assert math.dist(got.at_a, got.at_b) == pytest.approx(got.distance, abs=1e-12)
    assert a.reach(*got.at_a)[0] < 1e-8  # a point on a steep spike is 6 nm off
    assert b.reach(*got.at_b)[0] < 1e-8
    assert clearance(b, a).distance == pytest.approx(got.distance, abs=1e-12)


@STEADY
@given(convex_outlines(), st.floats(1e-4, 0.1))
def test_least_overlap_of_an_offset_is_the_offset(o: Outline, d: float) -> None:
    (grown,) = offset(o, d)
    assert least_overlap(o, grown)[0] == pytest.approx(d, abs=1e-9)
    assert inside(o, grown, d)
    assert not inside(o, grown, d + 1e-6)
    assert least_overlap(grown, o)[0] == pytest.approx(-d, abs=1e-9)


@STEADY
@given(any_outlines(), st.floats(-0.15, 0.15), st.floats(-0.15, 0.15))
def test_poking_out_is_a_directed_distance(o: Outline, dx: float, dy: float) -> None:
    other = o.turned(1.0).moved(dx, dy)
    got, at_inner, at_outer = least_overlap(other, o)
    p = copied(o)
    if got < -1e-9:
        worst = max(p.distance(ShapelyPoint(*s.at(k / 60))) for s in other.segments() for k in range(61))
        assert -got >= worst - 1e-5
        assert -got == pytest.approx(worst, abs=2e-4)  # 60 steps a segment
    assert math.dist(at_inner, at_outer) == pytest.approx(abs(got), abs=1e-9)


@STEADY
@given(any_outlines(), st.floats(-0.2, 0.2), st.floats(-0.2, 0.2))
def test_signed_distance_to_a_point(o: Outline, x: float, y: float) -> None:
    p, spot = copied(o), ShapelyPoint(x, y)
    expected = p.exterior.distance(spot) * (1 if p.contains(spot) else -1)
    assert distance_to_point(o, (x, y)) == pytest.approx(expected, abs=1e-5)


def test_distance_to_a_segment() -> None:
    c = circle((0, 0), 0.1)
    assert distance_to_segment(c, (-1, 0.08), (1, 0.08)) == pytest.approx(0.03, abs=1e-15)
    assert distance_to_segment(c, (0.06, 0.06), (0.06, 1)) == pytest.approx(0.06 * math.sqrt(2) - 0.05)
    assert distance_to_segment(c, (-1, 0), (1, 0)) == 0.0


def test_touching_is_no_overlap_and_equal_shapes_overlap() -> None:
    r = rectangle((0, 0), 0.2, 0.1)
    assert not clearance(r, r.moved(0.2, 0)).overlaps
    assert not clearance(r, r.moved(0.2, 0.03)).overlaps
    assert clearance(r, r).overlaps
    assert clearance(r, r.moved(0.199, 0)).overlaps
    assert not clearance(circle((0, 0), 0.1), circle((0.1, 0), 0.1)).overlaps
    assert clearance(circle((0, 0), 0.1), circle((0.001, 0), 0.3)).overlaps
    cross = clearance(rectangle((0, 0), 0.3, 0.02), rectangle((0, 0), 0.02, 0.3))
    assert cross.overlaps
    assert cross.distance == 0.0


def test_nested_circles() -> None:
    got, at_inner, at_outer = least_overlap(circle((0.01, 0), 0.1), circle((0, 0), 0.15))
    assert got == pytest.approx(0.015, abs=1e-12)
    assert at_inner == pytest.approx((0.06, 0))
    assert at_outer == pytest.approx((0.075, 0))
    # An arc that pokes out through a straight side does so most at its crown.
    assert least_overlap(circle((0.05, 0), 0.1), rectangle((0, 0), 0.15, 0.2))[0] == pytest.approx(-0.025)


def test_a_right_angle_loses_two_legs_of_edge_over_root_two() -> None:
    r = rectangle((0, 0), 0.2, 0.1)
    t = trim_corners(r, 0.02)
    leg = 0.02 / math.sqrt(2)
    assert len(t.vertices) == 8
    assert t.area == pytest.approx(r.area - 4 * leg * leg / 2, rel=1e-12)
    edges = sorted(s.length for s in t.segments())
    assert edges[:4] == pytest.approx([0.02] * 4)
    assert trim_corners(t, 0.001) == t  # a corner of 45 degrees is not sharp
    assert longest_trim(r) == pytest.approx(0.05 * math.sqrt(2))


@STEADY
@given(any_outlines(arcs=False), st.floats(1e-4, 0.02))
def test_the_trim_edge_is_as_long_as_asked_and_square_to_the_bisector(o: Outline, length: float) -> None:
    if not sharp_corners(o) or length >= 0.99 * longest_trim(o):
        return
    t = trim_corners(o, length)
    new = [s for s in t.segments() if abs(s.length - length) < 1e-12]
    assert len(new) >= len(sharp_corners(o))
    assert len(t.vertices) == len(o.vertices) + len(sharp_corners(o))
    assert t.area < o.area


def test_rounded_and_hollow_corners_stay() -> None:
    ell = polygon([(0, 0), (0.3, 0), (0.3, 0.1), (0.1, 0.1), (0.1, 0.3), (0, 0.3)])
    assert sharp_corners(ell) == (0, 1, 2, 4, 5)
    r = rectangle((0, 0), 0.2, 0.1, 0, 0.01)
    assert trim_corners(r, 0.02) == r


@STEADY
@given(st.floats(0.03, 0.4), st.floats(0.03, 0.4), st.floats(0.005, 0.05), st.floats(0.0, 0.02))
def test_the_longest_trim_keeps_the_least_overlap(a: float, b: float, margin: float, radius: float) -> None:
    inner = rectangle((0, 0), a, b, 0.2, min(radius, min(a, b) / 2.1))
    outer = rectangle((0, 0), a + 2 * margin, b + 2 * margin, 0.2)
    length = trim_for_overlap(inner, outer, margin, 0.0254)
    assert 0.0 < length <= 0.0254
    assert least_overlap(inner, trim_corners(outer, length))[0] >= margin - 1e-9
    if length < 0.0254 - 1e-6 and length < 0.998 * longest_trim(outer):
        assert least_overlap(inner, trim_corners(outer, length + 1e-6))[0] < margin
    # closed form: the cut stands margin + r off the corner arc's centre, on the diagonal
    r = min(radius, min(a, b) / 2.1)
    deep = (margin + r) * (math.sqrt(2) - 1)
    exact = 2 * deep
    if exact < min(0.0254, 0.99 * longest_trim(outer)):
        assert length == pytest.approx(exact, abs=1e-8)
