"""The colours of a rectified picture: steps from the paint's own, glare, veil, and what may be looked at."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from panelmend.photo.camera import Array
from panelmend.photo.colours import Pen, White, linear, opponent
from panelmend.photo.fit import Fitted
from panelmend.photo.library import vision
from panelmend.photo.rectify import Rectified
from panelmend.photo.sheet import CARD, paper_of

LEAST_COLOUR_STEP = 0.055  # of opponent colour: what differs less from the paint round it is paint
NOISE_TIMES = 7.0  # standard deviations of the paint's own colour that a pen must pass
BACKGROUND = 0.045  # [m] over which the paint's own colour is taken
MARK_EDGE = 0.0015  # [m] either side of the edge of a mark's paper is not looked at
GLARE = 250  # of 255 in every colour
VEIL = 1.15  # of white paper: painted ground is never brighter, unless it mirrors a light
VEIL_OVER = 0.15  # of white paper, over twice the face's own: a dark face that is veiled
VEIL_BLUR = 0.003  # [m]


@dataclass(frozen=True)
class Layers:
    """Steps of colour from the paint, pens they point to, glare, veil, what may be looked at."""

    step: Array
    size: Array
    near: np.ndarray
    off: Array
    limit: float
    glare: np.ndarray
    veil: np.ndarray
    use: np.ndarray


def layers_of(flat: Rectified, fitted: Fitted, white: White, pens: dict[str, Pen]) -> tuple[Layers, Array]:
    cv2 = vision()
    h, w = flat.pixels.shape[:2]
    rgb = linear(flat.pixels).astype(np.float32)
    step = 24
    x, y = np.meshgrid(
        flat.left + np.arange(w // step + 2) * step / flat.density,
        flat.top - np.arange(h // step + 2) * step / flat.density,
    )
    coarse = white.at(x, y).astype(np.float32)
    fx, fy = np.meshgrid((np.arange(w) / step).astype(np.float32), (np.arange(h) / step).astype(np.float32))
    rgb /= cv2.remap(coarse, fx, fy, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    sigma = max(0.7, 0.0004 * flat.density)
    rgb = cv2.GaussianBlur(rgb, (0, 0), sigma)
    veil = _veiled(rgb.mean(axis=2), flat, ~paper_area(flat, fitted, 0.001) & flat.seen)
    colour = opponent(rgb).astype(np.float32)
    paper = paper_area(flat, fitted, 0.0)
    background = _background(colour, flat.density, paper)
    background[paper] = 0.0
    off = colour - background
    size = np.hypot(off[..., 0], off[..., 1])
    use = flat.seen & _drawable(flat, fitted)
    glare = (flat.pixels.min(axis=2) >= GLARE) & flat.seen
    width = max(1, int(0.001 * flat.density)) * 2 + 1
    glare = cv2.morphologyEx(glare.astype(np.uint8), cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    glare = cv2.dilate(glare, np.ones((width, width), np.uint8)).astype(bool)
    quiet = size[use & ~glare & ~veil]
    noise = 1.4826 * float(np.median(quiet)) / 1.1774 if quiet.size else 0.0
    usual = np.median(background[use & ~paper], axis=0) if (use & ~paper).any() else np.zeros(2)
    expected = min(float(np.hypot(*(np.array(p.colour) - usual))) for p in pens.values())
    limit = max(LEAST_COLOUR_STEP, min(NOISE_TIMES * noise, 0.2), 0.18 * expected)
    hues = np.arctan2(off[..., 1], off[..., 0])
    apart = np.stack([_turns(hues, np.array(p.colour) - background) for p in pens.values()])
    return Layers(off, size, np.argmin(apart, axis=0), apart.min(axis=0), limit, glare, veil, use), background


def _veiled(bright: np.ndarray, flat: Rectified, face: np.ndarray) -> np.ndarray:
    """Where a reflection lies over the paint that saturates nothing but drowns a dot's colour."""
    cv2 = vision()
    if not face.any():
        return np.zeros(face.shape, bool)
    own = float(np.median(bright[face]))
    sigma = VEIL_BLUR * flat.density
    share = cv2.GaussianBlur(face.astype(np.float32), (0, 0), sigma)
    smooth = cv2.GaussianBlur(np.where(face, bright, 0.0).astype(np.float32), (0, 0), sigma)
    smooth /= np.maximum(share, 1e-3)
    return np.asarray(face & (smooth > min(VEIL, VEIL_OVER + 2.0 * own)))


