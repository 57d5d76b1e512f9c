"""A plan after more damage was found, against the one that was worked by: what stays, what is done again.

Everything that was done is judged by what was made: opening, plug, pieces, what is bonded. A step that was
done stays where it says the same in both plans, made the same, and rests on nothing that is done again.
It decides nothing about the panel: what is cured and no longer fits comes out as the engineer says.
"""

from __future__ import annotations

from collections.abc import Iterable

from panelmend.errors import Finding, InputError
from panelmend.job.card.order import Place
from panelmend.plan.again.holding import holding
from panelmend.plan.again.made import bonded_made, opening_made, pieces_made, plug_made
from panelmend.plan.again.part import Again
from panelmend.plan.again.steps import steps_after
from panelmend.plan.plan import Plan


def again(old: Plan, new: Plan, done: Iterable[Place]) -> Again:
    """Hold a new plan against the one that was worked by.

    Args:
        old: the plan that was worked by.
        new: the plan with the damage as it is now known.
        done: places of the steps of the old card that were done; a step that is not among them was not.

    Raises:
        InputError: the two are not of one panel, or a place is no step of the old card.
    """
    _of_one_panel(old, new)
    places = frozenset(done)
    strange = places - {s.place for s in old.card.steps}
    if strange:
        raise InputError(
            "the card has no such step", read=", ".join(sorted(p.id for p in strange)), where="done"
        )
    view = new.case.view
    found: list[Finding] = []
    made = [*opening_made(old, new, places, found, view), *plug_made(old, new, places)]
    made += bonded_made(old, new, places, found)
    made += pieces_made(old, new, places)
    steps = steps_after(old, new, places, made)
    grown = holding(old, new) if any(f.code == "J227" for f in found) else ""
    return Again(old, new, tuple(made), steps, tuple(found), grown)


def _of_one_panel(old: Plan, new: Plan) -> None:
    a, b = old.case.document, new.case.document
    unlike = [
        name
        for name, x, y in (
            ("part number", a.panel.part_number, b.panel.part_number),
            ("serial number", a.panel.serial, b.panel.serial),
            ("registration", a.repair.registration, b.repair.registration),
        )
        if x != y
    ]
    if unlike:
        raise InputError(
            "these are not two plans of one panel",
            read=f"another {', another '.join(unlike)}",
            expected="the plan that was worked by, and the one that takes its place",
        )
