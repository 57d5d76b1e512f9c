"""Everything a pack prints, and every finding there is, in the units of who reads it.

Pages are read before they are set: what a template gets is plain data, so no PDF is made.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from importlib.resources import files
from typing import Any

import pytest

from examples_here import case_from, names
from finding_cases import finding_cases
from finding_probe import of_stage
from made_cures import predicted_plan
from panelmend.derive.formula import all_formulas
from panelmend.job.survey.trace import Withheld
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.plan.strength_study import study_strength
from panelmend.render.card import card_sheets
from panelmend.render.card_workings import workings_sheets
from panelmend.render.cure_plan import cure_plan_sheets
from panelmend.render.files import kit_tables, plan_file
from panelmend.render.labels import labels_sheets
from panelmend.render.papers import A4, LETTER_PAPER, roll
from panelmend.render.pieces import heading_of, templates_of
from panelmend.render.strength_report import strength_sheets
from panelmend.render.templates import templates_sheets
from panelmend.render.views import survey_view
from strange_units import INCHES, METRIC, strings, turned, typed_in, without
from strength_made import coarse

# What is said alike in both: the two squares on every template; words that a kept prediction was made with.
ALIKE = {"100 mm", "4 in", "power missing along its rim of 1 in"}


def pages(plan: Plan) -> Iterator[tuple[str, Any]]:
    """The data of every page of the pack, the strength report apart."""
    assert plan.work is not None
    yield "card", card_sheets(plan).data
    workings = workings_sheets(plan).data
    compared = [{**p, "rows": [r[:2] + r[4:] for r in p["rows"]]} for p in workings["papers"]]
    assert any(r[3] for p in workings["papers"] for r in p["rows"]), "as typed, and in both systems"
    yield "workings", {**workings, "papers": compared}
    yield "cure plan", cure_plan_sheets(plan).data
    heading, templates = heading_of(plan), templates_of(plan)
    paper = A4 if plan.case.view == "mm" else LETTER_PAPER
    yield "templates", templates_sheets(heading, templates, paper).data
    yield (
        "labels",
        labels_sheets(heading, [t for t in templates if t.operation == "cut cloth"], paper=paper).data,
    )
    yield "kit", [[t.above, [c.heading for c in t.columns], t.rows] for t in kit_tables(plan)]
    yield "plan.json", json.loads(plan_file(plan))
    if plan.survey is not None:
        yield "survey", survey_view(plan.case, plan.survey, plan.work, (260.0, 180.0)).data()


def foreign(document: str, plan: Plan, found: Iterator[tuple[str, Any]]) -> list[str]:
    """What is said in the other system's units, but for what somebody typed, formulas and their sources."""
    other = METRIC if plan.case.view == "in" else INCHES
    typed = typed_in(document)
    known = all_formulas().values()
    same = {f.text for f in known} | {f.source.title for f in known} | ALIKE
    return [
        f"{name}: {said}"
        for name, data in found
        for said in strings(data)
        if said not in same and other.search(without(said, typed))
    ]


@pytest.mark.parametrize("view", ["mm", "in"])
@pytest.mark.parametrize("example", names())
def test_no_page_speaks_in_the_other_units(example: str, view: str) -> None:
    """Every string of every page of every example, for either reader, cures predicted where they can be."""
    document = turned(example, view)
    plan = predicted_plan(case_from(document))
    assert plan.case.view == view
    assert foreign(document, plan, pages(plan)) == []


@pytest.mark.parametrize("view", ["mm", "in"])
@pytest.mark.parametrize("example", ["gear_door", "flap_rib_bay"])
def test_the_strength_report_is_in_the_readers_units(example: str, view: str) -> None:
    document = turned(example, view)
    plan = make_plan(case_from(document))
    with coarse():
        data = strength_sheets(study_strength(plan)).data
    assert any(re.search(rf"\d {view}\b", s) for s in strings(data))
    assert foreign(document, plan, iter([("strength", data)])) == []


# A measure in words, or a figure apart from its unit: lengths of a layout stand together with theirs ("5mm").
MEASURE = re.compile(
    r"\d[ ~  ]+(?:mm|cm|m|km|in|ft|C|F|K|°C|°F|kPa|MPa|hPa|Pa|psi|inHg|mbar|N|lbf|g|kg|oz|lb|W|V)\b(?![/(])"
    r"|(?i:millimet|inche?s?\b|\bfeet\b|celsius|fahrenheit)"
)


def said_in(source: str) -> list[str]:
    """Measures that a template says of itself, whatever stands round them; comments and squares left out."""
    source = re.sub(r"(?m)(?<!:)//.*$", "", source).replace("100 mm and 4 in", "")
    return [source[max(m.start() - 40, 0) : m.end() + 20] for m in MEASURE.finditer(source)]


def test_no_template_says_a_measure_of_its_own() -> None:
    """What stands on a page beside its data is in no unit; lengths of a layout are no text."""
    folder = files("panelmend.render").joinpath("typst")
    found = {f.name: said_in(f.read_text("utf8")) for f in folder.iterdir() if f.name.endswith(".typ")}
    assert len(found) > 10
    assert not any(found.values()), found


def test_a_measure_is_seen_wherever_it_stands_in_a_template() -> None:
    """A list within a block, a word in quotation marks, after a call: no bracket hides it."""
    for source in (
        "[#text(size: 8pt)[Before]\n+ off by 0.5 mm is not used.\n]",
        'let a = "at 4 in"',
        "[#x(1): 9 C]",
    ):
        assert len(said_in(source)) == 1
    assert said_in("#v(5mm) // 5 mm\n#let gap = 0.5pt + 2mm\n[both squares: 100 mm and 4 in]") == []


@pytest.mark.parametrize("view", ["mm", "in"])
def test_a_roll_and_the_most_a_print_may_be_off_are_in_the_readers_units(view: str) -> None:
    """The roll's width stands in the foot of each sheet; 0.5 % of 4 in is 0.020 in."""
    plan = predicted_plan(case_from(turned("gear_door", view)))
    data = templates_sheets(heading_of(plan), templates_of(plan), roll()).data
    assert data["paper"]["title"] == {"mm": "plotter roll 914 mm", "in": "plotter roll 36 in"}[view]
    assert data["off"] == {"mm": "0.5 mm", "in": "0.020 in"}[view]


# Of shelves too: a document that is turned is no longer a job on shelves.
NUMBERED = [c for c in finding_cases() if re.search(r"\d", c.said) and c.code[0] not in "LSX"]


def test_findings_whose_words_are_pinned_in_one_system_are_said_in_the_other_too() -> None:
    """Every other code of a document is tried in both by its two cases (``finding_probe``)."""
    tried = {c.code: c for c in NUMBERED}
    assert len(tried) > 20
    for case in tried.values():
        fired, strange = of_stage(case, within=False, turned=True)
        assert fired, case.name
        assert strange == [], case.name


def test_why_no_per_cent_is_given_in_both_units() -> None:
    assert Withheld.SPACING.words().endswith("(7 to 51 mm)")
    assert Withheld.SPACING.words("in").endswith("(0.28 to 2.01 in)")
    assert all("(" not in w.words() for w in Withheld if w is not Withheld.SPACING)
