"""Plane geometry with known answers: formulas of handbooks evaluated here, from memory.

- Ellipse perimeter: 4 a E(e) with the complete elliptic integral of the second kind, and Ramanujan's second
  approximation.
- Circular segment: area r^2 (w - sin w) / 2, centroid 4 r sin^3(w/2) / (3 (w - sin w)).
- Least circle: equilateral triangle side / sqrt(3); an obtuse triangle's is on its longest side.
- Least ellipse: of a triangle the Steiner circumellipse, area 4 pi / (3 sqrt 3) of the triangle's; of a
  rectangle a x b, area pi a b / 2.
"""

from __future__ import annotations

import math

import pytest
from scipy.special import ellipe

from panelmend.shapes import circle, ellipse, least_circle, least_ellipse, outline


@pytest.mark.parametrize(("length", "width"), [(0.2, 0.1), (0.3, 0.05), (0.1, 0.099), (1.0, 0.3)])
def test_ellipse_perimeter_and_area(length: float, width: float) -> None:
    a, b = length / 2, width / 2
    e = ellipse((0.0, 0.0), length, width, 0.3)
    # arcs within 0.01 mm and tangent to the curve: the length differs by less than 2 pi x 0.01 mm
    assert e.perimeter == pytest.approx(4 * a * ellipe(1 - (b / a) ** 2), abs=6.3e-5)
    h = ((a - b) / (a + b)) ** 2
    assert e.perimeter == pytest.approx(
        math.pi * (a + b) * (1 + 3 * h / (10 + math.sqrt(4 - 3 * h))), rel=3e-4
    )
    assert e.area == pytest.approx(math.pi * a * b, abs=1e-5 * e.perimeter)


@pytest.mark.parametrize(("length", "width"), [(0.2, 0.1), (0.3, 0.02), (0.12, 0.09)])
def test_ellipse_arcs_stay_within_a_hundredth_of_a_millimetre(length: float, width: float) -> None:
    e = ellipse((0.0, 0.0), length, width)
    a, b = length / 2, width / 2
    worst = max(
        e.reach(a * math.cos(k * math.tau / 5000), b * math.sin(k * math.tau / 5000))[0] for k in range(5000)
    )
    assert 1e-7 < worst <= 1e-5
    parts = e.segments()
    for s, t in zip(parts, parts[1:] + parts[:1], strict=True):  # tangent-continuous
        assert s.tangent(1.0) == pytest.approx(t.tangent(0.0), abs=1e-9)


@pytest.mark.parametrize("w", [0.3, 1.0, math.pi, 4.0])
def test_circular_segment(w: float) -> None:
    r = 0.1
    ends = [(r * math.cos(-w / 2), r * math.sin(-w / 2)), (r * math.cos(w / 2), r * math.sin(w / 2))]
    o = outline([(*ends[0], math.tan(w / 4)), (*ends[1], 0.0)])
    assert o.area == pytest.approx(r * r * (w - math.sin(w)) / 2, rel=1e-12)
    assert o.centroid == pytest.approx(
        (4 * r * math.sin(w / 2) ** 3 / (3 * (w - math.sin(w))), 0.0), abs=1e-12
    )
    assert o.perimeter == pytest.approx(r * w + 2 * r * math.sin(w / 2), rel=1e-12)


def test_least_circles() -> None:
    height = math.sqrt(3) / 2
    assert least_circle([(0, 0), (1, 0), (0.5, height)]).length == pytest.approx(2 / math.sqrt(3), rel=1e-9)
    wide = least_circle([(0, 0), (1, 0), (0.5, 0.1)])
    assert wide.length == pytest.approx(1.0, rel=1e-9)
    assert wide.centre == pytest.approx((0.5, 0.0), abs=1e-9)
    assert least_circle([circle((0, 0), 1.0), circle((2, 0), 0.5)]).length == pytest.approx(2.75, rel=1e-9)


def test_least_ellipses() -> None:
    triangle = [(0.0, 0.0), (1.0, 0.0), (0.3, 0.7)]
    found = least_ellipse(triangle)
    assert found.area == pytest.approx(4 * math.pi / (3 * math.sqrt(3)) * 0.35, rel=1e-4)
    assert found.centre == pytest.approx((1.3 / 3, 0.7 / 3), abs=1e-6)
    box = least_ellipse([(-0.2, -0.1), (0.2, -0.1), (0.2, 0.1), (-0.2, 0.1)])
    assert box.area == pytest.approx(math.pi * 0.4 * 0.2 / 2, rel=5e-4)
    assert box.length == pytest.approx(0.4 * math.sqrt(2), abs=5e-5)
