"""Searched nests: legal, never longer than shelves, and read back from an engine without turning anything
wrong.

Engines stop by the clock, so no test asks for a length; each asks for what must hold of any result.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from nine_pieces import nine_pieces
from panelmend.job.nest import geometry
from panelmend.job.nest.bound import length_bound
from panelmend.job.nest.legality import faults
from panelmend.job.nest.part import ClothNest, Nest, NestProblem, Piece, Placement, Strip
from panelmend.job.nest.placements import layout_measured, placed_boundary
from panelmend.job.nest.shelf import shelf_nest
from panelmend.nesting.answers import placements_from
from panelmend.nesting.port import SearchProgress, SearchResult, engines_here, search
from panelmend.nesting.repair import repaired
from panelmend.nesting.tasks import Task, fuller_tasks, roll_tasks, whole_tasks
from panelmend.render.nest import lying
from panelmend.screen.drawing.cutting import two_ways
from panelmend.shapes.makers import polygon
from panelmend.units import INCH

REPEATABLE = settings(derandomize=True, database=None, deadline=None, max_examples=40)
SCALENE = ((0.02, 0.01), (0.41, 0.03), (0.1, 0.22))


def patient(problem: NestProblem, good: Callable[[Nest], bool], **more: Any) -> SearchResult:
    """Search with more and more time until the result is good: a busy machine only makes it slower, and other
    random numbers find sooner than more time with the same."""
    for seed, budget in enumerate((0.6, 2.5, 2.5, 2.5, 8.0, 25.0), 1):
        result = search(problem, budget, seed=seed, **more)
        if good(result.nest):
            break
    return result


@pytest.mark.slow
def test_the_nine_pieces_nest_shorter_than_shelves_and_not_under_the_bound() -> None:
    problem = nine_pieces()
    assert sum(p.area() for p in problem.pieces) / INCH**2 == pytest.approx(1547.7, abs=1e-6)
    told: list[SearchProgress] = []
    shelf = shelf_nest(problem)
    result = patient(problem, lambda nest: nest.roll_length < 0.9 * shelf.roll_length, progress=told.append)
    assert faults(problem, result.nest) == ()
    assert result.engine in engines_here()
    assert result.nest.roll_length < 0.9 * shelf.roll_length
    assert result.nest.roll_length >= result.nest.layouts[0].bound
    placed = result.nest.layouts[0].placements
    shapes = [
        Polygon(placed_boundary(piece, p)) for p in placed if (piece := problem.piece(p.piece)) is not None
    ]
    assert len(shapes) == 9
    for i, shape in enumerate(shapes):  # the same asked of GEOS
        assert all(shape.distance(other) >= 0.25 * INCH - 1e-6 for other in shapes[:i])
        assert shape.bounds[1] >= 0.5 * INCH - 1e-6
        assert shape.bounds[3] <= 49.5 * INCH + 1e-6
    assert told
    assert all(p.found > 0.0 and p.elapsed >= 0.0 for p in told)


def test_a_shelf_layout_at_the_bound_is_not_searched() -> None:
    half = Piece("H", ((0, 0), (0.4, 0), (0.4, 0.5), (0, 0.5)), 0.0, True, False, 4)
    result = search(NestProblem("c", (half,), (Strip("roll", 1.0, None, 0.0, 0.0),)), 30.0)
    assert (result.engine, result.nest.roll_length) == ("shelves", pytest.approx(0.8))


def test_pieces_that_fill_the_width_exactly_end_inside_it() -> None:
    lengths = (0.5, 0.4, 0.4, 0.3)
    pieces = tuple(
        Piece(f"H{i}", ((0, 0), (a, 0), (a, 0.5), (0, 0.5)), 0.0, True, False) for i, a in enumerate(lengths)
    )
    problem = NestProblem("c", pieces, (Strip("roll", 1.0, None, 0.0, 0.0),))
    assert shelf_nest(problem).roll_length == pytest.approx(0.9)
    result = patient(problem, lambda nest: nest.roll_length < 0.85)
    assert faults(problem, result.nest) == ()
    assert result.nest.roll_length < 0.85


def test_two_halves_go_on_the_remnant_that_their_boxes_do_not_fit() -> None:
    wedge = Piece("W", ((0, 0), (0.6, 0), (0, 0.38)), 0.0, True, False, 2)
    strips = (
        Strip("roll", 1.0, None, 0.005, 0.003),
        Strip("bit", 0.42, 0.68, 0.005, 0.003, remnant=True),
    )
    problem = NestProblem("c", (wedge,), strips)
    assert shelf_nest(problem).roll_length > 0.3
    result = patient(problem, lambda nest: nest.roll_length == 0.0)
    assert faults(problem, result.nest) == ()
    assert [layout.strip.id for layout in result.nest.layouts] == ["bit"]
    assert result.nest.roll_length == 0.0


def test_cloth_with_a_face_is_never_turned_over_and_directed_weave_never_half_turned() -> None:
    pieces = tuple(
        Piece(f"T{i}", SCALENE, warp, half, False, 3)
        for i, (warp, half) in enumerate([(0.3, False), (-0.5, True), (1.1, False)])
    )
    problem = NestProblem("c", pieces, (Strip("roll", 0.8, None, 0.01, 0.004),))
    result = search(problem, 1.5, seed=3)
    assert faults(problem, result.nest) == ()
    assert result.nest.roll_length <= shelf_nest(problem).roll_length
    assert not any(p.mirrored for layout in result.nest.layouts for p in layout.placements)


def test_a_piece_is_told_by_its_id_however_its_copies_are_written() -> None:
    """ "T.1" cut once was taken for the first copy of a "T" beside it."""
    outline = polygon(SCALENE)
    pieces = (Piece("T", SCALENE, 0.0, False, False, 2), Piece("T.1", SCALENE, 0.0, True, False, 1))
    problem = NestProblem("c", pieces, (Strip("roll", 0.8, None, 0.01, 0.004),))
    nest = shelf_nest(problem)
    laid = [x for layout in nest.layouts for x in lying(layout, {"T": outline, "T.1": outline})]
    assert sorted((x.piece, x.words) for x in laid) == [("T", "T.1"), ("T", "T.2"), ("T.1", "T.1")]
    item = ClothNest(problem, nest, 0.0, nest.roll_length, "shelves")
    assert [two_ways(item, x.piece) for x in laid] == [x.piece == "T.1" for x in laid]


def test_no_time_gives_the_shelf_layout() -> None:
    problem = nine_pieces()
    result = search(problem, 0.0)
    assert (result.engine, result.nest) == ("shelves", shelf_nest(problem))


@REPEATABLE
@given(
    st.floats(-3.0, 3.0),
    st.booleans(),
    st.booleans(),
    st.floats(0.0, 900.0),
    st.floats(0.0, 900.0),
    st.floats(1, 2e3),
)
def test_an_engine_row_becomes_the_same_place(
    warp: float, half: bool, over: bool, x: float, y: float, scale: float
) -> None:
    piece = Piece("S", SCALENE, warp, True, True, 1)
    strip = Strip("roll", 1.0, None, 0.02, 0.0)
    task = Task(strip, ((piece, (1,)),), (), (), 10.0, 0.0)
    (at,) = placements_from(task, [[0, x, y, half, over]], scale)
    lying = piece.lying() * [1.0, -1.0 if over else 1.0]
    engine = (-lying if half else lying) + np.array([x, y]) / scale + 0.02
    mine = placed_boundary(piece, at)
    assert geometry.nearest_on_boundary(mine, engine)[0].max() < 1e-9
    off = min(abs(math.remainder(at.turn - t, 2 * math.pi)) for t in piece.turns(over))
    assert off < 1e-9
    # the warp lies along the roll: the piece's own warp direction, carried along
    tip = geometry.turned_boundary([(0.0, 0.0), (math.cos(warp), math.sin(warp)), (0.0, 1e-3)], at.turn, over)
    tip = tip[::-1] if over else tip
    assert abs(tip[1][1] - tip[0][1]) < 1e-9


@pytest.mark.parametrize(
    "row",
    [[7, 0, 0, False, False], [0, math.nan, 0, False, False], [0, 0, 0, True, False], [0, 0, 0, False, True]],
)
def test_rows_that_cannot_be_are_refused(row: list[object]) -> None:
    piece = Piece("S", SCALENE, 0.0, False, False, 1)
    task = Task(Strip("roll", 1.0, None, 0.0, 0.0), ((piece, (1,)),), (), (), 10.0, 0.0)
    with pytest.raises((LookupError, ValueError)):
        placements_from(task, [row], 1.0)
    with pytest.raises(LookupError):
        placements_from(task, [[0, 0, 0, False, False]] * 2, 1.0)


@REPEATABLE
@given(st.integers(0, 1000), st.sampled_from([0.0, 0.004]))
def test_what_is_off_by_rounding_is_made_legal(seed: int, gap: float) -> None:
    rng = np.random.default_rng(seed)
    piece = Piece("B", ((0, 0), (0.3, 0), (0.3, 0.2), (0, 0.2)), 0.0, True, False, 9)
    width = 3 * 0.2 + 2 * gap + 1e-5 + 0.02
    strip = Strip("roll", width, None, 0.01, gap)
    placed = tuple(
        Placement("B", 3 * i + j + 1, "roll", 0.01 + i * (0.3 + gap), 0.01 + j * (0.2 + gap), 0.0)
        for i in range(3)
        for j in range(3)
    )
    shaken = tuple(
        Placement(p.piece, p.copy, p.strip, p.x + float(dx), p.y + float(dy), p.turn)
        for p, (dx, dy) in zip(placed, rng.uniform(-4e-6, 4e-6, (9, 2)), strict=True)
    )
    problem = NestProblem("c", (piece,), (strip,))
    pieces = {"B": piece}
    made = layout_measured(strip, repaired(strip, shaken, pieces), problem.pieces)
    assert faults(problem, Nest((made,))) == ()
    assert made.used_length <= 0.02 + 0.9 + 2 * gap + 5e-5


def test_a_real_fault_is_not_repaired_away() -> None:
    piece = Piece("B", ((0, 0), (0.3, 0), (0.3, 0.2), (0, 0.2)), 0.0, True, False, 2)
    strip = Strip("roll", 1.0, None, 0.01, 0.004)
    placed = (Placement("B", 1, "roll", 0.01, 0.01, 0.0), Placement("B", 2, "roll", 0.2, 0.01, 0.0))
    assert repaired(strip, placed, {"B": piece}) == placed


def test_tasks_try_the_remnant_for_everything_first() -> None:
    strips = (Strip("roll", 1.0, None, 0.0, 0.0), Strip("bit", 0.7, 1.0, 0.0, 0.0, remnant=True))
    wedge = Piece("W", ((0, 0), (0.6, 0), (0, 0.6)), 0.0, True, False, 3)
    problem = NestProblem("c", (wedge,), strips)
    tasks = whole_tasks(problem, shelf_nest(problem))
    assert tasks[0].strip.id == "bit"
    assert [numbers for _, numbers in tasks[0].items] == [(1, 2, 3)]
    assert tasks[0].bound == pytest.approx(length_bound(strips[1], (wedge,) * 3))
    (last,) = roll_tasks(problem, [shelf_nest(problem)])
    assert last.strip.id == "roll"


def test_every_task_asks_for_each_copy_once() -> None:
    rng = np.random.default_rng(5)
    pieces = tuple(
        Piece(f"E{i}", tuple(((np.array(SCALENE) - 0.1) * f).tolist()), float(i), True, False, 3)
        for i, f in enumerate(rng.uniform(0.4, 1.5, 6))
    )
    strips = (
        Strip("roll", 1.0, None, 0.01, 0.004),
        Strip("bit", 0.5, 0.6, 0.01, 0.004, remnant=True),
        Strip("bit 2", 0.4, 0.9, 0.01, 0.004, remnant=True),
    )
    problem = NestProblem("c", pieces, strips)
    floor = shelf_nest(problem)
    assert len(floor.layouts) == 3
    tasks = [task for strip in strips[1:] for task in fuller_tasks(problem, floor, strip)]
    assert tasks
    for task in [*tasks, *whole_tasks(problem, floor), *roll_tasks(problem, [floor])]:
        asked = [(p.id, n) for p, numbers in task.items for n in numbers]
        asked += [(p.piece, p.copy) for layout in task.kept for p in layout.placements]
        assert sorted(asked) == sorted((p.id, n) for p in pieces for n in (1, 2, 3))
        assert task.strip.id not in {layout.strip.id for layout in task.kept}
    result = search(problem, 1.5, seed=1, engines=("spyrrow",))
    assert faults(problem, result.nest) == ()
    assert result.nest.cost() <= floor.cost()
