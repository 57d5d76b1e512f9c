"""Dots and lines on the face by the colours of the pens, in the rectified picture of one photograph."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from panelmend.photo.camera import Array
from panelmend.photo.colours import Pen, White, linear, opponent, turn_between
from panelmend.photo.fit import Fitted
from panelmend.photo.library import vision
from panelmend.photo.rectify import Rectified
from panelmend.photo.sheet import CARD, paper_of

LEAST_STEP = 0.055  # of opponent colour: what differs less from the paint round it is paint
NOISE_TIMES = 7.0  # standard deviations of the paint's own colour that a pen must pass
LEAST_DOT, SURE_DOT, WIDEST_DOT = 2.0e-3, 3.2e-3, 22e-3  # [m] across: below, dirt; sure from; at most
LONG_LINE = 32e-3  # [m] from which a thin mark is a line
THICKEST_LINE = 9e-3  # [m]
CLOSED_GAP = 8e-3  # [m] in a drawn line, closed but shown as doubtful
LEAST_HOLE = 1.5e-4  # [m2] in a line for it to go round something
BACKGROUND = 0.045  # [m] over which the paint's own colour is taken
NEAR_HUE = np.radians(40.0)
CLEAR_HUE = np.radians(14.0)  # the next pen must be this much further
EDGE = 0.0015  # [m] either side of the edge of a mark's paper is not looked at
CUT_ERROR = 0.002  # [m] standard deviation of a dot's middle of which a part is hidden
BESIDE = 0.0006  # [m] a blob as near as this to ground that is not looked at may go on there
GLARE = 250  # of 255 in every colour
VEIL = 1.15  # of white paper: painted ground is never brighter, unless it mirrors a light
VEIL_OVER = 0.15  # of white paper, over twice the face's own: a dark face that is veiled
VEIL_BLUR = 0.003  # [m]


class Doubt(StrEnum):
    """Why something found is not taken without being looked at."""

    NONE = ""
    COLOUR = "colour between the pens, or of none"
    WEAK = "faint or small"
    PATCH = "too large for a dot, no line"
    OPEN = "line not closed"
    GAP = "gap in the line closed"
    OUTSIDE = "outside the marks"
    GLARE = "glare or a veil of light: dots may be lost here"
    UNSEEN = "not in the picture"
    ONE = "seen in one picture, not in another"
    SPLIT = "touching dots, split"
    SOUND_LINE = "a line in the colour of sound dots"
    CUT = "cut by a mark's paper, the card or the picture's edge"


@dataclass(frozen=True)
class Ink:
    """Something found: ``meaning`` dull, sound, line, hidden or unknown; a point, or an outline.

    ``error`` of its place in the picture's own means, as a standard deviation; ``across`` its size [m].
    """

    meaning: str
    at: tuple[float, float]
    across: float
    error: float
    doubt: Doubt = Doubt.NONE
    outline: tuple[tuple[float, float], ...] = ()


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


def find_inks(flat: Rectified, fitted: Fitted, white: White, pens: dict[str, Pen]) -> tuple[Ink, ...]:
    """Everything drawn with the pens, and what hides the face from view.

    Args:
        flat: the rectified picture.
        fitted: where the marks are.
        white: of the paper in this picture.
        pens: by meaning.
    """
    layers, background = _layers(flat, fitted, white, pens)
    found: list[Ink] = []
    order = list(pens.values())
    for i, pen in enumerate(order):
        mask = (layers.size > layers.limit) & (layers.near == i) & layers.use
        found += _of_pen(flat, layers, mask, pen, order, background)
    field = _field(flat, fitted)
    found = [_in_field(f, flat, field) for f in found]
    found += _hidden(flat, (layers.glare | layers.veil) & field & ~_paper(flat, fitted, 0.001), Doubt.GLARE)
    found += _hidden(flat, ~flat.seen & field, Doubt.UNSEEN)
    return tuple(found)


def _layers(flat: Rectified, fitted: Fitted, white: White, pens: dict[str, Pen]) -> tuple[Layers, Array]:
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
    veil = _veiled(rgb.mean(axis=2), flat, ~_paper(flat, fitted, 0.001) & flat.seen)
    colour = opponent(rgb).astype(np.float32)
    paper = _paper(flat, fitted, 0.0)
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
    limit = max(LEAST_STEP, min(NOISE_TIMES * noise, 0.2), 0.18 * expected)
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


def _paper(flat: Rectified, fitted: Fitted, more: float) -> np.ndarray:
    """Where the marks' paper lies, ``more`` [m] larger all round."""
    mask = np.zeros(flat.pixels.shape[:2], np.uint8)
    for n in fitted.numbers:
        x0, y0, x1, y1 = (v * fitted.side for v in paper_of(n))
        _fill(mask, flat, fitted, n, (x0 - more, y0 - more, x1 + more, y1 + more), 1)
    return mask.astype(bool)


