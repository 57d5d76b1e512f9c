"""Amounts of a kit list, alike on the card, the screen and in its files: nobody is handed less."""

from __future__ import annotations

from typing import Any

from panelmend.derive import Figure
from panelmend.derive.ledger import words_for
from panelmend.job.kit.part import KitLine, Pick
from panelmend.render.workings import Workings, measured
from panelmend.units import Limit, on_a_rule, read, show, to_unit
from panelmend.units.showing import safely

CUT = frozenset({"length", "area"})  # kinds that are cut off stock
DECIMALS = 2  # of a number in a list


def amount_words(line: KitLine, figure: Figure, view: str) -> str:
    """An amount of a line, of one of its lots, or what it is short of.

    What is cut from stock is never less than it takes. What is weighed reads as in its step: of a fine batch
    no lot is asked for a tenth of a gram less than the batch. What several lots give together is not less
    than the line, so each of them is not.
    """
    shared = len(line.picks) > 1 and any(p.amount is figure for p in line.picks)
    limit: Limit = "least" if figure.kind in CUT or shared else figure.limit
    return measured(figure, view, limit) or words_for(figure.value, kind_printed(line, figure), view, limit)


def kind_printed(line: KitLine, figure: Figure) -> str:
    """The kind an amount is printed as: a mass has the digits of its line's."""
    return line.amount.kind if line.amount is not None and figure.kind == "mass" else figure.kind


def amount_part(shown: Workings, line: KitLine, figure: Figure) -> dict[str, Any]:
    """The same as part of a line that links to its workings."""
    return shown.part(figure) | {"text": amount_words(line, figure, shown.view)}


def pick_words(line: KitLine, pick: Pick, view: str) -> str:
    """What is taken from one lot, how much, and what to know of the lot."""
    return f"{pick.store}, lot {pick.lot}: {amount_words(line, pick.amount, view)} ({pick.words})"


def unit_printed(value: float, kind: str, view: str) -> str:
    """The unit that a page prints an amount [SI] in."""
    return show(value, kind, view).rpartition(" ")[2]


def handed_out(value: float, kind: str, view: str, unit: str) -> float:
    """An amount as a list has it. What is cut is never less than it is, nor than a page prints for it; what
    is weighed is what its step prints.

    Args:
        value: of a figure with this kind [SI].
        kind: one of :data:`panelmend.units.KINDS`.
        view: "mm" or "in".
        unit: one of the kind's.

    Returns:
        The number in ``unit``, up to its second decimal.
    """
    if kind not in CUT:
        return round(to_unit(read(show(value, kind, view), kind), kind, unit), DECIMALS)
    printed = [show(value, kind, view, limit="least")]
    if kind == "length" and view == "in":
        printed.append(on_a_rule(value, "least", short=True))
    most = max(value, *(read(words, kind) for words in printed))
    return safely(to_unit(most, kind, unit), DECIMALS, "least")
