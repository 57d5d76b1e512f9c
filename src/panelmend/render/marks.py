"""Sheets of reference marks: how to use them, check squares, the card for the pens, marks at true size."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from panelmend.errors import InputError
from panelmend.photo.sheet import (
    BOX_SIDE,
    BOXES,
    CARD,
    HIGHEST_MARK,
    MARK_CELLS,
    PAPER_RATIO,
    POINTER,
    box_centre,
    cells_of,
    paper_of,
)
from panelmend.render.papers import A4, LETTER_PAPER, Paper, check_squares, print_off, rulers
from panelmend.render.strokes import Flat, Ink, Label, Loop, Stroke, page_data
from panelmend.render.typesetting import Sheets
from panelmend.units import show

PAPERS = {"a4": A4, "letter": LETTER_PAPER}
LEAST_MARK, MOST_MARK = 0.02, 0.1  # [m] side of a mark that is printed
_CUT = Ink(0.15, "light", (1.5, 1.5))
_FINE = Ink(0.2, "ink")
_GAP = 4.0  # [mm] between marks


def marks_sheets(numbers: Sequence[int], items: Sequence[int], side: float, paper: Paper = A4) -> Sheets:
    """Marks at true size, ready to be set.

    Args:
        numbers: marks for measured places.
        items: marks with a pointer, for things whose place is wanted.
        side: of the black square [m].
        paper: A4 or Letter.

    Raises:
        InputError: a number printed twice or not of the family, or a side that cannot be printed.
        NoPhotoPartError: the picture library, which knows the marks, is not installed.
    """
    return Sheets("marks", pages_data(numbers, items, side, paper), None)


def pages_data(numbers: Sequence[int], items: Sequence[int], side: float, paper: Paper) -> dict[str, Any]:
    """Plain data for the page template."""
    every = [*numbers, *items]
    if len(set(every)) != len(every) or any(not CARD < n <= HIGHEST_MARK for n in every):
        raise InputError(
            "numbers of marks must differ", read=str(every)[:80], expected=f"1 to {HIGHEST_MARK}, each once"
        )
    if not LEAST_MARK <= side <= MOST_MARK:
        raise InputError(
            "a mark of this side cannot be used",
            read=f"{1e3 * side:g} mm",
            expected=f"{1e3 * LEAST_MARK:g} mm to {1e3 * MOST_MARK:g} mm",
        )
    s = 1e3 * side
    width, height = paper.window
    step = PAPER_RATIO * s + _GAP
    columns, rows = int((width + _GAP) // step), int((height + _GAP) // step)
    if columns < 1 or rows < 1 or paper_of(CARD)[2] * s + 0.75 * s > width:
        raise InputError("the marks do not fit the paper", read=f"{s:g} mm", expected="smaller marks")
    sheets = []
    for start in range(0, len(every), columns * rows):
        flats: list[Flat] = []
        for k, n in enumerate(every[start : start + columns * rows]):
            x, y = (k % columns + 0.5) * step - 0.5 * _GAP, (k // columns + 0.5) * step - 0.5 * _GAP
            flats += _mark(n, s, x, y, pointer=n in items)
        sheets.append(page_data(flats, (0.0, 0.0, width, height)))
    return {
        "paper": {"title": paper.title, "width": paper.width, "height": paper.height},
        "corner": list(paper.corner),
        "side": f"{s:g} mm ({show(side, 'length', 'in')})",
        "off": f"{print_off('mm')} on the 100 mm square or {print_off('in')} on the 4 in square",
        "dot": "5 to 10 mm (3/16 to 3/8 in)",
        "away": "0.6 to 1 m (2 to 3 ft)",
        "squares": page_data(check_squares(), (-0.5, -109.0, 109.0, 0.5)),
        "card": page_data(_card(s), (-0.76 * s, -0.76 * s, paper_of(CARD)[2] * s + 0.01 * s, 0.76 * s)),
        "sheets": sheets,
        "rulers": page_data(rulers(paper), (0.0, 0.0, paper.width, paper.height)),
        "numbers": f"{min(numbers)} to {max(numbers)}",
        "items": f"{min(items)} to {max(items)}" if items else "",
    }


def _squares(number: int, side: float, x: float, y: float) -> Stroke:
    """The black cells of a mark about (x, y), each row's runs as one box [mm]."""
    cell = side / MARK_CELLS
    loops = []
    for j, row in enumerate(cells_of(number)):
        i = 0
        while i < MARK_CELLS:
            start = i
            while i < MARK_CELLS and row[i]:
                i += 1
            if i > start:
                x0, x1 = x - 0.5 * side + start * cell, x - 0.5 * side + i * cell
                y0 = y - 0.5 * side + j * cell
                loops.append(_box(x0, y0, x1, y0 + cell))
            i += 1
    return Stroke(tuple(loops), None, "ink")


def _box(x0: float, y0: float, x1: float, y1: float) -> Loop:
    return Loop(((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0)))


def _mark(number: int, side: float, x: float, y: float, *, pointer: bool) -> list[Flat]:
    half, edge = 0.5 * side, 0.5 * PAPER_RATIO * side
    made: list[Flat] = [
        Stroke((_box(x - edge, y - edge, x + edge, y + edge),), _CUT),
        _squares(number, side, x, y),
    ]
    out = half + side / MARK_CELLS * 1.15  # a white cell is kept clear round the mark
    ticks = [((x - edge, y), (x - out, y)), ((x + out, y), (x + edge, y)), ((x, y + out), (x, y + edge))]
    if pointer:
        tip = y - POINTER * side
        made.append(
            Stroke(
                (Loop(((x, tip, 0.0), (x - 2.0, tip + 4.0, 0.0), (x + 2.0, tip + 4.0, 0.0))),), None, "ink"
            )
        )
    else:
        ticks.append(((x, y - edge), (x, y - out)))
    made.append(Stroke(tuple(Loop(((*a, 0.0), (*b, 0.0)), closed=False) for a, b in ticks), _FINE))
    size = min(3.4, 0.085 * side)
    made.append(Label(x - edge + 1.5, y + edge - 1.2, str(number), size, "left", "base", 0.0, "ink", True))
    words = "pointer touches it" if pointer else f"{side:g} mm"
    made.append(Label(x + edge - 1.5, y + edge - 1.2, words, 0.6 * size, "right", "base", 0.0, "grey"))
    return made


def _card(side: float) -> list[Flat]:
    x0, y0, x1, y1 = (v * side for v in paper_of(CARD))
    made: list[Flat] = [Stroke((_box(x0, y0, x1, y1),), _CUT), _squares(CARD, side, 0.0, 0.0)]
    for i, word in enumerate(BOXES):
        bx = box_centre(i)[0] * side
        h = 0.5 * BOX_SIDE * side
        made.append(Stroke((_box(bx - h, -h, bx + h, h),), _FINE))
        made.append(Label(bx, h + 2.5, word, min(3.0, 0.07 * side), "middle", "top"))
    made.append(
        Label(
            x1 - 1.5,
            y1 - 1.5,
            "fill the boxes with the pens",
            min(2.4, 0.06 * side),
            "right",
            "base",
            0.0,
            "grey",
        )
    )
    return made
