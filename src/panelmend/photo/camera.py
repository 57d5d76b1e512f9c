"""Camera and surface: from a point of the face to the picture and back.

Surface coordinates are those of the face as it is looked at: x to the right, y up, developed where it is
curved [m]. World axes have z out of the face towards the camera. Picture coordinates are picture elements,
x right, y down, (0, 0) the centre of the first one.

The lens (D. C. Brown, Close-range camera calibration, Photogrammetric Engineering 37, 1971; from memory): two
radial and two tangential terms, one focal length, a centre near the middle of the picture.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
CAMERA = 13  # turn 3, shift 3, log focal length, centre 2, k1, k2, p1, p2


@dataclass(frozen=True)
class Face:
    """The photographed face: flat, or a cylinder.

    ``radius`` [m], 0 for flat; ``axis`` direction of the cylinder's axis in the axes of the face as looked at
    [rad]; ``towards`` +1 where it bulges towards the camera, -1 away from it.
    """

    radius: float = 0.0
    axis: float = 0.0
    towards: float = 1.0

    def world(self, points: Array, lift: Array | float = 0.0) -> Array:
        """World points [m] of surface points (n, 2) [m], ``lift`` [m] above the face."""
        x, y = points[:, 0], points[:, 1]
        if self.radius == 0.0:
            return np.column_stack([x, y, np.zeros_like(x) + lift])
        c, s = np.cos(self.axis), np.sin(self.axis)
        u, v = c * x + s * y, -s * x + c * y
        turn = v / self.radius
        r = self.radius + self.towards * lift
        across, out = r * np.sin(turn), self.towards * (r * np.cos(turn) - self.radius)
        return np.column_stack([c * u - s * across, s * u + c * across, out])

    def normals(self, points: Array) -> Array:
        """Outward unit normals at surface points (n, 2) [m]."""
        if self.radius == 0.0:
            return np.tile(np.array([0.0, 0.0, 1.0]), (len(points), 1))
        c, s = np.cos(self.axis), np.sin(self.axis)
        turn = (-s * points[:, 0] + c * points[:, 1]) / self.radius
        across, out = self.towards * np.sin(turn), np.cos(turn)
        return np.column_stack([-s * across, c * across, out])


def rotation_matrix(vector: Array) -> Array:
    """Rotation matrix of a rotation vector (Rodrigues) [rad]."""
    angle = float(np.linalg.norm(vector))
    if angle < 1e-12:
        return np.eye(3) + _cross_matrix(vector)
    k = _cross_matrix(vector / angle)
    return np.asarray(np.eye(3) + np.sin(angle) * k + (1.0 - np.cos(angle)) * (k @ k))


def _cross_matrix(v: Array) -> Array:
    return np.array([[0.0, -v[2], v[1]], [v[2], 0.0, -v[0]], [-v[1], v[0], 0.0]])


def projected(values: Array, width: int, height: int, world: Array) -> Array:
    """Picture points by many cameras at once, which is quicker than one by one.

    Args:
        values: numbers of each camera (b, :data:`CAMERA`).
        width, height: of the picture that all of them take [picture elements].
        world: points before each camera (b, n, 3) [m].

    Returns:
        picture points (b, n, 2) [picture elements]; those behind a camera are nan.
    """
    turns = np.array([rotation_matrix(v[:3]) for v in values])
    seen = world @ np.swapaxes(turns, 1, 2) + values[:, None, 3:6]
    z = np.where(seen[..., 2] > 1e-6, seen[..., 2], np.nan)
    x, y = seen[..., 0] / z, seen[..., 1] / z
    r2 = x * x + y * y
    v = values.T[:, :, None]
    radial = 1.0 + v[9] * r2 + v[10] * r2 * r2
    xd = x * radial + 2.0 * v[11] * x * y + v[12] * (r2 + 2.0 * x * x)
    yd = y * radial + v[11] * (r2 + 2.0 * y * y) + 2.0 * v[12] * x * y
    f, long = np.exp(v[6]), float(max(width, height))
    return np.stack(
        [long * (f * xd + v[7]) + 0.5 * (width - 1), long * (f * yd + v[8]) + 0.5 * (height - 1)], axis=-1
    )


@dataclass(frozen=True)
class CameraView:
    """One picture's camera: ``values`` (:data:`CAMERA` numbers) and the picture's width and height."""

    values: Array
    width: int
    height: int

    @property
    def long(self) -> float:
        """The longer side [picture elements]."""
        return float(max(self.width, self.height))

    def project(self, world: Array) -> Array:
        """Picture points (n, 2) of world points (n, 3) [m]; those behind the camera are nan."""
        return np.asarray(projected(self.values[None], self.width, self.height, world[None])[0])

    @property
    def place(self) -> Array:
        """Where the camera stands in world axes [m]."""
        return np.asarray(-rotation_matrix(self.values[:3]).T @ self.values[3:6])

    def slants(self, face: Face, points: Array) -> Array:
        """Angle between the line of sight and the face's normal at surface points (n, 2) [rad]."""
        sight = self.place - face.world(points)
        sight /= np.linalg.norm(sight, axis=1)[:, None]
        return np.asarray(np.arccos(np.clip(np.sum(sight * face.normals(points), axis=1), -1.0, 1.0)))

    def onto(self, face: Face, pixels: Array, start: Array) -> Array:
        """Surface points (n, 2) [m] seen at ``pixels`` (n, 2), by Newton's method from ``start``."""
        q = np.array(np.broadcast_to(start, pixels.shape), float)
        for _ in range(30):
            at = self.project(face.world(q))
            j = self.slope(face, q)
            step = np.linalg.solve(j, (pixels - at)[:, :, None])[:, :, 0]
            size = np.linalg.norm(step, axis=1, keepdims=True)
            step *= np.minimum(1.0, 0.3 / np.maximum(size, 1e-12))
            q += step
            if float(np.nanmax(size, initial=0.0)) < 1e-9:
                break
        return q

    def slope(self, face: Face, points: Array) -> Array:
        """Derivative (n, 2, 2) of picture points by surface points [picture elements per m]."""
        h = 1e-5
        made = np.empty((len(points), 2, 2))
        for k in range(2):
            d = np.zeros(2)
            d[k] = h
            made[:, :, k] = (self.project(face.world(points + d)) - self.project(face.world(points - d))) / (
                2 * h
            )
        return made
