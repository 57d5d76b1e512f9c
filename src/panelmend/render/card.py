"""The job card as a PDF: its data is gathered here, its look is in the page template ``card``."""

from __future__ import annotations

from typing import Any

from panelmend.derive import Figure
from panelmend.errors import Severity, all_codes
from panelmend.job.bag.part import BagOperation
from panelmend.job.card.heating import as_set
from panelmend.job.card.part import Blank, Step, Words
from panelmend.job.cure.part import Placed
from panelmend.job.kit.part import KitLine, Mix
from panelmend.job.nest.part import ClothNest
from panelmend.job.plies.part import SideLayup
from panelmend.job.work import Work
from panelmend.plan.plan import Plan
from panelmend.render.curved import HEADS, NOTE, bent_rows
from panelmend.render.drawing import scale_to_fit, scale_words
from panelmend.render.nest import nest_drawing, strip_length
from panelmend.render.strokes import page_data
from panelmend.render.typesetting import compile_pdf, compile_png, template
from panelmend.render.views import (
    View,
    bag_plan,
    bag_section,
    core_view,
    cutout_view,
    layup_plan,
    layup_section,
    panel_view,
    recipe_view,
    skins_view,
    steam_view,
    survey_view,
)
from panelmend.render.views.sheet import bar
from panelmend.render.workings import Workings
from panelmend.shapes import Outline

WIDE = 165.0  # [mm] room for a picture between steps
PAPERS = {"mm": "a4", "in": "us-letter"}


def card_pdf(plan: Plan) -> bytes:
    """The job card of a plan: the same plan gives the same bytes."""
    return compile_pdf(template("card"), card_data(plan), dated=plan.case.document.repair.work_date)


def card_png(plan: Plan, ppi: float = 110.0) -> tuple[bytes, ...]:
    """Every page of the job card as a picture."""
    return compile_png(template("card"), card_data(plan), ppi=ppi)


def card_data(plan: Plan) -> dict[str, Any]:
    """Everything the page template shows."""
    case, work = plan.case, plan.work
    shown = Workings(plan.ledger, case.view, plan.findings)
    repair, manual = case.document.repair, case.document.data.manual
    codes = {c.code: c for c in all_codes()}
    data: dict[str, Any] = {
        "paper": PAPERS[case.view],
        "digest": plan.short_digest,
        "draft": plan.is_draft,
        "stop": any(f.severity is Severity.STOP for f in plan.findings),
        "repair": {
            "number": repair.number,
            "title": repair.title,
            "operator": repair.operator,
            "aircraft": repair.aircraft,
            "registration": repair.registration,
            "panel": case.document.panel.name,
            "invented": repair.invented,
            "manual": f"{manual.number} rev {manual.revision}",
        },
        "facts": _facts(plan),
        "disposition": {
            "no structural repair": "No structural repair",
            "repair": "May be repaired here",
            "engineering": "Engineering decides",
            "not judged": "Not judged",
        }[plan.limits.disposition],
        "reasons": [[f"{r.what}: {r.words}"] for r in plan.limits.reasons],
        "panel-view": panel_view(case, work, case.document.damage.side, (WIDE + 10, 92.0)).data(),
        "findings": [
            {
                "code": f.code,
                "severity": f.severity.value,
                "title": codes[f.code].title,
                "words": f.words,
                "todo": f.todo,
            }
            for f in plan.findings
        ],
        "layups": [_layup(plan, shown, s) for s in work.plies.sides] if work else [],
        "steps": [_step(plan, shown, s) for s in plan.card.steps],
        "kit": [_kit(shown, line) for line in work.kit.lines] if work else [],
        "mixes": [_mix(plan, shown, m) for m in work.kit.mixes] if work else [],
    }
    data["workings"] = shown.rows()
    return data


