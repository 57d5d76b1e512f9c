"""Plain shelves: the nest anybody can lay without a search, and the length no searched layout may exceed.

Each piece goes by its box. Shelves stand across the roll, one after the other; a piece goes on the first
shelf with room, the first piece of a shelf sets its depth. Several orders are tried, and every choice of
remnants.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

from panelmend.derive.memory import remembered
from panelmend.job.nest.bound import fits_strip
from panelmend.job.nest.geometry import turned_boundary
from panelmend.job.nest.part import Layout, Nest, NestProblem, Piece, Placement, Strip, Unplaced
from panelmend.job.nest.placements import furthest_end, layout_measured
from panelmend.units import show

_SLACK = 1e-9
_MOST_CHOICES = 64


@dataclass(frozen=True)
class Copy:
    """One copy of a piece with its box on the cloth: along and across [m]."""

    piece: Piece
    number: int
    along: float
    across: float


Laid = tuple[Strip, list[Placement]]


@dataclass(frozen=True)
class _Draft:
    """A shelf nest before it is measured in full."""

    laid: tuple[Laid, ...]
    left: tuple[Copy, ...]
    cost: tuple[int, float, float]


Order = Callable[[Copy], tuple[float, ...]]
ORDERS: tuple[Order, ...] = (
    lambda c: (-c.along, -c.across),
    lambda c: (-c.across, -c.along),
    lambda c: (-c.along * c.across, -c.along),
    lambda c: (c.along, -c.across),
)


def copies_of(problem: NestProblem) -> list[Copy]:
    """Every copy to cut, with its box.

    Args:
        problem: pieces and strips.

    Returns:
        Copies in the order of the document.
    """
    made = []
    for piece in problem.pieces:
        along, across = piece.extents()
        made += [Copy(piece, n, along, across) for n in range(1, piece.quantity + 1)]
    return made


def place_box(copy: Copy, strip: Strip, x: float, y: float) -> Placement:
    """Place a copy with the corner of its box at x, y [m], in its first allowed turn."""
    turn = copy.piece.turns()[0]
    low = turned_boundary(copy.piece.boundary, turn).min(axis=0)
    return Placement(copy.piece.id, copy.number, strip.id, x - float(low[0]), y - float(low[1]), turn)


def fill(strip: Strip, copies: Sequence[Copy], order: Order) -> tuple[list[Placement], list[Copy]]:
    """Fill one strip with shelves, first fit in the given order.

    Args:
        strip: what to fill.
        copies: what to lay on it.
        order: sort key.

    Returns:
        The placements, and the copies that found no room.
    """
    shelves: list[list[float]] = []  # start, depth, next free y
    laid, left = [], []
    end = 0.0  # of the last shelf, from the kept edge
    for copy in sorted(copies, key=lambda c: (*order(c), c.piece.id, c.number)):
        if not fits_strip(copy.piece, strip):
            left.append(copy)
            continue
        for shelf in shelves:
            if copy.along <= shelf[1] + _SLACK and shelf[2] + copy.across <= strip.usable_width + _SLACK:
                break
        else:
            start = end + strip.gap if shelves else 0.0
            if start + copy.along > strip.usable_length + _SLACK:
                left.append(copy)
                continue
            shelf = [start, copy.along, 0.0]
            shelves.append(shelf)
            end = start + copy.along
        laid.append(place_box(copy, strip, strip.edge + shelf[0], strip.edge + shelf[2]))
        shelf[2] += copy.across + strip.gap
    return laid, left


def shelf_candidates(problem: NestProblem, most: int = 6) -> list[Nest]:
    """Shelf nests over the choices of remnants and orders, best first, one for each way to share out the
    pieces.

    Args:
        problem: pieces and strips.
        most: how many to give at most.

    Returns:
        At least one nest; what fits no strip stands in its ``unplaced``.
    """
    rolls = [s for s in problem.strips if not s.remnant]
    # Of remnants alike, and of nests that cost the same, the first of the document, whatever it is called.
    remnants = sorted((s for s in problem.strips if s.remnant), key=lambda s: s.width * (s.length or 0.0))
    found: dict[tuple[tuple[str, ...], ...], _Draft] = {}
    for choice in _choices(remnants):
        for first in ORDERS if choice else ORDERS[:1]:
            laid: list[Laid] = []
            left = copies_of(problem)
            for strip in choice:
                placed, left = fill(strip, left, first)
                laid.append((strip, placed))
            if choice and not all(placed for _, placed in laid):
                continue
            for order in ORDERS:
                _keep(found, _finish(problem, laid, left, rolls, order))
    best = sorted(found.values(), key=lambda d: d.cost)
    return [_nest(problem, draft) for draft in best[:most]]


@remembered
def shelf_nest(problem: NestProblem) -> Nest:
    """The best plain shelf nest.

    Args:
        problem: pieces and strips.

    Returns:
        The nest with the fewest copies left over, then the least roll, then the smallest remnants.
    """
    return shelf_candidates(problem, 1)[0]


def rolls_filled(
    problem: NestProblem, copies: Sequence[Copy]
) -> tuple[tuple[Layout, ...], tuple[Unplaced, ...]]:
    """The best plain shelves of these copies on the rolls alone.

    Args:
        problem: pieces and strips.
        copies: what to lay.

    Returns:
        The layouts, and what found no room.
    """
    rolls = [s for s in problem.strips if not s.remnant]
    drafts = [_finish(problem, [], list(copies), rolls, order) for order in ORDERS]
    nest = _nest(problem, min(drafts, key=lambda d: d.cost))
    return nest.layouts, nest.unplaced


def _choices(remnants: list[Strip]) -> list[tuple[Strip, ...]]:
    made: list[tuple[Strip, ...]] = []
    for size in range(len(remnants) + 1):
        for choice in combinations(remnants, size):
            if len(made) < _MOST_CHOICES:
                made.append(choice)
    return made


def _finish(
    problem: NestProblem, laid: list[Laid], left: list[Copy], rolls: list[Strip], order: Order
) -> _Draft:
    made = list(laid)
    for roll in rolls:
        placed, left = fill(roll, left, order)
        if placed:
            made.append((roll, placed))
    pieces = {p.id: p for p in problem.pieces}
    used = sum(furthest_end(pieces, placed) + strip.edge for strip, placed in made if not strip.remnant)
    offcuts = sum(strip.width * (strip.length or 0.0) for strip, _ in made if strip.remnant)
    return _Draft(tuple(made), tuple(left), (len(left), used, offcuts))


def _keep(found: dict[tuple[tuple[str, ...], ...], _Draft], draft: _Draft) -> None:
    share = tuple((strip.id, *sorted(f"{p.piece} {p.copy}" for p in placed)) for strip, placed in draft.laid)
    if share not in found or draft.cost < found[share].cost:
        found[share] = draft


def _nest(problem: NestProblem, draft: _Draft) -> Nest:
    layouts = tuple(layout_measured(strip, tuple(placed), problem.pieces) for strip, placed in draft.laid)
    return Nest(layouts, unplaced(problem, draft.left))


def unplaced(problem: NestProblem, left: Sequence[Copy]) -> tuple[Unplaced, ...]:
    """Name the copies that no strip takes, and by how much they fail.

    Args:
        problem: pieces and strips.
        left: the copies left over.

    Returns:
        One entry for each piece, in the order of the document.
    """
    made = []
    for piece in problem.pieces:
        count = sum(1 for c in left if c.piece.id == piece.id)
        if count:
            made.append(Unplaced(piece.id, count))
    return tuple(made)


def why_left(piece: Piece, strips: tuple[Strip, ...], view: str = "mm") -> str:
    """By how much a piece fails to fit the strips, lengths in the reader's units."""

    def length(metres: float) -> str:
        return show(metres, "length", view, decimals=1 if view == "mm" else 2)

    along, across = piece.extents()
    wide = max(strips, key=lambda s: s.usable_width)
    if across > wide.usable_width + _SLACK:
        return (
            f"{length(across)} across the cloth with its warp along the roll; the widest strip "
            f"{wide.id} leaves {length(wide.usable_width)}: {length(across - wide.usable_width)} too wide"
        )
    long = max((s for s in strips if across <= s.usable_width + _SLACK), key=lambda s: s.usable_length)
    if along > long.usable_length + _SLACK:
        return (
            f"{length(along)} along the roll; the longest strip wide enough, {long.id}, leaves "
            f"{length(long.usable_length)}: {length(along - long.usable_length)} too long"
        )
    return (
        f"{length(along)} x {length(across)} finds no room beside the other pieces; "
        "more cloth is needed than the strips hold"
    )
