"""Pairs of steps that stand the wrong way round, by the graph of the working order and nothing else."""

from __future__ import annotations

from collections.abc import Sequence

from panelmend.job.card.order import Operations, Place, _all_after, _precedes


def breaches(places: Sequence[Place], operations: Operations) -> list[str]:
    """One line for each pair that stands the wrong way round."""
    reach = _all_after(operations)
    return [
        f"{b.id} of operation {b.operation} stands before {a.id} of operation {a.operation}"
        for i, b in enumerate(places)
        for a in places[i + 1 :]
        if _precedes(a, b, reach)
    ]
