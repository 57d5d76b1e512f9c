"""Interval of a share that was counted."""

from __future__ import annotations

import pytest

from panelmend.predict.counting import wilson
from printed_values import Seen, Source, printed

NEWCOMBE = Source("R. G. Newcombe, Statistics in Medicine 17 (1998) 857", Seen.MEMORY)


@pytest.mark.parametrize(
    ("held", "cases", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_intervals_of_newcombe(held: int, cases: int, low: float, high: float) -> None:
    place = f"method 3, interval of {held} in {cases}"
    assert wilson(held, cases) == printed((low, high), source=NEWCOMBE, place=place, within=5.1e-5)
