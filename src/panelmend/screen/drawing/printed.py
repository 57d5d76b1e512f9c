"""Drawings of the printed pages on the screen: the same strokes, pens by class so that both themes draw them.

What ``render`` gives a page template as plain data becomes SVG in millimetres of paper. Colours of the house
become classes of ``static/printed.css``; steps of a temperature scale keep theirs, and a drawing that has
such steps is a plate: it stays bright in both themes, as it is printed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import escape
from typing import Any

from panelmend.render.strokes import COLOURS
from panelmend.render.svg import num
from panelmend.render.typesetting import CAP_HEIGHT

_NAMES = {value: name for name, value in COLOURS.items()}
_ANCHOR = {"left": "start", "middle": "middle", "right": "end"}
_DROP = {"base": 0.0, "middle": 0.5, "top": 1.0}
_SCALE = re.compile(r"[,;] scale [0-9.]+:[0-9.]+")
PIXELS = 6.4  # to a millimetre of paper: letters of 2.3 mm are 15 pixels high
ROUND = 1.5  # [mm] of paper round a drawing
_LETTERS = {0: "Z", 2: "L", 3: "M", 6: "C"}


def is_plate(drawing: Mapping[str, Any]) -> bool:
    """Whether a drawing has colours of a scale, which mean something and are the same in both themes."""
    return any(_colour(i["fill"], "f")[0] == "fill" for i in drawing["items"] if i.get("fill"))


def printed_svg(drawing: Mapping[str, Any], name: str, *, more: str = "") -> str:
    """One drawing as SVG, as wide as its letters are good to read and never wider than its place.

    Args:
        drawing: plain data as ``page_data`` makes it [mm].
        name: what a screen reader says it is.
        more: further classes.
    """
    kind = " ".join(filter(None, ("printed", "plate" if is_plate(drawing) else "", more)))
    w, h = drawing["width"] + 2 * ROUND, drawing["height"] + 2 * ROUND
    box = f"{-ROUND:g} {-ROUND:g} {num(w)} {num(h)}"
    inside = "".join(_path(i) if "path" in i else _words(i) for i in drawing["items"])
    return (
        f'<svg class="{kind}" viewBox="{box}" width="{PIXELS * w:.0f}" height="{PIXELS * h:.0f}" role="img" '
        f'aria-label="{escape(name)}">{inside}</svg>'
    )


def on_screen(words: str) -> str:
    """The words of a drawing without the scale it is printed at, which no screen has."""
    return _SCALE.sub("", words)


def _path(item: Mapping[str, Any]) -> str:
    d = "".join(_LETTERS[len(c)] + " ".join(num(v) for v in c if v != "m") for c in item["path"])
    look, kinds = [], []
    for value, letter in ((item["fill"], "f"), (item["pen"][1] if item["pen"] else "", "s")):
        key, words = _colour(value, letter)
        if key == "class":
            kinds.append(words)
        else:
            look.append(f'{key}="{words}"')
    if item["pen"]:
        look.append(f'stroke-width="{num(item["pen"][0])}"')
        if item["pen"][2]:
            look.append(f'stroke-dasharray="{" ".join(num(v) for v in item["pen"][2])}"')
    return f'<path class="{" ".join(kinds)}" d="{d}" fill-rule="evenodd" {" ".join(look)}/>'


def _colour(value: str, letter: str) -> tuple[str, str]:
    """A colour as a class where it is the house's, else as it is."""
    if not value:
        return "class", f"{letter}-none"
    if value in _NAMES:
        return "class", f"{letter}-{_NAMES[value]}"
    return {"f": "fill", "s": "stroke", "t": "fill"}[letter], escape(value)


def _words(item: Mapping[str, Any]) -> str:
    (x, y), size = item["at"], item["size"]
    turn = f' transform="rotate({num(item["turn"])} {num(x)} {num(y)})"' if item["turn"] else ""
    key, words = _colour(item["colour"], "t")
    look = f'class="{words}"' if key == "class" else f'fill="{escape(item["colour"])}"'
    bold = ' font-weight="700"' if item["bold"] else ""
    return (
        f'<text {look} x="{num(x)}" y="{num(y + _DROP[item["level"]] * CAP_HEIGHT * size)}" '
        f'font-size="{num(size)}" text-anchor="{_ANCHOR[item["anchor"]]}"{bold}{turn}>'
        f"{escape(item['words'])}</text>"
    )
