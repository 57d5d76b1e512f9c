"""Sizes that cannot be right: most come from a unit or a power of ten mistaken for another.

The bounds are wide on purpose: a value outside them is refused, so only what no material, blanket or recipe
has may lie there. Bounds without a source are common handbook ranges, from memory.
"""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.fault import Fault, fault
from panelmend.document.places import Path
from panelmend.units import KINDS, show, to_unit


def outside(
    path: Path,
    what: str,
    value: float | None,
    kind: str,
    low: float,
    high: float,
    *,
    low_todo: str = "",
    high_todo: str = "",
) -> Iterator[Fault]:
    """A fault where a value is given and lies outside its bounds.

    Args:
        path: where it was typed.
        what: what it is, as the sentence "implausible ..." needs it.
        value: in the kind's SI unit; None where it was not given.
        kind: its kind of quantity.
        low: least that can be right, SI.
        high: most that can be right, SI.
        low_todo: what to check where it is less.
        high_todo: what to check where it is more.
    """
    if value is None or low <= value <= high:
        return
    yield fault(
        path,
        f"implausible {what}",
        plainly(value, kind),
        f"{plainly(low, kind)} to {plainly(high, kind)}",
        low_todo if value < low else high_todo,
    )


def plainly(value: float, kind: str) -> str:
    """A value with all digits that matter: rounding to the usual decimals could hide what is wrong."""
    if kind == "temperature":
        return f"{show(value, kind)} ({show(value, kind, 'in')})"
    unit = KINDS[kind].metric[0]
    if kind == "time":
        unit = next((u for u, most in (("s", 120.0), ("min", 7200.0)) if value < most), "h")
    number = to_unit(value, kind, unit) if unit else value
    text = f"{number:,.0f}" if abs(number) >= 1000.0 else f"{number:.4g}"
    return f"{text} {unit}" if unit else text
