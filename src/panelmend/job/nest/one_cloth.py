"""Choose the nest of one cloth: the stored layout where it may be cut and is shorter, else plain shelves."""

from __future__ import annotations

from panelmend.job.nest.bound import roll_bound
from panelmend.job.nest.legality import faults
from panelmend.job.nest.part import ClothNest, Nest, NestProblem
from panelmend.job.nest.shelf import shelf_nest


def make_cloth(problem: NestProblem, stored: Nest | None = None, view: str = "mm") -> ClothNest:
    """The nest of one cloth, the same every time for the same problem and stored layout.

    Args:
        problem: pieces and strips.
        stored: a layout an earlier search found for this very problem, or None.
        view: the units in which is said why it is refused.

    Returns:
        The nest with its bound and the shelf length; why a stored layout was refused stands in ``refused``.
    """
    shelf = shelf_nest(problem)
    refused = () if stored is None else faults(problem, stored, view)
    if stored is not None and not refused and stored.cost() < shelf.cost():
        return ClothNest(problem, stored, roll_bound(problem), shelf.roll_length, "search", ())
    return ClothNest(problem, shelf, roll_bound(problem), shelf.roll_length, "shelves", refused)
