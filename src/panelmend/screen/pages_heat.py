"""Heat: what each cure is predicted to do, as the cure plan prints it, and what a field would change."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Request
from fastapi.responses import HTMLResponse
from pydantic import Field

from panelmend.app.changing import changes_typed
from panelmend.app.heat_tries import TriedPlan, what_if
from panelmend.errors import MissingError
from panelmend.job.cure.part import CureOperation
from panelmend.job.cure.prediction import HeatMap, Outlook, Prediction
from panelmend.plan.plan import Plan
from panelmend.render.axes import clock
from panelmend.render.cure_plan import MAP, cure_plan_data, map_scales
from panelmend.render.cure_rows import OUTLOOKS, SIGNS, degrees, difference, limit_row, outcome_words
from panelmend.render.views.heat_map import MapsShown, heat_map
from panelmend.render.views.heat_traces import Curve, curves_of
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Name, Sent
from panelmend.screen.api_errands import ErrandNow, now_of
from panelmend.screen.beside import FieldGroup, groups
from panelmend.screen.drawing.printed import on_screen, printed_svg
from panelmend.screen.page import THEMES, Theme, environment
from panelmend.screen.sheets import errand_runs, errands, keys_of, leaf, opened
from panelmend.units import to_unit, unit_for

router = APIRouter(include_in_schema=False)
calls = APIRouter(prefix="/api", responses=DOCUMENTED)
Maps = dict[str, tuple[HeatMap, ...]]


@router.get("/repairs/{name}/heat")
def heat(request: Request, name: str, theme: Theme = THEMES[0]) -> HTMLResponse:
    """The cure plan, with its maps by their moments and its curves by the minute."""
    repair = opened(request, name)
    plan = repair.made.plan
    data = heat_data(plan)
    through = _through(request, name)
    for made in data["operations"] if data else ():
        made["through"] = [(m.time, clock(m.time)) for m in through.get(made["problem"], ())]
    tried = errands(request).of(name, "what-if")
    return leaf(
        request, name, "heat", theme,
        data=data,
        fields=[g for g in groups(plan, repair.made.text) if _moves_heat(g)],
        keys=keys_of(data["workings"]) if data else {},
        running={k: errand_runs(errands(request).of(name, k)) for k in ("heat", "moments", "what-if")},
        tried=tried_data(tried.made) if tried is not None and isinstance(tried.made, TriedPlan) else None,
    )  # fmt: skip


@router.get("/repairs/{name}/heat/{operation}/{moment}")
def moment(
    request: Request, name: str, operation: int, moment: Annotated[int, Path(ge=0, le=99)]
) -> HTMLResponse:
    """One map of those through a cure, as a part of the page. Raises MissingError."""
    plan = opened(request, name).made.plan
    found = _operation(plan, operation)
    maps = _through(request, name).get(found.prediction.problem if found.prediction else "", ())
    if moment >= len(maps):
        raise MissingError("this map was not made")
    drawn = through_drawn(plan, found, maps, moment)
    return HTMLResponse(printed_svg(drawn["drawing"], f"{drawn['title']}, {on_screen(drawn['words'])}"))


class TrySent(Sent):
    """Fields that are tried, as they were typed."""

    typed: Annotated[dict[str, Annotated[str, Field(max_length=400)]], Field(min_length=1, max_length=40)]


@calls.post("/repairs/{name}/heat/try", operation_id="try_heat")
def try_heat(request: Request, name: Name, sent: TrySent) -> ErrandNow:
    """Predict the heat with changed fields, in the background; nothing is kept."""
    repair = opened(request, name)
    made = repair.made
    then = repair.tried(changes_typed(made.plan, made.text, dict(sent.typed))).plan
    begun = errands(request).begin(
        name, "what-if", lambda tell, stop: what_if(made.plan, then, dict(sent.typed), tell, stop)
    )
    return now_of("what-if", begun)


@router.get("/repairs/{name}/heat/tried")
def tried_part(request: Request, name: str) -> HTMLResponse:
    """What was tried last, as a part of the page. Raises MissingError."""
    found = errands(request).of(name, "what-if")
    if found is None or not isinstance(found.made, TriedPlan):
        raise MissingError("nothing was tried")
    return HTMLResponse(environment().get_template("heat_tried.html").render(tried=tried_data(found.made)))


def heat_data(plan: Plan) -> dict[str, Any] | None:
    """The cure plan's own data, each operation with its curves; None where nothing is cured."""
    if plan.work is None or not plan.work.cure.operations:
        return None
    data = cure_plan_data(plan)
    for made, operation in zip(data["operations"], plan.work.cure.operations, strict=True):
        found, problem = operation.prediction, operation.problem
        made["readings"], made["problem"] = None, found.problem if found is not None else ""
        if found is not None and problem is not None:
            made["readings"] = readings(curves_of(found, problem), plan.case.view)
    return data


