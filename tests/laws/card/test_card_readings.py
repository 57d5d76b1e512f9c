"""Every reading of every card: its unit, its limit or what stands for one, the instrument it is read from.

Common practice, no source: a reading counts with the number of its instrument and the day that is due.
"""

from __future__ import annotations

import pytest

from card_plans import KINDS, planned
from panelmend.job.card.part import Blank, Step

COUNTED = {
    *("pieces", "plies", "films", "sheets", "holes", "voids", "drains", "cycles"),
    *("grit", "h", "min"),
}
"""Counted, read off a sheet or a clock: no instrument of its own."""
BY_RULE = {"mm", "in", "cm2", "in2", "°"}
"""By rule, protractor and template, where the name says no gauge."""
BESIDE = {
    "Depth stop, measured on scrap": "Depth gauge",
    "Depth of core removed": "Depth gauge",
    "Coating thickness": "Thickness gauge",
    "Thickness over a conductive layer": "Thickness gauge",
    "Relative humidity": "Hygrometer",
    "Panel above the dew point by": "Hygrometer",
    "Plate above the dew point by": "Hygrometer",
    "Air temperature": "Hygrometer",
}
"""Whose instrument stands in the step itself, by name; below by unit."""
BY_UNIT = {
    "Barcol": "Hardness tester, calibrated to",
    "meter": "Method, instrument, calibrated to",
    "ohm": "Meter number",
    "kg": "Balance number",
    "lb": "Balance number",
    "N m": "Balance number",
    "in lbf": "Balance number",
    "MPa": "Coupon numbers",
    "psi": "Coupon numbers",
    "ksi": "Coupon numbers",
}
EARLIER = {
    "% of lower limit": ("Meter number",),
    "g": ("due days",),
    "hPa": ("due days",),
    "inHg": ("due days",),
    "inHg in the test": ("Gauge number",),
    "A": ("Controller, logger numbers", "due days"),
    "°C": ("Controller, logger numbers", "due days"),
    "°F": ("Controller, logger numbers", "due days"),
    "°C/min": ("Controller, logger numbers", "due days"),
    "°F/min": ("Controller, logger numbers", "due days"),
}
"""Whose instrument was written down at that step or before: once for all readings taken with it."""


def _readings(step: Step) -> list[Blank]:
    return [b for b in step.blanks if b.entry == "number"]


@pytest.mark.parametrize("kind", KINDS)
def test_a_reading_has_its_unit_its_limit_and_its_instrument(kind: str) -> None:
    before: list[str] = []
    read = 0
    for step in planned(kind).card.steps:
        named = [b.what for b in step.blanks if b.entry == "text"]
        before += named
        for b in _readings(step):
            where = f"{step.place.id} {step.title}: {b.what} [{b.unit}]"
            read += 1
            assert b.unit, where
            assert b.low is not None or b.high is not None or b.said, where
            if b.what in BESIDE:
                assert any(n.startswith(BESIDE[b.what]) for n in named), where
            elif b.unit in BY_UNIT:
                assert BY_UNIT[b.unit] in named, where
            elif b.unit in EARLIER:
                assert any(n.endswith(e) for n in before for e in EARLIER[b.unit]), where
            else:
                assert b.unit in COUNTED | BY_RULE, where
    assert read
