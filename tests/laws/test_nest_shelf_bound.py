"""Shelves are legal, prefer remnants, name what is too big; the bound is below every layout there is."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from panelmend.job.nest import geometry
from panelmend.job.nest.bound import grown_area, length_bound, roll_bound
from panelmend.job.nest.legality import faults
from panelmend.job.nest.part import NestProblem, Piece, Strip
from panelmend.job.nest.shelf import shelf_candidates, shelf_nest, why_left

REPEATABLE = settings(derandomize=True, database=None, deadline=None, max_examples=40)


def star(seed: int, count: int, size: float) -> tuple[tuple[float, float], ...]:
    rng = np.random.default_rng(seed)
    angles = (np.arange(count) + rng.uniform(0.1, 0.9, count)) * 2.0 * math.pi / count
    radii = size * rng.uniform(0.3, 1.0, count)
    return tuple(zip((radii * np.cos(angles)).tolist(), (radii * np.sin(angles)).tolist(), strict=True))


def box(name: str, along: float, across: float, quantity: int = 1) -> Piece:
    return Piece(name, ((0, 0), (along, 0), (along, across), (0, across)), 0.0, True, False, quantity)


def several(seed: int) -> NestProblem:
    rng = np.random.default_rng(seed)
    pieces = tuple(
        Piece(
            f"P{i}",
            star(seed * 31 + i, int(rng.integers(4, 9)), float(rng.uniform(0.05, 0.45))),
            float(rng.choice([0.0, math.pi / 2, math.pi / 4, -math.pi / 4, 0.3])),
            bool(rng.integers(2)),
            False,
            int(rng.integers(1, 4)),
        )
        for i in range(int(rng.integers(1, 7)))
    )
    strips = (Strip("roll", 1.2, None, 0.012, 0.006), Strip("cut", 0.7, 0.9, 0.012, 0.006, remnant=True))
    return NestProblem("cloth", pieces, strips[: int(rng.integers(1, 3))])


@REPEATABLE
@given(st.integers(0, 5000))
def test_shelves_are_legal_and_never_under_the_bound(seed: int) -> None:
    problem = several(seed)
    for nest in shelf_candidates(problem):
        assert faults(problem, nest) == ()
        assert not nest.unplaced
        assert nest.roll_length >= roll_bound(problem)
        for layout in nest.layouts:
            assert layout.used_length >= layout.bound


@REPEATABLE
@given(st.integers(0, 5000), st.floats(0.0, 0.02))
def test_no_bound_is_above_a_cut_that_exists(seed: int, gap: float) -> None:
    """Cut a sheet by straight cuts and shrink each part by half the gap: that is a layout of known length."""
    rng = np.random.default_rng(seed)
    width, length = 1.0, float(rng.uniform(0.8, 2.0))
    parts = [(0.0, 0.0, length + gap, width + gap)]
    for _ in range(int(rng.integers(1, 8))):
        x, y, w, h = parts.pop(int(rng.integers(len(parts))))
        f = float(rng.uniform(0.2, 0.8))
        parts += (
            [(x, y, w * f, h), (x + w * f, y, w - w * f, h)]
            if rng.integers(2)
            else [(x, y, w, h * f), (x, y + h * f, w, h - h * f)]
        )
    pieces = tuple(
        box(f"P{i}", w - gap, h - gap) for i, (_, _, w, h) in enumerate(parts) if min(w, h) > 2 * gap
    )
    strip = Strip("roll", width, None, 0.0, gap)
    bound = length_bound(strip, pieces)
    assert bound <= length
    if gap < 1e-6:
        assert bound >= length - 1e-3  # a cut without waste leaves nothing to gain


@REPEATABLE
@given(st.integers(0, 5000), st.integers(2, 7))
def test_no_bound_is_above_a_layout_of_slanted_parts(seed: int, count: int) -> None:
    """Slanted cuts across a strip: pieces interlock, and their known total length stays above the bound."""
    rng = np.random.default_rng(seed)
    low = np.concatenate(([0.0], np.cumsum(rng.uniform(0.1, 0.5, count))))
    high = low + np.concatenate(([0.0], rng.uniform(-0.04, 0.04, count - 1), [0.0]))
    pieces = tuple(
        Piece(
            f"P{i}",
            ((low[i], 0.0), (low[i + 1], 0.0), (high[i + 1], 1.0), (high[i], 1.0)),
            0.0,
            True,
            False,
            1,
        )
        for i in range(count)
    )
    bound = length_bound(Strip("roll", 1.0, None, 0.0, 0.0), pieces)
    assert low[-1] - 1e-3 <= bound <= low[-1]


@pytest.mark.parametrize(
    ("pieces", "width", "gap", "least"),
    [
        ([(1.0, 0.6), (1.0, 0.6), (1.0, 0.6)], 1.0, 0.1, 3.2),  # no two side by side: lengths and gaps add up
        ([(0.7, 0.2), (0.2, 0.2)], 1.0, 0.0, 0.7),  # the longest piece
        ([(1.0, 0.4)] * 3, 1.0, 0.0, 1.5),  # two side by side at most, so one and a half
        ([(1.0, 0.5)] * 4, 1.0, 0.0, 2.0),  # area
    ],
)
def test_known_bounds(pieces: list[tuple[float, float]], width: float, gap: float, least: float) -> None:
    made = [box(f"P{i}", *size) for i, size in enumerate(pieces)]
    assert length_bound(Strip("roll", width, None, 0.0, gap), made) == pytest.approx(least, abs=1e-4)


@REPEATABLE
@given(st.integers(0, 5000), st.integers(3, 9), st.floats(0.001, 0.2))
def test_grown_area_is_no_more_than_geos_grows(seed: int, count: int, gap: float) -> None:
    points = geometry.turned_boundary(star(seed, count, 0.5), 0.0)
    grown = Polygon(points).buffer(gap / 2.0, quad_segs=256).area
    assert grown_area(points, gap) <= grown * (1.0 + 2e-5)


def test_grown_area_of_a_convex_piece_is_exact() -> None:
    points = geometry.turned_boundary(((0, 0), (2, 0), (2, 1), (0, 1)), 0.3)
    assert grown_area(points, 0.5) == pytest.approx(2.0 + 6.0 * 0.25 + math.pi / 16.0, rel=1e-12)


def test_a_remnant_that_holds_everything_saves_the_roll_and_the_smallest_is_taken() -> None:
    strips = (
        Strip("roll", 1.2, None, 0.01, 0.005),
        Strip("large", 1.2, 2.0, 0.01, 0.005, remnant=True),
        Strip("small", 0.6, 0.6, 0.01, 0.005, remnant=True),
    )
    nest = shelf_nest(NestProblem("c", (box("A", 0.5, 0.25, 2),), strips))
    assert [layout.strip.id for layout in nest.layouts] == ["small"]
    assert nest.roll_length == 0.0


@pytest.mark.parametrize("names", [("A", "B"), ("B", "A")])
def test_of_remnants_alike_the_first_of_the_document_is_taken_whatever_it_is_called(
    names: tuple[str, str],
) -> None:
    """The one first in the alphabet was taken."""
    roll = Strip("roll", 1.0, None, 0.01, 0.005)
    bits = [Strip(n, 0.5, 0.5, 0.01, 0.005, remnant=True) for n in names]
    nest = shelf_nest(NestProblem("c", (box("P", 0.3, 0.2),), (roll, *bits)))
    assert [x.strip.id for x in nest.layouts] == [names[0]]


def test_a_remnant_that_saves_nothing_stays_on_the_rack() -> None:
    strips = (Strip("roll", 1.2, None, 0.0, 0.0), Strip("bit", 0.3, 0.3, 0.0, 0.0, remnant=True))
    nest = shelf_nest(NestProblem("c", (box("A", 0.5, 0.5), box("B", 0.2, 0.2)), strips))
    assert [layout.strip.id for layout in nest.layouts] == ["roll"]


def test_what_is_too_wide_is_named_with_by_how_much() -> None:
    piece = Piece("W", ((0, 0), (1.3, 0), (1.3, 0.2), (0, 0.2)), math.pi / 2, True, False, 2)
    nest = shelf_nest(
        NestProblem("c", (piece, box("A", 0.5, 0.5)), (Strip("roll", 1.27, None, 0.0125, 0.0),))
    )
    assert [(u.piece, u.copies) for u in nest.unplaced] == [("W", 2)]
    strips = (Strip("roll", 1.27, None, 0.0125, 0.0),)
    assert why_left(piece, strips).endswith("55.0 mm too wide")
    assert why_left(piece, strips, "in").endswith("2.17 in too wide")


def test_a_roll_too_short_is_named_and_the_next_roll_is_used() -> None:
    rolls = (Strip("opened", 1.0, 0.5, 0.0, 0.0), Strip("new", 1.0, None, 0.0, 0.0))
    problem = NestProblem("c", (box("A", 0.5, 0.6, 3),), rolls)
    assert [layout.strip.id for layout in shelf_nest(problem).layouts] == ["opened", "new"]
    short = shelf_nest(NestProblem("c", problem.pieces, rolls[:1]))
    assert short.unplaced[0].copies == 2
    assert "no room beside" in why_left(problem.pieces[0], rolls[:1])
    long = box("L", 0.7, 0.2)
    assert shelf_nest(NestProblem("c", (long,), rolls[:1])).unplaced
    assert "200.0 mm too long" in why_left(long, rolls[:1])


def test_a_problem_has_one_digest_however_it_is_made() -> None:
    one = several(7)
    again = several(7)
    assert one.digest() == again.digest()
    other = NestProblem(one.cloth, one.pieces, (Strip("roll", 1.2, None, 0.012, 0.0061), *one.strips[1:]))
    assert other.digest() != one.digest()
