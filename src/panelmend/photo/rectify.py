"""The rectified picture: the face laid flat, square on, x to the right and y up as looked at."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from panelmend.photo.camera import Array, CameraView, Face
from panelmend.photo.library import vision
from panelmend.photo.pictures import Picture, Pixels

FINEST_PER_METRE, COARSEST_PER_METRE = 6000.0, 700.0  # picture elements per metre
MOST_ELEMENTS = 24_000_000
_STEP = 12  # the exact map is made at every so many elements, between them it is smooth


@dataclass(frozen=True)
class Rectified:
    """``pixels`` with element (row, column) at x = left + column / density, y = top - row / density [m].

    ``seen`` is false where the face lies outside the picture or is turned away.
    """

    pixels: Pixels
    seen: np.ndarray
    left: float
    top: float
    density: float

    def place(self, columns_rows: Array) -> Array:
        """Surface points (n, 2) [m] of (column, row)."""
        return np.column_stack(
            [self.left + columns_rows[:, 0] / self.density, self.top - columns_rows[:, 1] / self.density]
        )

    def element(self, points: Array) -> Array:
        """(column, row) of surface points (n, 2) [m]."""
        return np.column_stack(
            [(points[:, 0] - self.left) * self.density, (self.top - points[:, 1]) * self.density]
        )


def rectified(picture: Picture, view: CameraView, face: Face, low: Array, high: Array) -> Rectified:
    """Lay the face between ``low`` and ``high`` (x, y) [m] flat, about as fine as the picture is there."""
    cv2 = vision()
    middle = 0.5 * (low + high)
    slope = view.slope(face, middle[None, :])[0]
    density = float(np.clip(np.sqrt(abs(np.linalg.det(slope))), COARSEST_PER_METRE, FINEST_PER_METRE))
    size = high - low
    density = min(density, float(np.sqrt(MOST_ELEMENTS / (size[0] * size[1]))))
    w, h = (int(np.ceil(v * density)) + 1 for v in size)
    cw, ch = w // _STEP + 2, h // _STEP + 2
    x, y = np.meshgrid(low[0] + np.arange(cw) * _STEP / density, high[1] - np.arange(ch) * _STEP / density)
    points = np.column_stack([x.ravel(), y.ravel()])
    at = view.project(face.world(points))
    away = view.slants(face, points) > np.radians(80.0)
    at[away] = -1e4
    coarse = np.nan_to_num(at, nan=-1e4).reshape(ch, cw, 2).astype(np.float32)
    fx, fy = np.meshgrid((np.arange(w) / _STEP).astype(np.float32), (np.arange(h) / _STEP).astype(np.float32))
    fine = cv2.remap(coarse, fx, fy, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    pixels = cv2.remap(
        picture.pixels,
        fine[..., 0],
        fine[..., 1],
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=(0, 0, 0),
    )
    seen = (
        (fine[..., 0] > 1)
        & (fine[..., 1] > 1)
        & (fine[..., 0] < picture.size[0] - 2)
        & (fine[..., 1] < picture.size[1] - 2)
    )
    return Rectified(pixels, seen, float(low[0]), float(high[1]), density)
