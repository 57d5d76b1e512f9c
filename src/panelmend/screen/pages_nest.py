"""Nest and cutting: each roll or remnant with what is cut from it, and the list of pieces."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from panelmend.app.prints import PRINTS, PrintBook
from panelmend.job.kit.part import WetSheet
from panelmend.job.nest.part import ClothNest
from panelmend.plan.plan import Plan
from panelmend.render.workings import workings_of
from panelmend.screen.drawing.cutting import cutting_list, strip_drawn
from panelmend.screen.page import THEMES, Theme
from panelmend.screen.pages_pack import confirmed
from panelmend.screen.sheets import errand_runs, errands, keys_of, leaf, opened
from panelmend.units import show

router = APIRouter(include_in_schema=False)
TENTH = 1e-4  # [m] what the page shows of a length


@router.get("/repairs/{name}/nest")
def nest(request: Request, name: str, theme: Theme = THEMES[0]) -> HTMLResponse:
    """The layouts of every cloth."""
    plan = opened(request, name).made.plan
    shown = workings_of(plan)
    cloths: list[dict[str, Any]] = []
    pieces: list[dict[str, Any]] = []
    if plan.work is not None:
        cloths = [_cloth(plan, item, shown) for item in plan.work.nest.cloths]
        pieces = [_piece(plan, row, shown) for row in cutting_list(plan)]
    return leaf(
        request, name, "nest", theme, cloths=cloths, pieces=pieces, keys=keys_of(shown.rows()),
        confirmed=confirmed(PrintBook(opened(request, name).beside(PRINTS)), plan),
        running=errand_runs(errands(request).of(name, "layouts")),
    )  # fmt: skip


def _cloth(plan: Plan, item: ClothNest, shown: Any) -> dict[str, Any]:
    """One cloth of one operation: its strips, what is left over, and how good the layout is."""
    view, problem = plan.case.view, item.problem
    material = plan.case.catalogue.get(problem.cloth)
    assert plan.work is not None, "a nest without work to do"
    sheets = [s for s in plan.work.kit.sheets if (s.cloth, s.operation) == (problem.cloth, problem.operation)]
    return {
        "name": material.name,
        "id": problem.cloth,
        "operation": problem.operation,
        "strips": [strip_drawn(plan, item, layout) for layout in item.nest.layouts],
        "taken": show(
            item.nest.roll_length, "length", view, decimals=1 if view == "mm" else 2, limit="least"
        ),
        "bound": show(item.bound, "length", view),
        "least": item.nest.roll_length <= item.bound + TENTH,
        "made_by": item.made_by,
        "refused": list(item.refused),
        "unplaced": [(u.piece, u.copies) for u in item.nest.unplaced],
        "lots": [_lot(plan, layout.strip.id) for layout in item.nest.layouts],
        "sheets": [_sheet(s, shown) for s in sheets],
    }


def _lot(plan: Plan, strip: str) -> str:
    """Lot of the roll that a strip is of; "" where the stores do not list it."""
    for roll in plan.case.document.stores.roll:
        if strip == roll.id or any(r.id == strip for r in roll.remnant):
            return roll.lot
    return ""


def _sheet(sheet: WetSheet, shown: Any) -> dict[str, Any]:
    parts = {n: shown.part(getattr(sheet, n)) for n in ("length", "width", "resin", "mixed")}
    return parts | {"strip": sheet.strip, "wet_first": sheet.way == "wet then cut"}


def _piece(plan: Plan, row: Any, shown: Any) -> dict[str, Any]:
    """One line of the cutting list."""
    ply, view = row["ply"], plan.case.view
    along, across = row["size"]
    return {
        "piece": row["piece"],
        "role": ply.role,
        "side": ply.side,
        "cloth": row["cloth"],
        "strip": row["strip"],
        "warp": shown.part(ply.warp_seen) if ply.has_warp else None,
        "margin": shown.part(ply.margin),
        "area": shown.part(ply.area),
        "size": f"{show(along, 'length', view)} × {show(across, 'length', view)}",
        "turned_over": row["turned_over"],
        "faced": ply.faced,
        "laid": (row["operation"], row["number"]),
    }