def _drawable(flat: Rectified, fitted: Fitted) -> np.ndarray:
    """False on the black squares, on the edge of the paper and on the whole card."""
    mask = (~_paper(flat, fitted, EDGE) | _paper(flat, fitted, -EDGE)).astype(np.uint8)
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


def _field(flat: Rectified, fitted: Fitted) -> np.ndarray:
    """The face inside the measured marks, their own squares counted."""
    cv2 = vision()
    at = np.array(list(fitted.setup.placed.values()))
    half = 0.5 * fitted.side
    corners = np.vstack([at + d for d in ((-half, -half), (half, -half), (half, half), (-half, half))])
    hull = cv2.convexHull(np.round(flat.element(corners)).astype(np.int32))
    mask = np.zeros(flat.pixels.shape[:2], np.uint8)
    cv2.fillConvexPoly(mask, hull, 1)
    return mask.astype(bool)


def _in_field(f: Ink, flat: Rectified, field: np.ndarray) -> Ink:
    points = np.array([*f.outline, f.at])
    at = np.round(flat.element(points)).astype(int)
    h, w = field.shape
    inside = (at[:, 0] >= 0) & (at[:, 1] >= 0) & (at[:, 0] < w) & (at[:, 1] < h)
    if inside.all() and field[at[:, 1], at[:, 0]].all():
        return f
    return Ink(f.meaning, f.at, f.across, f.error, Doubt.OUTSIDE, f.outline)


def _hidden(flat: Rectified, mask: np.ndarray, why: Doubt) -> list[Ink]:
    """Ground on which a dot could hide."""
    cv2 = vision()
    made = []
    depth = cv2.distanceTransform(mask.astype(np.uint8), cv2.DIST_L2, 3)
    count, labels, stats, centres = cv2.connectedComponentsWithStats(mask.astype(np.uint8), connectivity=8)
    for i in range(1, count):
        x, y, w, h, _ = stats[i]
        part = labels[y : y + h, x : x + w] == i
        if depth[y : y + h, x : x + w][part].max() < 0.75 * LEAST_DOT * flat.density:
            continue
        at = flat.place(centres[i][None, :])[0]
        made.append(Ink("hidden", (float(at[0]), float(at[1])), float(max(w, h)) / flat.density, 0.0, why))
    return made


