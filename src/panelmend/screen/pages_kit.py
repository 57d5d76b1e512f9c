"""Kit and stores: what the kit needs, from which lot, what is short, and everything that is there."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from panelmend.app.records_words import lot_words
from panelmend.document.bay import Lot, Roll
from panelmend.job.kit.part import KitLine, Mix
from panelmend.job.kit.stores import usable
from panelmend.plan.plan import Plan
from panelmend.render.amounts import amount_part
from panelmend.render.workings import Workings, workings_of
from panelmend.screen.alone import RECORDS
from panelmend.screen.page import THEMES, Theme
from panelmend.screen.sheets import keys_of, leaf, opened
from panelmend.trade import trade_word
from panelmend.units import show

router = APIRouter(include_in_schema=False)
STORED = ("cloth", "resin", "adhesive", "core", "bagging")  # groups that a store keeps lots of


@router.get("/repairs/{name}/kit")
def kit(request: Request, name: str, theme: Theme = THEMES[0]) -> HTMLResponse:
    """The kit, and the stores."""
    plan = opened(request, name).made.plan
    shown = workings_of(plan)
    groups: dict[str, list[dict[str, Any]]] = {}
    mixes: list[dict[str, Any]] = []
    if plan.work is not None:
        for line in plan.work.kit.lines:
            groups.setdefault(line.group, []).append(_line(line, shown))
        mixes = [_mix(plan, m, shown) for m in plan.work.kit.mixes]
    stores = plan.case.document.stores
    held: list[Lot | Roll] = [*stores.roll, *stores.lot]
    with RECORDS:
        book = request.app.state.workshop.book
        state = book.state if book is not None else None
        entered = None if state is None else [(n, lot_words(state, n)) for n in sorted(state.lots)]
    return leaf(
        request,
        name,
        "kit",
        theme,
        groups=groups,
        mixes=mixes,
        short=[r for rows in groups.values() for r in rows if r["short"] or r["missing"]],
        stores=[_stored(plan, x) for x in held],
        entered=entered,
        keys=keys_of(shown.rows()),
    )


def _line(line: KitLine, shown: Workings) -> dict[str, Any]:
    """One line of the kit."""
    return {
        "name": line.name,
        "material": line.material,
        "purpose": trade_word(line.purpose),
        "amount": amount_part(shown, line, line.amount) if line.amount is not None else None,
        "picks": [(p.store, p.lot, amount_part(shown, line, p.amount), p.words) for p in line.picks],
        "short": amount_part(shown, line, line.short) if line.short is not None else None,
        "missing": not line.stocked and line.group in STORED,
        "asked": line.group in STORED,
        "caution": line.caution,
    }


def _mix(plan: Plan, mix: Mix, shown: Workings) -> dict[str, Any]:
    """One mix with its pots."""
    names = ("total", "resin", "hardener", "hardener_low", "hardener_high", "need", "surplus")
    clock = next((k for k in plan.card.clocks if k.batch == mix.id), None)
    life = mix.pot_life if clock is None else clock.life
    made: dict[str, Any] = {n: shown.part(getattr(mix, n)) for n in names}
    return made | {
        "id": mix.id,
        "operation": mix.operation,
        "purpose": mix.purpose,
        "filler": shown.part(mix.filler) if mix.filler is not None else None,
        "pot_life": shown.part(life) if life is not None else None,
        "ask_maker": clock is not None and not clock.known,
        "pots": len(mix.pots),
        "weighable": mix.weighable,
    }


def _stored(plan: Plan, held: Lot | Roll) -> dict[str, Any]:
    """One lot or roll of the stores, and whether it may be used on the day of the work."""
    view, day = plan.case.view, plan.case.document.repair.work_date
    kinds = (("mass", "mass"), ("hardener_mass", "mass"), ("volume", "volume"), ("area", "area"))
    amounts = [
        show(v, k, view, limit="most") for f, k in kinds if (v := getattr(held, f, None)) is not None
    ]  # never more than there is
    if isinstance(held, Roll):
        sizes = (show(x, "length", view, limit="most") for x in (held.width, held.length))
        amounts = [" × ".join(sizes)]
    elif held.count is not None:
        amounts.append(str(held.count))
    out = show(held.out_time, "time", view, unit="h", decimals=1, limit="least")
    life = (
        None
        if held.out_life is None
        else show(held.out_life, "time", view, unit="h", decimals=1, limit="most")
    )
    return {
        "id": held.id,
        "lot": held.lot,
        "material": held.material,
        "amounts": amounts,
        "expires": held.expires,
        "expired": held.expires is not None and held.expires < day,
        "opened": held.opened,
        "out": out,
        "out_life": life,
        "out_over": held.out_life is not None and held.out_time >= held.out_life,
        "usable": usable(held, day),
        "remnants": [
            (r.id, *(show(x, "length", view, limit="most") for x in (r.length, r.width)))
            for r in held.remnant
        ]
        if isinstance(held, Roll)
        else [],
    }
