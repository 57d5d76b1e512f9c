"""What is laid when: each part once, and nothing under what is cured over it already."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.approved import Cure, CurePart
from panelmend.document.fault import Fault, fault_at
from panelmend.document.model import Document
from panelmend.document.panel import Side

# From the bottom of the opening up: what has a greater number lies over what has a smaller one.
HEIGHT: dict[CurePart, int] = {"core": 0, "potting": 0, "cap": 1, "fill": 2, "plies": 3}
SKINS: tuple[CurePart, ...] = ("fill", "plies")  # laid on each skin apart; the rest is there once


def _laid(document: Document) -> Iterator[Fault]:
    """Each part is laid once; an operation without a side lays on every skin that is damaged."""
    laid: list[tuple[CurePart, frozenset[Side]]] = []
    for i, cure in enumerate(document.data.cure):
        if cure.on_plate:
            continue  # what is cured beforehand is bonded in an operation of its own
        sides = _sides(document, cure)
        for part in cure.lays:
            if any(part == other and (part not in SKINS or sides & there) for other, there in laid):
                yield fault_at(
                    ("data", "cure", i, "lays"),
                    "laid in two operations",
                    repr(part),
                    "each part in one operation",
                    'an operation without a side lays on both skins of a hole: type its side = "outside" or '
                    '"inside"'
                    if document.damage.through
                    else "",
                )
            laid.append((part, sides))
    if document.data.cure and not any(part == "plies" for part, _ in laid):
        yield fault_at(
            ("data", "cure"), "no cure operation lays the plies", expected='lays = ["plies"] in one of them'
        )


def _under_what_is_cured(document: Document) -> Iterator[Fault]:
    """Operations stand in the order they are done: none lays a part under one that is cured before it."""
    before: list[tuple[Cure, CurePart, frozenset[Side]]] = []
    for i, cure in enumerate(document.data.cure):
        if cure.on_plate:
            continue
        sides = _sides(document, cure)
        over = next(
            (
                (part, first, above)
                for part in cure.lays
                for first, above, there in before
                if HEIGHT[above] > HEIGHT[part] and (sides & there or above not in SKINS)
            ),
            None,
        )
        if over is not None:
            part, first, above = over
            yield fault_at(
                ("data", "cure", i, "lays"),
                f"the operation lays the {part} under the {above} that an operation before it has cured",
                f"{part!r} after {above!r} of {first.name!r}",
                "core or potting first, then cap, fill and plies, as they lie on each other",
                "put the operations in the order in which the approved data does them; where it does lay the "
                f"{above} first, the job is not covered: ask the engineer",
            )
        before += [(cure, part, sides) for part in cure.lays]


def _sides(document: Document, cure: Cure) -> frozenset[Side]:
    """The skins an operation works on."""
    if cure.side is not None:
        return frozenset({cure.side})
    damage = document.damage
    skins = any(part in SKINS for part in cure.lays)
    return frozenset({"outside", "inside"} if skins and damage.through else {damage.side})


CHECKS = ((_laid, ("data.cure", "damage")), (_under_what_is_cured, ("data.cure", "damage")))
