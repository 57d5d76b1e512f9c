"""Pages of plain blocks in order: heads, tables, pictures, blanks. The look is template ``letter``."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from panelmend.plan.plan import Plan
from panelmend.render.card import PAPERS
from panelmend.render.typesetting import Sheets
from panelmend.render.views.sheet import View

Block = dict[str, Any]


def head(words: str) -> Block:
    """A heading."""
    return {"kind": "head", "words": words}


def text(words: str) -> Block:
    """A paragraph."""
    return {"kind": "text", "words": words}


def loud(title: str, words: str) -> Block:
    """Something nobody may pass over."""
    return {"kind": "loud", "title": title, "words": words}


def item_list(rows: Sequence[str]) -> Block:
    """A list."""
    return {"kind": "list", "rows": list(rows)}


def strokes(words: str, path: str) -> Block:
    """A name as it was written by hand, under its words; ``path`` is SVG in a field of 600 by 200."""
    drawn = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 200"><path d="'
        f'{path}" fill="none" stroke="#1b2430" stroke-width="4" stroke-linecap="round"/></svg>'
    )
    return {"kind": "strokes", "words": words, "svg": drawn}


def answer_lines(title: str, rows: Sequence[str]) -> Block:
    """Lines to write on."""
    return {"kind": "answer", "title": title, "rows": list(rows)}


def table_block(heads: Sequence[str], rows: Sequence[Sequence[str]], widths: Sequence[int]) -> Block:
    """A table; a width of 0 is as wide as its words."""
    return {"kind": "rows", "heads": list(heads), "rows": [list(r) for r in rows], "columns": list(widths)}


def picture(view: View) -> Block:
    """A drawing."""
    return {"kind": "picture", "drawing": view.data()}


def letter_sheets(
    plan: Plan,
    title: str,
    said: str,
    blocks: Sequence[Block],
    *,
    mark: str,
    number: str = "",
    about: str = "",
) -> Sheets:
    """The pages, ready to be set.

    Args:
        plan: whose repair it is about.
        title: what the page is.
        said: what it is for and what it is not, above everything.
        blocks: what stands on it.
        mark: STOP, DRAFT or nothing.
        number: of the repair, where it is not the plan's own.
        about: title of the repair, where it is not the plan's own.
    """
    repair, manual = plan.case.document.repair, plan.case.document.data.manual
    data = {
        "paper": PAPERS[plan.case.view],
        "title": title,
        "said": said,
        "mark": mark,
        "repair": {
            "number": number or repair.number,
            "title": about or repair.title,
            "operator": repair.operator,
            "invented": repair.invented,
        },
        "foot": f"{number or repair.number} · {title} · not an approval: {manual.number} rev "
        f"{manual.revision} decides, with the authority's rules and licensed people",
        "blocks": list(blocks),
    }
    return Sheets("letter", data, repair.work_date)
