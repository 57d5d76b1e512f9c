"""An exact cure of straight lines and its recipe, for limits probed from both sides."""

from __future__ import annotations

import dataclasses

import numpy as np

from made_curelog import INHG, Made
from panelmend.plan.judge import CureRecipe, RecipeSegment, SegmentKind, SensorRule
from panelmend.plan.judge.recipe import RecipeLimit

STEP = 10.0
START, UP, TOP = 300.0, 0.04, 390.0  # K, K/s, K
HELD, DOWN, END = 4000.0, 0.03, 310.0


def curve(
    times: np.ndarray, *, top: float = TOP, held: float = HELD, up: float = UP, down: float = DOWN
) -> np.ndarray:
    """Straight up, across, down."""
    a = 600.0 + (top - START) / up
    return np.interp(
        times, [0, 600.0, a, a + held, a + held + (top - END) / down], [START, START, top, top, END]
    )


def made(*, sensors: int = 4, length: float = 12000.0, **how: float) -> Made:
    times = np.arange(0.0, length, STEP)
    shape = curve(times, **how)
    ripple = 1e-4 * np.sin(times / 7.0)
    temps = np.column_stack([shape + ripple for _ in range(sensors)])
    temps += np.arange(sensors) * 1e-6  # no two channels the same
    vacuum = np.where(times < 9450, 24.0 * INHG + 5.0 * np.sin(times / 9.0), 0.0)
    return Made(times, temps, vacuum, np.full(times.size, np.nan), [f"T{i + 1}" for i in range(sensors)])


def limit(value: float) -> RecipeLimit:
    return RecipeLimit(value, "table 1")


def recipe(
    *,
    ramp: dict[str, object] | None = None,
    dwell: dict[str, object] | None = None,
    cool: dict[str, object] | None = None,
    **whole: object,
) -> CureRecipe:
    first = RecipeSegment("up", SegmentKind.RAMP, TOP, rate_window=300.0)
    hold = RecipeSegment("hold", SegmentKind.DWELL, TOP, band_low=limit(385.0), dwell_least=limit(3600.0))
    last = RecipeSegment("down", SegmentKind.COOL, 315.0, rate_window=300.0)
    segments = tuple(
        dataclasses.replace(s, **more)  # type: ignore[arg-type]
        for s, more in ((first, ramp or {}), (hold, dwell or {}), (last, cool or {}))
    )
    return CureRecipe("lines", segments, SensorRule(2, "table 1"), **whole)  # type: ignore[arg-type]
