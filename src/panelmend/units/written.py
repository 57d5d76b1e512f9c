"""The ways people write quantities, brought to the one way that is read: glyphs only, never a value."""

from __future__ import annotations

import re

_FRACTIONS = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅓": "1/3",
    "⅔": "2/3",
}
_SIGNS = {
    "⁄": "/",
    "″": '"',
    "”": '"',
    "“": '"',
    "＂": '"',
    "''": '"',
    "’’": '"',
    "×": "x",
    "º": "°",
    "˚": "°",
    "\u2212": "-",
    "\u2013": "-",
    "\u00a0": " ",
    "\u202f": " ",
    "\u2009": " ",
    "℃": "°C",
    "℉": "°F",
    "⌀": "Ø",
    "ø": "Ø",
}
_POINT_AFTER_UNIT = re.compile(r"\b(in|mm|cm|deg|ft)\.(?=\s|$|[,;x])")


def as_read(text: str) -> str:
    """What people typed in the signs that quantities are read in: ``2½″`` becomes ``2 1/2"``.

    Only glyphs are exchanged for those that mean the same; units and figures stay, right or wrong.
    """
    for glyph, plain in _SIGNS.items():
        text = text.replace(glyph, plain)
    for glyph, plain in _FRACTIONS.items():
        text = re.sub(rf"(?<=\d)\s*{glyph}", f" {plain}", text).replace(glyph, plain)
    return " ".join(_POINT_AFTER_UNIT.sub(r"\1", text).split())
