"""The job card as a PDF: bench pages, the planner's page, every step; its look is in the template ``card``.

The reasoning behind it is a file of its own, made by ``render/card_workings.py``.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from panelmend.derive import Figure
from panelmend.derive.ledger import words_for
from panelmend.job.card.cloth import nests_drawn
from panelmend.job.card.holds import SIGNED
from panelmend.job.card.part import Blank, Step, StepTable, Words
from panelmend.job.kit.part import KitLine
from panelmend.job.nest.part import ClothNest
from panelmend.plan.plan import Plan
from panelmend.render.amounts import amount_part, amount_words, pick_words
from panelmend.render.bench import bench_data
from panelmend.render.drawing import scale_to_fit, scale_words
from panelmend.render.nest import nest_drawing, sheet_of, strip_length
from panelmend.render.planner import planner_data
from panelmend.render.status import status_data
from panelmend.render.strokes import page_data
from panelmend.render.typesetting import Sheets
from panelmend.render.views import bag_section, behind_section, far_cutout_view, void_map
from panelmend.render.views.sheet import View, bar
from panelmend.render.workings import Workings, measured, workings_of
from panelmend.shapes import Outline
from panelmend.trade import trade_word
from panelmend.units import Limit

WIDE, NARROW = 165.0, 84.0  # [mm] room for a picture across a step, and in one of its two columns
PAPERS = {"mm": "a4", "in": "us-letter"}


def card_pdf(plan: Plan, head: str = "") -> bytes:
    """The job card of a plan: the same plan gives the same bytes. The ``head`` of the records it is kept in
    stands at the foot of every page, so that a log cut off behind it is found."""
    return card_sheets(plan, head).pdf()


def card_sheets(plan: Plan, head: str = "", shown: Workings | None = None) -> Sheets:
    """Its pages, ready to be set; the figures they show are collected in ``shown`` where it is given."""
    data = gathered(plan, workings_of(plan) if shown is None else shown)
    return Sheets("card", {**data, "head": head}, plan.case.document.repair.work_date)


def card_data(plan: Plan) -> dict[str, Any]:
    """Everything the page template shows."""
    return gathered(plan, workings_of(plan))


def gathered(plan: Plan, shown: Workings) -> dict[str, Any]:
    """The same, with the figures it shows collected in ``shown``."""
    work = plan.work
    return {
        **heading(plan),
        "bench": bench_data(plan, shown),
        "planner": planner_data(plan, shown),
        "signed": [list(s) for s in SIGNED],
        "steps": _steps(plan, shown),
        "kit": [_kit(shown, line) for line in work.kit.lines] if work else [],
    }


def heading(plan: Plan) -> dict[str, Any]:
    """What stands at the head and foot of every page."""
    repair, manual = plan.case.document.repair, plan.case.document.data.manual
    return {
        "paper": PAPERS[plan.case.view],
        "digest": plan.short_digest,
        "status": status_data(plan),
        "repair": {
            "number": repair.number,
            "title": repair.title,
            "operator": repair.operator,
            "aircraft": repair.aircraft,
            "registration": repair.registration,
            "panel": plan.case.document.panel.name,
            "invented": repair.invented,
            "manual": f"{manual.number} rev {manual.revision}",
        },
    }


def _steps(plan: Plan, shown: Workings) -> list[dict[str, Any]]:
    """Every step; a caution stands in full at its first step of each bonding operation, later in short."""
    told: set[tuple[int, str]] = set()
    made = []
    for step in plan.card.steps:
        cautions = []
        for c in step.cautions:
            again = bool(c.short) and (step.operation, c.words) in told
            told.add((step.operation, c.words))
            cautions.append({"hazard": c.hazard, "words": c.short if again else c.words, "again": again})
        made.append(_step(plan, shown, step) | {"cautions": cautions})
    return made


def _step(plan: Plan, shown: Workings, step: Step) -> dict[str, Any]:
    bags = plan.work.bag.operations if plan.work is not None else ()
    lead = next((f"{b.name}: " for b in bags if b.number == step.operation), "")
    lead = lead if step.title.startswith(lead) else ""
    return {
        "number": step.number,
        "id": step.id,
        "operation": step.operation,
        "lead": lead,
        "title": step.title.removeprefix(lead),
        "words": [words_data(shown, w) for w in step.words],
        "tables": [table_data(shown, t) for t in step.tables],
        "tools": list(step.tools),
        "materials": list(step.materials),
        "blanks": [blank_data(shown, b) for b in step.blanks],
        "hold": None
        if step.hold is None
        else {"code": step.hold.code, "by": step.hold.by, "accepted": step.hold.accepted},
        "pictures": _pictures(plan, step),
    }


def words_data(shown: Workings, words: Words) -> list[Any]:
    """Words with figures in them, for a page template."""
    return [w if isinstance(w, str) else shown.part(w) for w in words]


def table_data(shown: Workings, table: StepTable) -> dict[str, Any]:
    """A table for a page template."""
    return {
        "title": table.title,
        "heads": list(table.heads),
        "rows": [[words_data(shown, w) for w in row] for row in table.rows],
    }


def blank_data(shown: Workings, b: Blank) -> dict[str, Any]:
    """A blank with its limits in words, for a page template."""
    limits: list[Any] = []
    if b.low is not None and b.high is not None:
        limits = [_safe(shown, b.low, "least"), " to ", _safe(shown, b.high, "most")]
    elif b.low is not None:
        limits = ["at least ", _safe(shown, b.low, "least")]
    elif b.high is not None:
        limits = ["at most ", _safe(shown, b.high, "most")]
    elif b.aim is not None:
        limits = [shown.part(b.aim)]
    if b.said and b.entry != "tick":
        limits += [", " if limits else "", b.said]
    return {"what": b.what, "limits": limits, "unit": b.unit, "entry": b.entry}


def _safe(shown: Workings, figure: Figure, limit: Limit) -> dict[str, Any]:
    """A limit as part of a line, rounded to its safe side whatever the figure is elsewhere."""
    text = measured(figure, shown.view, limit) or words_for(figure.value, figure.kind, shown.view, limit)
    return shown.part(figure) | {"text": text}


def _pictures(plan: Plan, step: Step) -> list[dict[str, Any]]:
    case, work = plan.case, plan.work
    if work is None or not step.drawing:
        return []
    kind, _, name = step.drawing.partition(" ")
    made: list[View | None] = []
    if kind == "cutout" and name == "far":
        made.append(far_cutout_view(case, work.cutout, (80.0, 62.0)))
    elif kind == "nests":
        return [v for item in nests_drawn(work, step.drawing) for v in _nest(plan, item)]
    elif kind == "map":
        made.append(void_map(case, work, int(name), (NARROW, 42.0)))
    elif kind == "bag":
        bag = next(b for b in work.bag.operations if b.number == step.operation)
        made += [bag_section(case, bag, NARROW), behind_section(case, bag, NARROW)]
    return [v.data() for v in made if v is not None]


def _nest(plan: Plan, item: ClothNest) -> Iterator[dict[str, Any]]:
    """The layouts of one sheet, one for each strip it is cut from."""
    assert plan.work is not None, "a nest without work to do"
    shapes: dict[str, Outline] = {p.id: p.template for p in (*plan.work.plies.plies, *plan.work.core.cap)}
    for layout in item.nest.layouts:
        length, width = strip_length(layout), layout.strip.width
        strip = [bar(0.0, 0.0, length, width)]
        narrow, wide = (scale_to_fit(strip, room - 25, 42.0) for room in (NARROW, WIDE))
        scale = narrow if narrow >= 0.6 * wide else wide
        sheet = sheet_of(plan.work.kit.sheets, item, layout)
        drawing = nest_drawing(layout, shapes, scale=scale, view=plan.case.view, sheet=sheet)
        kind = "remnant" if layout.strip.remnant else "roll"
        yield {
            "title": f"Cut layout on {kind} {layout.strip.id}",
            "words": f"warp along the roll, face up, scale {scale_words(scale)}",
            "drawing": page_data(drawing.flat()),
        }


def _kit(shown: Workings, line: KitLine) -> dict[str, Any]:
    return {
        "group": line.group,
        "name": line.name,
        "purpose": trade_word(line.purpose),
        "amount": [amount_part(shown, line, line.amount)] if line.amount is not None else _filled_in(line),
        "picks": [pick_words(line, p, shown.view) for p in line.picks],
        "short": amount_words(line, line.short, shown.view) if line.short is not None else "",
        "missing": not line.stocked
        and line.group in ("cloth", "resin", "adhesive", "core", "bagging", "finish"),
        "caution": line.caution,
    }


def _filled_in(line: KitLine) -> list[str]:
    """A blank for the storekeeper where no document says how much of it the work takes."""
    return ["__________"] if line.group == "finish" else []
