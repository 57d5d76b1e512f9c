"""Dots and lines on the face by the colours of the pens, in the rectified picture of one photograph."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from panelmend.photo.colours import Pen, White
from panelmend.photo.fit import Fitted
from panelmend.photo.ink import Doubt, InkMark
from panelmend.photo.ink_dots import LEAST_DOT, of_pen
from panelmend.photo.ink_layers import layers_of, marked_field, paper_area
from panelmend.photo.library import vision
from panelmend.photo.rectify import Rectified


def find_inks(flat: Rectified, fitted: Fitted, white: White, pens: dict[str, Pen]) -> tuple[InkMark, ...]:
    """Everything drawn with the pens, and what hides the face from view.

    Args:
        flat: the rectified picture.
        fitted: where the marks are.
        white: of the paper in this picture.
        pens: by meaning.
    """
    layers, background = layers_of(flat, fitted, white, pens)
    found: list[InkMark] = []
    order = list(pens.values())
    for i, pen in enumerate(order):
        mask = (layers.size > layers.limit) & (layers.near == i) & layers.use
        found += of_pen(flat, layers, mask, pen, order, background)
    field = marked_field(flat, fitted)
    found = [_in_field(f, flat, field) for f in found]
    found += _hidden(
        flat, (layers.glare | layers.veil) & field & ~paper_area(flat, fitted, 0.001), Doubt.GLARE
    )
    found += _hidden(flat, ~flat.seen & field, Doubt.UNSEEN)
    return tuple(found)


def _in_field(f: InkMark, flat: Rectified, field: np.ndarray) -> InkMark:
    points = np.array([*f.outline, f.at])
    at = np.round(flat.element(points)).astype(int)
    h, w = field.shape
    inside = (at[:, 0] >= 0) & (at[:, 1] >= 0) & (at[:, 0] < w) & (at[:, 1] < h)
    if inside.all() and field[at[:, 1], at[:, 0]].all():
        return f
    return InkMark(f.meaning, f.at, f.across, f.error, Doubt.OUTSIDE, f.outline)


def _hidden(flat: Rectified, mask: np.ndarray, why: Doubt) -> Iterator[InkMark]:
    """Ground on which a dot could hide."""
    cv2 = vision()
    depth = cv2.distanceTransform(mask.astype(np.uint8), cv2.DIST_L2, 3)
    count, labels, stats, centres = cv2.connectedComponentsWithStats(mask.astype(np.uint8), connectivity=8)
    for i in range(1, count):
        x, y, w, h, _ = stats[i]
        part = labels[y : y + h, x : x + w] == i
        if depth[y : y + h, x : x + w][part].max() < 0.75 * LEAST_DOT * flat.density:
            continue
        at = flat.place(centres[i][None, :])[0]
        yield InkMark("hidden", (float(at[0]), float(at[1])), float(max(w, h)) / flat.density, 0.0, why)
