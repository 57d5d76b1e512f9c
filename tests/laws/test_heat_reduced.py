"""The reduced model: exact where it must be, its held-out error is a true one, and it stays in its range."""

from __future__ import annotations

import numpy as np
import pytest

from panelmend.errors import InputError, RangeError
from panelmend.physics import reduced

LOW, HIGH = np.array([5.0, 0.0, 0.05]), np.array([20.0, 1.0, 0.1])
GRID = np.linspace(0.0, 1.0, 50)


def cheap_and_full(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    full = np.array([300 + 80 * np.exp(-a / 10 * GRID) + 5 * b * GRID + 200 * c * GRID**2 for a, b, c in x])
    off = np.array([3 + 0.1 * a * GRID + 0.5 * b**2 * np.sin(3 * GRID) for a, b, _ in x])
    return full - off, full


def test_differences_of_second_order_are_found_exactly() -> None:
    x = reduced.latin_hypercube(24, LOW, HIGH, 1)
    made = reduced.train(x, *cheap_and_full(x))
    assert made.held_out.worst < 1e-3
    assert made.held_out.uncorrected > 3.0
    new = reduced.latin_hypercube(50, LOW + 0.1 * (HIGH - LOW), HIGH - 0.1 * (HIGH - LOW), 2)
    cheap, full = cheap_and_full(new)
    assert made.correct(new, cheap) == pytest.approx(full, abs=2e-3)


def test_held_out_error_is_what_new_cases_see() -> None:
    def both(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        cheap, full = cheap_and_full(x)
        return cheap + np.array(
            [2.0 * np.sin(0.8 * a) * GRID for a, _, _ in x]
        ), full  # no polynomial of order 2

    x = reduced.latin_hypercube(28, LOW, HIGH, 3)
    made = reduced.train(x, *both(x), held_out=12)
    new = reduced.latin_hypercube(200, LOW + 0.02 * (HIGH - LOW), HIGH - 0.02 * (HIGH - LOW), 4)
    cheap, full = both(new)
    seen = float(np.sqrt(((made.correct(new, cheap) - full) ** 2).mean()))
    assert made.held_out.rms > 0.2
    assert seen == pytest.approx(made.held_out.rms, rel=0.6)


def test_noise_is_not_learnt() -> None:
    x = reduced.latin_hypercube(24, LOW, HIGH, 8)
    _, full = cheap_and_full(x)
    noise = np.random.default_rng(9).normal(0.0, 1.0, full.shape)
    made = reduced.train(x, full + noise, full, held_out=8)
    assert made.held_out.rms < 1.15 * made.held_out.uncorrected


def test_fewer_cases_than_terms_do_no_harm() -> None:
    x = reduced.latin_hypercube(
        14, LOW, HIGH, 11
    )  # 10 to train, 10 polynomial terms: any noise could be run through
    _, full = cheap_and_full(x)
    noise = np.random.default_rng(12).normal(0.0, 1.0, full.shape)
    made = reduced.train(x, full + noise, full)
    assert made.held_out.rms < 1.3 * made.held_out.uncorrected


def test_last_cases_are_never_trained_on() -> None:
    x = reduced.latin_hypercube(20, LOW, HIGH, 5)
    cheap, full = cheap_and_full(x)
    spoilt = full.copy()
    spoilt[-1] += 100.0
    one, two = reduced.train(x, cheap, full), reduced.train(x, cheap, spoilt)
    assert np.array_equal(one.weights, two.weights)
    assert two.held_out.worst > 99.0


def test_same_seed_same_cases_and_every_row_used_once() -> None:
    a, b = reduced.latin_hypercube(30, LOW, HIGH, 7), reduced.latin_hypercube(30, LOW, HIGH, 7)
    assert np.array_equal(a, b)
    slots = np.floor((a - LOW) / (HIGH - LOW) * 30).astype(int)
    assert all(sorted(column) == list(range(30)) for column in slots.T)


def test_refusals() -> None:
    x = reduced.latin_hypercube(20, LOW, HIGH, 5)
    cheap, full = cheap_and_full(x)
    made = reduced.train(x, cheap, full)
    with pytest.raises(RangeError, match="beyond the range"):
        made.correct(x + 10.0, cheap)
    with pytest.raises(InputError, match="shape"):
        made.correct(x, cheap[:, :10])
    with pytest.raises(InputError, match="few"):
        reduced.train(x[:5], cheap[:5], full[:5])
    with pytest.raises(InputError, match="same cases"):
        reduced.train(x, cheap[:, :3], full)
    with pytest.raises(InputError, match="not a number"):
        reduced.train(x, cheap, np.where(full > 330.0, np.nan, full))
