"""Both ways, law of intermediate temperatures, continuity, and faults that are told apart."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelmend.errors import RangeError
from panelmend.physics import thermocouple as tc
from panelmend.physics.thermocouple.curve import CURVES

SETTINGS = settings(derandomize=True, database=None, deadline=None, max_examples=80)
WIRES = st.sampled_from(list(tc.Wire))


@SETTINGS
@given(WIRES, st.floats(80.0, 670.0), st.floats(260.0, 320.0))
def test_there_and_back(wire: tc.Wire, t: float, terminals: float) -> None:
    assert tc.temperature(wire, tc.emf(wire, t, terminals), terminals) == pytest.approx(t, abs=1e-6)


@SETTINGS
@given(WIRES, st.floats(250.0, 650.0), st.floats(250.0, 650.0), st.floats(250.0, 650.0))
def test_intermediate_temperatures(wire: tc.Wire, a: float, b: float, c: float) -> None:
    assert tc.emf(wire, a, c) == pytest.approx(tc.emf(wire, a, b) + tc.emf(wire, b, c), abs=1e-12)


def test_pieces_meet() -> None:
    for pieces in CURVES.values():
        for lower, upper in itertools.pairwise(pieces):
            assert lower.high == upper.low
            # published coefficients are rounded: they meet within 0.5 microvolt
            assert lower.millivolts(lower.high) == pytest.approx(upper.millivolts(upper.low), abs=5e-4)


def test_reversed_reading_falls_while_heating() -> None:
    shown = [tc.reversed_reading("K", t, 295.0) for t in (300.0, 330.0, 360.0, 394.0)]
    assert shown == sorted(shown, reverse=True)
    assert shown[0] < 295.0


def test_lead_swapped_at_both_ends_is_off_by_twice_the_difference() -> None:
    shown = tc.twice_reversed_reading("K", 394.0, 310.0, 295.0)
    assert shown - 394.0 == pytest.approx(-2 * 15.0, abs=2.0)
    assert tc.twice_reversed_reading("K", 394.0, 295.0, 295.0) == pytest.approx(394.0, abs=1e-6)


@pytest.mark.parametrize("wire", ["J", "T"])
def test_wrong_wire_is_named_first(wire: str) -> None:
    shown = tc.reading(wire, "K", 394.26, 295.0)
    assert tc.explain(shown, 394.26, 295.0, "K")[0].words == f"type {wire} wire on a type K input"


def test_swapped_legs_and_short_are_named_and_a_right_reading_is_not_blamed() -> None:
    assert "legs swapped" in tc.explain(tc.reversed_reading("K", 380.0, 295.0), 380.0, 295.0, "K")[0].words
    assert "short" in tc.explain(295.3, 380.0, 295.0, "K")[0].words
    assert tc.explain(381.0, 380.0, 295.0, "K") == ()
    assert tc.explain(350.0, 380.0, 295.0, "K") == ()  # a reading no fault explains


def test_refusals() -> None:
    with pytest.raises(RangeError, match="open circuit"):
        tc.temperature("K", 0.2)
    with pytest.raises(RangeError):
        tc.emf("T", 900.0)
    with pytest.raises(RangeError):
        tc.tolerance("K", 260.0)
    with pytest.raises(ValueError):
        tc.emf("X", 300.0)
