"""The head of each page: STOP with its reasons, DRAFT, or nothing; words that grey print keeps."""

from __future__ import annotations

import pytest

from card_plans import door, planned
from examples_here import case, case_from, heat_taken_on, text
from panelmend.errors import Severity
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.card import card_data, card_pdf
from panelmend.render.status import status_of
from render_pages import page_words

DEFAULT = ('grit = { value = 150, place = "52-10-17 para 3B" }\n', "")


def _pages(plan: Plan) -> list[str]:
    return page_words(card_pdf(plan))


def test_a_stop_stands_on_every_page_with_its_reason_on_the_first() -> None:
    plan = planned("access_door_no_fit")
    assert status_of(plan) == "STOP"
    pages = _pages(plan)
    assert all("STOP" in page for page in pages)
    assert "Do not work from this card" in pages[0]
    stop = next(f for f in plan.findings if f.severity is Severity.STOP)
    assert " ".join(stop.words.split()[:3]) in " ".join(pages[0].split())
    assert "but STOP" in " ".join(pages[0].split())


@pytest.mark.parametrize(("change", "word"), [((), ""), ((DEFAULT,), "DRAFT")])
def test_draft_stands_where_a_default_is_open(change: tuple[tuple[str, str], ...], word: str) -> None:
    document = text("gear_door")
    for old, new in change:
        document = document.replace(old, new)
    plan = make_plan(case_from(heat_taken_on(document)))
    assert status_of(plan) == word
    data = card_data(plan)
    assert data["status"]["word"] == word
    assert bool(data["status"]["reasons"]) is bool(word)


def test_a_cure_that_will_not_hold_stops_the_card() -> None:
    from dataclasses import replace

    from made_cures import predicted_plan

    before = predicted_plan(case("flap_rib_bay"))
    assert before.work is not None
    (operation,) = before.work.cure.operations
    found, problem = operation.prediction, operation.problem
    assert found is not None
    assert problem is not None
    plan = make_plan(before.case, predictions={problem.digest(): replace(found, finished=False)})
    assert status_of(plan) == "STOP"
    assert "J015" in {f.code for f in plan.findings}


def test_bench_pages_come_first_and_are_no_more_than_two() -> None:
    for kind in ("gear_door", "cowling"):
        pages = _pages(planned(kind))
        assert "Bench page" in pages[0]
        planner = next(i for i, page in enumerate(pages) if "Planner" in page and "Approved data" in page)
        assert planner <= 2
        first = next(i for i, page in enumerate(pages) if "Steps in working order" in page)
        assert first > planner


def test_findings_are_grouped_and_a_default_is_said_once_with_its_list() -> None:
    plan = door(DEFAULT, ('bond_within = { value = "24 h", place = "52-10-17 para 3F" }\n', ""))
    groups = card_data(plan)["planner"]["groups"]
    rows = [row for g in groups for row in g["rows"] if row["code"] == "J001"]
    assert len(rows) == 1
    assert len(rows[0]["cases"]) == 2
    assert len(rows[0]["todo"]) == 1


@pytest.mark.parametrize(("kind", "sides"), [("gear_door", 1), ("root_fairing", 2)])
def test_the_planners_page_takes_one_side(kind: str, sides: int) -> None:
    """A second one where every cure lacks its constants and waits for a name."""
    pages = _pages(planned(kind))
    first = next(i for i, page in enumerate(pages) if "Planner" in page and "Approved data" in page)
    assert "Steps in working order" in pages[first + sides]


def test_what_is_alike_in_findings_is_said_once_and_nothing_of_them_is_dropped() -> None:
    """Confirmed defaults by who confirmed them, missing constants by the cures that lack them."""
    plan = planned("access_door_no_fit")
    assert plan.work is not None
    rows = {row["code"]: row for g in card_data(plan)["planner"]["groups"] for row in g["rows"]}
    confirmed = [f for f in plan.findings if f.code == "J002"]
    said = "; ".join(rows["J002"]["cases"])
    assert rows["J002"]["count"] == len(confirmed) == said.count(" = ")
    for f in confirmed:
        value, who = f.words.split(", confirmed by ")
        assert value in said
        assert f"confirmed by {who}" in said
    assert len(rows["J002"]["cases"]) < len(confirmed)
    lacking = {(m.what, cure.name) for cure in plan.work.cure.operations for m in cure.missing}
    assert lacking
    for what, cure in lacking:
        assert any(what in case and cure in case.split(": ")[0] for case in rows["H020"]["cases"])
    assert all("; ".join(rows["H020"]["cases"]).count(what) == 1 for what, _ in lacking)


def test_a_remedy_is_said_once_on_the_planners_page_and_stands_in_the_banner() -> None:
    data = card_data(planned("access_door_no_fit"))
    (row,) = [row for g in data["planner"]["groups"] for row in g["rows"] if row["code"] == "P101"]
    assert "shift the cut-out" in row["todo"][0].lower()
    assert not any("shift the cut-out" in case.lower() for case in row["cases"])
    assert sum("shift the cut-out" in reason.lower() for reason in data["status"]["reasons"]) == 1
