"""The planner's page: what the data says of it, the findings grouped, what is still open."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from panelmend.derive.ledger import words_of
from panelmend.errors import Finding, Severity, all_codes
from panelmend.job.card.writing import Bound
from panelmend.plan.compare import papers_of
from panelmend.plan.heat_asked import heat_asked
from panelmend.plan.plan import Plan
from panelmend.render.views import panel_view, survey_view
from panelmend.render.workings import Workings

DISPOSITION = {
    "no structural repair": "No structural repair",
    "repair": "May be repaired here",
    "engineering": "Engineering decides",
    "not judged": "Not judged",
}
SAID = {
    Severity.STOP: "Stop: do not work",
    Severity.CONFIRM: "Waits for a named person",
    Severity.CAUTION: "Look before going on",
    Severity.NOTE: "Worth knowing",
}


IN_ANOTHER = {"H021", "H133", "H382"}
"""What H602 of the same cure says with its reasons."""
TOLD = (Severity.CAUTION, Severity.NOTE)
"""What is said in one go; what stops or waits stands case by case where it is longer than a line."""


def planner_data(plan: Plan, shown: Workings) -> dict[str, Any]:
    """What the planner's page shows."""
    case = plan.case
    survey = None
    if plan.survey is not None:
        survey = survey_view(case, plan.survey, plan.work, (54.0, 44.0)).data()
    return {
        "facts": _facts(plan),
        "disposition": DISPOSITION[plan.limits.disposition],
        "reasons": [f"{r.what}: {r.words}" for r in plan.limits.reasons],
        "panel": panel_view(case, plan.work, case.document.damage.side, (54.0, 44.0)).data(),
        "survey": survey,
        "groups": _groups(plan),
        "open": _open(plan, shown),
        "compare": _compare(plan),
    }


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
        *entry_named(plan),
        ["Repair in the data", document.data.repair],
        ["Day of the work", str(repair.work_date)],
        ["Plan", plan.short_digest],
        ["Planner", people.planner or "not named"],
        ["Technician", people.technician or "not named"],
        ["Inspector", people.inspector or "not named"],
        ["Engineer", people.engineer or "not named"],
    ]


def entry_named(plan: Plan) -> list[list[str]]:
    """What its shelf calls the data: below manual and revision, so that another revision in it is seen."""
    shelved = plan.case.shelved
    names = [e.name for e in shelved.entries if e.taken and e.shelf == "data"] if shelved is not None else []
    return [["Its name on the shelf", ", ".join(names)]] if names else []


def _groups(plan: Plan) -> list[dict[str, Any]]:
    """Findings by weight, then by code: each said once with its cases, what to do once."""
    codes = {c.code: c for c in all_codes()}
    made: list[dict[str, Any]] = []
    untold = {f.place for f in plan.findings if f.code == "H602"}
    keys = heat_asked(plan.case, plan.work)
    for severity in (Severity.STOP, Severity.CONFIRM, Severity.CAUTION, Severity.NOTE):
        mine: dict[str, dict[str, Any]] = {}
        for f in plan.findings:
            if f.severity is not severity or (f.code in IN_ANOTHER and f.place in untold):
                continue
            row = mine.setdefault(
                f.code, {"code": f.code, "title": codes[f.code].title, "cases": [], "todo": [], "count": 0}
            )
            if f.code not in TOGETHER:
                key = keys.get((f.code, f.place))
                words = f.words if key is None else f'{f.words}; figure = "{key}"'
                row["cases"].append(_default(plan, f.place) if f.code == "J001" else words)
            row["count"] += 1
            # one key each stands with its case; what to do about them is one
            todo = codes[f.code].todo if (f.code, f.place) in keys else f.todo
            if todo not in row["todo"]:
                row["todo"].append(todo)
        for code, together in TOGETHER.items():
            if code in mine:
                mine[code]["cases"] = together(plan, [f for f in plan.findings if f.code == code])
        if mine:
            rows = [row | {"short": severity in TOLD or _short(row["cases"])} for row in mine.values()]
            made.append({"severity": severity.value, "said": SAID[severity], "rows": rows})
    return made


