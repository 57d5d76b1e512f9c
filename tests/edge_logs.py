"""Invented logs at the edges of what a log can be: two rows, one thermocouple, columns that are empty, a
vacuum that is not there, cure cycles that ask for less. Each is drawn by its number; nothing was measured."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import numpy as np

from coarse_logs import BEGUN, TOP, coarse
from judge_lines import limit
from panelmend.physics.cure_chemistry import n_order
from panelmend.plan.judge import ChannelRole, CureLog, CureRecipe, SegmentKind, SensorRule
from panelmend.plan.judge.doubt import SeenOfSensor
from panelmend.plan.judge.recipe import VacuumRule
from panelmend.plan.judge.rules_job import JobTimes
from panelmend.plan.judge.rules_sensors import ResinConstants
from panelmend.plan.judge.rules_vacuum import LeakReading

Chance = np.random.Generator
BASE = 7000  # numbers of coarse logs that no other test draws


def _with(log: CureLog, **columns: Any) -> CureLog:
    """The log with the values of some channels changed in place of their copies."""
    channels = [
        dataclasses.replace(c, values=columns[c.name]) if c.name in columns else c for c in log.channels
    ]
    return dataclasses.replace(log, channels=tuple(channels))


def _values(log: CureLog, role: ChannelRole) -> dict[str, Any]:
    return {c.name: c.values.copy() for c in log.of_role(role)}


def _rows(log: CureLog, keep: Any) -> CureLog:
    channels, aside = (
        tuple(dataclasses.replace(c, values=c.values[keep].copy()) for c in some)
        for some in (log.channels, log.set_aside)
    )
    return dataclasses.replace(
        log, times=log.times[keep].copy(), channels=channels, set_aside=aside, lines=log.lines[keep].copy()
    )


def few_rows(log: CureLog, chance: Chance) -> CureLog:
    return _rows(log, slice(0, int(chance.choice([0, 1, 2, 3, 4, 5, 8, 12]))))


def few_about_the_top(log: CureLog, chance: Chance) -> CureLog:
    at = int(np.argmax(np.nan_to_num(log.channels[0].values)))
    return _rows(log, slice(max(0, at - 2), at + int(chance.choice([1, 2, 3, 10]))))


def ends_somewhere(log: CureLog, chance: Chance) -> CureLog:
    return _rows(log, slice(0, int(len(log) * chance.choice([0.15, 0.3, 0.5, 0.62, 0.75, 0.9]))))


def every_so_many(log: CureLog, chance: Chance) -> CureLog:
    return _rows(log, slice(None, None, int(chance.choice([2, 3, 5, 9]))))


def one_couple(log: CureLog, chance: Chance) -> CureLog:
    kept = log.of_role(ChannelRole.THERMOCOUPLE)[: int(chance.choice([0, 1, 1, 2]))]
    rest = [c for c in log.channels if c.role is not ChannelRole.THERMOCOUPLE]
    return dataclasses.replace(log, channels=(*kept, *rest))


def empty_column(log: CureLog, chance: Chance) -> CureLog:
    role = ChannelRole.VACUUM if chance.random() < 0.4 else ChannelRole.THERMOCOUPLE
    some = _values(log, role)
    for name in list(some)[: int(chance.choice([1, 1, 2, 9]))]:
        some[name][:] = np.nan
    return _with(log, **some)


def lost_from(log: CureLog, chance: Chance) -> CureLog:
    some = _values(log, ChannelRole.THERMOCOUPLE)
    for name in list(some)[: int(chance.choice([1, 2, 9]))]:
        some[name][int(len(log) * chance.choice([0.0, 0.2, 0.45, 0.6, 0.8])) :] = np.nan
    return _with(log, **some)


def single_cells(log: CureLog, chance: Chance) -> CureLog:
    some = _values(log, ChannelRole.THERMOCOUPLE) | _values(log, ChannelRole.VACUUM)
    for values in some.values():
        if len(values) and chance.random() < 0.6:
            values[chance.integers(0, len(values), 3)] = np.nan
    return _with(log, **some)


def hot_reading(log: CureLog, chance: Chance) -> CureLog:
    some = _values(log, ChannelRole.THERMOCOUPLE)
    for values in list(some.values())[:1]:
        if len(values):
            at = int(chance.integers(0, len(values)))
            values[at : at + int(chance.choice([1, 2, 40]))] = chance.choice(
                [900.0, 0.0, -5.0, 273.15, 373.15]
            )
    return _with(log, **some)


def gauge_dead(log: CureLog, chance: Chance) -> CureLog:
    some = _values(log, ChannelRole.VACUUM)
    for values in some.values():
        first = int(len(values) * chance.choice([0.0, 0.3, 0.7]))
        values[first:] = chance.choice(
            [0.0, 101325.0, values[first] if first < len(values) else 0.0, -2000.0]
        )
    return _with(log, **some)


def gauge_breaks(log: CureLog, chance: Chance) -> CureLog:
    some = _values(log, ChannelRole.VACUUM)
    for values in some.values():
        for _ in range(int(chance.integers(1, 4))):
            at = int(chance.integers(0, max(1, len(values))))
            values[at : at + int(chance.choice([1, 2, 5, 30]))] = chance.choice([np.nan, 60000.0, 77000.0])
    return _with(log, **some)


def no_gauge(log: CureLog, chance: Chance) -> CureLog:
    return dataclasses.replace(
        log, channels=tuple(c for c in log.channels if c.role is not ChannelRole.VACUUM)
    )


def lone(log: CureLog, chance: Chance) -> CureLog:
    """Only thermocouples, all alike but for a digit."""
    some = _values(log, ChannelRole.THERMOCOUPLE)
    first = next(iter(some.values()))
    made = {name: first + 0.25 * k for k, name in enumerate(some)}
    kept = tuple(c for c in log.channels if c.role is ChannelRole.THERMOCOUPLE)
    return _with(dataclasses.replace(log, channels=kept), **made)


def undated(log: CureLog, chance: Chance) -> CureLog:
    return dataclasses.replace(log, started="", stamp_step=float(chance.choice([0.0, 1.0, 60.0])))


LOGS: tuple[Callable[[CureLog, Chance], CureLog], ...] = (
    few_rows, few_about_the_top, ends_somewhere, ends_somewhere, every_so_many, one_couple, empty_column,
    lost_from, lost_from, single_cells, hot_reading, gauge_dead, gauge_breaks, gauge_breaks, no_gauge, lone,
    undated,
)  # fmt: skip


def _recipe(of: CureRecipe, chance: Chance) -> CureRecipe:
    """The cure cycle with some of what it asks taken away or put in."""
    new: dict[str, Any] = {}
    if chance.random() < 0.25:
        new |= {"vacuum": None}
    elif chance.random() < 0.3:
        new |= {"vacuum": VacuumRule(limit(78000.0), float(chance.choice([70000.0, 77000.0])), 60.0)}
    if chance.random() < 0.3:
        new |= {"leak": None}
    if chance.random() < 0.15:
        new |= {"bagged": False, "vacuum": None, "leak": None}
    if chance.random() < 0.3:
        new |= {"release_most": None if chance.random() < 0.5 else limit(335.0)}
    if chance.random() < 0.3:
        new |= {"ceiling": None if chance.random() < 0.5 else limit(TOP + 4.0)}
    if chance.random() < 0.4:
        must = ("T2",) if chance.random() < 0.5 else ()
        lose = None if chance.random() < 0.5 else int(chance.integers(0, 3))
        new |= {
            "sensors": SensorRule(int(chance.integers(1, 5)), "table 2", lose, must, chance.random() < 0.3)
        }
    if chance.random() < 0.3:
        new |= {"degree_least": limit(0.9), "glass_least": limit(400.0)}
    segments = list(of.segments)
    if chance.random() < 0.4:
        segments = segments[: int(chance.choice([len(segments) - 1, 2]))]
    for i, s in enumerate(segments):
        if s.kind is SegmentKind.DWELL and chance.random() < 0.5:
            more: dict[str, Any] = {
                "band_high": None if chance.random() < 0.5 else limit(s.target + 6.0),
                "summed": bool(chance.random() < 0.5),
                "spread_most": limit(4.0) if chance.random() < 0.4 else None,
                "lag_most": limit(300.0) if chance.random() < 0.4 else None,
                "dwell_most": limit(4500.0) if chance.random() < 0.4 else None,
            }
            segments[i] = dataclasses.replace(s, **more)
        elif s.kind is not SegmentKind.DWELL and chance.random() < 0.3:
            segments[i] = dataclasses.replace(s, rate_least=limit(1 / 100), rate_most=limit(1 / 20))
    return dataclasses.replace(of, segments=tuple(segments), **new)


def _how(log: CureLog, how: dict[str, Any], chance: Chance) -> dict[str, Any]:
    """What else is said to the judge."""
    new = {k: v for k, v in how.items() if chance.random() < 0.7}
    if chance.random() < 0.3:
        who = ("A. Reyes", "inspector") if chance.random() < 0.5 else ("B. Falk", "engineer")
        new["statements"] = tuple(
            SeenOfSensor(c.name, "lead found cut", *who, typed="C. Ode", signed=bool(chance.random() < 0.5))
            for c in log.of_role(ChannelRole.THERMOCOUPLE)[:2]
        )
    if chance.random() < 0.25:
        new["gauge_seen"] = tuple(
            SeenOfSensor(c.name, str(chance.choice(["below ambient", "absolute"])), "A. Reyes", "inspector")
            for c in log.of_role(ChannelRole.VACUUM)
        )
    if chance.random() < 0.25:
        seconds, start, end = (
            chance.choice([300.0, 60.0, 0.0]),
            80000.0,
            float(chance.choice([78000.0, 70000.0])),
        )
        at = None if chance.random() < 0.5 else BEGUN + timedelta(minutes=float(chance.integers(-30, 60)))
        new["leak"] = LeakReading(start, end, float(seconds), at=at)
    if chance.random() < 0.2 and len(log):
        new["leak_started"] = float(log.times[len(log) // 6])
    if chance.random() < 0.25:
        new["resin"] = ResinConstants(
            n_order(4e6, 6.4e4, 1.2), 0.03, (263.0, 441.0, 0.45) if chance.random() < 0.5 else None
        )
    if chance.random() < 0.25:
        on, off = (
            None if chance.random() < 0.3 else BEGUN + timedelta(minutes=float(m))
            for m in (chance.integers(-20, 20), chance.integers(100, 300))
        )
        new["job"] = JobTimes(on, off, "A. Reyes", began=BEGUN if chance.random() < 0.5 else None)
    if chance.random() < 0.2:
        new["longest_gap"] = float(chance.choice([30.0, 90.0, 600.0]))
    if chance.random() < 0.3:
        new["view"] = "in"
    return new


def edge(number: int) -> tuple[CureRecipe, CureLog, dict[str, Any]]:
    """A cure cycle, a log and what else is said of it, by a number."""
    chance = np.random.default_rng(BASE + number)
    log, how = coarse(BASE + number + (number == 117))  # the coarse log of that number cannot be made
    of = _recipe(how.pop("recipe"), chance)
    for k in chance.choice(len(LOGS), int(chance.integers(1, 4)), replace=False):
        log = LOGS[k](log, chance)
    return of, log, _how(log, how, chance)
