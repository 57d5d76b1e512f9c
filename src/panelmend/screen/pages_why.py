"""How every number was reached: one figure with its formula, inputs and source, and the list of them all."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse

from panelmend.derive import Figure, Ledger, all_formulas
from panelmend.plan.plan import Plan
from panelmend.render.workings import workings_of
from panelmend.screen.page import THEMES, Theme, environment
from panelmend.screen.sheets import leaf, ledger_of, opened, why_address

router = APIRouter(include_in_schema=False)
Key = Annotated[str, Query(max_length=300)]
SHOWN = 400  # figures of a list


@router.get("/repairs/{name}/why")
def why(request: Request, name: str, key: Key, part: bool = False, theme: Theme = THEMES[0]) -> HTMLResponse:
    """One figure: value, formula, what went into it, where each comes from; what it goes into."""
    plan = opened(request, name).made.plan
    ledger = ledger_of(request, name, plan)
    shown = workings_of(plan, ledger)
    figure = ledger[key]
    made: dict[str, Any] = {
        "figure": figure,
        "value": shown.value(figure),
        "mark": shown.mark(figure),
        "formula": _formula(figure),
        "inputs": [(n.replace("_", " "), k, shown.value(ledger[k])) for n, k in figure.inputs],
        "used": [(f.key, shown.value(f)) for f in users(ledger, key)],
        "way": ledger.explain(key, plan.case.view).splitlines(),
    }
    if part:
        address = {"why": lambda k: why_address(name, k)}
        return HTMLResponse(environment().get_template("why_part.html").render(made | address))
    return leaf(request, name, "why", theme, **made)


@router.get("/repairs/{name}/figures")
def figures(
    request: Request, name: str, find: Annotated[str, Query(max_length=120)] = "", theme: Theme = THEMES[0]
) -> HTMLResponse:
    """Every figure of the plan whose name has a text in it."""
    plan = opened(request, name).made.plan
    ledger = ledger_of(request, name, plan)
    shown = workings_of(plan, ledger)
    wanted = find.strip().casefold().replace(" ", "_")
    found = [f for f in ledger if wanted in f.key.casefold()]
    rows: list[Any] = [(f.key, shown.value(f), shown.mark(f), f.origin.value) for f in found[:SHOWN]]
    return leaf(request, name, "figures", theme, find=find, rows=rows, found=len(found), count=len(ledger))


def users(ledger: Ledger, key: str) -> list[Figure]:
    """The figures that a figure goes into directly."""
    return [f for f in ledger if any(k == key for _, k in f.inputs)]


def _formula(figure: Figure) -> str:
    made = all_formulas().get(figure.formula)
    return made.text if made is not None else ""


def figures_of_step(plan: Plan, number: int) -> list[tuple[str, str]]:
    """The figures that a step of the card names, with their values, each once."""
    shown = workings_of(plan)
    step = next((s for s in plan.card.steps if s.number == number), None)
    if step is None:
        return []
    lines = [*step.words, *(cell for t in step.tables for row in t.rows for cell in row)]
    found = [w for line in lines for w in line if isinstance(w, Figure)]
    found += [f for b in step.blanks for f in (b.low, b.high, b.aim) if f is not None]
    return list({f.key: (f.key, shown.value(f)) for f in found}.values())