def _confirmed(plan: Plan, found: list[Finding]) -> list[str]:
    """Defaults that one person confirmed on one day, said together."""
    by_whom: dict[str, list[str]] = {}
    confirms = {c.figure: c for c in plan.case.document.confirm}
    for f in found:
        c, figure = confirms[f.place], plan.ledger[f.place]
        said = f"{figure.key} = {words_of(figure, plan.case.view)}"
        by_whom.setdefault(f"confirmed by {c.by} on {c.on}", []).append(said)
    return [f"{'; '.join(said)}: {who}" for who, said in by_whom.items()]


def _lacking(plan: Plan, found: list[Finding]) -> list[str]:
    """The constants that keep a cure from being predicted: each said once, with the cures that lack it."""
    assert plan.work is not None, "a cure of nothing"
    whose: dict[str, list[str]] = {}
    for cure in plan.work.cure.operations:
        for lack in cure.missing:
            whose.setdefault(lack.what, []).append(cure.name)
    said: dict[str, list[str]] = {}
    for what, cures in whose.items():
        said.setdefault(", ".join(dict.fromkeys(cures)), []).append(what)
    return [f"{cures}: {'; '.join(whats)}" for cures, whats in said.items()]


def _left_open(_: Plan, found: list[Finding]) -> list[str]:
    """What is not typed, the words "not typed" said once."""
    return ["not typed: " + "; ".join(f.words.replace("not typed: ", "") for f in found)]


TOGETHER: dict[str, Callable[[Plan, list[Finding]], list[str]]] = {
    "J002": _confirmed,
    "H020": _lacking,
    "J391": _left_open,
}
"""Codes whose cases repeat words: what is alike in them is said once."""


def _short(cases: list[str]) -> bool:
    """Whether a code is said in one go, its cases one after the other: there is one, or all are short."""
    return len(cases) == 1 or max(map(len, cases)) <= 90


def _default(plan: Plan, key: str) -> str:
    figure = plan.ledger[key]
    return f"{key.replace('_', ' ').replace('.', ', ')}: {words_of(figure, plan.case.view)}"


def _compare(plan: Plan) -> list[str]:
    """How many typed figures a second person compares, paper by paper, and what was compared before."""
    papers = papers_of(plan.case)
    todo = [f"{p.title} ({len(p.rows)})" for p in papers if p.rows and p.section != "materials"]
    stuff = sum(len(p.rows) for p in papers if p.section == "materials")
    done: dict[str, int] = {}
    for paper in papers:
        for by, n in paper.checked.items():
            done[by] = done.get(by, 0) + n
    lines = ["; ".join([*todo, *([f"sheets of the materials ({stuff})"] if stuff else [])])]
    if done:
        lines.append("Checked on the shelves: " + "; ".join(f"{n} by {by}" for by, n in done.items()))
    return [line for line in lines if line]


def _open(plan: Plan, shown: Workings) -> list[str]:
    """What the planner has still to find, ask or fill in."""
    document, lines = plan.case.document, list[str]()
    for role in ("planner", "technician", "inspector", "engineer"):
        if not getattr(document.people, role):
            lines.append(f"No {role} is named.")
    asked = [
        (s.number, b.what)
        for s in plan.card.steps
        for b in s.blanks
        if isinstance(b.said, Bound) and b.said.is_open
    ]
    if asked:
        steps = sorted({n for n, _ in asked})
        lines.append(
            f"{len(asked)} readings have no limit or tolerance in this document; their blanks say so: look "
            "them up in the approved data and write them in before anyone starts work "
            f"(steps {', '.join(map(str, steps))})."
        )
    if document.data.category is None:
        lines.append("Category of the repair (permanent or interim, when due) is not in the document.")
    heaters = {b.cure.heated_by for b in plan.work.bag.operations} if plan.work is not None else set[str]()
    bagged = plan.work is not None and any(b.bagged for b in plan.work.bag.operations)
    lacking = [
        name
        for name in (
            "power",
            *(("pump",) if bagged else ()),
            *(h for h in ("blanket", "oven") if h in heaters),
            *(("leak",) if bagged else ()),
        )
        if getattr(document.data.interruption, name) is None
    ]
    if lacking and plan.work is not None:
        lines.append(
            f"The document does not give what the data says about an interrupted cure ({', '.join(lacking)})."
        )
    if plan.work is not None and plan.work.kit.mixes and document.bay.pace is None:
        lines.append(
            "NOT CHECKED: whether mixing, laying and bagging fit the pot life (bay.pace is not typed)."
        )
    return lines
