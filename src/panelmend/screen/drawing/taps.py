"""The survey on the drawing: taps in their order, the lines they come to, where to tap next."""

from __future__ import annotations

from panelmend.app.tapbook import Heard
from panelmend.document.panel import Side
from panelmend.render.views.sheet import Looking
from panelmend.screen.drawing.layers import Dot, DrawnArea, DrawnLayer, Mark, Words
from panelmend.screen.words import say

NUMBERED = 5  # places to tap next that carry a number


def survey_layers(made: Heard, side: Side) -> tuple[DrawnLayer, ...]:
    """Outer and middle line, taps, and places to tap next, as seen from a side."""
    look = Looking(side)
    outer: list[Mark] = []
    middle: list[Mark] = []
    for area in made.traced.areas if made.traced is not None else ():
        outer.append(DrawnArea((look.outline(area.outer),), "outer"))
        middle += [DrawnArea((look.outline(o),), "damage-line") for o in area.middle]
    dots: list[Mark] = [Dot(look.point(t.at), "dull" if t.dull else "sound") for t in made.taps]
    asked: list[Mark] = []
    for n, tap in enumerate(made.next, 1):
        asked.append(Dot(look.point(tap.at), "next" if n <= NUMBERED else "next-small"))
        if n <= NUMBERED:
            asked.append(Words(look.point(tap.at), str(n), "bl b", beside=True))
    return (
        DrawnLayer("outer", "survey", say("layer.outer"), tuple(outer), True, "outer"),
        DrawnLayer("middle", "survey", say("layer.middle"), tuple(middle), True, "damage-line"),
        DrawnLayer("taps", "survey", say("layer.taps"), tuple(dots), True, "dull"),
        DrawnLayer("next", "survey", say("layer.next"), tuple(asked), True, "next"),
    )
