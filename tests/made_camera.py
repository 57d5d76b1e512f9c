"""A camera of the rendered photographs: its place, its lens, and where its rays meet the face."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from made_panel import Scene


@dataclass
class Shot:
    """How a picture is taken."""

    tilt: float = 20.0  # degrees from square on
    round: float = 0.0  # direction the camera leans to, degrees
    roll: float = 0.0
    width: int = 4000
    height: int = 3000
    focal: float = 0.75  # over the longer side
    lens: tuple[float, float] = (-0.08, 0.03)  # k1, k2, or the division model's two numbers
    centre: tuple[float, float] = (0.0, 0.0)  # lens's centre off the middle, over the longer side
    blur: float = 1.0  # picture elements
    smear: float = 0.0  # motion, picture elements
    noise: float = 0.006
    shade: float = 0.45  # how much a shadow takes
    glare: float = 0.0  # strength of a reflection
    glare_at: tuple[float, float] = (0.5, 0.5)  # of the field
    glare_size: float = 25.0  # mm
    cast: tuple[float, float, float] = (1.0, 1.0, 1.0)
    quality: int = 85
    fill: float = 0.93
    exposure: float = 0.85


def random_shot(rng: np.random.Generator, family: str, tilt: float | None = None, mega: float = 12.0) -> Shot:
    """A picture as people take them."""
    width = round(math.sqrt(mega * 1e6 * 4 / 3))
    shot = Shot(width=width, height=round(width * 3 / 4))
    k = width / 4000
    shot.tilt = rng.uniform(0, 40) if tilt is None else tilt
    shot.round, shot.roll = rng.uniform(0, 360), rng.uniform(-12, 12)
    shot.focal = rng.uniform(0.65, 0.85)
    shot.blur = rng.uniform(0.6, 2.2) * max(k, 0.5)
    shot.smear = rng.choice([0.0, rng.uniform(1, 5) * k])
    shot.shade = rng.uniform(0, 0.6)
    shot.glare, shot.glare_size = rng.choice([0.0, rng.uniform(0.5, 3.0)]), rng.uniform(10, 35)
    shot.glare_at = (rng.uniform(0.1, 0.9), rng.uniform(0.1, 0.9))
    shot.cast = tuple(np.exp(rng.normal(0, 0.12, 3)))
    shot.quality = int(rng.integers(60, 96))
    shot.lens = (rng.uniform(-0.12, 0.06), rng.uniform(-0.04, 0.06))
    shot.centre = tuple(rng.normal(0, 0.004, 2))
    if family == "far":
        shot.lens = (rng.uniform(-0.10, 0.05), rng.uniform(-0.03, 0.03))
        shot.centre = tuple(rng.normal(0, 0.010, 2))
    return shot


def turn_of(shot: Shot) -> tuple[np.ndarray, np.ndarray]:
    """Camera's axes (rows right, down, forward) in the world, and its direction from the field's middle."""
    tilt, way, roll = (math.radians(v) for v in (shot.tilt, shot.round, shot.roll))
    out = np.array([math.sin(tilt) * math.cos(way), math.sin(tilt) * math.sin(way), math.cos(tilt)])
    forward = -out
    up = np.array([0.0, 1.0, 0.0])
    right = np.cross(forward, up)
    right /= np.linalg.norm(right)
    down = np.cross(forward, right)
    c, s = math.cos(roll), math.sin(roll)
    return np.array([c * right + s * down, -s * right + c * down, forward]), out


def _undistorted(shot: Shot, family: str, x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    if family == "far":
        r2 = x * x + y * y
        k = 1 + shot.lens[0] * r2 + shot.lens[1] * r2 * r2
        return x / k, y / k
    u, v = x.copy(), y.copy()
    for _ in range(40):
        r2 = u * u + v * v
        k = 1 + shot.lens[0] * r2 + shot.lens[1] * r2 * r2
        u, v = x / k, y / k
    return u, v


def met_by(s: Scene, place: np.ndarray, rays: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Surface coordinates [mm] where rays from ``place`` meet the face, about the middle of the field."""
    mid = np.array([s.size[0] / 2, s.size[1] / 2])
    if s.radius == 0.0:
        t = -place[2] / rays[..., 2]
        return place[0] + t * rays[..., 0] + mid[0], place[1] + t * rays[..., 1] + mid[1]
    c, si = math.cos(s.axis), math.sin(s.axis)
    # axes along and across the cylinder; its centre line lies at out = -towards * radius
    pu, pv = c * place[0] + si * place[1], -si * place[0] + c * place[1]
    ru, rv = c * rays[..., 0] + si * rays[..., 1], -si * rays[..., 0] + c * rays[..., 1]
    pw, rw = place[2] + s.towards * s.radius, rays[..., 2]
    a, b, k = rv**2 + rw**2, pv * rv + pw * rw, pv**2 + pw**2 - s.radius**2
    root = np.sqrt(np.maximum(b * b - a * k, 0.0))
    t = (-b - root) / a if s.towards > 0 else (-b + root) / a
    u, v, w = pu + t * ru, pv + t * rv, (pw + t * rw) * s.towards
    arc = s.radius * np.arctan2(v, w)
    return c * u - si * arc + mid[0], si * u + c * arc + mid[1]


def surface_at(s: Scene, x: float, y: float) -> tuple[np.ndarray, np.ndarray]:
    """World point and local axes (rows: along x, along y, out) of a surface point."""
    mid = np.array([s.size[0] / 2, s.size[1] / 2])
    dx, dy = x - mid[0], y - mid[1]
    if s.radius == 0.0:
        return np.array([dx, dy, 0.0]), np.eye(3)
    c, si = math.cos(s.axis), math.sin(s.axis)
    u, v = c * dx + si * dy, -si * dx + c * dy
    t = v / s.radius
    across, out = s.radius * math.sin(t), s.towards * (s.radius * math.cos(t) - s.radius)
    eu = np.array([c, si, 0.0])
    ev = np.array([-si * math.cos(t), c * math.cos(t), -s.towards * math.sin(t)])
    p = np.array([c * u - si * across, si * u + c * across, out])
    return p, np.array([c * eu - si * ev, si * eu + c * ev, np.cross(eu, ev)])


def rays_of(shot: Shot, family: str, px: np.ndarray, py: np.ndarray, axes: np.ndarray) -> np.ndarray:
    long = max(shot.width, shot.height)
    x = ((px - 0.5 * (shot.width - 1)) / long - shot.centre[0]) / shot.focal
    y = ((py - 0.5 * (shot.height - 1)) / long - shot.centre[1]) / shot.focal
    u, v = _undistorted(shot, family, x, y)
    return u[..., None] * axes[0] + v[..., None] * axes[1] + axes[2]
