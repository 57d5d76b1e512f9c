"""Simulated surveys of known damage: what the outer line's confidence is calibrated and checked on."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelmend.job.survey.readings import Array, SkinReadings, taps


@dataclass(frozen=True)
class Truth:
    """A known damage: a closed, wavy ellipse. Lengths over tap spacing or in m, as its maker chose."""

    centre: tuple[float, float]
    half_length: float
    half_width: float
    turn: float
    waves: tuple[tuple[int, float, float], ...]

    def radius(self, angle: Array) -> Array:
        """Distance (n,) [spacings] from the centre to the edge at angles (n,) [rad] in its own axes."""
        c, s = np.cos(angle) / self.half_length, np.sin(angle) / self.half_width
        wavy = 1.0 + sum((a * np.cos(k * angle + p) for k, a, p in self.waves), np.zeros_like(angle))
        return np.asarray(wavy / np.hypot(c, s))

    def contains(self, at: Array) -> NDArray[np.bool_]:
        """Whether places (n, 2) [spacings] lie in it, (n,) [-]."""
        d = at - np.array(self.centre)
        c, s = math.cos(self.turn), math.sin(self.turn)
        u, v = c * d[:, 0] + s * d[:, 1], -s * d[:, 0] + c * d[:, 1]
        return np.asarray(np.hypot(u, v) <= self.radius(np.arctan2(v, u)), dtype=bool)

    def edge(self, count: int = 240) -> Array:
        """Points (count, 2) [spacings] on its edge."""
        t = np.linspace(-math.pi, math.pi, count, endpoint=False)
        r = self.radius(t)
        c, s = math.cos(self.turn), math.sin(self.turn)
        u, v = r * np.cos(t), r * np.sin(t)
        return np.column_stack([self.centre[0] + c * u - s * v, self.centre[1] + s * u + c * v])

    @property
    def area(self) -> float:
        """Its area [spacings squared]."""
        e = self.edge(2000)
        n = np.roll(e, -1, axis=0)
        return 0.5 * abs(float((e[:, 0] * n[:, 1] - e[:, 1] * n[:, 0]).sum()))


def damage(rng: np.random.Generator, low: float = 1.5, high: float = 5.0) -> Truth:
    """A random damage: mean radius ``low`` to ``high`` [spacings], at most 2.2 times as long as wide."""
    size, stretch = rng.uniform(low, high), math.sqrt(rng.uniform(1.0, 2.2))
    waves = tuple((k, float(rng.uniform(0, 0.15 / k)), float(rng.uniform(0, 6.28))) for k in (2, 3, 4))
    half_width = max(size / stretch, 0.8 * low)
    centre = (float(rng.uniform(-0.5, 0.5)), float(rng.uniform(-0.5, 0.5)))
    return Truth(centre, size * stretch, half_width, float(rng.uniform(0, 3.15)), waves)


def grid(half: float, step: float = 1.0) -> Array:
    """A square grid of places (n, 2) [spacings] out to ``half`` [spacings] each way."""
    n = int(half / step)
    axis = step * np.arange(-n, n + 1)
    gx, gy = np.meshgrid(axis, axis)
    return np.column_stack([gx.ravel(), gy.ravel()])


def tapped(truth: Truth, at: Array, wrong: float, rng: np.random.Generator) -> SkinReadings:
    """Taps of a damage, a share ``wrong`` [1] of them turned over."""
    dull = truth.contains(at) ^ (rng.random(len(at)) < wrong)
    return taps(at, dull.astype(float))
