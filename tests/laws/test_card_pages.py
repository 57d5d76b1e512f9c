"""The card's steps: a heading stays with its first lines, a sign-off with what is signed for."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from examples_here import case, names
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.card import card_pdf
from render_pages import PT, read

FOOT, TOP = 19.0, 21.0  # [mm] the page's margins
ROW = 3.0  # [mm] words closer than this in height stand on one row


@dataclass(frozen=True)
class Row:
    """Words on one height of a page, from the page's top [mm]."""

    page: int
    down: float
    words: str


@pytest.fixture(scope="module", params=names())
def plan(request: pytest.FixtureRequest) -> Plan:
    return make_plan(case(request.param))


@pytest.fixture(scope="module")
def rows(plan: Plan) -> list[Row]:
    return _rows(card_pdf(plan))[0]


def _rows(pdf: bytes) -> tuple[list[Row], float]:
    """Every row between the header and the footer, in reading order, and the height they may take [mm]."""
    found: list[Row] = []
    reader = read(pdf)
    height = float(reader.pages[0].mediabox.height) * PT
    for number, page in enumerate(reader.pages):
        seen: list[tuple[float, str]] = []

        def visit(
            text: str, cm: list[float], tm: list[float], *_: object, seen: list[tuple[float, str]] = seen
        ) -> None:
            if text.strip():
                seen.append((height - (tm[4] * cm[1] + tm[5] * cm[3] + cm[5]) * PT, " ".join(text.split())))

        page.extract_text(visitor_text=visit)
        for down, words in sorted(seen, key=lambda s: s[0]):
            if not TOP - 2.0 < down < height - FOOT + 1.0:
                continue
            if found and found[-1].page == number and down - found[-1].down < 0.5 * ROW:
                found[-1] = Row(number, found[-1].down, f"{found[-1].words} {words}")
            else:
                found.append(Row(number, down, words))
    return found, height - FOOT - TOP


def _starts(rows: list[Row], plan: Plan) -> list[int]:
    """The row of each step's heading."""
    at, found = next(i for i, r in enumerate(rows) if "Steps in working order" in r.words), []
    for step in plan.card.steps:
        title = " ".join(step.title.split())[:30]
        at = next(
            i for i in range(at, len(rows)) if title in rows[i].words and str(step.number) in rows[i].words
        )
        found.append(at)
    return found


def test_no_heading_is_last_and_no_sign_off_first_on_a_page(plan: Plan, rows: list[Row]) -> None:
    starts = _starts(rows, plan)
    assert len(starts) == len(plan.card.steps)
    for step, start in zip(plan.card.steps, starts, strict=True):
        ahead = rows[start + 1 : start + 2]
        assert ahead[0].page == rows[start].page, f"step {step.number}: its heading is last on its page"
        if step.hold is None:
            continue
        sign = next(i for i in range(start, len(rows)) if "Signature or stamp" in rows[i].words)
        held = next(i for i in range(start, len(rows)) if f"HOLD {step.hold.code}" in rows[i].words)
        assert rows[held].page == rows[sign].page, f"step {step.number}: its hold is broken"
        assert rows[held - 1].page == rows[held].page, f"step {step.number}: its hold is first on its page"


def test_every_caution_stands_on_the_page_of_its_step_heading(plan: Plan, rows: list[Row]) -> None:
    """In full at its first step of each bonding operation, later with its sign and what to do."""
    starts = [*_starts(rows, plan), len(rows)]
    told: set[tuple[int, str]] = set()
    whole = short = 0
    for step, start, end in zip(plan.card.steps, starts, starts[1:], strict=False):
        own = rows[start:end]
        for caution in step.cautions:
            again = bool(caution.short) and (step.operation, caution.words) in told
            told.add((step.operation, caution.words))
            signed = next(r for r in own if caution.hazard.upper() in r.words)
            assert signed.page == rows[start].page, f"step {step.number}: {caution.hazard}"
            first = " ".join(caution.words.split()[:4])
            if again:
                short += 1
                assert " ".join(caution.short.split()[-2:]) in " ".join(r.words for r in own), caution.short
            else:
                whole += 1
                assert next(r for r in own if first in r.words).page == rows[start].page
    assert whole > 0
    assert short > 0
