"""Stack: lay-up and bag in section, and exploded so that it can be turned."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from panelmend.plan.plan import Plan
from panelmend.render.views import layup_section
from panelmend.render.views.bag import bag_section, behind_section
from panelmend.render.workings import workings_of
from panelmend.screen.drawing.stack import StackLevel, stacks
from panelmend.screen.page import THEMES, Theme
from panelmend.screen.sheets import keys_of, leaf, opened

router = APIRouter(include_in_schema=False)
WIDTH = 165.0  # [mm] of a section


@router.get("/repairs/{name}/stack")
def stack(request: Request, name: str, theme: Theme = THEMES[0]) -> HTMLResponse:
    """Every stack of the work."""
    plan = opened(request, name).made.plan
    shown = workings_of(plan)
    made = [
        {
            "title": s.title,
            "side": s.side,
            "drawn": [x.drawn() for x in s.levels if x.rings],
            "levels": [_row(x, shown) for x in s.levels],
        }
        for s in stacks(plan)
    ]
    return leaf(
        request, name, "stack", theme, stacks=made, sections=stack_sections(plan), keys=keys_of(shown.rows())
    )


def stack_sections(plan: Plan) -> list[dict[str, Any]]:
    """Lay-up of each skin and bag of each operation, as printed."""
    work, case = plan.work, plan.case
    if work is None:
        return []
    made = [layup_section(case, work, s, WIDTH) for s in work.plies.sides]
    for bag in work.bag.operations:
        if bag.bagged:
            made.append(bag_section(case, bag, WIDTH))
            behind = behind_section(case, bag, WIDTH)
            made += [behind] if behind is not None else []
    return [v.data() for v in made]


def _row(level: StackLevel, shown: Any) -> dict[str, Any]:
    return {
        "key": level.key,
        "name": level.name,
        "kind": level.kind,
        "size": [shown.part(v) for v in level.size],
        "angle": shown.part(level.angle) if level.angle is not None else None,
        "beyond": shown.part(level.beyond) if level.beyond is not None else None,
        "note": level.note,
        "drawn": bool(level.rings),
    }