def _facts(plan: Plan) -> list[list[str]]:
    document = plan.case.document
    repair, panel, people, manual = document.repair, document.panel, document.people, document.data.manual
    serial = f", serial {panel.serial}" if panel.serial else ""
    return [
        ["Repair", repair.number],
        ["Aircraft", f"{repair.aircraft} {repair.registration}".strip()],
        ["Panel", panel.name],
        ["Part number", f"{panel.part_number}{serial}"],
        ["Approved data", f"{manual.number} rev {manual.revision}, {manual.dated}"],
        ["Repair in the data", document.data.repair],
        ["Day of the work", str(repair.work_date)],
        ["Plan", plan.short_digest],
        ["Planner", people.planner or "not named"],
        ["Technician", people.technician or "not named"],
        ["Inspector", people.inspector or "not named"],
        ["Engineer", people.engineer or "not named"],
    ]


def _layup(plan: Plan, shown: Workings, layup: SideLayup) -> dict[str, Any]:
    assert plan.work is not None, "a lay-up without work to do"
    case = plan.case
    rows = [
        {
            "order": p.lay_order,
            "id": p.id,
            "role": p.role,
            "material": case.catalogue.get(p.cloth).name,
            "warp": shown.part(p.warp_seen) if p.role != "film adhesive" else "",
            "margin": shown.part(p.margin),
            "total": shown.part(p.margin_total),
            "trim": shown.part(p.trim) if float(p.trim) > 0 else "none",
            "overlap": shown.part(p.overlap),
        }
        for p in sorted(layup.plies, key=lambda p: p.lay_order)
    ]
    note = (
        f"Scheme: {plan.work.plies.scheme}, {plan.work.plies.order}. Margins stand beyond the cut-out; "
        "least overlap is the least distance from the cut-out's edge to the ply's edge anywhere round it, "
        "corners included. Angles are counter-clockwise from 0° as seen from the side named."
    )
    return {
        "side": layup.side,
        "seen": layup.seen_from,
        "plan": layup_plan(case, plan.work, layup, (WIDE + 10, 105.0)).data(),
        "section": layup_section(case, plan.work, layup, WIDE + 10).data(),
        "rows": rows,
        "note": note,
        "bent": bent_rows(plan, shown, _on(plan, layup)),
        "bent-heads": list(HEADS),
        "bent-note": NOTE,
    }


def _on(plan: Plan, layup: SideLayup) -> set[str]:
    """The ids of everything laid or cut on one skin."""
    work = plan.work
    bent = () if work is None else (*work.plies.bent, *work.core.bent)
    return {b.id for b in bent if b.side == layup.side}


def _step(plan: Plan, shown: Workings, step: Step) -> dict[str, Any]:
    return {
        "number": step.number,
        "stage": step.stage,
        "title": step.title,
        "words": [_words(shown, w) for w in step.words],
        "tables": [
            {
                "title": t.title,
                "heads": list(t.heads),
                "rows": [[_words(shown, w) for w in row] for row in t.rows],
            }
            for t in step.tables
        ],
        "cautions": [{"hazard": c.hazard, "words": c.words} for c in step.cautions],
        "tools": list(step.tools),
        "materials": list(step.materials),
        "blanks": [_blank(shown, b) for b in step.blanks],
        "hold": step.hold,
        "pictures": _pictures(plan, step),
    }


def _words(shown: Workings, words: Words) -> list[Any]:
    return [w if isinstance(w, str) else shown.part(w) for w in words]


def _blank(shown: Workings, b: Blank) -> dict[str, Any]:
    limits: list[Any] = []
    if b.low is not None and b.high is not None:
        limits = [shown.part(b.low), " to ", shown.part(b.high)]
    elif b.low is not None:
        limits = [shown.part(b.low)]
    elif b.high is not None:
        limits = ["at most ", shown.part(b.high)]
    return {"what": b.what, "limits": limits, "unit": b.unit}


