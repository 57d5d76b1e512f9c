"""Invented logs whose readings and times are whole numbers of coarse digits, so that they lie exactly on
limits; each with a few faults drawn by its number. Nothing here was measured."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from judge_lines import limit
from panelmend.physics.cure_chemistry import n_order
from panelmend.plan.judge import (
    Channel,
    ChannelRole,
    CureLog,
    CureRecipe,
    RecipeSegment,
    SegmentKind,
    SensorRule,
)
from panelmend.plan.judge.recipe import LeakRule, VacuumRule
from panelmend.plan.judge.rules_job import JobTimes
from panelmend.plan.judge.rules_sensors import ResinConstants
from panelmend.plan.judge.rules_vacuum import LeakReading

Array = NDArray[np.float64]
BEGUN = datetime(2026, 11, 25, 8)
START, FIRST, TOP, END = 300.0, 350.0, 390.0, 310.0  # K


@dataclasses.dataclass
class Coarse:
    """A log in the making: times [s], thermocouples [K] (n, sensors), vacuum [Pa], set point, what was set
    aside."""

    times: Array
    temps: Array
    vacuum: Array
    wanted: Array
    air: Array
    digit: float
    step: float
    chance: np.random.Generator
    aside: list[Channel] = dataclasses.field(default_factory=list)

    def some(self) -> tuple[int, int, int]:
        """A sensor, and from where to where something happens to it."""
        n = len(self.times)
        first = int(self.chance.integers(n // 8, 7 * n // 8))
        return (
            int(self.chance.integers(self.temps.shape[1])),
            first,
            int(min(n, first + self.chance.integers(2, n // 4))),
        )


def _frozen(m: Coarse) -> None:
    k, a, b = m.some()
    m.temps[a:b, k] = m.temps[a, k]


def _all_frozen(m: Coarse) -> None:
    _, a, b = m.some()
    m.temps[a:b] = m.temps[a]


def _jump(m: Coarse) -> None:
    k, a, b = m.some()
    m.temps[a:b, k] += m.chance.choice([-40.0, -15.0, -10.0, -5.0, -3.0, 2.0, 3.0, 5.0, 8.0, 15.0, 30.0])


def _open(m: Coarse) -> None:
    k, a, b = m.some()
    m.temps[a : a + int(m.chance.choice([1, 2, 3, b - a])), k] = m.chance.choice(
        [1500.0, 200.0, np.nan, 643.15]
    )


def _swapped(m: Coarse) -> None:
    k, a, b = m.some()
    j = (k + 1) % m.temps.shape[1]
    m.temps[a:b, [k, j]] = m.temps[a:b, [j, k]]


def _drifts(m: Coarse) -> None:
    k, a, _ = m.some()
    far = m.chance.choice([-12.0, -6.0, 5.0, 10.0])
    m.temps[a:, k] += np.round(np.linspace(0.0, far, len(m.times) - a) / m.digit) * m.digit


def _missing(m: Coarse) -> None:
    _, a, b = m.some()
    m.temps[a : a + max(1, (b - a) // 3)] = np.nan


def _hole(m: Coarse) -> None:
    _, a, _ = m.some()
    m.times[a:] += m.step * m.chance.choice([1.0, 1.5, 2.0, 5.0, 20.0, 60.0])


def _back(m: Coarse) -> None:
    _, a, b = m.some()
    m.times[a : int(m.chance.choice([a + 1, a + 6, b, len(m.times)]))] -= m.chance.choice(
        [m.step, 3600.0, 60.0, 7.0]
    )


def _twice(m: Coarse) -> None:
    _, a, b = m.some()
    m.times[a:b] = np.floor(m.times[a:b] / 60.0) * 60.0


def _dip(m: Coarse) -> None:
    _, a, b = m.some()
    m.vacuum[a : a + int(m.chance.choice([1, 3, 6, b - a]))] -= m.chance.choice(
        [1000.0, 3000.0, 10000.0, 60000.0]
    )


def _leaks(m: Coarse) -> None:
    _, a, _ = m.some()
    m.vacuum[a:] -= np.round(np.linspace(0.0, 20.0, len(m.times) - a)) * 1000.0


def _hot(m: Coarse) -> None:
    k, a, b = m.some()
    m.temps[a:b, k] += (
        np.round(np.linspace(0.0, m.chance.choice([4.0, 8.0, 16.0, 25.0]), b - a) / m.digit) * m.digit
    )


def _ends(m: Coarse) -> None:
    m.temps, m.vacuum, m.wanted, m.air, m.times = (
        a[: int(len(m.times) * 0.7)] for a in (m.temps, m.vacuum, m.wanted, m.air, m.times)
    )


def _begins_late(m: Coarse) -> None:
    first = int(m.chance.integers(3, len(m.times) // 3))
    m.temps, m.vacuum, m.wanted, m.air, m.times = (
        a[first:] for a in (m.temps, m.vacuum, m.wanted, m.air, m.times)
    )


def _mean(m: Coarse) -> None:
    m.temps[:, -1] = np.round(m.temps[:, :-1].mean(axis=1) / m.digit) * m.digit


def _copied(m: Coarse) -> None:
    m.temps[:, -1] = np.roll(m.temps[:, 0], int(m.chance.choice([0, 1, 4])))


def _turned(m: Coarse) -> None:
    k, _, _ = m.some()
    m.temps[:, k] = 2 * START - m.temps[:, k]


def _ripples(m: Coarse) -> None:
    _, a, b = m.some()
    m.temps[a:b] += np.where(np.arange(b - a) // 6 % 2 == 0, 3.0, -3.0)[:, None]


def _cold(m: Coarse) -> None:
    k, a, b = m.some()
    m.temps[a:b, k] -= m.chance.choice([5.0, 8.0, 9.0, 20.0])


def _aside(m: Coarse) -> None:
    m.aside.append(Channel("A1", ChannelRole.THERMOCOUPLE, "temperature", m.temps[:, 0] + 6.0))
    m.aside.append(Channel("A2", ChannelRole.VACUUM, "pressure", m.vacuum - 9000.0))


def _high_set_point(m: Coarse) -> None:
    _, a, b = m.some()
    m.wanted[a:b] += m.chance.choice([-20.0, 10.0, 20.0, 30.0])


FAULTS: tuple[Callable[[Coarse], None], ...] = (
    _frozen,
    _all_frozen,
    _jump,
    _open,
    _swapped,
    _drifts,
    _missing,
    _hole,
    _back,
    _twice,
    _dip,
    _leaks,
    _hot,
    _ends,
    _begins_late,
    _mean,
    _copied,
    _turned,
    _ripples,
    _cold,
    _aside,
    _high_set_point,
)


def coarse(number: int) -> tuple[CureLog, dict[str, Any]]:
    """A log and what it is judged with, by its number."""
    chance = np.random.default_rng(number)
    step, digit = float(chance.choice([10.0, 30.0, 60.0])), float(chance.choice([0.25, 0.5, 1.0]))
    up, down = float(chance.choice([1 / 32, 1 / 16])), 1 / 32
    knots = np.cumsum(
        [0.0, 600.0, (FIRST - START) / up, 1200.0, (TOP - FIRST) / up, 4500.0, (TOP - END) / down, 600.0]
    )
    knots = np.round(knots / step) * step
    times = np.arange(0.0, knots[-1], step)
    program = np.interp(times, knots, [START, START, FIRST, FIRST, TOP, TOP, END, END])
    sensors = int(chance.integers(3, 6))
    lag = chance.integers(0, 5, sensors)
    temps = np.stack(
        [
            np.interp(times - lag[k] * 60.0, knots, [START, START, FIRST, FIRST, TOP, TOP, END, END])
            for k in range(sensors)
        ],
        1,
    )
    temps += chance.integers(-3, 4, sensors) * np.clip((program - START)[:, None] / (TOP - START), 0.0, 1.0)
    temps += digit * chance.choice([-1, 0, 0, 0, 1], temps.shape) * (chance.random() < 0.7)
    vacuum = np.where((times >= 120.0) & (times < knots[-1] - 300.0), 80000.0, 0.0)
    vacuum += 1000.0 * chance.choice([0, 0, 1], times.size) * (vacuum > 0.0)
    made = Coarse(
        times,
        np.round(temps / digit) * digit,
        vacuum,
        np.round(program / digit) * digit,
        np.full(times.size, 296.0) + digit * chance.choice([-1, 0, 1], times.size),
        digit,
        step,
        chance,
    )
    for k in chance.choice(len(FAULTS), int(chance.integers(1, 4)), replace=False):
        FAULTS[k](made)
    roles = [(f"T{k + 1}", ChannelRole.THERMOCOUPLE, "temperature", made.temps[:, k]) for k in range(sensors)]
    roles += [("V", ChannelRole.VACUUM, "pressure", made.vacuum)] * (number % 7 != 0)
    roles += [("S", ChannelRole.SET_POINT, "temperature", made.wanted)] * (number % 3 != 0)
    roles += [
        ("air", ChannelRole.AIR, "temperature", made.air if number % 11 else made.temps[:, 0] - 4.0)
    ] * (number % 2)
    log = CureLog(
        made.times - made.times[0],
        tuple(Channel(n, r, k, v.copy()) for n, r, k, v in roles),
        started=BEGUN.isoformat(),
        digest="0" * 64,
        ambient=96e3 if number % 5 else float("nan"),
        set_aside=tuple(made.aside),
        stamp_step=60.0 if number % 4 == 0 else 1.0,
    )
    length = timedelta(seconds=float(np.nanmax(log.times)))
    how: dict[str, Any] = {"recipe": recipe(number)}
    if number % 3 == 0:
        more = {"resin": ResinConstants(n_order(4e6, 6.4e4, 1.2), 0.03, (263.0, 441.0, 0.45))}
        return log, how | (more if number % 2 else {})
    if number % 2:
        how["job"] = JobTimes(
            BEGUN + timedelta(minutes=number % 9 - 2),
            BEGUN + length - timedelta(minutes=number % 7),
            "A. Reyes",
        )
    if number % 3 == 1:
        how |= {
            "leak": LeakReading(
                80000.0, 80000.0 - 1000.0 * (number % 5), 300.0, at=BEGUN + timedelta(minutes=8)
            )
        }
    if number % 3 == 2:
        how |= {"leak_started": 180.0, "longest_gap": 120.0}
    if number % 4 == 1:
        how |= {"ambient": 96e3 + 1000.0 * (number % 6)}
    return log, how


def recipe(number: int) -> CureRecipe:
    """A cure cycle of five segments with limits on whole digits; wide ones for every third number."""
    if number % 3 == 0:
        return _wide(number)
    more = (
        {"spread_most": limit(5.0), "lag_most": limit(600.0)} if number % 2 else {"dwell_most": limit(4200.0)}
    )
    first_band, band = ((x - 5.0, x + 5.0) for x in (FIRST, TOP))
    segments = (
        RecipeSegment("up", SegmentKind.RAMP, FIRST, limit(1 / 64), limit(1 / 16), rate_window=300.0),
        RecipeSegment(
            "first",
            SegmentKind.DWELL,
            FIRST,
            band_low=limit(first_band[0]),
            dwell_least=limit(900.0),
            summed=number % 4 > 1,
            ceiling=limit(FIRST + 10.0),
        ),
        RecipeSegment("further", SegmentKind.RAMP, TOP, rate_most=limit(1 / 32), rate_above=360.0),
        RecipeSegment(
            "hold",
            SegmentKind.DWELL,
            TOP,
            band_low=limit(band[0]),
            band_high=limit(band[1]),
            dwell_least=limit(3600.0),
            summed=number % 5 == 0,
            **more,
        ),
        RecipeSegment("down", SegmentKind.COOL, END + 10.0, rate_most=limit(1 / 32), rate_above=330.0),
    )
    return CureRecipe(
        "coarse",
        segments,
        SensorRule(3, "table 1", number % 3, ("T1",) if number % 4 == 0 else ()),
        limit(TOP + 10.0),
        VacuumRule(limit(78000.0), 70000.0 if number % 2 else None, 120.0),
        limit(325.0),
        LeakRule(limit(2000.0), 300.0, limit(76000.0)),
        longest_gap=120.0 if number % 7 == 0 else None,
    )


def _wide(number: int) -> CureRecipe:
    segments = (
        RecipeSegment("up", SegmentKind.RAMP, TOP, rate_most=limit(1 / 8), rate_window=300.0),
        RecipeSegment(
            "hold",
            SegmentKind.DWELL,
            TOP,
            band_low=limit(TOP - 8.0),
            band_high=limit(TOP + 8.0),
            dwell_least=limit(3600.0),
            spread_most=limit(12.0),
            summed=number % 2 == 0,
        ),
        RecipeSegment("down", SegmentKind.COOL, END + 10.0, rate_most=limit(1 / 16), rate_window=300.0),
    )
    least = limit(0.85) if number % 2 else None
    return CureRecipe(
        "coarse",
        segments,
        SensorRule(2, "table 1", 2),
        limit(TOP + 20.0),
        VacuumRule(limit(70000.0), 60000.0, 60.0),
        degree_least=least,
        glass_least=None if least is None else limit(390.0),
        longest_gap=300.0,
    )
