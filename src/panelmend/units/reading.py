"""Reading a quantity: a number, a fraction or a decimal comma, and its unit."""

from __future__ import annotations

import math
import re
from fractions import Fraction

from panelmend.errors import UnitError
from panelmend.units.kind import Kind
from panelmend.units.kinds import KINDS
from panelmend.units.span import span

_NUMBER = re.compile(
    r"""^\s*(?P<sign>[+-]?)\s*
    (?:(?P<whole>\d+)(?:\s+|-)(?P<n1>\d+)\s*/\s*(?P<d1>\d+)  # 1 1/2  1-1/2
      |(?P<n2>\d+)\s*/\s*(?P<d2>\d+)                       # 1/4
      |(?P<dec>(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?))  # 6.35  6,35  1e-3
    \s*(?P<unit>.*?)\s*$""",
    re.VERBOSE | re.ASCII,  # digits of other scripts look like ours and mean others
)
_NO_UNIT = re.compile(r"[.,/+-]|\d(?!/[A-Za-z])")  # 1/min and 1/K are units
_HALVED = ("in", '"', "inch", "inches", "ft", "yd", "mil", "lb", "oz", "h", "hr", "hours", "day", "days", "")
_SCALED = ("length", "thickness", "depth")  # kinds that are read off a scale in halves of halves
_GLYPHS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⁄": "/"}
_THOUSANDS = re.compile(r"^\d{1,3},\d{3}$")


def _number_and_unit(text: str, expected: str) -> tuple[float, str, bool]:
    """Value and unit as they were typed, and whether it was a fraction."""
    match = _NUMBER.match(text.replace("\u2212", "-"))  # a typeset minus
    if match is None:
        strange = next((c for c in text if c in _GLYPHS or (c.isnumeric() and not c.isascii())), "")
        todo = f"write {_GLYPHS[strange]} for {strange}" if strange in _GLYPHS else ""
        if strange and not todo:
            todo = f"type {strange!r} (U+{ord(strange):04X}) again as one of the digits 0 to 9"
        raise UnitError("not a number with a unit", read=repr(text), expected=expected, todo=todo)
    sign = -1.0 if match["sign"] == "-" else 1.0
    if match["dec"] is not None:
        digits = match["dec"]
        if len(digits) > 1 and digits[0] == "0" and digits[1].isdigit():
            raise UnitError(
                "a number that begins with 0: were two digits swapped, or was a decimal point lost?",
                read=repr(text),
                expected=expected,
                todo=f"write {re.sub(r'^0+(?=[0-9])', '', digits)}, if that is meant",
            )
        if _THOUSANDS.match(digits) and digits[0] != "0":
            raise UnitError(
                "the comma could mean thousands or decimals",
                read=repr(text),
                expected=expected,
                todo=f"write {digits.replace(',', '.')} or {digits.replace(',', '')}",
            )
        value = float(digits.replace(",", "."))
    else:
        whole = int(match["whole"] or 0)
        top, bottom = int(match["n1"] or match["n2"]), int(match["d1"] or match["d2"])
        if bottom == 0:
            raise UnitError("a fraction over zero", read=repr(text), expected=expected)
        value = float(whole + Fraction(top, bottom))
    if not math.isfinite(value):
        raise UnitError("not a finite number", read=repr(text), expected=expected)
    if _NO_UNIT.match(match["unit"]):
        raise UnitError(
            "more than one number", read=repr(text), expected=expected, todo="write one number and its unit"
        )
    return sign * value, match["unit"], match["dec"] is None


def _belongs_to(unit: str) -> str:
    alike = ("depth", "fine mass", "weight")  # named by their plain kind
    kinds = [k.name for k in KINDS.values() if unit in k.units and k.name not in alike]
    return " or ".join(kinds[:2]) if kinds else ""


def read(text: object, kind: str) -> float:
    """Read a quantity such as ``"1/4 in"`` as SI.

    Args:
        text: what was typed; a ratio may be a bare number, everything else needs its unit.
        kind: one of :data:`KINDS`.

    Returns:
        The value in the kind's SI unit.

    Raises:
        UnitError: no unit, a unit of another kind, not a number, or an ambiguous comma.
    """
    k = KINDS[kind]
    expected = f"{_article(kind)} such as {k.example}"
    if kind == "ratio" and isinstance(text, int | float) and not isinstance(text, bool):
        if not abs(text) < 1e300:
            raise UnitError("not a usable number", read=f"{str(text)[:20]}", expected=expected)
        return _of_this_world(float(text), kind, text, expected)
    if isinstance(text, int | float) and not isinstance(text, bool):
        raise UnitError(
            "a number without its unit",
            read=str(text),
            expected=expected,
            todo=f'write it as text, like "{text} {k.metric[0]}"',
        )
    if not isinstance(text, str):
        raise UnitError("not a quantity", read=repr(text)[:60], expected=expected)
    if len(text) > 80:
        raise UnitError("too long for a quantity", read=repr(text[:40]) + "...", expected=expected)
    value, unit, fraction = _number_and_unit(text, expected)
    if not unit:
        if kind == "ratio":
            return _of_this_world(value, kind, text, expected)
        raise UnitError("a number without its unit", read=repr(text), expected=expected)
    unit = _tidy(unit)
    if unit not in k.units:
        other = _belongs_to(unit)
        words = f"'{unit}' is a unit of {other}, not of {kind}" if other else f"unknown unit '{unit}'"
        raise UnitError(words, read=repr(text), expected=expected, todo=_other_case(unit, k))
    parts = int(text.rpartition("/")[2].split(unit)[0].strip() or 1) if fraction and kind in _SCALED else 1
    if parts & (parts - 1):
        raise UnitError(
            "a fraction that no scale of an inch has",
            read=repr(text),
            expected="halves, quarters, eighths, 16ths, 32nds, 64ths",
            todo="look at its digits again, or write it with decimals",
        )
    if fraction and unit not in _HALVED:
        raise UnitError(
            f"a fraction of '{unit}': scales of this unit have no fractions",
            read=repr(text),
            expected=expected,
            todo="check whether it is in inches; if not, write it with decimals",
        )
    scale, offset = k.units[unit]
    result = value * scale + offset
    if not math.isfinite(result):
        raise UnitError("not a finite quantity", read=repr(text), expected=expected)
    if kind == "temperature" and result < 0:
        raise UnitError("below absolute zero", read=repr(text), expected=expected)
    return _of_this_world(result, kind, text, expected)


def _of_this_world(value: float, kind: str, text: object, expected: str) -> float:
    """The value; a slip of the keyboard that no field of this kind can hold is refused."""
    least, most = span(kind)
    if value == 0.0 or least * 0.999 <= abs(value) <= most * 1.001:
        return value
    raise UnitError(
        f"too {'large' if abs(value) > most else 'small'} for any {kind}",
        read=repr(text)[:60],
        expected=expected,
    )


def _other_case(unit: str, kind: Kind) -> str:
    """A hint where only upper and lower case differ ("MM"): mind that mPa and MPa are a billion apart."""
    near = [u for u in kind.units if u.casefold() == unit.casefold() and u != unit]
    return f"did you mean '{near[0]}'? upper and lower case differ" if len(near) == 1 else ""


def _tidy(unit: str) -> str:
    return " ".join(
        unit.replace("²", "2").replace("³", "3").replace("^", "").replace("·", " ").replace("µ", "u").split()
    )


def _article(word: str) -> str:
    return f"an {word}" if word[0] in "aeiou" else f"a {word}"
