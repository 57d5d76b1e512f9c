"""Interval of a share that was counted, against published examples."""

from __future__ import annotations

import pytest

from panelmend.predict.counting import wilson


@pytest.mark.parametrize(
    ("held", "cases", "low", "high"),
    # R. G. Newcombe, Statistics in Medicine 17 (1998) 857, method 3, his four examples (figures from memory)
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_intervals_of_newcombe(held: int, cases: int, low: float, high: float) -> None:
    assert wilson(held, cases) == pytest.approx((low, high), abs=5.1e-5)
    other = wilson(cases - held, cases)
    assert other == pytest.approx((1.0 - high, 1.0 - low), abs=5.1e-5), "what fails is the rest"
