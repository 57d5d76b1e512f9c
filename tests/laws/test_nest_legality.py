"""The layout check refuses every planted fault and passes what is right."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from panelmend.job.nest.legality import faults
from panelmend.job.nest.part import Layout, Nest, NestProblem, Piece, Placement, Strip, Unplaced
from panelmend.job.nest.placements import layout_measured

PARALLELOGRAM = ((0.0, 0.0), (0.4, 0.0), (0.5, 0.2), (0.1, 0.2))
SQUARE = ((0.0, 0.0), (0.2, 0.0), (0.2, 0.2), (0.0, 0.2))
STRIP = Strip("R1", 0.8, None, 0.01, 0.005)
A = Piece("A", PARALLELOGRAM, 0.0, False, False, 1)
B = Piece("B", SQUARE, math.pi / 2, True, False, 2)
PROBLEM = NestProblem("glass 7781-like", (A, B), (STRIP, Strip("R2", 0.8, 0.515, 0.01, 0.005, remnant=True)))

# A on the left; copies of B above it, turned a quarter so that their warp lies along the roll
PLACED = (
    Placement("A", 1, "R1", 0.01, 0.01, 0.0),
    Placement("B", 1, "R1", 0.01, 0.415, -math.pi / 2),
    Placement("B", 2, "R1", 0.415, 0.215, math.pi / 2),
)


def nest(*placements: Placement, problem: NestProblem = PROBLEM, strip: Strip = STRIP) -> Nest:
    return Nest((layout_measured(strip, placements, problem.pieces),))


def changed(index: int, **values: object) -> Nest:
    placed = list(PLACED)
    placed[index] = replace(placed[index], **values)  # type: ignore[arg-type]
    return nest(*placed)


def test_a_legal_nest_passes() -> None:
    assert faults(PROBLEM, nest(*PLACED)) == ()


def told(**values: object) -> Nest:
    layout: Layout = replace(nest(*PLACED).layouts[0], **values)  # type: ignore[arg-type]
    return Nest((layout,))


PLANTED: dict[str, tuple[Callable[[], Nest], str]] = {
    "gap short by 2 um": (lambda: changed(1, y=0.415 - 2e-6), "apart, the gap is 5.000 mm"),
    "overlap": (lambda: changed(1, y=0.35), "overlap"),
    "right-hand edge": (lambda: changed(0, y=0.01 - 2e-6), "right-hand edge"),
    "left-hand edge": (lambda: changed(1, y=0.8), "left-hand edge"),
    "start": (lambda: changed(0, x=0.0), "the start"),
    "turn off by 1e-6": (lambda: changed(0, turn=1e-6), "degrees off"),
    "quarter turn": (lambda: changed(0, turn=math.pi / 2), "degrees off"),
    "half turn of a weave with direction": (lambda: changed(0, turn=math.pi, x=0.6, y=0.3), "degrees off"),
    "turned over": (lambda: changed(0, mirrored=True, y=0.21), "has a face"),
    "a copy missing": (lambda: nest(*PLACED[:2]), "2 to cut, 1 lie"),
    "a copy twice": (lambda: nest(*PLACED, replace(PLACED[2], x=0.7)), "lies 2 times"),
    "a copy too many": (lambda: nest(*PLACED, replace(PLACED[2], copy=3, x=0.7)), "no copy 3"),
    "a stranger": (
        lambda: nest(
            *PLACED,
            Placement("C", 1, "R1", 1.0, 0.1, 0.0),
            problem=replace(PROBLEM, pieces=(A, B, replace(A, id="C"))),
        ),
        "not one of the pieces",
    ),
    "used length told short": (lambda: told(used_length=0.5), "used length"),
    "used length no number": (lambda: told(used_length=math.nan), "used length"),
    "density told high": (lambda: told(density=0.99), "density"),
    "bound told above": (lambda: told(bound=2.0), "bound"),
    "place no number": (
        lambda: told(placements=(replace(PLACED[0], x=math.nan), *PLACED[1:])),
        "not a number",
    ),
    "another strip named": (lambda: changed(0, strip="R9"), "says strip R9"),
    "strip changed": (lambda: nest(*PLACED, strip=replace(STRIP, edge=0.0)), "was changed"),
    "strip twice": (lambda: Nest(nest(*PLACED).layouts * 2), "laid out twice"),
    "past the end of a remnant": (
        lambda: nest(*(replace(p, strip="R2") for p in PLACED), strip=PROBLEM.strips[1]),
        "the end of strip R2",
    ),
    "empty strip": (lambda: told(placements=()), "without any piece"),
}


@pytest.mark.parametrize("name", PLANTED)
def test_a_planted_fault_is_found(name: str) -> None:
    make, words = PLANTED[name]
    found = faults(PROBLEM, make())
    assert any(words in f for f in found), found


def test_rounding_below_a_micrometre_passes() -> None:
    assert faults(PROBLEM, changed(1, y=0.415 - 5e-7)) == ()


def test_cloth_without_a_face_may_be_turned_over_and_its_warp_changes_sense() -> None:
    piece = Piece("M", PARALLELOGRAM, math.radians(30), False, True, 1)
    problem = NestProblem("plain", (piece,), (STRIP,))
    right = nest(Placement("M", 1, "R1", 0.3, 0.5, math.radians(30), True), problem=problem)
    wrong = nest(Placement("M", 1, "R1", 0.3, 0.5, math.radians(-30), True), problem=problem)
    assert faults(problem, right) == ()
    assert any("degrees off" in f for f in faults(problem, wrong))


def test_a_piece_left_over_is_counted_only_when_it_is_named() -> None:
    assert any("1 lie" in f for f in faults(PROBLEM, nest(*PLACED[:2])))
    named = Nest(nest(*PLACED[:2]).layouts, (Unplaced("B", 1),))
    assert faults(PROBLEM, named) == ()


def test_without_a_gap_pieces_may_touch_but_not_overlap() -> None:
    strip = Strip("R1", 1.0, None, 0.0, 0.0)
    problem = NestProblem("c", (Piece("S", SQUARE, 0.0, False, False, 2),), (strip,))
    first = Placement("S", 1, "R1", 0.0, 0.0, 0.0)
    touch = nest(first, Placement("S", 2, "R1", 0.2, 0.1, 0.0), problem=problem, strip=strip)
    deep = nest(first, Placement("S", 2, "R1", 0.2 - 2e-6, 0.1, 0.0), problem=problem, strip=strip)
    same = nest(first, Placement("S", 2, "R1", 0.0, 0.0, 0.0), problem=problem, strip=strip)
    assert faults(problem, touch) == ()
    assert any("overlap" in f for f in faults(problem, deep))
    assert any("overlap" in f for f in faults(problem, same))
