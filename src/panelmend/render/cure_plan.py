"""The cure plan as a PDF: what each cure is predicted to do, where the thermocouples go, what to change."""

from __future__ import annotations

from typing import Any

from panelmend.derive import Figure
from panelmend.job.bag.part import BagOperation
from panelmend.job.card.bench import heated_by
from panelmend.job.card.heating import LAGS, ONLY, insulated, rate_set
from panelmend.job.card.pressed import pressed_by
from panelmend.job.case import Case
from panelmend.job.cure.drying import NUMBER as DRYING
from panelmend.job.cure.part import CureOperation
from panelmend.job.cure.prediction import HeatMap, Outlook, Prediction
from panelmend.job.cure.problem import HeatProblem
from panelmend.job.degree_reached import unfinished
from panelmend.plan.plan import Plan
from panelmend.render.axes import clock
from panelmend.render.card import PAPERS
from panelmend.render.cure_air import drying_data, vacuum_row
from panelmend.render.cure_outcome import breaks_wet, cure_outcome, outlook_mark, outlook_sign
from panelmend.render.cure_rows import (
    OUTLOOK_RULE,
    advice_row,
    cured_row,
    degrees,
    difference,
    likelihood_data,
    limit_row,
    outcome_words,
    placing_words,
    sensor_row,
    unknown_row,
    wet_words,
)
from panelmend.render.heat_colours import HeatScale, scale_for
from panelmend.render.heat_field import drawn_field
from panelmend.render.typesetting import Sheets
from panelmend.render.views.drivers import drivers_view
from panelmend.render.views.heat_map import FAR_SKIN, MapsShown, heat_map, legend
from panelmend.render.views.heat_places import PlacingAxes, places_view, words_for_place
from panelmend.render.views.heat_traces import dwell_view, whole_view
from panelmend.render.workings import Workings, workings_of
from panelmend.shapes import Outline

MAP = (86.0, 88.0)  # [mm] room for one map
PLACES = (165.0, 92.0)  # [mm] room for the drawing of the thermocouples
WET_DRYING = (
    "a wet place takes heat to warm and boil its water: it stays colder than given here and dries later, "
    "and against boiling that errs to the safe side. A thermocouple over wet core reads colder than dry core "
    "beside it, and the controller would heat that more: have one over dry core"
)
Parts = list[Any]


def cure_plan_pdf(plan: Plan) -> bytes:
    """The cure plan: the same plan and predictions give the same bytes."""
    return cure_plan_sheets(plan).pdf()


def cure_plan_sheets(plan: Plan) -> Sheets:
    """Its pages, ready to be set."""
    return Sheets("cure_plan", cure_plan_data(plan), plan.case.document.repair.work_date)


def cure_plan_data(plan: Plan) -> dict[str, Any]:
    """Everything the page template shows."""
    assert plan.work is not None, "a cure of a repair that lays nothing"
    view, cure = plan.case.view, plan.work.cure
    shown = workings_of(plan)
    repair, manual = plan.case.document.repair, plan.case.document.data.manual
    data: dict[str, Any] = {
        "paper": PAPERS[view],
        "plan": plan.short_digest,
        "draft": plan.is_draft,
        "mark": plan.mark,
        "repair": {
            "number": repair.number,
            "title": repair.title,
            "operator": repair.operator,
            "invented": repair.invented,
        },
        "manual": f"{manual.number} rev {manual.revision}",
        "rule": OUTLOOK_RULE,
        "overview": [_overview(shown, o) for o in cure.operations],
        "operations": [_operation(plan, shown, o) for o in cure.operations],
        "vacuum": [vacuum_row(shown, b) for b in plan.work.bag.operations if b.bagged],
        "drying": drying_data(shown, plan.case, plan.work.drying, cure),
    }
    data["workings"] = shown.rows()
    return data


def _overview(shown: Workings, operation: CureOperation) -> dict[str, Any]:
    """One line for each operation on the first page."""
    found, view = operation.prediction, shown.view
    if found is None:
        return {"name": operation.name, "predicted": False, "holds": False, "mark": "", "cells": []}
    likely = found.likelihood
    share = "not computed"
    if likely is not None:
        share = likelihood_data(likely, view, found.unknowns)["share"]
        share += f" ({likely.everything if likely.firm is None else likely.firm})"
    cells = [
        _read(shown, operation, "coldest", degrees(found.coldest.kelvin, view)),
        _read(shown, operation, "hottest", degrees(found.hottest.kelvin, view)),
        _read(shown, operation, "worst_margin", difference(found.worst, view)),
        _read(shown, operation, "duration", clock(found.duration)),
        _read(shown, operation, "likelihood", share),
    ]
    sure, mark = outlook_mark(operation)
    sign = outlook_sign(operation)
    return {
        "name": operation.name,
        "predicted": True,
        "holds": sure,
        "mark": mark,
        "sign": sign,
        "cells": cells,
    }


