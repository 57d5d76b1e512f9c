"""What lies on the face in the colour of one pen: dots, touching dots, a line, or what needs a look."""

from __future__ import annotations

import numpy as np

from panelmend.photo.camera import Array
from panelmend.photo.colours import Pen, turn_between
from panelmend.photo.ink import Doubt, InkMark
from panelmend.photo.ink_layers import Layers
from panelmend.photo.ink_lines import drawn_line
from panelmend.photo.library import vision
from panelmend.photo.rectify import Rectified

LEAST_DOT, SURE_DOT, WIDEST_DOT = 2.0e-3, 3.2e-3, 22e-3  # [m] across: below, dirt; sure from; at most
LONG_LINE = 32e-3  # [m] from which a thin mark is a line
THICKEST_LINE = 9e-3  # [m]
NEAR_HUE = np.radians(40.0)
CLEAR_HUE = np.radians(14.0)  # the next pen must be this much further
CUT_ERROR = 0.002  # [m] standard deviation of a dot's middle of which a part is hidden
BESIDE_GROUND = 0.0006  # [m] a blob as near as this to ground that is not looked at may go on there


def of_pen(
    flat: Rectified, layers: Layers, mask: np.ndarray, pen: Pen, pens: list[Pen], background: Array
) -> list[InkMark]:
    cv2 = vision()
    d = flat.density
    k = max(1, round(0.0004 * d)) * 2 + 1
    cleaned = cv2.morphologyEx(mask.astype(np.uint8), cv2.MORPH_CLOSE, np.ones((k, k), np.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(cleaned, connectivity=8)
    reach = 2 * max(1, round(BESIDE_GROUND * d)) + 1
    blind = cv2.dilate((~layers.use).astype(np.uint8), np.ones((reach, reach), np.uint8)).astype(bool)
    made: list[InkMark] = []
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
) -> list[InkMark]:
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
        return [drawn_line(flat, part, corner, doubt, at, extent, thick)]
    if extent > WIDEST_DOT * 1.5 and thick > THICKEST_LINE:
        return [InkMark(meaning, at, extent, 0.25 * extent, Doubt.PATCH)]
    hull = cv2.convexHull(np.column_stack([columns, rows]).astype(np.int32))
    solid = float(part.sum()) / max(float(cv2.contourArea(hull)), 1.0)
    pieces = _dots_apart(part, depth, solid)
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
        made.append(InkMark(meaning, (float(point[0]), float(point[1])), across, error, why))
    return made


def _dots_apart(part: np.ndarray, depth: Array, solid: float) -> list[np.ndarray]:
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
