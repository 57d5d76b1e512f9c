"""Finding room for words: beside their points without covering each other, or one under another."""

from __future__ import annotations

import math
from collections.abc import Sequence

from panelmend.render.strokes import Anchor, Box, Flat, Ink, Label, Loop, Stroke

_DIRECTIONS = (45.0, 135.0, -45.0, -135.0, 0.0, 180.0, 90.0, -90.0)
_REACHES = (2.2, 4.0, 6.5, 9.5, 13.0, 17.0)
# Cost of a square millimetre of other words covered, of one shunned, and of a millimetre of leader.
_OVER, _SHUN, _FAR = 5.0, 0.4, 0.25
LEADER = Ink(0.13, "ink")


class Placer:
    """Puts labels beside points on paper [mm, y down]: none covers another or what is kept."""

    def __init__(self, window: Box, keep: Sequence[Box] = ()) -> None:
        self.window, self.taken = window, list(keep)
        self.shunned: list[Box] = []

    def keep(self, box: Box) -> None:
        """Nothing may cover this box."""
        self.taken.append(box)

    def shun(self, box: Box) -> None:
        """What is worth seeing: labels leave this box free where there is room near by."""
        self.shunned.append(box)

    def place(
        self, x: float, y: float, words: str, size: float, colour: str = "ink", *, bold: bool = False
    ) -> list[Flat]:
        """The words on paper white beside (x, y), with a leader where they stand off."""
        tried: list[tuple[float, int, float, Label]] = []
        for near in _REACHES:
            for degrees in _DIRECTIONS:
                c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
                anchor: Anchor = "left" if c > 0.3 else "right" if c < -0.3 else "middle"
                label = Label(x + near * c, y - near * s, words, size, anchor, "middle", 0.0, colour, bold)
                box = label.box()
                cost = _OVER * self._covered(box) + _SHUN * _shared_by_all(box, self.shunned)
                tried.append((cost + _FAR * (near - _REACHES[0]), len(tried), near, label))
        _, _, near, label = min(tried)
        self.taken.append(label.box())
        made: list[Flat] = []
        if near > _REACHES[0]:
            made.append(Stroke((Loop(((x, y, 0.0), (label.x, label.y, 0.0)), closed=False),), LEADER))
        return [*made, halo(label), label]

    def free(self, box: Box) -> bool:
        """Whether a box lies in the window and covers nothing that is kept."""
        return self._covered(box) == 0.0

    def _covered(self, box: Box) -> float:
        """How much of a box is taken or lies outside the window [mm2]."""
        wide, high = box[2] - box[0], box[3] - box[1]
        lost = wide * high - _shared(box, self.window)
        return (5.0 * lost if lost > 1e-9 else 0.0) + _shared_by_all(box, self.taken)


def halo(label: Label, margin: float = 0.35) -> Stroke:
    """A patch of paper white under words."""
    x0, y0, x1, y1 = label.box()
    rows = ((x0 - margin, y0 - margin, 0.0), (x1 + margin, y0 - margin, 0.0))
    return Stroke(
        (Loop((*rows, (x1 + margin, y1 + margin, 0.0), (x0 - margin, y1 + margin, 0.0))),), None, "paper"
    )


def placed_apart(
    wanted: Sequence[float], apart: float, low: float = -math.inf, high: float = math.inf
) -> list[float]:
    """Places as near as can be to the wanted ones, in the same order, at least ``apart`` from each other.

    Args:
        wanted: where each would stand.
        apart: least distance between two.
        low: none below, while there is room.
        high: none above, while there is room.
    """
    order = sorted(range(len(wanted)), key=lambda i: (wanted[i], i))
    groups: list[tuple[float, int]] = []  # middle and count of runs that touch
    for i in order:
        middle, count = wanted[i], 1
        while groups and middle - 0.5 * count * apart < groups[-1][0] + 0.5 * groups[-1][1] * apart - 1e-12:
            other, n = groups.pop()
            middle, count = (middle * count + other * n) / (count + n), count + n
        half = 0.5 * (count - 1) * apart
        groups.append((max(min(middle, high - half), low + half), count))
    places = [m + (k - 0.5 * (n - 1)) * apart for m, n in groups for k in range(n)]
    for k in range(1, len(places)):
        places[k] = max(places[k], places[k - 1] + apart)
    if places and places[-1] > high:
        places[-1] = max(high, low + (len(places) - 1) * apart)
        for k in range(len(places) - 2, -1, -1):
            places[k] = min(places[k], places[k + 1] - apart)
    found = [0.0] * len(wanted)
    for i, at in zip(order, places, strict=True):
        found[i] = at
    return found


def _shared(a: Box, b: Box) -> float:
    """Area two boxes share [mm2]."""
    return max(min(a[2], b[2]) - max(a[0], b[0]), 0.0) * max(min(a[3], b[3]) - max(a[1], b[1]), 0.0)


def _shared_by_all(box: Box, others: Sequence[Box]) -> float:
    """Area a box shares with each of others, summed in their order [mm2]; most share nothing."""
    x0, y0, x1, y1 = box
    found = 0.0
    for other in others:
        if other[0] < x1 and x0 < other[2] and other[1] < y1 and y0 < other[3]:
            found += _shared(box, other)
    return found