def _read(shown: Workings, operation: CureOperation, name: str, words: str) -> Any:
    """A number of the prediction in these pages' words; it links to its workings where it is a figure."""
    key = f"cure.{operation.number}.{name}"
    return shown.part(shown.ledger[key]) | {"text": words} if key in shown.ledger else words


def _operation(plan: Plan, shown: Workings, operation: CureOperation) -> dict[str, Any]:
    case, work, view = plan.case, plan.work, plan.case.view
    assert work is not None, "a cure of a repair that lays nothing"
    bag = next(b for b in work.bag.operations if b.number == operation.number)
    opening, bench = work.cutout.opening, bench_of(plan, operation)
    problem, found = operation.problem, operation.prediction
    heated = problem.source.heated if problem is not None else None
    data: dict[str, Any] = {
        "number": operation.number,
        "name": operation.name,
        "predicted": found is not None,
        "never": _never(operation, bag),
        "heater": heated_by(bag),
        "missing": [{"what": m.what, "field": m.field, "ask": m.ask} for m in operation.missing],
        "recipe": f"{bag.cure.place}, {plan.case.document.data.manual.number}",
        "facts": _facts(case, shown, operation, bag),
        "circuits": _circuits(shown, operation),
        "places": places_view(case, bench, heated, operation.sensors, PLACES).data(),
        "sensors": [],
        "evenly": [
            {"id": s.id, "place": ", ".join(_place_words(bench, s.at, view)), "note": s.note}
            for s in operation.sensors
        ],
    }
    if found is None or problem is None:
        return data
    made = _predicted(plan, problem, found, bench, opening.outline)
    wet, soft = wet_words(operation, view), unfinished(operation, work.cure.operations, view)
    outcome = cure_outcome(operation, view)
    if breaks_wet(operation):
        outcome += " Its figures stand under what nobody measured."
    notes = [*([wet] if wet else []), *soft, *made["notes"]]
    return data | made | {"outcome": outcome, "holds": outlook_mark(operation)[0], "notes": notes}


def _never(operation: CureOperation, bag: BagOperation) -> str:
    """Why its heat is none that is predicted; "" where it could be."""
    if not operation.never:
        return ""
    return f"{ONLY} {LAGS}" if heated_by(bag) == "oven" else ONLY


def bench_of(plan: Plan, operation: CureOperation) -> PlacingAxes:
    """What the places of an operation are measured from."""
    assert plan.work is not None, "a cure of a repair that lays nothing"
    bag = next(b for b in plan.work.bag.operations if b.number == operation.number)
    opening = plan.work.cutout.opening
    return PlacingAxes(bag.side, opening.centre, float(opening.angle), bag.patch, opening.outline)


def _place_words(bench: PlacingAxes, at: tuple[float, float], view: str) -> list[str]:
    along, across, edge = words_for_place(bench, at, view)
    return [along, across, f"{edge} the patch's edge"]


def _rate(case: Case, shown: Workings, rate: Figure | None) -> Parts:
    """The rate a controller is set to, with the decimals that the job card's step has."""
    if rate is None:
        return ["not given"]
    said = rate_set(rate, case.view)
    return [{**shown.part(rate), "text": said} if isinstance(said, str) else shown.part(rate)]


