"""A view on a sheet: flat strokes cut to a window, with a caption that says from which side it is seen."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from panelmend.document.panel import Side
from panelmend.render.drawing import Drawing, Item, Pointer, Text, scale_to_fit, scale_words
from panelmend.render.strokes import Box, Flat, Loop, Stroke, bounds, page_data
from panelmend.shapes import Outline, Point, rectangle


@dataclass(frozen=True)
class View:
    """One drawing ready for a page: flat strokes, the window they are cut to [mm], caption and scale."""

    name: str
    title: str
    words: str
    flats: tuple[Flat, ...]
    window: Box

    def data(self) -> dict[str, Any]:
        """Plain data for the page template."""
        return {
            "name": self.name,
            "title": self.title,
            "words": self.words,
            "drawing": page_data(self.flats, self.window, clip=True),
        }


class Looking:
    """How things are seen from one side: from the inside everything is turned over about 0 degrees."""

    def __init__(self, side: Side) -> None:
        self.side = side

    def outline(self, outline: Outline) -> Outline:
        """The outline as seen."""
        return outline if self.side == "outside" else outline.mirrored_y()

    def point(self, point: Point) -> Point:
        """The point as seen [m]."""
        return point if self.side == "outside" else (point[0], -point[1])

    def angle(self, angle: float) -> float:
        """The angle as seen [rad]."""
        return angle if self.side == "outside" else -angle


def seen_from_words(side: Side) -> str:
    """From which side a drawing is seen, in words."""
    return f"seen from the {side}"


def window_round(outlines: Iterable[Outline], scale: float, margin: float = 8.0) -> Box:
    """The window round outlines at a scale, with a margin on paper [mm], y down."""
    boxes = [o.bounds for o in outlines]
    k = 1e3 * scale
    return (
        k * min(b[0] for b in boxes) - margin,
        -k * max(b[3] for b in boxes) - margin,
        k * max(b[2] for b in boxes) + margin,
        -k * min(b[1] for b in boxes) + margin,
    )


def compass(at: Point, length: float = 14.0) -> list[Item]:
    """The panel's 0 degrees as an arrow on the drawing."""
    name = Text(at, "0°", 2.8, "middle", "base", colour="accent", bold=True, shift=(0.0, 1.2), clear=True)
    return [name, Pointer(at, 0.0, length)]


def make_view(
    name: str,
    title: str,
    words: str,
    items: Sequence[Item],
    frame: Sequence[Outline],
    size: tuple[float, float],
    *,
    margin: float = 8.0,
    beside: float = 0.0,
) -> View:
    """Scale items so that ``frame`` fits ``size`` [mm], and cut them to the window round it.

    The 0-degree arrow stands in the lower left corner, ``beside`` [mm] farther left.
    """
    scale = scale_to_fit(frame, size[0] - 2 * margin - beside, size[1] - 2 * margin)
    left, *others = window_round(frame, scale, margin)
    window = (left - beside, others[0], others[1], others[2])
    k = 1e3 * scale
    corner = ((window[0] + 10.0) / k, -(window[3] - 4.0) / k)
    flats = Drawing((*items, *compass(corner)), scale).flat()
    return View(name, title, f"{words}, scale {scale_words(scale)}", flats, window)


def bar(x0: float, y0: float, x1: float, y1: float) -> Outline:
    """An upright rectangle between two corners [m]."""
    return rectangle((0.5 * (x0 + x1), 0.5 * (y0 + y1)), *_sorted(x1 - x0, y1 - y0))


def _sorted(wide: float, high: float) -> tuple[float, float, float]:
    return (wide, high, 0.0) if wide >= high else (high, wide, 0.5 * math.pi)


def free_view(name: str, title: str, words: str, items: Sequence[Item], margin: float = 2.0) -> View:
    """A schematic drawn in paper millimetres (written as metres over a thousand)."""
    flats = Drawing(tuple(items), 1.0).flat()
    x0, y0, x1, y1 = bounds(flats)
    return View(name, title, words, flats, (x0 - margin, y0 - margin, x1 + margin, y1 + margin))


def paper_round(frame: Box) -> tuple[Stroke, Loop]:
    """Paper white round a frame [mm], so that what is drawn ends there, and the frame's own line."""
    far = 4000.0
    outer = ((-far, -far, 0.0), (far, -far, 0.0), (far, far, 0.0), (-far, far, 0.0))
    x0, y0, x1, y1 = frame
    inner = Loop(((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0)))
    return Stroke((Loop(outer), inner), None, "paper"), inner
