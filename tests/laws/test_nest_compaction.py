"""Pushing a layout together: it stays legal, gets no longer, and finds the shortest where that is plain."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelmend.job.nest.geometry import is_convex, signed_area
from panelmend.job.nest.legality import faults
from panelmend.job.nest.part import Nest, NestProblem, Piece, Placement, Strip
from panelmend.job.nest.placements import layout_measured
from panelmend.job.nest.shelf import shelf_nest
from panelmend.nesting.compaction import compacted, convex_parts

REPEATABLE = settings(derandomize=True, database=None, deadline=None, max_examples=25)
ELL = ((0, 0), (0.4, 0), (0.4, 0.1), (0.1, 0.1), (0.1, 0.3), (0, 0.3))
STAR = tuple(
    (r * math.cos(k * math.pi / 7), r * math.sin(k * math.pi / 7)) for k, r in enumerate([0.2, 0.08] * 7)
)


@pytest.mark.parametrize("points", [ELL, STAR, ((0, 0), (1, 0), (0, 1))])
def test_convex_parts_cover_the_piece_and_nothing_else(points: tuple[tuple[float, float], ...]) -> None:
    whole = np.array(points, dtype=float)
    parts = convex_parts(whole)
    assert all(is_convex(part) and signed_area(part) > 0.0 for part in parts)
    assert sum(map(signed_area, parts)) == pytest.approx(signed_area(whole))
    assert {tuple(p) for part in parts for p in part.tolist()} == {tuple(p) for p in whole.tolist()}


def test_a_loose_row_of_boxes_is_pushed_to_its_least_length() -> None:
    box = Piece("B", ((0, 0), (0.3, 0), (0.3, 0.5), (0, 0.5)), 0.0, True, False, 3)
    strip = Strip("roll", 0.6, None, 0.01, 0.004)
    loose = tuple(Placement("B", k + 1, "roll", 0.05 + 0.37 * k, 0.02 + 0.01 * k, 0.0) for k in range(3))
    made = layout_measured(strip, compacted(strip, loose, {"B": box}, 5.0), (box,))
    assert made.used_length == pytest.approx(0.9 + 2 * 0.004 + 0.02, abs=1e-8)
    assert faults(NestProblem("c", (box,), (strip,)), Nest((made,))) == ()


def test_an_ell_slides_into_the_other() -> None:
    """Two hooks face each other; pushed together they lie in each other's arms, over no corner's way."""
    ell = Piece("L", ELL, 0.0, True, False, 2)
    strip = Strip("roll", 0.45, None, 0.0, 0.002)
    apart = (Placement("L", 1, "roll", 0.0, 0.0, 0.0), Placement("L", 2, "roll", 0.9, 0.42, math.pi))
    made = layout_measured(strip, compacted(strip, apart, {"L": ell}, 5.0), (ell,))
    assert made.used_length == pytest.approx(0.4, abs=1e-8), "as long as one of them"
    assert faults(NestProblem("c", (ell,), (strip,)), Nest((made,))) == ()


@REPEATABLE
@given(st.integers(0, 10_000), st.sampled_from([0.0, 0.003]))
def test_any_legal_layout_stays_legal_and_gets_no_longer(seed: int, gap: float) -> None:
    rng = np.random.default_rng(seed)

    def outline(kind: int) -> tuple[tuple[float, float], ...]:
        size = rng.uniform(0.3, 1.0)
        points = np.array([ELL, STAR, ((0, 0), (0.5, 0.02), (0.1, 0.3))][kind]) * size
        return tuple(map(tuple, points.tolist()))

    pieces = tuple(
        Piece(f"P{k}", outline(int(rng.integers(3))), float(rng.uniform(0, 6)), bool(k % 2), bool(k % 3), 2)
        for k in range(4)
    )
    strip = Strip("roll", 0.9, None, 0.01, gap)
    problem = NestProblem("c", pieces, (strip,))
    before = shelf_nest(problem).layouts[0]
    pushed = compacted(strip, before.placements, {p.id: p for p in pieces}, 2.0)
    after = layout_measured(strip, pushed, pieces)
    assert faults(problem, Nest((after,))) == ()
    assert after.used_length <= before.used_length + 1e-7
    assert {(p.piece, p.copy, p.turn, p.mirrored) for p in pushed} == {
        (p.piece, p.copy, p.turn, p.mirrored) for p in before.placements
    }


def test_corners_that_face_each_other_keep_their_gap() -> None:
    """Across any side these two lie nearer than the gap; only corner to corner they keep it."""
    kite = Piece("K", ((0, -0.2), (0.2, 0), (0, 0.2), (-0.2, 0)), 0.0, False, False, 2)
    strip = Strip("roll", 2.0, None, 0.0, 0.05)
    apart = (Placement("K", 1, "roll", 0.2, 1.0, 0.0), Placement("K", 2, "roll", 0.65, 1.0, 0.0))
    problem = NestProblem("c", (kite,), (strip,))
    assert faults(problem, Nest((layout_measured(strip, apart, (kite,)),))) == ()
    made = layout_measured(strip, compacted(strip, apart, {"K": kite}, 5.0), (kite,))
    assert faults(problem, Nest((made,))) == ()
    assert made.used_length <= 0.85 + 1e-9


def test_a_layout_that_overlaps_is_not_made_worse_or_loops() -> None:
    box = Piece("B", ((0, 0), (0.3, 0), (0.3, 0.5), (0, 0.5)), 0.0, True, False, 2)
    strip = Strip("roll", 0.6, None, 0.0, 0.0)
    over = (Placement("B", 1, "roll", 0.0, 0.0, 0.0), Placement("B", 2, "roll", 0.1, 0.0, 0.0))
    made = layout_measured(strip, compacted(strip, over, {"B": box}, 5.0), (box,))
    assert faults(NestProblem("c", (box,), (strip,)), Nest((made,))), "it is not this one's to mend"
