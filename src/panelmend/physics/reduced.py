"""A reduced model: many cheap runs corrected by what a few full runs showed.

Two runs of the same case, one cheap (coarse grid, long steps) and one full, differ by a table of numbers that
changes slowly with the case. From a few cases run both ways that difference is split into its main modes
(proper orthogonal decomposition: L. Sirovich, Quart. Appl. Math. 45 (1987) 561); each mode's weight is fitted
with a low-order polynomial of the parameters (ridge chosen by leaving cases out; no correction at all where
that does not help). With a cheap run of zeros
this is the plain reduced model of the outputs themselves. The error is measured on cases held out of the
training and is part of the model: there is no way to have the one without the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import InputError, RangeError

Array = NDArray[np.float64]
_RIDGES = (1e-8, 1e-4, 1e-2, 1e-1, 1.0, 10.0, 100.0, 1e9)  # the last: the mean difference alone


@dataclass(frozen=True)
class HeldOut:
    """Error on cases the model did not see."""

    worst: float  # largest error of any output of any case held out [unit of the outputs]
    rms: float  # root mean square over outputs and cases
    uncorrected: float  # root mean square the cheap runs had by themselves
    cases: int  # how many cases were held out


@dataclass(frozen=True, eq=False)
class Reduced:
    """A trained reduced model with its held-out error."""

    low: Array  # lowest value of each parameter in the training, shape (p,)
    high: Array
    mean: Array  # mean difference, shape (m,)
    modes: Array  # shape (r, m)
    weights: Array  # polynomial weights of each mode, shape (terms, r)
    held_out: HeldOut

    def correct(self, parameters: Array, cheap: Array) -> Array:
        """Outputs of cases from their cheap runs.

        Args:
            parameters: of each case, shape (n, p) [each in its own unit].
            cheap: outputs of the cheap run, shape (n, m) [each in its own unit].

        Returns:
            corrected outputs, shape (n, m) [each in its own unit].

        Raises:
            InputError: other shapes than in the training.
            RangeError: a case beyond the trained range of a parameter (by more than 5 % of its width).
        """
        x, y = np.atleast_2d(parameters), np.atleast_2d(cheap)
        if x.shape[1] != len(self.low) or y.shape != (len(x), len(self.mean)):
            raise InputError("cases of another shape than in the training", read=f"{x.shape}, {y.shape}")
        room = 0.05 * (self.high - self.low) + 1e-12
        if np.any(x < self.low - room) or np.any(x > self.high + room):
            raise RangeError("a case lies beyond the range the reduced model was trained for: train it wider")
        return np.asarray(y + self.mean + (_terms(x, self.low, self.high) @ self.weights) @ self.modes)


def train(parameters: Array, cheap: Array, full: Array, *, held_out: int = 4, most_modes: int = 8) -> Reduced:
    """Train on all but the last cases and measure the error on those.

    Args:
        parameters: of each case, shape (n, p) [each in its own unit].
        cheap: outputs of the cheap runs, shape (n, m) [each in its own unit].
        full: outputs of the full runs, shape (n, m) [each in its own unit].
        held_out: how many of the last cases are kept for measuring, at least 2 [-].
        most_modes: most modes kept [-].

    Returns:
        the model with its held-out error.

    Raises:
        InputError: shapes that do not fit, or too few cases.

    Source: POD of the differences, ridge regression chosen by leave-one-out among the training cases.
    """
    x, y0, y1 = (np.atleast_2d(np.asarray(v, dtype=float)) for v in (parameters, cheap, full))
    n = len(x)
    if y0.shape != y1.shape or len(y0) != n:
        raise InputError(
            "cheap and full runs must have the same cases and outputs", read=f"{y0.shape}, {y1.shape}"
        )
    if held_out < 2 or n - held_out < 4:
        raise InputError(
            "too few cases",
            read=f"{n} with {held_out} held out",
            expected="at least 4 to train and 2 held out",
        )
    if not (np.isfinite(x).all() and np.isfinite(y0).all() and np.isfinite(y1).all()):
        raise InputError("a case is not a number everywhere")
    seen = n - held_out
    low, high = x.min(axis=0), x.max(axis=0)
    gap = (y1 - y0)[:seen]
    mean = gap.mean(axis=0)
    _, size, modes = np.linalg.svd(gap - mean, full_matrices=False)
    keep = max(1, min(most_modes, int((size > 1e-3 * max(float(size[0]), 1e-300)).sum()), seen - 1))
    modes = modes[:keep]
    shares = (gap - mean) @ modes.T
    terms = _terms(x[:seen], low, high)
    fits = [_fit(terms, share) for share in shares.T]
    weights = np.column_stack([weight for weight, _ in fits])
    outside = float(((gap - mean) ** 2).sum() - (shares**2).sum())
    if outside + sum(error for _, error in fits) >= float((gap**2).sum()):
        mean, weights = np.zeros_like(mean), np.zeros_like(weights)  # the cheap runs are better left alone
    made = Reduced(low, high, mean, modes, weights, HeldOut(0.0, 0.0, 0.0, 0))
    miss = made.correct(x[seen:], y0[seen:]) - y1[seen:]
    bare = (y0 - y1)[seen:]
    error = HeldOut(
        float(np.abs(miss).max()),
        float(np.sqrt((miss**2).mean())),
        float(np.sqrt((bare**2).mean())),
        held_out,
    )
    return Reduced(low, high, mean, modes, weights, error)


def latin_hypercube(count: int, low: Array, high: Array, seed: int) -> Array:
    """Cases spread evenly over a box of parameters (Latin hypercube), the same for the same seed.

    Args:
        count: cases [-].
        low: lowest values, shape (p,) [each in its own unit].
        high: highest values, shape (p,) [each in its own unit].
        seed: of the shuffle [-].

    Returns:
        cases, shape (count, p) [each in its own unit].

    Source: M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21 (1979) 239.
    """
    chance = np.random.default_rng(seed)
    low, high = np.asarray(low, dtype=float), np.asarray(high, dtype=float)
    cells = np.array([chance.permutation(count) for _ in range(len(low))]).T
    return np.asarray(low + (cells + chance.random(cells.shape)) / count * (high - low))


def _terms(x: Array, low: Array, high: Array) -> Array:
    """Constant, linear and quadratic terms of the scaled parameters, shape (n, terms)."""
    width = np.where(high > low, high - low, 1.0)
    z = 2.0 * (x - low) / width - 1.0
    columns = [np.ones(len(x)), *z.T]
    columns += [z[:, i] ** 2 for i in range(z.shape[1])]
    columns += [z[:, i] * z[:, j] for i, j in combinations(range(z.shape[1]), 2)]
    return np.column_stack(columns)


def _fit(terms: Array, share: Array) -> tuple[Array, float]:
    """Weights of one mode by the ridge that errs least on training cases left out, and that error."""
    best, chosen = float(np.inf), np.zeros(terms.shape[1])
    for ridge in _RIDGES:
        size = ridge * np.eye(terms.shape[1])
        size[0, 0] = 1e-12  # the constant is not held back
        solved = np.linalg.solve(terms.T @ terms + size, terms.T)
        hat = terms @ solved
        lever = 1.0 - np.diag(hat)
        if lever.min() < 0.05:  # so stiff that it runs through its own cases: leaving one out tells nothing
            continue
        error = float((((share - hat @ share) / lever) ** 2).sum())
        if error < best * (1.0 - 1e-9):
            best, chosen = error, solved @ share
    return np.asarray(chosen), best
