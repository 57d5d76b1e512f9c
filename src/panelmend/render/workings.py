"""Workings: the figures a document shows, numbered as they appear, with all they rest on."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from panelmend.derive import Figure, Ledger, all_formulas
from panelmend.derive.figure import Origin
from panelmend.derive.ledger import words_for, words_of
from panelmend.errors import Finding
from panelmend.plan.plan import Plan
from panelmend.units import INCH, Limit, on_a_rule, show

STEPS = {"mm": ("Pa", "kPa", "MPa", "GPa"), "in": ("psi", "ksi", "Msi")}
DECIMALS = 4  # of a ratio that would else be rounded up to 1


def stress(value: float | None, view: str) -> str:
    """A stress, strength or modulus [Pa] to three digits in the unit that suits its size."""
    if value is None:
        return "not given"
    for unit in STEPS[view]:
        shown = show(value, "stiffness", view, unit=unit, decimals=-3)
        if abs(float(shown.split()[0])) < 1000.0:
            break
    return shown


def workings_of(plan: Plan, ledger: Ledger | None = None) -> Workings:
    """The workings of a plan, over its own ledger or over one that goes further."""
    sheets = (c.figure for c in plan.case.document.confirm if c.sheet)
    return Workings(plan.ledger if ledger is None else ledger, plan.case.view, plan.findings, sheets)


class Workings:
    """Collects figures as they are shown; ``rows`` gives each with its formula, inputs and source.

    A figure on an unconfirmed default carries the mark D, one on a practice sheet of the shop P.
    """

    def __init__(
        self, ledger: Ledger, view: str, findings: Sequence[Finding], sheets: Iterable[str] = ()
    ) -> None:
        """Collect figures of a ledger.

        Args:
            ledger: where they stand.
            view: units of the reader.
            findings: those of the plan; they say which defaults are open.
            sheets: figures that a practice sheet of the shop speaks for.
        """
        self.ledger, self.view = ledger, view
        self._numbers: dict[str, int] = {}
        self._open = {f.place for f in findings if f.code in ("J001", "X110")}
        self._sheets = frozenset(sheets)

    def value(self, figure: Figure) -> str:
        """The figure's value as people read it."""
        words = _words(figure, self.view)
        return words.replace("-", "−", 1) if _negative(figure) else words

    def mark(self, figure: Figure) -> str:
        """D for a default nobody has confirmed yet, P for one that stands on a practice sheet of the shop."""
        if figure.key in self._open:
            return "D"
        # of plies, vacuum and the like a sheet only repeats the usual value: it is the word of the shop too
        on_sheet = figure.is_default and figure.key in self._sheets
        return "P" if figure.is_shop_practice or on_sheet else ""

    def part(self, figure: Figure) -> dict[str, Any]:
        """The figure as a part of a line that links to its workings."""
        text = measured(figure, self.view, figure.limit) or self.value(figure)
        return {"text": text, "n": self._number(figure.key), "mark": self.mark(figure)}

    def _number(self, key: str) -> int:
        return self._numbers.setdefault(key, len(self._numbers) + 1)

    def rows(self) -> list[dict[str, Any]]:
        """Every figure shown and every figure below it, in the order they were first shown."""
        made, done = [], set[str]()
        formulas = all_formulas()
        while True:
            todo = [k for k in self._numbers if k not in done]
            if not todo:
                break
            for key in todo:
                done.add(key)
                figure = self.ledger[key]
                made.append(
                    {
                        "n": self._number(key),
                        "key": key,
                        "value": self.value(figure),
                        "mark": self.mark(figure),
                        "formula": formulas[figure.formula].text if figure.formula in formulas else "",
                        "inputs": [
                            {
                                "name": name.replace("_", " "),
                                "value": self.value(self.ledger[k]),
                                "n": self._number(k),
                            }
                            for name, k in figure.inputs
                        ],
                        "origin": figure.origin.value,
                        "source": str(figure.source),
                        "flags": list(figure.flags),
                    }
                )
        return made


RULED = ("plies.", "bag.", "cutout.", "surface.clean_beyond", "card.coating_beyond", "core.cap_margin")
"""Figures that a technician lays a ruler to however short they are; gaps and depths are gauged."""
CLOCKED: tuple[tuple[str, Limit], ...] = ((".lay_by", "most"), (".needed", "least"))
"""Ends of figures of a batch's clock: what is left for laying, and what the bench needs."""
LEAST_RULED = INCH / 8.0  # [m] below it a rule's mark is too coarse a step


def measured(figure: Figure, view: str, limit: Limit) -> str:
    """A length on an inch page as it is marked and measured with a rule; "" where that is not how.

    What was typed in inches keeps the digits of its document, what was typed in millimetres goes to a rule's
    mark; the size of a damage goes by the data's own steps.
    """
    value = figure.value
    if view != "in" or figure.kind != "length" or not isinstance(value, float):
        return ""
    if figure.key.startswith("limits."):
        return ""
    stock = _off_stock(figure.key)
    placed = figure.key.startswith("cure.")  # where a thermocouple goes is laid out with a rule too
    if figure.origin is not Origin.COMPUTED:
        if not _in_millimetres(value):
            return ""
        placed = figure.key.startswith(RULED) and abs(value) >= LEAST_RULED
    return on_a_rule(value, limit or ("least" if stock else ""), short=placed)


def _off_stock(key: str) -> bool:
    """Whether a figure is of what is cut off a roll or sheet, never less than it takes; not what is left."""
    return key.endswith(".tape_length") or (key.startswith(("kit.", "nest.")) and ".left_" not in key)


def _in_millimetres(value: float) -> bool:
    """Whether a length [m] is no whole thousandth of an inch: nobody typed that in inches."""
    mils = value / INCH * 1000.0
    return abs(mils - round(mils)) > 1e-6 * max(1.0, abs(mils))


def _finer(value: float, kind: str, view: str) -> str:
    """A ramp's rate, or a length below 1 mm, with the decimal that is usually rounded away; "" if none is.

    Three plies of 0.25 mm are 0.75 mm: as 0.3 mm each nobody finds the sum.
    """
    thin = kind == "length" and view == "mm" and abs(value) < 1e-3
    if not thin and kind != "temperature rate":
        return ""
    usual, exact = show(value, kind, view), show(value, kind, view, decimals=2)
    return exact if float(usual.split()[0]) != float(exact.split()[0]) else ""


def _negative(figure: Figure) -> bool:
    return isinstance(figure.value, int | float) and figure.value < 0


def _words(figure: Figure, view: str) -> str:
    """As everywhere, but a stress to three digits, and a ratio below 1 not rounded up to it."""
    words, value = words_of(figure, view), figure.value
    if not isinstance(value, float):
        return words
    if figure.kind in ("length", "area") and _off_stock(figure.key) and not figure.limit:
        return words_for(value, figure.kind, view, "least")
    for end, limit in CLOCKED:
        if figure.key.startswith("card.") and figure.key.endswith(end):
            return words_for(value, figure.kind, view, limit)
    if figure.kind == "stiffness":
        return stress(value, view)
    if not figure.limit and (finer := _finer(value, figure.kind, view)):
        return finer
    if figure.kind == "ratio" and value < 1.0 <= float(words):
        scale = 10**DECIMALS
        return f"{math.floor(value * scale) / scale:.{DECIMALS}f}"
    return words
