"""Drawings as SVG in millimetres with true arcs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

from panelmend.render.strokes import Box, Flat, Label, Loop, Stroke, bounds, colour_of
from panelmend.render.typesetting import CAP_HEIGHT, FONT, printable
from panelmend.shapes import Arc

_ANCHOR = {"left": "start", "middle": "middle", "right": "end"}
_BAND = "MARK: do not cut or work from this drawing"
_ABOVE, _LETTERS, _WIDTH = 9.0, 4.0, 2.6  # [mm] height of the band, its letters, room for one of them
_DROP = {"base": 0.0, "middle": 0.5, "top": 1.0}


def to_svg(
    flats: Sequence[Flat],
    *,
    title: str,
    box: Box | None = None,
    margin: float = 5.0,
    note: str = "",
    mark: str = "",
) -> bytes:
    """An SVG file at true size: one user unit is one millimetre.

    Args:
        flats: what to draw [mm].
        title: what the file shows.
        box: the part of the drawing plane shown; all of it by default [mm].
        margin: kept free round the box [mm].
        note: a longer description.
        mark: STOP or DRAFT of the plan; stands in a band above the drawing, whose scale does not change.
    """
    x0, y0, x1, y1 = box or bounds(flats)
    if mark:
        band = _BAND.replace("MARK", mark)
        flats = [*flats, Label(x0, y0 - _ABOVE + 4.0, band, _LETTERS, "left", "base", 0.0, "ink", True)]
        y0, x1 = y0 - _ABOVE, max(x1, x0 + _WIDTH * len(band))
    w, h = x1 - x0 + 2 * margin, y1 - y0 + 2 * margin
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{num(w)}mm" height="{num(h)}mm" '
        f'viewBox="{num(x0 - margin)} {num(y0 - margin)} {num(w)} {num(h)}" '
        f'font-family="{FONT}, sans-serif">',
        f"<title>{_words(title)}</title>",
    ]
    if note:
        lines.append(f"<desc>{_words(note)}</desc>")
    lines += [_label(f) if isinstance(f, Label) else _stroke(f) for f in flats]
    lines.append("</svg>\n")
    return "\n".join(lines).encode("utf8")


def path_commands(loop: Loop) -> str:
    """The path commands of one loop, arcs as arcs (a full turn as two)."""
    x, y, _ = loop.rows[0]
    made = [f"M{num(x)} {num(y)}"]
    for s in loop.parts():
        if isinstance(s, Arc):
            large, sweep = int(abs(s.sweep) > math.pi), int(s.sweep > 0.0)  # y runs down: + is clockwise
            made.append(f"A{num(s.radius)} {num(s.radius)} 0 {large} {sweep} {num(s.x1)} {num(s.y1)}")
        else:
            made.append(f"L{num(s.x1)} {num(s.y1)}")
    return "".join(made) + ("Z" if loop.closed else "")


def num(value: float) -> str:
    """A length with six decimals at most, without trailing zeros [mm]."""
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _words(text: str) -> str:
    return escape("".join(c for c in printable(text) if c in "\n\t" or ord(c) >= 32))


def _stroke(f: Stroke) -> str:
    d = "".join(path_commands(loop) for loop in f.loops)
    look = f'fill="{colour_of(f.fill)}" fill-rule="evenodd"' if f.fill else 'fill="none"'
    if f.ink is not None:
        look += f' stroke="{colour_of(f.ink.colour)}" stroke-width="{num(f.ink.width)}"'
        if f.ink.dash:
            look += f' stroke-dasharray="{" ".join(num(v) for v in f.ink.dash)}"'
    return f"<path d={quoteattr(d)} {look}/>"


def _label(f: Label) -> str:
    drop = _DROP[f.level] * CAP_HEIGHT * f.size
    x, y = f.x + drop * math.sin(f.turn), f.y + drop * math.cos(f.turn)
    turn = f' transform="rotate({num(-math.degrees(f.turn))} {num(x)} {num(y)})"' if f.turn else ""
    bold = ' font-weight="bold"' if f.bold else ""
    return (
        f'<text x="{num(x)}" y="{num(y)}" font-size="{num(f.size)}" text-anchor="{_ANCHOR[f.anchor]}" '
        f'fill="{colour_of(f.colour)}"{bold}{turn}>{_words(f.words)}</text>'
    )
