"""Figures of the strength report as they are printed: stresses to three digits, no ratio rounded up to 1."""

from __future__ import annotations

import pytest

from panelmend.derive import Figure, Ledger, Source
from panelmend.derive.figure import Origin
from panelmend.job.strength.reserves import three_digits
from panelmend.render.workings import Workings, stress


@pytest.mark.parametrize(
    ("value", "view", "words"),
    [
        (40e3, "in", "5.8 psi"),
        (6.65e6, "in", "965 psi"),
        (6.9e6, "in", "1 ksi"),
        (24.4e6, "in", "3.54 ksi"),
        (60e9, "in", "8.7 Msi"),
        (0.0523e6, "mm", "52.3 kPa"),
        (999.6e3, "mm", "1 MPa"),
        (0.7e6, "mm", "700 kPa"),
        (-3.21e6, "mm", "-3.21 MPa"),
    ],
)
def test_a_stress_has_three_digits_in_a_unit_of_its_size(value: float, view: str, words: str) -> None:
    """0.0523 MPa was 0.1 MPa in the table of peel and pull, 3.54 ksi was 3.5 and 0.0058 ksi nothing."""
    assert stress(value, view) == words
    ledger = Ledger()
    figure = ledger.add(Figure("s", value, "stiffness", Origin.COMPUTED, Source("made up")))
    shown = Workings(ledger, view, ()).part(figure)["text"]
    assert shown.replace("−", "-") == words


@pytest.mark.parametrize(("value", "words"), [(0.99951, "0.9995"), (0.9994, "0.999"), (1.0, "1.000")])
def test_a_ratio_below_one_is_not_printed_as_one(value: float, words: str) -> None:
    ledger = Ledger()
    figure = ledger.add(Figure("r", value, "ratio", Origin.COMPUTED, Source("made up")))
    assert Workings(ledger, "mm", ()).part(figure)["text"] == words


@pytest.mark.parametrize(("value", "words"), [(0.9951, "0.9951"), (0.99999, "0.9999"), (0.994, "0.99")])
def test_a_finding_on_a_reserve_below_one_does_not_say_one(value: float, words: str) -> None:
    """It read 1.00: a reserve is below 1."""
    assert three_digits(value) == words
