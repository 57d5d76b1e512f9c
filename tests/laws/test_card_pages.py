"""The card's steps on their pages: no step is parted from its cautions, blanks, sign or hold."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from examples_here import case, names
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.card import card_data, card_pdf
from panelmend.render.typesetting import compile_pdf, template
from render_pages import read


@dataclass(frozen=True)
class Pages:
    """The words of the steps' pages in reading order, all in one text, and where each page begins in it."""

    words: str
    starts: tuple[int, ...]

    def of(self, at: int) -> int:
        """The page a place in the text stands on."""
        return sum(1 for s in self.starts if s <= at)


@pytest.fixture(scope="module", params=names())
def plan(request: pytest.FixtureRequest) -> Plan:
    return make_plan(case(request.param))


@pytest.fixture(scope="module")
def pages(plan: Plan) -> Pages:
    words, starts = "", []
    for page in read(card_pdf(plan)).pages:
        starts.append(len(words))
        words += _squeezed(page.extract_text())
    return Pages(words, tuple(starts))


def _squeezed(words: str) -> str:
    """Without blanks and line ends, which differ with the width of a column; quotes as they are typed."""
    return "".join(words.replace("\u2019", "'").replace("-\n", "-").split())


def _spans(plan: Plan, pages: Pages) -> list[tuple[int, int]]:
    """Where each step's own words begin and end: from its heading to its sign."""
    at, found = pages.words.index(_squeezed("Steps in working order")), []
    for step in plan.card.steps:
        start = pages.words.index(_squeezed(f"{step.number}{step.title}"), at)
        at = pages.words.index(_squeezed("Done by, time"), start)
        found.append((start, at))
    return found


def test_no_step_is_parted_over_two_pages(plan: Plan, pages: Pages) -> None:
    """Heading, every blank, the sign and the hold on one page, whatever the step holds."""
    for step, (start, end) in zip(plan.card.steps, _spans(plan, pages), strict=True):
        page, at = pages.of(start), start
        for blank in step.blanks:
            at = pages.words.index(_squeezed(blank.what), at, end)
            assert pages.of(at) == page, f"step {step.number}: {blank.what} stands on another page"
        assert pages.of(end) == page, f"step {step.number}: its sign stands on another page"
        if step.hold is not None:
            held = pages.words.index(f"HOLD{step.hold.code}", start)
            signed = pages.words.index("Signatureorstamp", held)
            assert {pages.of(held), pages.of(signed)} == {page}, f"step {step.number}: its hold is parted"


def test_every_caution_stands_in_its_step_before_what_is_done(plan: Plan, pages: Pages) -> None:
    """In full at its first step of each bonding operation, later with its sign and what to do."""
    told: set[tuple[int, str]] = set()
    whole = short = 0
    for step, shown, (start, end) in zip(
        plan.card.steps, card_data(plan)["steps"], _spans(plan, pages), strict=True
    ):
        first = next((w for w in shown["words"][0] if isinstance(w, str)), "") if shown["words"] else ""
        done = pages.words.index(_squeezed(first), start, end)
        for caution in step.cautions:
            again = bool(caution.short) and (step.operation, caution.words) in told
            told.add((step.operation, caution.words))
            words = _squeezed(caution.hazard.upper() + (caution.short if again else caution.words))
            at = pages.words.index(words, start, end)
            assert pages.of(at) == pages.of(start), f"step {step.number}: {caution.hazard}"
            assert at < done or not first.strip(), f"step {step.number}: {caution.hazard} after its words"
            whole, short = whole + (not again), short + again
    assert whole > 0
    assert short > 0


def test_every_step_has_one_sign_and_every_blank_its_unit(plan: Plan, pages: Pages) -> None:
    start = pages.words.index(_squeezed("Steps in working order"))
    assert pages.words.count(_squeezed("Done by, time"), start) == len(plan.card.steps)
    for step, (first, end) in zip(plan.card.steps, _spans(plan, pages), strict=True):
        own = pages.words[first:end]
        for blank in step.blanks:
            assert _squeezed(blank.unit) in own[own.index(_squeezed(blank.what)) :]


def test_a_step_longer_than_a_page_loses_nothing() -> None:
    """It is parted between its pieces; its heading keeps its cautions, its hold its last blanks."""
    data = card_data(make_plan(case("flap_rib_bay")))
    step = next(s for s in data["steps"] if s["hold"] and s["cautions"])
    lines = [[f"Line {i} of the words is done as it is said here. " * 4] for i in range(40)]
    table = {
        "title": "A long table",
        "heads": ["Row", "What"],
        "rows": [[[f"row {i}"], ["x"]] for i in range(90)],
    }
    blanks = [{"what": f"Reading {i}", "limits": [], "unit": "mm", "entry": "number"} for i in range(61)]
    data["steps"] = [step | {"words": lines, "tables": [table], "blanks": blanks}]
    texts = [_squeezed(p.extract_text()) for p in read(compile_pdf(template("card"), data)).pages]
    first = next(i for i, t in enumerate(texts) if _squeezed("Steps in working order") in t)
    whole = "".join(texts[first:])
    for words in (*(f"Line{i}of" for i in range(40)), *(f"row{i}x" for i in range(90))):
        assert words in whole, words
    for i in range(61):
        assert f"Reading{i}" in whole
    assert _squeezed(step["cautions"][0]["words"]) in texts[first]
    last = next(t for t in texts[first:] if f"HOLD{step['hold']['code']}" in t)
    assert "Reading60" in last
    assert "Donebytime" in last.replace(",", "")


def test_blanks_are_filled_in_row_by_row() -> None:
    """Each stands in the row of the one before or lower, never at the head of another column."""
    plan = make_plan(case("flap_rib_bay"))
    words, downs = "", list[float]()
    for number, page in enumerate(read(card_pdf(plan)).pages):
        found: list[tuple[str, float]] = []

        def visit(
            text: str, cm: list[float], tm: list[float], *_: object, to: list[tuple[str, float]] = found
        ) -> None:
            to.append((_squeezed(text), tm[4] * cm[1] + tm[5] * cm[3] + cm[5]))

        page.extract_text(visitor_text=visit)
        for text, up in found:
            words += text
            downs += [1e4 * number - up] * len(text)
    at = words.index(_squeezed("Steps in working order"))
    for step in plan.card.steps:
        at = words.index(_squeezed(f"{step.number}{step.title}"), at)
        before = None
        for blank in step.blanks:
            at = words.index(_squeezed(blank.what), at)
            assert before is None or downs[at] > before - 8.0 * 72.0 / 25.4, (
                f"step {step.number}: {blank.what}"
            )
            before = downs[at]
