"""What to search: which copies to lay on which strip, and what stays as shelves laid it.

Where there are remnants, three things can save roll: a remnant that takes every piece, a remnant that takes
what shelves get onto it, and a better layout of what is left for the roll.
"""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.job.nest.bound import fits, length_bound
from panelmend.job.nest.part import Layout, Nest, Piece, Problem, Strip, Unplaced

Items = tuple[tuple[Piece, tuple[int, ...]], ...]
_MOST_SHARES = 2


@dataclass(frozen=True)
class Task:
    """One search: lay ``items`` (pieces with their copy numbers) on ``strip``; ``kept`` stays as it is.

    ``reach`` [m] is the usable length that must not be exceeded.
    """

    strip: Strip
    items: Items
    kept: tuple[Layout, ...]
    left: tuple[Unplaced, ...]
    reach: float
    bound: float

    def whole(self, layout: Layout) -> Nest:
        """The nest this task's layout makes together with what is kept."""
        return Nest((*self.kept, layout), self.left)

    def least_cost(self) -> tuple[int, float, float]:
        """A cost this task can't go below."""
        kept = Nest(self.kept, self.left).cost()
        if self.strip.remnant:
            return kept[0], kept[1], kept[2] + self.strip.width * (self.strip.length or 0.0)
        return kept[0], kept[1] + self.bound, kept[2]


def tasks_of(problem: Problem, floors: list[Nest]) -> list[Task]:
    """The searches worth running, the one that could save most first.

    Args:
        problem: pieces and strips.
        floors: shelf nests, best first.

    Returns:
        Tasks; none when nothing can be placed at all.
    """
    best = floors[0].cost()
    fixed = tuple(u for u in floors[0].unplaced if _goes_nowhere(problem, u))
    nowhere = {u.piece for u in fixed}
    everything: Items = tuple(
        (p, tuple(range(1, p.quantity + 1))) for p in problem.pieces if p.id not in nowhere
    )
    made = []
    for strip in sorted(problem.strips, key=lambda s: (not s.remnant, s.width * (s.length or 0.0))):
        if not everything or not all(fits(p, strip) for p, _ in everything) or strip.length is None:
            continue
        task = _task(strip, everything, (), fixed, strip.usable_length)
        if task.bound <= strip.length + 1e-9 and task.least_cost() < best:
            made.append(task)
    for nest in floors[:_MOST_SHARES]:
        for layout in nest.layouts:
            if not layout.strip.remnant:
                made.append(_again(problem, nest, layout))
    return made


def _again(problem: Problem, nest: Nest, layout: Layout) -> Task:
    items = tuple(
        (piece, numbers)
        for piece in problem.pieces
        if (numbers := tuple(sorted(p.copy for p in layout.placements if p.piece == piece.id)))
    )
    kept = tuple(other for other in nest.layouts if other is not layout)
    return _task(layout.strip, items, kept, nest.unplaced, layout.used_length - 2.0 * layout.strip.edge)


def _task(
    strip: Strip, items: Items, kept: tuple[Layout, ...], left: tuple[Unplaced, ...], reach: float
) -> Task:
    copies = [piece for piece, numbers in items for _ in numbers]
    return Task(strip, items, kept, left, reach, length_bound(strip, copies))


def _goes_nowhere(problem: Problem, left: Unplaced) -> bool:
    piece = problem.piece(left.piece)
    return piece is not None and not any(fits(piece, s) for s in problem.strips)