def readings(curves: tuple[Curve, ...], view: str) -> dict[str, Any]:
    """Every curve at every step, in the reader's unit, for the slider."""
    unit = unit_for("temperature", view)
    times = curves[0].times
    return {
        "unit": unit,
        "times": [round(t) for t in times],
        "curves": [
            {
                "name": c.name,
                "kind": c.kind,
                "values": [round(to_unit(c.value(t), "temperature", unit), 1) for t in times],
            }
            for c in curves
        ],
    }


def through_drawn(plan: Plan, operation: CureOperation, maps: tuple[HeatMap, ...], n: int) -> dict[str, Any]:
    """One of the maps through a cure as plain data, on the scale that all of them share."""
    assert plan.work is not None, "a cure of a repair that lays nothing"
    assert operation.problem is not None, "a map of a cure without a problem"
    assert operation.prediction is not None, "a map of a cure without a prediction"
    found = operation.prediction
    shown = MapsShown(
        plan.case,
        operation.problem,
        plan.work.cutout.opening.outline,
        found.sensors,
        (found.hottest, found.coldest),
    )
    # the scale of the printed maps: the same colour is the same temperature on both
    scales = map_scales(operation.problem, found.maps, plan.case.view)
    return heat_map(shown, maps[n], scales[0], MAP).data()


def tried_data(tried: TriedPlan) -> dict[str, Any]:
    """What a try came to beside what is kept, operation by operation."""
    view = tried.then.case.view
    rows = []
    for operation in tried.then.work.cure.operations if tried.then.work is not None else ():
        before = next(
            (o.prediction for o in tried.now.work.cure.operations if o.number == operation.number), None
        ) if tried.now.work is not None else None  # fmt: skip
        after = tried.found.get(operation.number)
        rows.append(
            {
                "name": operation.name,
                "predicted": after is not None,
                "outcome": outcome_words(after, view) if after is not None else "",
                "holds": after is not None and after.outlook is Outlook.HOLDS,
                "mark": OUTLOOKS[after.outlook] if after is not None else "",
                "sign": SIGNS[after.outlook] if after is not None else "",
                "same": before is not None and after is not None and before.problem == after.problem,
                "figures": _beside(before, after, view),
                "limits": [] if after is None else [limit_row(r, view) for r in after.limits],
                "missing": [m.what for m in operation.missing],
            }
        )
    stands = {(f.code, f.place, f.words) for f in tried.now.findings}  # one that says worse is told anew
    return {
        "typed": tried.typed,
        "rows": rows,
        "standing": tried.then.standing.value,
        "findings": [f for f in tried.then.findings if (f.code, f.place, f.words) not in stands],
    }


def _beside(before: Prediction | None, after: Prediction | None, view: str) -> list[tuple[str, str, str]]:
    def of(p: Prediction | None) -> dict[str, str]:
        if p is None:
            return {}
        return {
            "coldest": degrees(p.coldest.kelvin, view),
            "hottest": degrees(p.hottest.kelvin, view),
            "worst": difference(p.worst, view),
            "duration": clock(p.duration),
        }

    a, b = of(before), of(after)
    return [(key, a.get(key, "–"), b.get(key, "–")) for key in ("coldest", "hottest", "worst", "duration")]


def _moves_heat(group: FieldGroup) -> bool:
    return any(f.key.startswith(("choice.heat", "choice.blanket", "bay.")) for f in group.fields)


def _through(request: Request, name: str) -> Maps:
    """Maps through the cures that were made, by the digest of their problem."""
    done = errands(request).of(name, "moments")
    return done.made if done is not None and isinstance(done.made, dict) else {}


def _operation(plan: Plan, number: int) -> CureOperation:
    for operation in plan.work.cure.operations if plan.work is not None else ():
        if operation.number == number:
            return operation
    raise MissingError(f"there is no cure {number}")
