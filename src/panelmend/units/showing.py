"""Showing SI values in the reader's units."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Literal

from panelmend.units.kinds import KINDS

Limit = Literal["", "most", "least"]
"""What a printed value permits: the most, the least, or nothing."""


def unit_for(kind: str, view: str) -> str:
    """The unit a kind is shown in for ``view`` "mm" or "in"."""
    k = KINDS[kind]
    return (k.metric if view == "mm" else k.inch)[0]


def to_unit(value: float, kind: str, unit: str) -> float:
    """An SI value in ``unit`` (the inverse of reading it)."""
    scale, offset = KINDS[kind].units[unit]
    return (value - offset) / scale


def show(
    value: float,
    kind: str,
    view: str = "mm",
    *,
    unit: str = "",
    decimals: int | None = None,
    limit: Limit = "",
) -> str:
    """An SI value as people read it, with its unit: ``show(0.0254, "length", "in")`` is ``"1 in"``.

    Args:
        value: in the kind's SI unit.
        kind: one of :data:`KINDS`.
        view: "mm" or "in".
        unit: another unit of the kind than the view's.
        decimals: another number of decimals than the view's; below zero that many significant digits.
        limit: "most" where it is the most that is permitted, "least" where it is the least that is asked:
            what is printed then lies on the safe side of the value, never beyond it. "" for the nearest.
    """
    k = KINDS[kind]
    chosen, places = k.metric if view == "mm" else k.inch
    if kind == "time" and not unit and abs(value) >= 7200.0:
        chosen, places = "h", 0 if abs(value) % 3600.0 < 1e-6 else 1
        if abs(value) > 500.0 * 3600.0:
            chosen, places = "days", 0
    elif kind == "area" and not unit and view == "mm" and abs(value) >= 0.1:
        chosen, places = "m2", 2
    if unit:
        chosen = unit
    if kind == "length" and chosen == "in" and decimals is None:
        fraction = in_fractions(to_unit(value, kind, "in"))
        if fraction:
            return f"{fraction} in"
    places = places if decimals is None else decimals
    if not chosen:
        return f"{safely(value, places, limit):.{places}f}"
    shown = to_unit(value, kind, chosen)
    if places < 0:
        if limit and shown:
            places = -places - 1 - math.floor(math.log10(abs(shown)))
            return f"{safely(shown, places, limit):.{max(0, places)}f} {chosen}"
        return f"{shown:.{-places}g} {chosen}"
    if limit:
        shown = safely(shown, places, limit)
    # A half that arithmetic left a hair below is still a half: 44.45 mm is 44.5 however it was reached.
    number = f"{shown + math.copysign(1e-9, shown):.{places}f}"
    if float(number) == 0.0:
        number = number.lstrip("-")
    return f"{number}°" if chosen == "deg" else f"{number} {chosen}"


FINEST_FRACTION = 32  # the trade's rules are marked in 1/32 in


def in_fractions(inches: float) -> str:
    """A length that is a whole number of 32nds of an inch as the trade writes it, "" for any other."""
    parts = inches * FINEST_FRACTION
    whole = round(parts)
    if abs(parts - whole) > 1e-6 * max(1.0, abs(parts)):
        return ""
    sign, size = "-" if whole < 0 else "", Fraction(abs(whole), FINEST_FRACTION)
    units, rest = divmod(size, 1)
    if not rest:
        return f"{sign}{units}"
    return f"{sign}{units} {rest}" if units else f"{sign}{rest}"


def on_a_rule(metres: float, limit: Limit = "", *, short: bool = False) -> str:
    """A length [m] as a rule marked in 32nds of an inch measures it: "22 3/4 in"; "" for less than an inch.

    A limit goes to its safe side, anything else to the nearest mark, which is less than 0.4 mm away.
    ``short`` is for what is laid out with a rule however short it is, such as the place of a thermocouple.
    """
    parts = to_unit(metres, "length", "in") * FINEST_FRACTION
    if abs(parts) < FINEST_FRACTION * (1.0 - 1e-9) and not short:
        return ""
    whole = round(parts)
    if abs(parts - whole) > 1e-6 * abs(parts):
        whole = round(safely(parts, 0, limit))
    return f"{in_fractions(whole / FINEST_FRACTION)} in"


def safely(shown: float, places: int, limit: Limit) -> float:
    """A number brought to its decimals on the safe side of a limit; a hair of arithmetic is not a step."""
    if not limit:
        return shown
    step = 10.0**-places
    steps = shown / step
    whole = round(steps)
    hair = 1e-9 * max(1.0, abs(steps)) if whole else 0.0  # what is asked at least is never printed as nothing
    if abs(steps - whole) > hair:
        whole = {"most": math.floor, "least": math.ceil}[limit](steps)
    return whole * step


def show_both(value: float, kind: str, view: str = "mm") -> str:
    """The value in the reader's unit with the other system's in brackets: ``"1 in (25.4 mm)"``."""
    other = "in" if view == "mm" else "mm"
    return f"{show(value, kind, view)} ({show(value, kind, other)})"
