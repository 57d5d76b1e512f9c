"""Bounds of a field: outside the first it is refused, outside the second somebody is asked.

They stand in the field's own annotation and nowhere else; the walk over a document reads them from there
(:mod:`panelmend.document.bounds`), and so does the page of docs/ that lists them. The bounds are wide on
purpose: most values outside them come from a unit or a power of ten mistaken for another.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial

COMMON = "common handbook ranges, widened, from memory"
Pair = tuple[str, str]

# What most values outside their bounds come from.
DEGREES = "check the unit: C, F or K"
KELVIN = "check the unit: kelvin or F may have been written as C"
PER_SECOND = "check the unit: a rate per minute may have been written per second"
KILOJOULE = "check the unit: kJ/kgK may have been written as J/kgK"
JOULE = "check the unit: J/kgK may have been written as kJ/kgK"
GRAM = "check the unit: g/cm3 may have been written as kg/m3"
PSI_OR_PA = "check the unit: psi, ksi, Msi, MPa or GPa"


@dataclass(frozen=True)
class Bounds:
    """Between which values a field can be right. Values are texts with units, read as the field's own kind.

    ``can``: refused outside. ``usual``: asked outside; None where nothing is asked. ``what``: what it is,
    after "implausible" ("{kind}" stands for the owner's kind); the field's meaning where empty. ``words``:
    the whole sentence instead. ``zero``: zero, too, is right. ``either``: they hold for the size of a
    value of either sign.
    """

    can: Pair
    usual: Pair | None = None
    what: str = ""
    words: str = ""
    low_todo: str = "check the unit"
    high_todo: str = "check the unit"
    zero: bool = False
    source: str = field(kw_only=True)
    either: bool = False


def within(
    low: str,
    high: str,
    *,
    usual: Pair | None = None,
    what: str = "",
    words: str = "",
    todo: str = "",
    low_todo: str = "",
    high_todo: str = "",
    zero: bool = False,
    source: str,
    either: bool = False,
) -> Bounds:
    """Bounds as a field writes them, with their source; ``todo`` where both ends have the same advice."""
    plain = todo or "check the unit"
    return Bounds(
        (low, high),
        usual,
        what,
        words,
        low_todo or plain,
        high_todo or plain,
        zero,
        source=source,
        either=either,
    )


common = partial(within, source=COMMON)
"""Bounds that are common handbook ranges, from memory; the rest as :func:`within`."""
