"""The panel with every damage of a job, their openings and outermost plies."""

from __future__ import annotations

from collections.abc import Sequence

from panelmend.document.panel import Side
from panelmend.plan.plan import Plan
from panelmend.render.drawing import ACCENT, THIN, DrawnShape, Hatch, Item, Text
from panelmend.render.strokes import Ink
from panelmend.render.views.panel import DAMAGE, surroundings
from panelmend.render.views.sheet import Looking, View, make_view, seen_from_words


def several_view(plans: Sequence[Plan], side: Side, size: tuple[float, float]) -> View:
    """All damages of a job on one skin, each with its letter."""
    look, case = Looking(side), plans[0].case
    items: list[Item] = surroundings(case, look, others=False)
    for plan in plans:
        damage = plan.case.document.damage
        if not damage.through and damage.side != side:
            continue
        top = plan.case.geometry.damage
        if plan.work is not None:
            layup = next((s for s in plan.work.plies.sides if s.side == side), plan.work.plies.sides[0])
            top = layup.largest.outline
            items.append(DrawnShape((look.outline(top),), THIN, "tint"))
            items.append(DrawnShape((look.outline(layup.cutout),), ACCENT, "paper"))
        if plan.case.geometry.damage is not None:
            d = look.outline(plan.case.geometry.damage)
            items += [DrawnShape((d,), DAMAGE, "paper"), Hatch((d,), spacing=0.9, ink=Ink(0.13, "warn"))]
        if top is not None:
            x0, _, _, y1 = look.outline(top).bounds
            items.append(Text((x0, y1), damage.id, size=5.0, colour="accent", bold=True, level="base"))
    g = case.geometry
    title = f"{case.document.panel.name}, {side}"
    words = f"{seen_from_words(side)}; damage hatched, opening and outermost ply round it"
    return make_view("several", title, words, items, [look.outline(g.outline)], size, margin=12)
