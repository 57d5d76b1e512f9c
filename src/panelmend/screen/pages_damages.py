"""All damages of a job on one drawing of each side: how far their repairs lie apart, what is found of them
beside each other. Each stands as it is on its own page."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from panelmend.derive.ledger import words_of
from panelmend.errors import MissingError
from panelmend.plan.plan import Plan
from panelmend.plan.several import BESIDE, Between, damage_name, damaged_on, found_beside, own_standing
from panelmend.render.views.several import several_view
from panelmend.screen.beside import found_item, in_order
from panelmend.screen.page import THEMES, Theme
from panelmend.screen.sheets import leaf, opened
from panelmend.screen.words import say
from panelmend.units import show

router = APIRouter(include_in_schema=False)
SIZE = (165.0, 120.0)  # [mm] a drawing is made for
SIDES = ("outside", "inside")


@router.get("/repairs/{name}/damages")
def damages(request: Request, name: str, theme: Theme = THEMES[0]) -> HTMLResponse:
    """Every damage of the job that a repair is of."""
    named = request.app.state.workshop.damages(name)
    if not named:
        raise MissingError(f"repair {name[:80]!r} has one damage, which its own page shows")
    made = opened(request, name).made.several
    if made is None:  # what counts as one has one plan between them
        made = found_beside((opened(request, name).made.plan,))
    own = made.plans
    pages = dict(named)
    # damages that are planned as one stand once, under the first's page
    to = [pages[damage_name(p).partition("+")[0]] for p in own]
    sides = [s for s in SIDES if any(damaged_on(p, s) for p in own)]
    view = own[0].case.view
    return leaf(
        request,
        name,
        "damages",
        theme,
        drawings=[several_view(own, "outside" if s == "outside" else "inside", SIZE).data() for s in sides],
        rows=[_row(p, page, view) for p, page in zip(own, to, strict=True)],
        between=[_apart(b, view) for b in made.between],
        found=_found(own),
    )


def _row(plan: Plan, to: str, view: str) -> dict[str, Any]:
    """One damage: its name, page, skin, depth, size, cut-out and where its plan stands."""
    damage = plan.case.document.damage
    opening = None if plan.work is None else plan.work.cutout.opening
    return {
        "id": damage.id,
        "to": to,
        "side": damage.side,
        "depth": damage.depth,
        "size": f"{words_of(plan.limits.along, view)} × {words_of(plan.limits.across, view)}",
        "cut": None
        if opening is None
        else f"{words_of(opening.length, view)} × {words_of(opening.width, view)}",
        "standing": plan.standing.value,
        "stands": standing_words(plan),
    }


def _apart(b: Between, view: str) -> dict[str, Any]:
    """Two repairs: how far apart (None on two skins), what is asked, the verdict."""
    return {
        "names": f"{b.a}, {b.b}",
        "overlaps": b.overlaps,
        "apart": None if b.apart == float("inf") else show(b.apart, "length", view, limit="most"),
        "asked": None if b.asked is None else show(b.asked, "length", view),
        "holds": b.holds,
    }


def standing_words(plan: Plan) -> str:
    """Where a damage stands by itself, and what it comes to with the others where that is graver."""
    alone = own_standing(plan)
    words = say(f"standing.{alone.value}")
    if plan.standing is alone:
        return words
    return say("damages.with_others", alone=words, all=say(f"standing.{plan.standing.value}"))


def _found(plans: tuple[Plan, ...]) -> list[dict[str, Any]]:
    """What is found of the damages beside each other, once each, the heaviest first, with whom it is of."""
    rows: dict[tuple[str, str], dict[str, Any]] = {}
    for plan in plans:
        for f in in_order(plan):
            if f.code in BESIDE:
                row = rows.setdefault((f.code, f.words), {"item": found_item(f, None), "of": []})
                row["of"].append(plan.case.document.damage.id)
    return list(rows.values())
