"""What to search: which copies to lay on which strip, and what stays as shelves laid it.

Where there are remnants, three things can save roll: a remnant that takes every piece, a remnant that takes
what shelves get onto it, and a better layout of what is left for the roll.
"""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.job.nest.bound import fits_strip, grown_area, length_bound
from panelmend.job.nest.part import Layout, Nest, NestProblem, Piece, Strip, Unplaced
from panelmend.job.nest.shelf import copies_of, rolls_filled

Items = tuple[tuple[Piece, tuple[int, ...]], ...]
_FILLINGS = (0.8, 0.72, 0.88)  # shares of a remnant's area worth trying to fill


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

    def possible(self) -> bool:
        """Whether the bound leaves room for a layout."""
        return self.bound <= self.reach + 2.0 * self.strip.edge + 1e-9

    def least_cost(self) -> tuple[int, float, float]:
        """A cost this task can't go below."""
        kept = Nest(self.kept, self.left).cost()
        if self.strip.remnant:
            return kept[0], kept[1], kept[2] + self.strip.width * (self.strip.length or 0.0)
        return kept[0], kept[1] + self.bound, kept[2]


def whole_tasks(problem: NestProblem, floor: Nest) -> list[Task]:
    """Searches that lay everything on one strip of known length: a remnant, or what is left on one roll.

    Args:
        problem: pieces and strips.
        floor: the best shelf nest.

    Returns:
        Tasks that could be better than the shelf nest, the one that could save most first.
    """
    fixed = tuple(u for u in floor.unplaced if _goes_nowhere(problem, u))
    nowhere = {u.piece for u in fixed}
    everything: Items = tuple(
        (p, tuple(range(1, p.quantity + 1))) for p in problem.pieces if p.id not in nowhere
    )
    made = []
    for strip in sorted(problem.strips, key=lambda s: (not s.remnant, s.width * (s.length or 0.0))):
        if everything and strip.length is not None and all(fits_strip(p, strip) for p, _ in everything):
            made.append(_task(strip, everything, (), fixed, strip.usable_length))
    return [t for t in made if t.possible() and t.least_cost() < floor.cost()]


def roll_tasks(problem: NestProblem, nests: list[Nest]) -> list[Task]:
    """Searches for a shorter layout of what is cut from each roll.

    Args:
        problem: pieces and strips.
        nests: the nests to shorten, best first.

    Returns:
        One task for each different share of the pieces on a roll.
    """
    made: dict[object, Task] = {}
    for nest in nests:
        for layout in nest.layouts:
            if not layout.strip.remnant:
                task = _again(problem, nest, layout)
                made.setdefault((task.strip.id, task.items), task)
    return list(made.values())


def fuller_tasks(problem: NestProblem, nest: Nest, strip: Strip) -> list[Task]:
    """Searches that get more onto a remnant than it holds now, so that less is left for the roll.

    Args:
        problem: pieces and strips.
        nest: the nest to better.
        strip: a remnant it uses.

    Returns:
        A task for each different filling; the rest lies on the rolls in shelves until it is searched itself.
    """
    made: dict[Items, Task] = {}
    for layout in nest.layouts:
        for filling in _FILLINGS if layout.strip == strip else ():
            task = _fuller(problem, nest, layout, filling)
            copies = sum(len(numbers) for _, numbers in task.items)
            if copies > len(layout.placements) and task.possible():
                made.setdefault(task.items, task)
    return list(made.values())


def _fuller(problem: NestProblem, nest: Nest, layout: Layout, filling: float) -> Task:
    """A remnant with more on it than shelves get there, up to a share of its area, largest pieces first."""
    strip = layout.strip
    held = (strip.usable_width + strip.gap) * (strip.usable_length + strip.gap) * filling
    elsewhere = {
        (p.piece, p.copy)
        for other in nest.layouts
        if other.strip.remnant and other is not layout
        for p in other.placements
    }
    on_it = {(p.piece, p.copy) for p in layout.placements}
    area = {p.id: grown_area(p.lying(), strip.gap) for p in problem.pieces}
    held -= sum(area[name] for name, _ in on_it)
    free = [c for c in copies_of(problem) if (c.piece.id, c.number) not in elsewhere | on_it]
    for copy in sorted(free, key=lambda c: -area[c.piece.id]):
        if fits_strip(copy.piece, strip) and area[copy.piece.id] <= held:
            held -= area[copy.piece.id]
            on_it.add((copy.piece.id, copy.number))
    rest = [c for c in free if (c.piece.id, c.number) not in on_it]
    kept = tuple(other for other in nest.layouts if other.strip.remnant and other is not layout)
    rolls, left = rolls_filled(problem, rest)
    return _task(strip, _items(problem, on_it), (*kept, *rolls), left, strip.usable_length)


def _items(problem: NestProblem, chosen: set[tuple[str, int]]) -> Items:
    return tuple(
        (piece, numbers)
        for piece in problem.pieces
        if (numbers := tuple(sorted(copy for name, copy in chosen if name == piece.id)))
    )


def _again(problem: NestProblem, nest: Nest, layout: Layout) -> Task:
    items = _items(problem, {(p.piece, p.copy) for p in layout.placements})
    kept = tuple(other for other in nest.layouts if other is not layout)
    return _task(layout.strip, items, kept, nest.unplaced, layout.used_length - 2.0 * layout.strip.edge)


def _task(
    strip: Strip, items: Items, kept: tuple[Layout, ...], left: tuple[Unplaced, ...], reach: float
) -> Task:
    copies = [piece for piece, numbers in items for _ in numbers]
    return Task(strip, items, kept, left, reach, length_bound(strip, copies))


def _goes_nowhere(problem: NestProblem, left: Unplaced) -> bool:
    piece = problem.piece(left.piece)
    return piece is not None and not any(fits_strip(piece, s) for s in problem.strips)