def _turns(hues: Array, towards: Array) -> Array:
    d = np.abs(hues - np.arctan2(towards[..., 1], towards[..., 0]))
    return np.asarray(np.minimum(d, 2 * np.pi - d))


def _background(colour: np.ndarray, density: float, paper: np.ndarray) -> Array:
    cv2 = vision()
    h, w = colour.shape[:2]
    k = max(1, round(density / 700.0))
    small = cv2.resize(colour, (max(w // k, 1), max(h // k, 1)), interpolation=cv2.INTER_AREA)
    covered = (
        cv2.resize(paper.astype(np.uint8), (small.shape[1], small.shape[0]), interpolation=cv2.INTER_AREA) > 0
    )
    covered = cv2.dilate(covered.astype(np.uint8), np.ones((3, 3), np.uint8)).astype(bool)
    if not covered.all():
        small[covered] = np.median(small[~covered], axis=0)  # paper says nothing about the paint beside it
    bytes_ = np.clip((small + 0.7) / 1.4 * 255.0, 0, 255).astype(np.uint8)
    wide = min(int(BACKGROUND * density / k) | 1, 99)
    made = np.stack([cv2.medianBlur(np.ascontiguousarray(bytes_[..., i]), wide) for i in range(2)], -1)
    smooth = cv2.GaussianBlur(made.astype(np.float32), (0, 0), wide / 8) / 255.0 * 1.4 - 0.7
    return np.asarray(cv2.resize(smooth, (w, h), interpolation=cv2.INTER_LINEAR))


def paper_area(flat: Rectified, fitted: Fitted, more: float) -> np.ndarray:
    """Where the marks' paper lies, ``more`` [m] larger all round."""
    mask = np.zeros(flat.pixels.shape[:2], np.uint8)
    for n in fitted.numbers:
        x0, y0, x1, y1 = (v * fitted.side for v in paper_of(n))
        _fill(mask, flat, fitted, n, (x0 - more, y0 - more, x1 + more, y1 + more), 1)
    return mask.astype(bool)


def _drawable(flat: Rectified, fitted: Fitted) -> np.ndarray:
    """False on the black squares, on the edge of the paper and on the whole card."""
    mask = (~paper_area(flat, fitted, MARK_EDGE) | paper_area(flat, fitted, -MARK_EDGE)).astype(np.uint8)
    half = 0.5 * fitted.side + 0.0015
    for n in fitted.numbers:
        box = tuple(v * fitted.side for v in paper_of(n)) if n == CARD else (-half, -half, half, half)
        _fill(mask, flat, fitted, n, box, 0)  # type: ignore[arg-type]
    return np.asarray(mask.astype(bool))


def _fill(
    mask: np.ndarray,
    flat: Rectified,
    fitted: Fitted,
    number: int,
    box: tuple[float, float, float, float],
    value: int,
) -> None:
    x, y, turn, _ = fitted.mark(number)
    x0, y0, x1, y1 = box
    own = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
    c, s = np.cos(turn), np.sin(turn)
    at = np.column_stack([x + c * own[:, 0] - s * own[:, 1], y + s * own[:, 0] + c * own[:, 1]])
    vision().fillConvexPoly(mask, np.round(flat.element(at)).astype(np.int32), value)


def marked_field(flat: Rectified, fitted: Fitted) -> np.ndarray:
    """The face inside the measured marks, their own squares counted."""
    cv2 = vision()
    at = np.array(list(fitted.setup.placed.values()))
    half = 0.5 * fitted.side
    corners = np.vstack([at + d for d in ((-half, -half), (half, -half), (half, half), (-half, half))])
    hull = cv2.convexHull(np.round(flat.element(corners)).astype(np.int32))
    mask = np.zeros(flat.pixels.shape[:2], np.uint8)
    cv2.fillConvexPoly(mask, hull, 1)
    return mask.astype(bool)
