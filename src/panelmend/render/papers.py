"""Papers to print templates on, the part of them a template may use, and the rulers on every sheet."""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.errors import InputError
from panelmend.render.drawing import THIN
from panelmend.render.strokes import Flat, Ink, Label, Loop, Stroke
from panelmend.units import show
from panelmend.units.fundamental import QUARTER_TURN

OVERLAP = 10.0  # [mm] what neighbouring sheets share
PRINT_OFF = 0.005  # share of its side a check square may be off; common practice, no source
CHECK_SQUARES = {"mm": 0.1, "in": 0.1016}  # [m] the side of each system's square
LONGEST_PAGE = 5000.0  # [mm] below the 200 in (5080 mm) that PDF readers accept
_LEFT, _TOP, _RIGHT, _BOTTOM = 14.0, 20.0, 8.0, 19.0  # [mm] kept for rulers and words


@dataclass(frozen=True)
class Paper:
    """A paper: its file name, width and height [mm]; a roll's height is what is cut from it."""

    name: str
    title: str
    width: float
    height: float
    roll: bool = False

    @property
    def window(self) -> tuple[float, float]:
        """Width and height a template may use on one sheet [mm]."""
        return self.width - _LEFT - _RIGHT, self.height - _TOP - _BOTTOM

    @property
    def corner(self) -> tuple[float, float]:
        """Upper left corner of the window from the upper left corner of the sheet [mm]."""
        return _LEFT, _TOP

    def across(self) -> Paper:
        """The same sheet turned a quarter."""
        return Paper(self.name, self.title, self.height, self.width, self.roll)

    def named(self, view: str) -> str:
        """What it is called, a roll with its width in the units of "mm" or "in"."""
        return (
            f"{self.title} {show(1e-3 * self.width, 'length', view, decimals=0)}" if self.roll else self.title
        )

    def cut(self, height: float) -> Paper:
        """A sheet with a window of ``height`` [mm] cut from the roll."""
        return Paper(self.name, self.title, self.width, height + _TOP + _BOTTOM, self.roll)


A4 = Paper("a4", "A4", 210.0, 297.0)
LETTER_PAPER = Paper("letter", "Letter", 215.9, 279.4)
A3 = Paper("a3", "A3", 297.0, 420.0)
SHEETS = (A4, LETTER_PAPER, A3)


def roll(width: float = 0.9144) -> Paper:
    """A plotter roll. ``width`` [m], 36 in unless said.

    Raises:
        InputError: a roll too narrow or too wide to be one.
    """
    if not 0.25 <= width <= 5.0:
        raise InputError(
            "not a plotter roll", read=show(width, "length"), expected="a width from 0.25 m to 5 m"
        )
    return Paper("roll", "plotter roll", 1e3 * width, LONGEST_PAGE, True)


def rulers(paper: Paper) -> list[Flat]:
    """A 100 mm and a 4 in scale along the foot and along the left edge of a sheet."""
    x, y = _LEFT, paper.height - _BOTTOM + 6.0
    made: list[Flat] = []
    for length, words, lift in ((100.0, "100 mm", 0.0), (101.6, "4 in", 5.0)):
        made += _scale(x, y + lift, length, words, upright=False)
        made += _scale(_LEFT - 4.0 - lift * 0.9, paper.height - _BOTTOM, length, words, upright=True)
    return made


def _scale(x: float, y: float, length: float, words: str, *, upright: bool) -> list[Flat]:
    ends = [(x, y), (x, y - length)] if upright else [(x, y), (x + length, y)]
    loops = [Loop(tuple((*e, 0.0) for e in ends), closed=False)]
    step = length / 10 if words.endswith("mm") else length / 4
    for i in range(round(length / step) + 1):
        tick = 1.8 if i in (0, round(length / step)) else 1.0
        a = (x - tick, y - i * step) if upright else (x + i * step, y - tick)
        b = (x, y - i * step) if upright else (x + i * step, y)
        loops.append(Loop(((*a, 0.0), (*b, 0.0)), closed=False))
    turn = QUARTER_TURN if upright else 0.0
    at = (x + 0.2, y - length - 1.5) if upright else (x + length + 1.5, y + 0.2)
    return [Stroke(tuple(loops), THIN), Label(*at, words, 2.2, "left", "base", turn)]


def print_off(view: str) -> str:
    """The most that the check square of one system, "mm" or "in", may be off on a print that is used."""
    return show(PRINT_OFF * CHECK_SQUARES[view], "length", view, limit="most")


def check_squares() -> list[Flat]:
    """A square of 100 mm and one of 4 in that share their lower left corner, with their origin there [mm]."""
    made: list[Flat] = []
    for side, ink in ((100.0, Ink(0.25, "ink")), (101.6, Ink(0.25, "accent"))):
        rows = ((0.0, 0.0, 0.0), (side, 0.0, 0.0), (side, -side, 0.0), (0.0, -side, 0.0))
        made.append(Stroke((Loop(rows),), ink))
    made += [
        Label(50.0, -97.2, "100 mm", 3.0, "middle", "top"),
        Label(97.2, -50.0, "100 mm", 3.0, "middle", "top", -QUARTER_TURN),
        Label(50.0, -103.4, "4 in", 3.0, "middle", "base", 0.0, "accent"),
        Label(103.4, -50.0, "4 in", 3.0, "middle", "base", -QUARTER_TURN, "accent"),
    ]
    return made
