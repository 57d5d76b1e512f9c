"""Cylinders, maps, polygons, booleans and drawing paths: there and back, and nothing moved too far."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from panelmend.errors import RangeError
from panelmend.shapes import (
    Cylinder,
    Outline,
    mapped,
    rectangle,
    stretched,
    to_polygon,
    united_area,
    without_area,
)
from shapes_made import any_outlines, copied, spiky

STEADY = settings(derandomize=True, database=None, deadline=None, max_examples=25)


def _apart(a: Outline, b: Outline) -> float:
    return max(b.reach(*s.at(k / 11))[0] for s in a.segments() for k in range(11))


@STEADY
@given(any_outlines(), st.floats(0.3, 3.0), st.floats(-1.5, 1.5))
def test_laid_flat_and_back(o: Outline, radius: float, axis: float) -> None:
    c = Cylinder(radius, axis)
    flat = c.developed(o)
    assert flat.area >= o.area * (1 - 1e-4)
    back = mapped(flat, lambda x, y: c.project((x, y)))
    assert _apart(back, o) < 2.5e-5  # two fits of 0.01 mm, the first one stretched a little
    for v in o.vertices:
        assert c.project(c.develop((v.x, v.y))) == pytest.approx((v.x, v.y), abs=1e-12)


@pytest.mark.parametrize(
    ("seed", "corners", "axis"), [(10, 8, 1.5), (15, 8, 0.3), (44, 4, 1.5), (267, 5, 0.3), (274, 5, 1.5)]
)
def test_sides_that_are_all_but_straight_once_flat_do_not_cross(seed: int, corners: int, axis: float) -> None:
    """Arcs of radii of 50 km and more, whose crossings cannot be computed well."""
    for arcs in (False, True):
        made = spiky(seed, corners, arcs)
        if made is not None:
            flat = Cylinder(1.5, axis).developed(made)
            assert _apart(flat, made) < 5e-4


def test_a_quarter_round() -> None:
    c = Cylinder(0.5, 0.0)
    assert c.develop((0.3, 0.5)) == pytest.approx((0.3, 0.25 * math.pi))
    with pytest.raises(RangeError, match="not on a surface"):
        c.develop((0, 0.51))
    with pytest.raises(RangeError, match="visible half"):
        c.developed(rectangle((0, 0.45), 0.2, 0.2))


@STEADY
@given(any_outlines(), st.floats(0.5, 2.0), st.floats(-2, 2))
def test_a_stretch_multiplies_the_area_and_undoes_itself(o: Outline, factor: float, angle: float) -> None:
    out = stretched(o, angle, factor)
    assert out.area == pytest.approx(o.area * factor, abs=1e-5 * o.perimeter * 2)
    assert _apart(stretched(out, angle, 1 / factor), o) < 4e-5


def test_a_turn_keeps_every_segment() -> None:
    o = rectangle((0.1, 0), 0.2, 0.1, 0.2, 0.02)
    turned = mapped(o, lambda x, y: (-y, x))
    assert len(turned.vertices) == len(o.vertices)
    assert turned.area == pytest.approx(o.area, rel=1e-9)


@STEADY
@given(any_outlines(), st.sampled_from([1e-3, 1e-4, 1e-5]))
def test_polygons_keep_their_side_and_tolerance(o: Outline, tolerance: float) -> None:
    fine = copied(o, 300)
    near = Polygon(to_polygon(o, tolerance))
    assert near.area == pytest.approx(o.area, abs=tolerance * o.perimeter)
    inner, outer = Polygon(to_polygon(o, tolerance, "inside")), Polygon(to_polygon(o, tolerance, "outside"))
    assert inner.buffer(0).area <= o.area + 1e-12
    assert outer.area >= o.area - 1e-12
    if inner.is_valid and outer.is_valid:
        assert outer.buffer(1e-7 + 2e-6).contains(fine)
        assert fine.buffer(1e-7 + 2e-6).contains(inner)


@STEADY
@given(any_outlines(), any_outlines(), st.floats(0, 0.1))
def test_areas_add_up(a: Outline, b: Outline, dx: float) -> None:
    b = b.moved(dx, 0)
    both, either = a.area - without_area(a, b), united_area([a, b])
    slack = 2e-6 * (a.perimeter + b.perimeter)
    assert both + either == pytest.approx(a.area + b.area, abs=slack)
    assert without_area(b, a) == pytest.approx(b.area - both, abs=slack)
