"""The workings as a PDF of their own: the card's reasoning, drying tables, every figure with its source."""

from __future__ import annotations

from typing import Any

from panelmend.job.card.heating import as_set
from panelmend.job.card.part import Note
from panelmend.plan.compare import ComparedPaper, figure_place, papers_of
from panelmend.plan.plan import Plan
from panelmend.render.card import WIDE, gathered, heading, table_data, words_data
from panelmend.render.typesetting import Sheets
from panelmend.render.views import (
    far_survey_view,
    layup_plan,
    recipe_view,
    skins_view,
    steam_view,
    survey_view,
)
from panelmend.render.workings import Workings, workings_of


def workings_sheets(plan: Plan, card: Workings | None = None) -> Sheets:
    """Its pages, ready to be set; ``card`` holds what the card shows and nothing else, where it was made."""
    return Sheets("workings", workings_data(plan, card), plan.case.document.repair.work_date)


def workings_data(plan: Plan, card: Workings | None = None) -> dict[str, Any]:
    """Everything the page template shows."""
    shown = card
    if shown is None:
        shown = workings_of(plan)
        gathered(plan, shown)  # every figure of the card is explained here
    numbers = {s.place: s.number for s in plan.card.steps}
    survey = None
    if plan.survey is not None:
        survey = survey_view(plan.case, plan.survey, plan.work, (WIDE, 105.0)).data()
    other = far_survey_view(plan.case, plan.work, (WIDE, 105.0))
    data = {
        **heading(plan),
        "notes": [_note(plan, shown, n, numbers.get(n.place, 0)) for n in plan.card.notes],
        "layups": _layups(plan),
        "papers": [_paper(p) for p in papers_of(plan.case)],
        "survey": survey,
        "far_survey": other.data() if other is not None else None,
    }
    return data | {"workings": shown.rows()}


def _paper(paper: ComparedPaper) -> dict[str, Any]:
    """The figures of one paper that a second person compares, and what is said of the others."""
    return {
        "title": paper.title,
        "said": "; ".join(f"{n} values checked on the shelf by {by}" for by, n in paper.checked.items()),
        "rows": [
            ["" if f.is_doubted else "●", figure_place(f), f.words, f.read, f.place] for f in paper.rows
        ],
    }


def _note(plan: Plan, shown: Workings, note: Note, number: int) -> dict[str, Any]:
    work, case = plan.work, plan.case
    pictures: list[dict[str, Any]] = []
    if work is not None and note.drawing == "drying":
        views = (steam_view(case, work.drying, WIDE), skins_view(case, work.drying, WIDE))
        pictures = [v.data() for v in views if v is not None]
    elif work is not None and note.place.id == "O22":
        bag = next(b for b in work.bag.operations if b.number == note.place.operation)
        heated = next(o for o in work.cure.operations if o.number == bag.number)
        pictures = [recipe_view(case, as_set(bag.cure, heated), 150.0).data()]
    return {
        "title": note.title,
        "step": str(number) if number else note.place.id,
        "words": [words_data(shown, w) for w in note.words],
        "tables": [table_data(shown, t) for t in note.tables],
        "pictures": pictures,
    }


def _layups(plan: Plan) -> list[dict[str, Any]]:
    if plan.work is None:
        return []
    note = (
        f"Scheme: {plan.work.plies.scheme}, {plan.work.plies.order}. Margins stand beyond the cut-out; least "
        "overlap is the least distance from the cut-out's edge to the ply's edge anywhere round it, corners "
        "included. Angles are counter-clockwise from 0° as seen from the side named."
    )
    return [
        {"plan": layup_plan(plan.case, plan.work, s, (WIDE + 10, 105.0)).data(), "note": note}
        for s in plan.work.plies.sides
    ]
