"""The opening of an earlier plan and of the one that takes its place, over the damage as it is now known."""

from __future__ import annotations

from panelmend.plan.plan import Plan
from panelmend.render.drawing import ACCENT, HIDDEN, DrawnShape, Hatch, Item
from panelmend.render.strokes import Ink
from panelmend.render.views.panel import DAMAGE
from panelmend.render.views.sheet import Looking, View, make_view, seen_from_words


def again_view(old: Plan, new: Plan, size: tuple[float, float]) -> View:
    """Both openings on the skin that is worked on, as seen from there."""
    side = new.case.document.damage.side
    look = Looking(side)
    items: list[Item] = []
    frame = []
    for plan, ink in ((new, ACCENT), (old, HIDDEN)):
        for layup in () if plan.work is None else plan.work.plies.sides:
            if layup.side == side:
                o = look.outline(layup.cutout)
                items.append(DrawnShape((o,), ink))
                frame.append(o)
    damage = new.case.geometry.damage
    if damage is not None:
        d = look.outline(damage)
        items += [DrawnShape((d,), DAMAGE), Hatch((d,), spacing=1.2, ink=Ink(0.13, "warn"))]
        frame.append(d)
    words = (
        f"{seen_from_words(side)}; opening of this plan drawn full, of the earlier one broken; damage hatched"
    )
    return make_view("again", f"Opening in the {side} skin", words, items, frame, size, margin=12)
