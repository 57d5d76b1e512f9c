"""An invented recipe for the made cures."""

from __future__ import annotations

import dataclasses
from typing import Any

from made_curelog import INHG, Made
from panelmend.plan.judge import (
    CureRecipe,
    LeakRule,
    RecipeLimit,
    RecipeSegment,
    SegmentKind,
    SensorRule,
    VacuumRule,
    Verdict,
)


def f(fahrenheit: float) -> float:
    """Kelvin."""
    return (fahrenheit - 32) / 1.8 + 273.15


def at(value: float, place: str) -> RecipeLimit:
    return RecipeLimit(value, f"M3-SRM 51-70-09, {place}")


RAMP = RecipeSegment(
    "heat-up",
    SegmentKind.RAMP,
    f(250),
    rate_least=at(0.5 / 60, "step 1"),
    rate_most=at(3 / 60, "step 1"),
    rate_window=600.0,
)
DWELL = RecipeSegment(
    "cure",
    SegmentKind.DWELL,
    f(250),
    band_low=at(f(240), "step 2"),
    band_high=at(f(260), "step 2"),
    dwell_least=at(3600.0, "step 2"),
    dwell_most=at(6000.0, "step 2"),
    spread_most=at(6.0, "step 2"),
    lag_most=at(900.0, "step 2"),
)
COOL = RecipeSegment("cool-down", SegmentKind.COOL, 322.0, rate_most=at(3 / 60, "step 3"), rate_window=600.0)
RECIPE = CureRecipe(
    "invented 250 F cure",
    (RAMP, DWELL, COOL),
    SensorRule(3, "M3-SRM 51-70-09, note 4", may_fail=1),
    ceiling=at(f(275), "caution"),
    vacuum=VacuumRule(at(22 * INHG, "note 2"), dip_least=20 * INHG, dip_longest=60.0),
    release_most=at(325.0, "step 3"),
)
LEAKY = dataclasses.replace(RECIPE, leak=LeakRule(at(INHG, "note 1"), 60.0))


def with_dwell(**changes: Any) -> CureRecipe:
    """The recipe with its dwell changed."""
    return dataclasses.replace(RECIPE, segments=(RAMP, dataclasses.replace(DWELL, **changes), COOL))


def two_step() -> CureRecipe:
    """An intermediate dwell at 180 F before the cure."""
    first = RecipeSegment(
        "soak",
        SegmentKind.DWELL,
        f(180),
        band_low=at(f(170), "step 1"),
        band_high=at(f(190), "step 1"),
        dwell_least=at(1200.0, "step 1"),
        dwell_most=at(3600.0, "step 1"),
    )
    up = dataclasses.replace(RAMP, name="second heat-up")
    ramp = dataclasses.replace(RAMP, target=f(180))
    return dataclasses.replace(RECIPE, segments=(ramp, first, up, DWELL, COOL))


def against(v: Verdict) -> dict[str, str]:
    """What speaks against a verdict, by its rule."""
    return {r.rule: r.words for r in v.against()}


def cut(made: Made, begin: float, end: float) -> Made:
    keep = (made.times <= begin) | (made.times >= end)
    made.times, made.temps = made.times[keep], made.temps[keep]
    made.vacuum, made.set_point = made.vacuum[keep], made.set_point[keep]
    return made
