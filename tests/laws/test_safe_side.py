"""What a printed limit permits never lies beyond the limit itself."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelmend.derive import Ledger, Source
from panelmend.derive.ledger import words_of
from panelmend.units import KINDS, read, show

HERE = Source("a test")
KIND = st.sampled_from(sorted(k for k in KINDS if k not in ("ratio", "multiple")))


def back(words: str, kind: str) -> float:
    return read(words.replace("°", " deg"), kind)


@given(KIND, st.floats(1e-2, 1e4), st.sampled_from(["mm", "in"]))
def test_a_limit_is_printed_on_its_safe_side_in_every_kind(kind: str, size: float, view: str) -> None:
    unit = next(iter(KINDS[kind].units.values()))
    value = size * unit[0] + unit[1]
    most, least = (back(show(value, kind, view, limit=side), kind) for side in ("most", "least"))  # type: ignore[arg-type]
    slack = 1e-7 * abs(value)
    assert most <= value + slack
    assert least >= value - slack


def test_a_depth_stop_is_never_deeper_than_the_skin() -> None:
    assert show(0.00025, "depth", limit="most") == "0.25 mm"
    assert show(0.000257, "depth", limit="most") == "0.25 mm"
    assert show(0.00025, "depth", "in", limit="most") == "0.009 in"


@pytest.mark.parametrize("value", [0.1, 0.3, 0.7, 22.0, 1.1, 2.675])
def test_what_has_the_printed_decimals_already_stays_as_it_is(value: float) -> None:
    for side in ("most", "least"):
        assert show(value * 3386.389, "vacuum", limit=side, decimals=3) == f"{value:.3f} inHg"  # type: ignore[arg-type]


def test_a_limit_of_the_ledger_keeps_its_side() -> None:
    figure = Ledger().typed("a.depth", 0.000257, "length", source=HERE, limit="most")
    assert words_of(figure) == "0.2 mm"
    assert math.isclose(float(figure), 0.000257)