def _facts(case: Case, shown: Workings, operation: CureOperation, bag: BagOperation) -> list[list[Any]]:
    """What stands at the head of an operation: label, and text or a figure."""
    view, found, cure = shown.view, operation.prediction, bag.cure

    def part(figure: Figure | None) -> Parts:
        return [shown.part(figure)] if figure is not None else ["not given"]

    rows: list[list[Any]] = [
        ["Set point", part(operation.set_point)],
        ["Rate of the ramp", _rate(case, shown, operation.rate)],
        ["Follows", [f"the {cure.control} thermocouple" if cure.control else "not given by the data"]],
    ]
    rows.append(["Least vacuum", part(bag.least_vacuum) if bag.bagged else ["no bag"]])
    if not bag.bagged:
        rows.append(
            ["Pressed by", [pressed_by(bag), *([", at least ", *part(bag.pressure)] if bag.pressure else [])]]
        )
    rows += [[f"Insulation {where}", [name]] for where, name in insulated(case, operation.name)]
    if found is None:
        return rows
    never = "does not, in this cure"
    dwell = never
    if found.dwell_from is not None and found.dwell_to is not None:
        dwell = f"{clock(found.dwell_from)} to {clock(found.dwell_to)}"
    arrives = clock(found.coldest_arrives) if found.coldest_arrives is not None else never
    rows += [
        ["Coldest place enters the band", [_read(shown, operation, "coldest_arrives", arrives)]],
        ["Dwell as the controller counts it", [dwell]],
        [
            "Hottest beyond the set point",
            [_read(shown, operation, "overshoot", difference(found.overshoot, view))],
        ],
        [
            "Duty of the blanket, at most",
            [f"{100 * found.duty[0]:.0f} %, in the dwell {100 * found.duty[1]:.0f} %"],
        ],
    ]
    return rows


def _circuits(shown: Workings, operation: CureOperation) -> list[dict[str, Any]]:
    def part(figure: Figure | None) -> Any:
        return shown.part(figure) if figure is not None else "not known"

    return [
        {
            "blanket": c.blanket,
            "circuit": c.circuit or "none will do",
            "power": part(c.power),
            "current": part(c.current),
            "allowed": part(c.allowed),
            "holds": c.holds,
            "checked": c.checked,
        }
        for c in operation.blankets
    ]


def _predicted(
    plan: Plan, problem: HeatProblem, found: Prediction, bench: PlacingAxes, cutout: Outline
) -> dict[str, Any]:
    """What an operation's prediction says."""
    case, view = plan.case, plan.case.view
    maps = MapsShown(case, problem, cutout, found.sensors, (found.hottest, found.coldest))
    scales = map_scales(problem, found.maps, view)
    likely = found.likelihood
    return {
        "prediction": found.problem[:12],
        "holds": found.outlook is Outlook.HOLDS,
        "outcome": outcome_words(found, view),
        "limits": [limit_row(r, view) for r in found.limits],
        "legend": legend(problem),
        "maps": [heat_map(maps, m, s, MAP).data() for m, s in zip(found.maps, scales, strict=True)],
        "traces": [whole_view(found, problem, view).data(), dwell_view(found, problem, view).data()],
        "sensors": [sensor_row(s, bench, view) for s in found.sensors],
        "placing": placing_words(found, problem.places, view),
        "cured": [cured_row(c, view) for c in found.cured],
        "advice": [advice_row(a, view) for a in found.advice],
        "likelihood": likelihood_data(likely, view, found.unknowns) if likely is not None else None,
        "drivers": drivers_view(likely.drivers, found.unknowns, view).data()
        if likely and likely.drivers
        else None,
        "unknowns": [unknown_row(u, view) for u in found.unknowns],
        "notes": [*found.notes, *([WET_DRYING] if problem.number == DRYING else [])],
        "numbers": f"{found.cells} cells, steps of {found.step:g} s at most; heat not accounted for: "
        f"{_percent(abs(found.energy_unbalanced))} of what the blanket gave",
    }


def _percent(share: float) -> str:
    """A small share in words."""
    return "less than 0.01 %" if share < 1e-4 else f"{100 * share:.2f} %"


def map_scales(problem: HeatProblem, maps: tuple[HeatMap, ...], view: str) -> list[HeatScale]:
    """A colour scale for each map: one for all maps of the bond line, with the band in it, one for the far
    skin.

    Each begins at the coldest under the patch and reaches the hottest anywhere in its maps.
    """
    groups: dict[bool, list[float]] = {}
    for m in maps:
        within = drawn_field(m, problem.frame).extremes(problem.bond)
        values = [within[0][0]] if within is not None else [problem.dwell.target]
        values.append(max((k for row in m.kelvin for k in row if k is not None), default=values[0]))
        groups.setdefault(_is_far(m), []).extend(values)
    dwell = problem.dwell
    if False in groups:
        groups[False] += [dwell.low, dwell.high if dwell.high is not None else dwell.target]
    made = {far: scale_for(min(values), max(values), view) for far, values in groups.items()}
    return [made[_is_far(m)] for m in maps]


def _is_far(m: HeatMap) -> bool:
    return m.layer == FAR_SKIN
