"""The place of a piece in the order of laying, one for pages, labels, screen and terminal alike."""

from __future__ import annotations

from panelmend.plan.plan import Plan


def lay_number(plan: Plan, piece: str) -> tuple[str, int]:
    """The operation a piece goes down in and its number there, as the card counts it; ("", 0) for none."""
    for bag in plan.work.bag.operations if plan.work is not None else ():
        if piece in bag.plies:
            return bag.name, bag.plies.index(piece) + 1
    return "", 0
