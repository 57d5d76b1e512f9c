"""Temperatures by the formulas of NIST SP 811, appendix B.8, evaluated here; examples of the kinds."""

from __future__ import annotations

import pytest

from panelmend.units import KINDS, read


def test_temperatures() -> None:
    """T/K = t/C + 273.15 and T/K = (t/F + 459.67)/1.8; a difference has no offset."""
    for fahrenheit in (-40.0, 32.0, 250.0, 350.0):
        assert read(f"{fahrenheit} F", "temperature") == pytest.approx((fahrenheit + 459.67) / 1.8, rel=1e-15)
    assert read("121 C", "temperature") == pytest.approx(394.15, rel=1e-15)
    assert read("10 F", "temperature difference") == pytest.approx(10 / 1.8, rel=1e-15)
    assert read("6 C", "temperature difference") == 6.0
    assert read("5 F/min", "temperature rate") == pytest.approx(5 / 1.8 / 60, rel=1e-15)


def test_every_kind_has_an_example_that_reads() -> None:
    for kind in KINDS.values():
        first, _, second = kind.example.partition(" or ")
        values = [read(part.split(" (")[0], kind.name) for part in (first, second) if part]
        # both examples mean about the same thing, so neither carries a wrong factor
        assert max(values) <= 1.13 * min(values), kind.example
