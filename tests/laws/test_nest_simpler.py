"""The engines' polygon contains the piece, stays within the allowed distance and the same box."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from panelmend.job.nest.geometry import Points, turned_boundary
from panelmend.nesting.simpler import simpler

REPEATABLE = settings(derandomize=True, database=None, deadline=None, max_examples=60)


def wavy(seed: int, count: int) -> Points:
    rng = np.random.default_rng(seed)
    t = np.arange(count) * 2.0 * math.pi / count
    radius = 0.2 + sum(
        float(rng.uniform(0.0, 0.03)) * np.cos(k * t + float(rng.uniform(0.0, 6.0))) for k in (2, 3, 5)
    )
    return np.column_stack((1.5 * radius * np.cos(t), radius * np.sin(t)))


@REPEATABLE
@given(st.integers(0, 5000), st.integers(12, 300), st.sampled_from([5e-5, 2e-4, 1e-3]))
def test_it_contains_the_piece_and_hardly_exceeds_it(seed: int, count: int, allowed: float) -> None:
    points = turned_boundary(wavy(seed, count), float(seed))
    made = simpler(points, allowed)
    piece, around = Polygon(points), Polygon(made)
    assert around.is_valid
    assert len(made) <= len(points)
    assert piece.difference(around).area <= 1e-12
    assert around.difference(piece.buffer(allowed * 1.01)).area <= 1e-12
    assert around.bounds == pytest.approx(piece.bounds, abs=1e-12)


def test_a_round_piece_loses_most_of_its_sides() -> None:
    t = np.arange(360) * math.pi / 180.0
    assert len(simpler(0.15 * np.column_stack((np.cos(t), np.sin(t))))) <= 130


def test_a_piece_of_few_corners_is_left_alone() -> None:
    points = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    assert (simpler(points) == points).all()
