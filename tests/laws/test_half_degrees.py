"""A cut-out lies at half degrees where that takes less, and its sizes are steps of the data's own."""

from __future__ import annotations

import math

import pytest

from panelmend.job.forms import DEGREE, smallest
from panelmend.shapes import ellipse, rectangle


@pytest.mark.parametrize(("angle", "lies"), [(10.0, 10.0), (10.5, 10.5), (10.2, 10.0), (10.3, 10.5)])
def test_a_rectangle_lies_at_the_nearest_half_degree(angle: float, lies: float) -> None:
    what = rectangle((0.3, 0.2), 0.1, 0.02, angle * DEGREE)
    found = smallest("rectangle", (what,), 0.0, 1e-4, 0.0, None)
    assert found.angle / DEGREE == pytest.approx(lies, abs=1e-9)


def test_half_degrees_take_less_than_whole_ones() -> None:
    """100 x 20 mm at 10.5 degrees: at 10 or 11 it takes 100 sin(0.5 degrees) = 0.87 mm more across."""
    what = rectangle((0.3, 0.2), 0.1, 0.02, 10.5 * DEGREE)
    area = smallest("rectangle", (what,), 0.0, 1e-4, 0.0, None).outline.area
    assert area == pytest.approx(0.1 * 0.02, rel=0.002)
    assert smallest("rectangle", (what,), 0.0, 1e-4, 0.0, 10.0 * DEGREE).outline.area > 1.04 * 0.1 * 0.02


@pytest.mark.parametrize("form", ["ellipse", "oval", "rectangle"])
def test_never_more_than_at_the_whole_degree(form: str) -> None:
    for k in range(6):
        what = (ellipse((0.1, 0.1), 0.08, 0.03, (17.0 + 0.17 * k) * DEGREE, 1e-4),)
        free = smallest(form, what, 0.003, 0.0005, 0.0127, None)  # type: ignore[arg-type]
        whole = round(free.angle / DEGREE) * DEGREE
        for turn in (whole, math.floor(free.angle / DEGREE) * DEGREE):
            held = smallest(form, what, 0.003, 0.0005, 0.0127, turn)  # type: ignore[arg-type]
            assert free.outline.area <= held.outline.area + 1e-9
        for size in (free.length, free.width):
            assert size / 0.0005 == pytest.approx(round(size / 0.0005), abs=1e-6)