def _pictures(plan: Plan, step: Step) -> list[dict[str, Any]]:
    case, work = plan.case, plan.work
    if step.stage == "limits" and plan.survey is not None:
        return [survey_view(case, plan.survey, work, (WIDE, 105.0)).data()]
    if work is None or not step.drawing:
        return []
    kind, _, name = step.drawing.partition(" ")
    made: list[View | None] = []
    if kind == "cutout" and step.title.startswith("Cut the skin"):
        made.append(cutout_view(case, work.cutout, (110.0, 90.0)))
    elif kind == "core" and step.title == "Cut the core plug":
        made.append(core_view(case, work.core, (120.0, 70.0)))
    elif kind == "nest":
        return [v for item in work.nest.cloths if item.problem.name == name for v in _nest(plan, item)]
    elif kind == "drying":
        made += [steam_view(case, work.drying, WIDE), skins_view(case, work.drying, WIDE)]
    elif kind in ("bag", "cure"):
        bag = next((b for b in work.bag.operations if b.name == name), None)
        if bag is not None and kind == "cure":
            heated = next(o for o in work.cure.operations if o.number == bag.number)
            made.append(recipe_view(case, as_set(bag.cure, heated), 150.0))
        elif bag is not None and step.title.endswith("bag it"):
            made += [bag_section(case, bag, WIDE), bag_plan(case, bag, _sensors(work, bag), (120.0, 88.0))]
    return [v.data() for v in made if v is not None]


def _sensors(work: Work, bag: BagOperation) -> tuple[Placed, ...]:
    """The thermocouples of an operation: as predicted, or spread evenly."""
    return next(o.sensors for o in work.cure.operations if o.number == bag.number)


def _nest(plan: Plan, item: ClothNest) -> list[dict[str, Any]]:
    """The layouts of one sheet, one for each strip it is cut from."""
    assert plan.work is not None, "a nest without work to do"
    shapes: dict[str, Outline] = {p.id: p.template for p in (*plan.work.plies.plies, *plan.work.core.cap)}
    made = []
    for layout in item.nest.layouts:
        length, width = strip_length(layout), layout.strip.width
        scale = scale_to_fit([bar(0.0, 0.0, length, width)], WIDE - 25, 62.0)
        drawing = nest_drawing(layout, shapes, scale=scale, view=plan.case.view)
        kind = "remnant" if layout.strip.remnant else "roll"
        made.append(
            {
                "title": f"Cut layout on {kind} {layout.strip.id}",
                "words": f"warp along the roll, face up, scale {scale_words(scale)}; made by {item.made_by}",
                "drawing": page_data(drawing.flat()),
            }
        )
    return made


def _kit(shown: Workings, line: KitLine) -> dict[str, Any]:
    return {
        "group": line.group,
        "name": line.name,
        "purpose": line.purpose,
        "amount": [shown.part(line.amount)] if line.amount is not None else [],
        "picks": [f"{p.store}, lot {p.lot}: {shown.value(p.amount)} ({p.words})" for p in line.picks],
        "short": shown.value(line.short) if line.short is not None else "",
        "missing": not line.stocked and line.group in ("cloth", "resin", "adhesive", "core", "bagging"),
        "caution": line.caution,
    }


def _mix(plan: Plan, shown: Workings, mix: Mix) -> dict[str, Any]:
    window: list[Any] = []
    if mix.hardener_low is not None and mix.hardener_high is not None:
        window = [shown.part(mix.hardener_low), " to ", shown.part(mix.hardener_high)]
    elif mix.pots:
        window = [shown.part(mix.pots[0][1])]

    def one(figure: Figure | None) -> list[Any]:
        return [shown.part(figure)] if figure is not None else ["none"]

    return {
        "id": mix.id,
        "material": plan.case.catalogue.get(mix.material).name,
        "total": one(mix.total),
        "resin": one(mix.resin),
        "hardener": one(mix.hardener),
        "filler": one(mix.filler),
        "pots": len(mix.pots),
        "window": window,
    }
