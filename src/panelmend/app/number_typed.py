"""A number as it is typed in a blank: in the blank's own unit, and nothing that no instrument can show."""

from __future__ import annotations

import re
from decimal import Decimal

from panelmend.errors import InputError
from panelmend.records import events as e
from panelmend.records.canonical import typed_amount

MOST_VACUUM = {
    "inHg": Decimal("32.5"),
    "mmHg": Decimal(825),
    "kPa": Decimal(110),
    "hPa": Decimal(1100),
    "mbar": Decimal(1100),
}
"""The most a gauge of vacuum or a barometer can show, in each unit: 1100 hPa, the bound of the bay's."""
BELOW_ZERO = ("°C", "°F", "°C/min", "°F/min")
"""Units of readings that may lie below zero."""
_OTHER_UNIT = re.compile(r"[+-]?[0-9]+([.,][0-9]+)?\s*([^\W\d].{0,20}|°.{0,3}|[\"'″′%]{1,2})")


def number_typed(blank: e.CardBlank, answer: str) -> tuple[str, Decimal]:
    """The number of a blank as it is kept, and read.

    Args:
        blank: what is asked, its unit and limits.
        answer: what was typed; the blank's unit may stand after it.

    Raises:
        InputError: no number, another unit, digits of another script, more vacuum than there is air, or
            less than nothing of what the card's figures judge.
    """
    kind = blank.unit.split(" ")[0]
    plain = kind.removeprefix("°") if kind in BELOW_ZERO else ""  # C for °C
    bare = answer.removesuffix(blank.unit).removesuffix(plain).strip()
    if not bare.isascii() and any(c.isdecimal() and not c.isascii() for c in bare):
        raise InputError("not a number", read=bare[:30], expected="the digits 0 to 9")
    if blank.unit and _OTHER_UNIT.fullmatch(bare):
        raise InputError(f"this blank takes a number in {blank.unit}, not in another unit", read=bare[:30])
    value = typed_amount(bare)
    most = MOST_VACUUM.get(kind)
    if most is not None and value > most:
        raise InputError(
            f"more vacuum than there is: the air gives at most {most} {kind}; look at the gauge's unit",
            read=bare,
        )
    counted = blank.ask == "figures" and not any(
        x is not None and x.startswith("-") for x in (blank.low, blank.high)
    )
    if value < 0 and kind not in BELOW_ZERO and (most is not None or counted):
        raise InputError("less than zero: write the amount without a sign", read=bare)
    return bare, value
