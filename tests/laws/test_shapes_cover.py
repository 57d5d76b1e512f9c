"""Least covers: they cover, none is smaller on a brute-force sweep, and other solvers agree."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from panelmend.shapes import (
    Outline,
    circle,
    ellipse,
    inside,
    least_circle,
    least_ellipse,
    least_oval,
    least_rectangle,
    oval,
    rectangle,
)
from shapes_made import any_outlines, copied, spiky

STEADY = settings(derandomize=True, database=None, deadline=None, max_examples=12)


def _points(seed: int, n: int = 25) -> list[tuple[float, float]]:
    dice = random.Random(seed)
    return [(dice.uniform(0, 0.2), dice.gauss(0, 0.04)) for _ in range(n)]


@STEADY
@given(any_outlines(), st.sampled_from([0.0, 0.005, 0.03]), st.sampled_from([None, 0.4]))
def test_covers_cover_with_the_margin(o: Outline, margin: float, held: float | None) -> None:
    covers = [
        least_circle(o, margin),
        least_ellipse(o, margin, held),
        least_oval(o, margin, held),
        least_rectangle(o, 0.0127, margin, held),
        least_rectangle(o, 0.0, margin, held),
    ]
    for c in covers:
        assert inside(o, c.outline, margin - 1e-9)
        assert c.length >= c.width - 1e-12
        if held is not None and c.kind != "circle":
            quarter = math.remainder(c.angle - held, 0.5 * math.pi)
            assert quarter == pytest.approx(0.0, abs=1e-9)
    if held is not None:
        return
    for turned, fixed in zip(covers[1:], (least_ellipse, least_oval), strict=False):
        assert turned.area <= fixed(o, margin, 0.7).area * (1 + 2e-4)  # arcs of the ellipse within 0.01 mm


@pytest.mark.parametrize("seed", range(6))
def test_circles_and_sharp_rectangles_agree_with_the_polygon_library(seed: int) -> None:
    points = _points(seed)
    cloud = shapely.MultiPoint(points)
    assert least_circle(points).length / 2 == pytest.approx(shapely.minimum_bounding_radius(cloud), rel=1e-9)
    least = shapely.minimum_rotated_rectangle(cloud).area
    assert least_rectangle(points, 0.0).area == pytest.approx(least, rel=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_no_oval_of_a_sweep_is_smaller(seed: int) -> None:
    points = np.array(_points(seed))
    best = math.inf
    for angle in np.linspace(0, math.pi, 360, endpoint=False):
        x = points @ [math.cos(angle), math.sin(angle)]
        y = points @ [-math.sin(angle), math.cos(angle)]
        half = np.ptp(y) / 2
        r = half * np.linspace(1.0, 3.0, 80)[:, None, None]
        v = (y.max() + y.min()) / 2 + np.linspace(-1, 1, 21)[None, :, None] * (r - half)
        reach = np.sqrt(np.maximum(r**2 - (y - v) ** 2, 0))
        s = np.maximum(((x - reach).max(2) - (x + reach).min(2)) / 2, 0)
        best = min(best, float((4 * s * r[:, :, 0] + math.pi * r[:, :, 0] ** 2).min()))
    got = least_oval([tuple(p) for p in points]).area
    assert got <= best * (1 + 1e-9)
    assert got >= best * 0.98  # the sweep is fine enough to come this near


@pytest.mark.parametrize("seed", range(4))
def test_no_rounded_rectangle_of_a_sweep_is_smaller(seed: int) -> None:
    points = np.array(_points(seed))
    radius, best = 0.02, math.inf
    for angle in np.linspace(0, math.pi / 2, 180, endpoint=False):
        x = points @ [math.cos(angle), math.sin(angle)]
        y = points @ [-math.sin(angle), math.cos(angle)]
        ends = np.linspace(0, radius, 25)[:, None]
        x2, x1 = x.max() - ends, x.min() + ends
        right = np.sqrt(np.maximum(radius**2 - np.maximum(x - x2, 0) ** 2, 0))
        left = np.sqrt(np.maximum(radius**2 - np.maximum(x1 - x, 0) ** 2, 0))
        top = np.maximum((y - right).max(1)[:, None], (y - left).max(1)[None, :])
        low = np.minimum((y + right).min(1)[:, None], (y + left).min(1)[None, :])
        a = np.maximum(x2 - x1.T, 0) + 2 * radius
        b = np.maximum(top - low, 0) + 2 * radius
        best = min(best, float((a * b).min()) - (4 - math.pi) * radius**2)
    got = least_rectangle([tuple(p) for p in points], radius).area
    assert got <= best * (1 + 1e-8)
    assert got >= best * 0.98


@pytest.mark.parametrize("seed", range(4))
def test_ellipses_agree_with_an_independent_ascent(seed: int) -> None:
    points = np.array(_points(seed))
    lifted = np.column_stack([points, np.ones(len(points))])
    u = np.full(len(points), 1 / len(points))
    for _ in range(200_000):  # Titterington's multiplicative ascent on the dual weights
        m = np.einsum("ij,ij->i", lifted @ np.linalg.inv(lifted.T * u @ lifted), lifted) / 3
        if m.max() < 1 + 1e-7:
            break
        u *= m
    centre = points.T @ u
    spread = (points.T * u) @ points - np.outer(centre, centre)
    area = math.pi * math.sqrt(np.linalg.det(2 * spread))
    got = least_ellipse([tuple(p) for p in points])
    assert got.area == pytest.approx(area, rel=5e-4)  # outline of arcs within 0.01 mm, made to cover
    assert got.area >= area * (1 - 1e-6)
    assert got.centre == pytest.approx(tuple(centre), abs=2e-5)


def test_shapes_are_their_own_least_cover() -> None:
    r = rectangle((0.1, -0.2), 0.2, 0.1, 0.3, 0.02)
    assert least_rectangle(r, 0.02).area == pytest.approx(r.area, rel=1e-6)
    o = oval((0.1, -0.2), 0.2, 0.1, 0.3)
    assert least_oval(o).area == pytest.approx(o.area, rel=1e-6)
    e = ellipse((0.1, -0.2), 0.2, 0.1, 0.3)
    assert least_ellipse(e).area == pytest.approx(e.area, rel=4e-4)
    assert least_ellipse(e).angle == pytest.approx(0.3, abs=1e-4)
    c = circle((0.1, -0.2), 0.1)
    assert least_circle(c, 0.01).length == pytest.approx(0.12, rel=1e-9)
    assert least_oval(c).area == pytest.approx(c.area, rel=1e-6)


def test_several_outlines_and_points_together() -> None:
    a, b = spiky(7, 6), spiky(12, 8)
    assert a is not None
    assert b is not None
    b = b.moved(0.3, 0.1)
    c = least_oval([a, b], 0.01)
    assert inside(a, c.outline, 0.01)
    assert inside(b, c.outline, 0.01)
    assert c.area >= shapely.union_all([copied(a), copied(b)]).convex_hull.area
    assert least_circle([(0.0, 0.0)], 0.05).length == pytest.approx(0.1)
