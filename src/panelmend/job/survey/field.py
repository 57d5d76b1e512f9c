"""A Gaussian process over the panel: how likely damage is at a place, from taps and measures.

The latent field f has a constant mean and a Matern 5/2 covariance; damage is f > 0. A tap is dull with
probability 1 / (1 + exp(-f)); a measure is f plus Gaussian noise. Inference is Laplace's (Rasmussen and
Williams, Gaussian Processes for Machine Learning, MIT Press 2006, algorithms 3.1 and 3.2). Length scale and
amplitude are the best of a coarse list by the approximate evidence: no search, so that a survey takes
seconds. Many readings are worked through in tiles with a halo.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg import cho_solve, cholesky, solve_triangular
from scipy.special import expit

from panelmend.errors import SolverError
from panelmend.job.survey.readings import Array, SkinReadings

SCALES = (1.5, 2.5, 4.0)  # length scale over tap spacing
AMPLITUDES = (
    3.0,
)  # standard deviation of f; twice as much let wrong taps widen the lines (see the method page)
PRIOR_MEAN = -3.0  # f where nothing is known: a place is likelier sound
MOST_READINGS = 1000  # readings in one piece; more are worked through in tiles
TILE, HALO = 16.0, 8.0  # tile and halo over tap spacing
JITTER = 1e-8


@dataclass(frozen=True)
class Merged:
    """Readings with repeats at one place put together: ``dull`` of ``count`` taps, or a mean measure."""

    at: Array
    dull: Array
    count: Array
    score: Array
    weight: Array


@dataclass(frozen=True)
class Kernel:
    """Covariance: length ``scale`` [m], ``amplitude`` [logit], ``mean`` [logit]."""

    scale: float
    amplitude: float
    mean: float = PRIOR_MEAN

    def __call__(self, a: Array, b: Array) -> Array:
        """Covariance (n, m) of places a (n, 2) and b (m, 2) [m]."""
        d2 = (a**2).sum(1)[:, None] + (b**2).sum(1)[None, :] - 2.0 * a @ b.T
        r = np.sqrt(5.0 * np.maximum(d2, 0.0)) / self.scale
        return np.asarray(self.amplitude**2 * (1.0 + r + r * r / 3.0) * np.exp(-r))


@dataclass(frozen=True)
class Posterior:
    """What the readings say: ask :meth:`latent` for mean and standard deviation of f."""

    at: Array
    kernel: Kernel
    slope: Array
    root: Array
    factor: Array
    evidence: float

    def latent(self, places: Array) -> tuple[Array, Array]:
        """Mean and standard deviation (n,) [logit] of f at places (n, 2) [m]."""
        means, sds = [], []
        for part in np.array_split(places, max(1, len(places) // 4000)):
            k = self.kernel(self.at, part)
            v = solve_triangular(self.factor, self.root[:, None] * k, lower=True, check_finite=False)
            means.append(self.kernel.mean + k.T @ self.slope)
            sds.append(np.sqrt(np.maximum(self.kernel.amplitude**2 - (v * v).sum(0), 1e-12)))
        return np.concatenate(means), np.concatenate(sds)

    def covariance(self, places: Array) -> Array:
        """Covariance (n, n) [logit2] of f between places (n, 2) [m]."""
        k = self.kernel(self.at, places)
        v = solve_triangular(self.factor, self.root[:, None] * k, lower=True, check_finite=False)
        return np.asarray(self.kernel(places, places) - v.T @ v)


def merged(readings: SkinReadings) -> Merged:
    """Repeats at one place (within 0.1 mm) put together, in a fixed order."""
    keys = np.round(readings.at * 1e4).astype(np.int64)
    _, first, inverse = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    inverse, n = inverse.reshape(-1), len(first)
    tap = readings.noise == 0
    weight = np.where(tap, 0.0, 1.0 / np.maximum(readings.noise, 1e-9) ** 2)
    total = np.bincount(inverse, weight, n).astype(float)
    score = np.bincount(inverse, weight * readings.value, n) / np.maximum(total, 1e-300)
    return Merged(
        readings.at[first],
        np.bincount(inverse, tap * readings.value, n).astype(float),
        np.bincount(inverse, tap.astype(float), n).astype(float),
        score,
        total,
    )


def laplace(m: Merged, kernel: Kernel) -> Posterior:
    """Laplace's approximation for one kernel.

    Raises:
        SolverError: it does not settle.
    """
    n = len(m.at)
    k = kernel(m.at, m.at)
    k[np.diag_indices(n)] += JITTER * kernel.amplitude**2
    a = np.zeros(n)
    f = np.full(n, kernel.mean)
    best = -np.inf

    def joint(f: Array, a: Array) -> float:
        taps = m.dull * f - m.count * np.logaddexp(0.0, f)
        return float((taps - 0.5 * m.weight * (m.score - f) ** 2).sum() - 0.5 * a @ (f - kernel.mean))

    for _ in range(60):
        p = expit(f)
        slope = m.dull - m.count * p + m.weight * (m.score - f)
        w = m.count * p * (1.0 - p) + m.weight + 1e-12
        root = np.sqrt(w)
        factor = cholesky(np.eye(n) + root[:, None] * k * root, lower=True, check_finite=False)
        b = w * (f - kernel.mean) + slope
        inner = cho_solve((factor, True), root * (k @ b), check_finite=False)
        target = b - root * inner
        step, value = 1.0, -np.inf
        for _ in range(12):  # halve until the joint density does not fall
            tried = a + step * (target - a)
            g = kernel.mean + k @ tried
            value = joint(g, tried)
            if value >= best - 1e-9:
                break
            step *= 0.5
        gain, a, f, best = value - best, tried, g, value
        if gain < 1e-7:
            p = expit(f)
            slope = m.dull - m.count * p + m.weight * (m.score - f)
            evidence = best - float(np.log(np.diag(factor)).sum())
            return Posterior(m.at, kernel, slope, root, factor, evidence)
    raise SolverError("the probability of damage did not settle: check the readings for impossible values")


def best_kernel(m: Merged, spacing: float) -> Kernel:
    """The kernel of the coarse list with the greatest evidence; ``spacing`` [m]."""
    tried = [laplace(m, Kernel(s * spacing, a)) for s in SCALES for a in AMPLITUDES]
    return max(tried, key=lambda t: t.evidence).kernel