def _of_pen(
    flat: Rectified, layers: Layers, mask: np.ndarray, pen: Pen, pens: list[Pen], background: Array
) -> list[Ink]:
    cv2 = vision()
    d = flat.density
    k = max(1, round(0.0004 * d)) * 2 + 1
    cleaned = cv2.morphologyEx(mask.astype(np.uint8), cv2.MORPH_CLOSE, np.ones((k, k), np.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(cleaned, connectivity=8)
    reach = 2 * max(1, round(BESIDE * d)) + 1
    blind = cv2.dilate((~layers.use).astype(np.uint8), np.ones((reach, reach), np.uint8)).astype(bool)
    made: list[Ink] = []
    for i in range(1, count):
        x, y, w, h, area = (int(v) for v in stats[i])
        if area < 0.0625 * np.pi * (LEAST_DOT * d) ** 2:
            continue
        pad = int(0.002 * d) + 2
        box = (
            slice(max(y - pad, 0), min(y + h + pad, mask.shape[0])),
            slice(max(x - pad, 0), min(x + w + pad, mask.shape[1])),
        )
        part = labels[box] == i
        cut = bool((part & blind[box]).any())
        if not cut and area < 0.25 * np.pi * (LEAST_DOT * d) ** 2:
            continue
        corner = np.array([box[1].start, box[0].start], float)
        meaning, doubt = _told(layers, part, box, pen, pens, background)
        if cut:  # what is seen may be the smaller part of it
            doubt = doubt or Doubt.CUT
        made += _shaped(flat, layers, part, box, corner, meaning, doubt)
    return made


def _told(
    layers: Layers, part: np.ndarray, box: tuple[slice, slice], pen: Pen, pens: list[Pen], background: Array
) -> tuple[str, Doubt]:
    """What a blob's colour means, by its core."""
    size = layers.size[box]
    core = part & (size >= np.percentile(size[part], 50))
    off = layers.step[box][core].mean(axis=0)
    under = background[box][core].mean(axis=0)
    turns = []
    for p in pens:
        mixed = np.array(p.colour) - under
        first = abs(turn_between((off[0], off[1]), (mixed[0], mixed[1])))
        whole = off + under
        second = abs(turn_between((whole[0], whole[1]), p.colour)) if np.hypot(*whole) > 0.08 else np.pi
        turns.append(min(first, second))
    order = np.argsort(turns)
    best = pens[int(order[0])]
    strong = float(np.hypot(*off))
    if turns[order[0]] > NEAR_HUE or (len(pens) > 1 and turns[order[1]] - turns[order[0]] < CLEAR_HUE):
        return "unknown", Doubt.COLOUR
    if best is not pen:
        return best.meaning, Doubt.COLOUR
    expected = float(np.hypot(*(np.array(pen.colour) - under)))
    if strong < max(1.3 * layers.limit, 0.35 * expected):
        return pen.meaning, Doubt.WEAK
    return pen.meaning, Doubt.NONE


def _shaped(
    flat: Rectified,
    layers: Layers,
    part: np.ndarray,
    box: tuple[slice, slice],
    corner: Array,
    meaning: str,
    doubt: Doubt,
) -> list[Ink]:
    """A blob as a dot, several dots, a line or something to be looked at."""
    cv2 = vision()
    d = flat.density
    depth = cv2.distanceTransform(np.pad(part.astype(np.uint8), 1), cv2.DIST_L2, 5)[1:-1, 1:-1]
    thick = 2.0 * float(depth.max()) / d
    rows, columns = np.nonzero(part)
    extent = float(np.hypot(np.ptp(rows), np.ptp(columns))) / d
    middle = flat.place(np.array([[columns.mean(), rows.mean()]]) + corner)[0]
    at = (float(middle[0]), float(middle[1]))
    if extent >= LONG_LINE and thick <= THICKEST_LINE:
        if meaning == "sound":
            doubt = doubt or Doubt.SOUND_LINE
        return [_line(flat, part, corner, doubt, at, extent, thick)]
    if extent > WIDEST_DOT * 1.5 and thick > THICKEST_LINE:
        return [Ink(meaning, at, extent, 0.25 * extent, Doubt.PATCH)]
    hull = cv2.convexHull(np.column_stack([columns, rows]).astype(np.int32))
    solid = float(part.sum()) / max(float(cv2.contourArea(hull)), 1.0)
    pieces = _pieces(part, depth, solid)
    glare = layers.glare[box]
    made = []
    for piece in pieces:
        weight = np.clip(layers.size[box] / np.percentile(layers.size[box][piece], 60), 0.0, 1.0) * piece
        if len(pieces) == 1:
            wide = cv2.dilate(piece.astype(np.uint8), np.ones((3, 3), np.uint8)).astype(bool)
            weight = np.clip(layers.size[box] / np.percentile(layers.size[box][piece], 60), 0.0, 1.0) * wide
        total = weight.sum()
        rr, cc = np.mgrid[0 : part.shape[0], 0 : part.shape[1]]
        point = flat.place(np.array([[(weight * cc).sum() / total, (weight * rr).sum() / total]]) + corner)[0]
        across = 2.0 * float(np.sqrt(piece.sum() / np.pi)) / d
        error = float(np.hypot(0.00012, 0.03 * across))
        why = doubt
        if len(pieces) > 1:
            error, why = float(np.hypot(error, 0.08 * across)), (doubt or Doubt.SPLIT)
        if (glare & cv2.dilate(piece.astype(np.uint8), np.ones((5, 5), np.uint8)).astype(bool)).any():
            error = float(np.hypot(error, 0.2 * across + 0.0005))
        if doubt is Doubt.CUT:
            error = float(np.hypot(error, CUT_ERROR))
        if across < SURE_DOT and not why:
            why = Doubt.WEAK
        made.append(Ink(meaning, (float(point[0]), float(point[1])), across, error, why))
    return made


def _pieces(part: np.ndarray, depth: Array, solid: float) -> list[np.ndarray]:
    """The dots that a blob is grown together from; itself where it is one."""
    cv2 = vision()
    if solid > 0.88:
        return [part]
    high = float(depth.max())
    smooth = cv2.GaussianBlur(depth, (0, 0), max(1.0, 0.15 * high))
    reach = max(3, int(0.9 * high)) | 1
    peak = (smooth >= cv2.dilate(smooth, np.ones((reach, reach), np.uint8)) - 1e-6) & (
        smooth > 0.6 * smooth.max()
    )
    count, _, _, centres = cv2.connectedComponentsWithStats(peak.astype(np.uint8), connectivity=8)
    kept: list[Array] = []
    for c in centres[1:count]:
        if all(np.hypot(*(c - o)) > 1.1 * high for o in kept):
            kept.append(c)
    if not 2 <= len(kept) <= 12:
        return [part]
    rr, cc = np.nonzero(part)
    nearest = np.argmin([np.hypot(cc - c[0], rr - c[1]) for c in kept], axis=0)
    made = []
    for i in range(len(kept)):
        piece = np.zeros_like(part)
        piece[rr[nearest == i], cc[nearest == i]] = True
        made.append(piece)
    return made


def _line(
    flat: Rectified,
    part: np.ndarray,
    corner: Array,
    doubt: Doubt,
    at: tuple[float, float],
    extent: float,
    thick: float,
) -> Ink:
    """The middle of a line that goes round something, or the line as something to be looked at."""
    cv2 = vision()
    import contourpy

    d = flat.density
    reach = int(0.5 * CLOSED_GAP * d) + 2
    wide = np.pad(part, reach).astype(np.uint8)
    hole = _largest_hole(wide)
    if hole.sum() < LEAST_HOLE * d**2:
        ball = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (reach, reach))
        wide = cv2.morphologyEx(wide, cv2.MORPH_CLOSE, ball)
        hole, doubt = _largest_hole(wide), (doubt or Doubt.GAP)
        if hole.sum() < LEAST_HOLE * d**2:
            return Ink("line", at, extent, thick, Doubt.OPEN)
    # half-way between the hole's edge and the nearest ground outside
    around = (wide > 0) | _filled(wide)
    level = cv2.distanceTransform(around.astype(np.uint8), cv2.DIST_L2, 5) - cv2.distanceTransform(
        (~hole).astype(np.uint8), cv2.DIST_L2, 5
    )
    level = cv2.GaussianBlur(level, (0, 0), max(1.0, 0.0006 * d))
    lines = contourpy.contour_generator(z=level).lines(0.0)
    longest = np.asarray(max(lines, key=lambda v: len(np.asarray(v))))
    fine = cv2.approxPolyDP(longest.astype(np.float32)[:, None, :], 0.00025 * d, True)[:, 0, :].astype(float)
    points = flat.place(fine - reach + corner)
    width = float(part.sum()) / d**2 / max(_length(points), 1e-6)
    return Ink(
        "line",
        at,
        extent,
        float(np.hypot(0.0003, 0.25 * width)),
        doubt,
        tuple((float(x), float(y)) for x, y in points),
    )


def _length(points: Array) -> float:
    return float(np.linalg.norm(points - np.roll(points, 1, axis=0), axis=1).sum())


def _filled(mask: np.ndarray) -> np.ndarray:
    cv2 = vision()
    count, labels, _, _ = cv2.connectedComponentsWithStats((mask == 0).astype(np.uint8), connectivity=4)
    return np.asarray(labels != labels[0, 0]) if count > 1 else np.ones(mask.shape, bool)


def _largest_hole(mask: np.ndarray) -> np.ndarray:
    cv2 = vision()
    count, labels, stats, _ = cv2.connectedComponentsWithStats((mask == 0).astype(np.uint8), connectivity=4)
    outside = labels[0, 0]
    best, size = 0, 0
    for i in range(1, count):
        if i != outside and stats[i][4] > size:
            best, size = i, int(stats[i][4])
    return np.asarray(labels == best) if size else np.zeros(mask.shape, bool)
