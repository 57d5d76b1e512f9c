"""A drawn line: the middle of what goes round something."""

from __future__ import annotations

import numpy as np

from panelmend.photo.camera import Array
from panelmend.photo.ink import Doubt, InkMark
from panelmend.photo.library import vision
from panelmend.photo.rectify import Rectified

CLOSED_GAP = 8e-3  # [m] in a drawn line, closed but shown as doubtful
LEAST_HOLE = 1.5e-4  # [m2] in a line for it to go round something


def drawn_line(
    flat: Rectified,
    part: np.ndarray,
    corner: Array,
    doubt: Doubt,
    at: tuple[float, float],
    extent: float,
    thick: float,
) -> InkMark:
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
            return InkMark("line", at, extent, thick, Doubt.OPEN)
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
    width = float(part.sum()) / d**2 / max(_ring_length(points), 1e-6)
    return InkMark(
        "line",
        at,
        extent,
        float(np.hypot(0.0003, 0.25 * width)),
        doubt,
        tuple((float(x), float(y)) for x, y in points),
    )


def _ring_length(points: Array) -> float:
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
