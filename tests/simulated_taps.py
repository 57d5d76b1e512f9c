"""Simulated tapping of a known damage: layouts, wrong taps, places written down wrongly, taps repeated."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from damage_families import Maker
from panelmend.job.survey.anyshape import DullCore, dull_core, rounds
from panelmend.job.survey.coverage import Spots
from panelmend.job.survey.readings import Array

SPACING = (0.010, 0.050)  # [m] simulated spacings
MOST_WRONG_SHARE = 0.05  # greatest share of wrong taps [1]
ASTRAY = 0.005  # greatest error of a place [m]
Layout = Callable[[np.random.Generator, float], Array]


def turned_grid(rng: np.random.Generator, half: float) -> Array:
    """A square grid (n, 2) [spacings] out to ``half`` [spacings], turned at will."""
    n = int(half)
    x, y = np.meshgrid(np.arange(-n, n + 1.0), np.arange(-n, n + 1.0))
    a = rng.uniform(0, 0.5 * math.pi)
    turn = np.array([[math.cos(a), math.sin(a)], [-math.sin(a), math.cos(a)]])
    return np.asarray(np.column_stack([x.ravel(), y.ravel()]) @ turn)


def by_eye(rng: np.random.Generator, half: float) -> Array:
    """A grid (n, 2) [spacings] out to ``half`` [spacings] tapped by eye: 0.2 off (deviation), and known."""
    n = int(half)
    x, y = np.meshgrid(np.arange(-n, n + 1.0), np.arange(-n, n + 1.0))
    return np.column_stack([x.ravel(), y.ravel()]) + rng.normal(0, 0.2, (x.size, 2))


def spokes(rng: np.random.Generator, half: float) -> Array:
    """Twelve to 24 spokes of ``half`` [spacings] from the middle, a tap at each, (n, 2) [spacings]."""
    count, r = int(rng.integers(12, 25)), np.arange(0.8, half, 1.0)
    angles = 2 * math.pi * np.arange(count) / count + rng.normal(0, 0.03, count)
    rows = [np.column_stack([r * math.cos(a), r * math.sin(a)]) for a in angles]
    return np.vstack([np.zeros((1, 2)), *rows])


LAYOUTS: dict[str, Layout] = {"grid": turned_grid, "by eye": by_eye, "spokes": spokes}


@dataclass
class Surveyed:
    """A simulated survey. Lengths in m; ``again`` taps places once more."""

    truth: Any
    at: Array
    really_dull: NDArray[np.bool_]
    dull: Array
    count: Array
    wrong: float
    edge: float | None
    rng: np.random.Generator

    def again(self, places: NDArray[np.int64]) -> None:
        """Tap some places once more, by their numbers (n,) [1]."""
        heard = self.really_dull[places] ^ (self.rng.random(len(places)) < self.wrong)
        self.dull[places] += heard
        self.count[places] += 1

    @property
    def inside(self) -> Callable[[Array], NDArray[np.bool_]] | None:
        """Which places (n, 2) [spacings] lie on the panel."""
        at = self.edge
        return None if at is None else lambda p: np.asarray(p[:, 1] >= at, dtype=bool)

    def spots(self) -> Spots:
        """What was heard; a place whose two repeats were sound is cleared, as an inspector would."""
        cleared = (self.dull == 1) & (self.count >= 3)
        return Spots(self.at, np.where(cleared, 0.0, self.dull), self.count - self.dull)


def surveyed(maker: Maker, layout: Layout, seed: int) -> Surveyed:
    """One survey: the damage lies anywhere within a spacing, the taps reach five spacings beyond it.

    Half of the surveys have no wrong tap, the others a share up to MOST_WRONG_SHARE. Places are off by up to
    ASTRAY: each on its own, or all together, as where the origin was marked wrongly.
    """
    from shapely import affinity, contains_xy

    rng = np.random.default_rng(seed)
    spacing = math.exp(rng.uniform(math.log(SPACING[0]), math.log(SPACING[1])))
    wrong = 0.0 if rng.random() < 0.5 else float(rng.uniform(0, MOST_WRONG_SHARE))
    off = float(rng.uniform(0, ASTRAY))
    truth, edge = maker(rng)
    if edge is None:
        c = truth.centroid
        truth = affinity.translate(truth, rng.uniform(-0.5, 0.5) - c.x, rng.uniform(-0.5, 0.5) - c.y)
    reach = float(np.abs(np.array(truth.bounds)).max()) * 1.2
    at = layout(rng, reach + 5.0) * spacing
    truth = affinity.scale(truth, spacing, spacing, origin=(0, 0))
    if edge is not None:
        edge *= spacing
        at = at[at[:, 1] > edge + rng.uniform(0.1, 0.5) * spacing]
    together = rng.random() < 0.5
    n = 1 if together else len(at)
    r, a = off * np.sqrt(rng.random(n)), rng.uniform(0, 2 * math.pi, n)
    real = at + np.column_stack([r * np.cos(a), r * np.sin(a)])
    if edge is not None:
        real[:, 1] = np.maximum(real[:, 1], edge)
    dull = np.asarray(contains_xy(truth, real[:, 0], real[:, 1]), bool)
    heard = (dull ^ (rng.random(len(at)) < wrong)).astype(float)
    return Surveyed(truth, at, dull, heard, np.ones(len(at)), wrong, edge, rng)


def followed_up(s: Surveyed) -> DullCore | None:
    """The survey's core after its lone dull taps were tapped twice more; None where none is left."""
    first = dull_core(s.spots(), s.inside)
    if first is None:
        return None
    lone = {tuple(p) for p in first.lone}
    places = np.array([i for i, p in enumerate(s.at) if tuple(p) in lone], np.int64)
    if len(places):
        s.again(places)
        s.again(places)
    last = dull_core(s.spots(), s.inside)
    return last if last is not None and len(last.at) else None


def bodies_met(s: Surveyed) -> bool:
    """Whether each body of the damage has a reading in it: one that has none is not promised."""
    from shapely import contains_xy

    at = s.at[s.really_dull]
    bodies = getattr(s.truth, "geoms", [s.truth])
    return all(bool(contains_xy(b.buffer(ASTRAY), at[:, 0], at[:, 1]).any()) for b in bodies)


def rim(truth: Any) -> Array:
    """Points (n, 2) on the rim of a damage [m]."""
    return np.vstack([np.array(g.exterior.coords)[:-1] for g in getattr(truth, "geoms", [truth])])


def least_multiple(s: Surveyed, core: DullCore) -> float:
    """The least multiple k [1] at which the line holds the whole damage."""
    return float(core.needed(rim(s.truth)).max())


def area_excess(s: Surveyed, core: DullCore, k: float) -> float:
    """Area of the lines over the damage's, less 1 [1]; ``k`` coverage spacings past the readings [1]."""
    from shapely import box, union_all

    lines = union_all(rounds(core.at, core.reach(k)[0]))
    if s.edge is not None:
        lines = lines.intersection(box(-1e3, s.edge, 1e3, 1e3))
    return float(lines.area / s.truth.area - 1.0)
