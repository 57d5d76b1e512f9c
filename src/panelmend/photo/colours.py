"""Colours of pens, so that light does not decide: against the marks' white paper, or tried on the card.

A colour here is a point (a, b) of opponent colour that does not change with brightness:
a = (R - G) / (R + G + B), b = ((R + G) / 2 - B) / (R + G + B) in linear light, white at (0, 0).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from panelmend.errors import InputError
from panelmend.photo.camera import Array
from panelmend.photo.fit import Fitted
from panelmend.photo.library import vision
from panelmend.photo.pictures import Picture
from panelmend.photo.sheet import BOX_SIDE, BOXES, CARD, MARK_CELLS, box_centre

_DARK = 0.05  # added to the sum, so that noise in the dark has no colour
LEAST_COLOUR = 0.10  # a pen's distance from white; below, it is black, white or grey
LEAST_HUES_APART = np.radians(35.0)  # between the hues of two pens
# sRGB of common pens (own choice); only their hues are used.
NAMED = {
    "red": (200, 30, 40), "orange": (235, 120, 20), "yellow": (240, 210, 40), "green": (30, 140, 60),
    "blue": (35, 70, 180), "violet": (110, 45, 150), "pink": (235, 70, 150),
}  # fmt: skip
_LINEAR = (np.arange(256) / 255.0) ** 2.2


@dataclass(frozen=True)
class Pen:
    """A pen: what its colour means and where the colour lies (a, b); ``tried`` on the card or only named."""

    meaning: str
    colour: tuple[float, float]
    tried: bool


def named_pen(meaning: str, name: str) -> Pen:
    """A pen by the name of its colour.

    Raises:
        InputError: a colour that cannot be told from the panel in any light.
    """
    if name not in NAMED:
        raise InputError("not a colour that can be told in every light", read=name, expected=", ".join(NAMED))
    rgb = _LINEAR[np.array(NAMED[name])]
    a, b = opponent(rgb[None, :])[0]
    return Pen(meaning, (float(a), float(b)), False)


def opponent(rgb: Array) -> Array:
    """Opponent colours (n, 2) of linear red, green, blue (n, 3), white at (1, 1, 1)."""
    total = rgb.sum(-1) + _DARK
    return np.stack(
        [(rgb[..., 0] - rgb[..., 1]) / total, (0.5 * (rgb[..., 0] + rgb[..., 1]) - rgb[..., 2]) / total], -1
    )


@dataclass(frozen=True)
class White:
    """Red, green and blue of white paper over the face: exp(c0 + c1 x + c2 y), linear."""

    terms: Array
    middle: Array
    known: bool

    def at(self, x: Array, y: Array) -> Array:
        """White at places [m], shape of x with 3 more."""
        shape = np.stack([np.ones_like(x), x - self.middle[0], y - self.middle[1]], -1)
        return np.asarray(np.exp(np.clip(shape @ self.terms, -6.0, 2.0)))


def linear(pixels: np.ndarray) -> Array:
    """Linear red, green, blue of 8-bit blue, green, red."""
    return np.asarray(_LINEAR[pixels[..., ::-1]])


def white_of(picture: Picture, fitted: Fitted, k: int) -> White:
    """The white of the marks' paper; the camera's own white where the paper is over- or underexposed."""
    view, face = fitted.view(k), fitted.setup.face
    rows, places = [], []
    cell = fitted.side / MARK_CELLS
    ring = (0.5 * fitted.side + 0.75 * cell) * np.array(
        [(a, s) for a in np.linspace(-1, 1, 21) for s in (-1, 1)]
        + [(s, a) for a in np.linspace(-1, 1, 21) for s in (-1, 1)]
    )
    for m in fitted.shots[k].marks:
        x, y, turn, _ = fitted.mark(m.number)
        c, s = np.cos(turn), np.sin(turn)
        at = np.column_stack([x + c * ring[:, 0] - s * ring[:, 1], y + s * ring[:, 0] + c * ring[:, 1]])
        read = _colour_at(picture, view.project(face.world(at)))
        bright = np.median(read, axis=0)
        if bright.max() < 252 and bright.min() > 12:
            rows.append(np.log(_LINEAR[np.round(bright[::-1]).astype(int)]))
            places.append((x, y))
    if len(rows) < 2:
        return White(np.zeros((3, 3)), np.zeros(2), False)
    at, read = np.array(places), np.array(rows)
    middle = at.mean(0)
    shape = np.column_stack([np.ones(len(at)), at - middle])
    # the slope is held back where marks are few; one common slope of brightness would do as well
    held = np.diag([0.0, 0.02, 0.02])
    terms = np.linalg.solve(shape.T @ shape + held, shape.T @ read)
    return White(terms, middle, True)


def pens_on_card(picture: Picture, fitted: Fitted, k: int, white: White) -> dict[str, Pen]:
    """The pens tried on the card, where the card is in the picture; an empty box gives none."""
    if not any(m.number == CARD for m in fitted.shots[k].marks):
        return {}
    view, face = fitted.view(k), fitted.setup.face
    x, y, turn, _ = fitted.mark(CARD)
    c, s = np.cos(turn), np.sin(turn)
    made = {}
    grid = np.linspace(-0.42, 0.42, 41) * BOX_SIDE
    for i, meaning in enumerate(BOXES):
        bx, by = box_centre(i)
        gx, gy = np.meshgrid(bx + grid, by + grid)
        px, py = fitted.side * gx.ravel(), fitted.side * gy.ravel()
        at = np.column_stack([x + c * px - s * py, y + s * px + c * py])
        read = _colour_at(picture, view.project(face.world(at)))
        inside = linear(np.round(read).astype(np.uint8)) / white.at(at[:, 0], at[:, 1])
        colours = opponent(inside)
        paper = np.median(colours[np.argsort(inside.sum(1))[-400:]], axis=0)
        strength = np.linalg.norm(colours - paper, axis=1)
        core = strength > 0.6 * np.percentile(strength, 97)
        if core.sum() < 40 or np.percentile(strength, 97) < LEAST_COLOUR:
            continue
        a, b = np.median((colours - paper)[core], axis=0)
        made[meaning] = Pen(meaning, (float(a), float(b)), True)
    return made


def pens_told_apart(pens: dict[str, Pen]) -> dict[str, Pen]:
    """The pens to look for: a line drawn with the pen of the dots needs no pen of its own.

    Raises:
        InputError: pens that cannot be told from white or from each other.
    """
    line = pens.get("line")
    others = [p for m, p in pens.items() if m != "line"]
    if line and any(abs(turn_between(line.colour, p.colour)) < LEAST_HUES_APART for p in others):
        pens = {m: p for m, p in pens.items() if m != "line"}
    rows = list(pens.values())
    for i, p in enumerate(rows):
        if np.hypot(*p.colour) < LEAST_COLOUR:
            raise InputError(
                f"the pen for {p.meaning} has no colour", todo="use a red, blue, green or orange pen"
            )
        for q in rows[:i]:
            if abs(turn_between(p.colour, q.colour)) < LEAST_HUES_APART:
                raise InputError(
                    f"the pens for {q.meaning} and {p.meaning} look alike",
                    todo="use two colours far apart, as red and blue",
                )
    return pens


def turn_between(one: tuple[float, float], other: tuple[float, float]) -> float:
    """Angle between two hues [rad]."""
    a = np.arctan2(one[1], one[0]) - np.arctan2(other[1], other[0])
    return float((a + np.pi) % (2 * np.pi) - np.pi)


def _colour_at(picture: Picture, at: Array) -> Array:
    cv2 = vision()
    made = cv2.remap(
        picture.pixels,
        at[:, 0].astype(np.float32)[None, :],
        at[:, 1].astype(np.float32)[None, :],
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    )
    return np.asarray(made[0], float)
