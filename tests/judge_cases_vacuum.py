"""Findings of the vacuum and of rows filled, moved or joined: just inside the limit and just outside."""

from __future__ import annotations

import dataclasses

import numpy as np

from judge_case import Found, case, faults, noisy
from judge_lines import STEP, limit, made, recipe
from made_curelog import INHG, Made
from panelmend.plan.judge import (
    VacuumRule,
    judge,
)
from panelmend.plan.judge import codes as c


def _impossible(m: Made, inside: bool) -> None:
    m.vacuum *= (105e3 + (-50.0 if inside else 50.0)) / (24.0 * INHG)


def _sense(m: Made, inside: bool) -> None:
    m.vacuum = np.full(m.times.size, -2.95e3 if inside else -3.05e3) + np.sin(m.times)


def _gauge_stuck(m: Made, inside: bool) -> None:
    m.vacuum[:] = 24.0 * INHG
    m.vacuum[500] += 1.0 if inside else 0.0


def _small(m: Made, inside: bool) -> None:
    m.vacuum = (8.05e3 if inside else 7.95e3) + np.sin(m.times)


def _gauge_missing(m: Made, inside: bool) -> None:
    m.vacuum[500:501] = m.vacuum[500] if inside else np.nan


def _frozen(m: Made, inside: bool) -> None:
    noisy(m)
    rows = (m.times >= 4000) & (m.times <= 4000 + (170.0 if inside else 180.0))
    m.temps[rows] = m.temps[rows][0]


def _replayed(m: Made, inside: bool) -> None:
    noisy(m)
    rows = 11 if inside else 12
    m.temps[600 : 600 + rows] = m.temps[400 : 400 + rows]


def _jumped(m: Made, inside: bool) -> None:
    m.temps[600:] -= 0.5 * STEP + 8.0 + (-0.05 if inside else 0.05)


LEAST = VacuumRule(limit(22 * INHG))


def _air(inside: bool) -> Found:
    log = dataclasses.replace(made().log(), ambient=101325.0)
    return judge(recipe(vacuum=LEAST), log, ambient=101325.0 - (2.95e3 if inside else 3.05e3)).findings


def _starts_at_air(m: Made, inside: bool) -> None:
    """An absolute gauge: the air pressure first, little of it in the cure."""
    m.vacuum = 13.5e3 + np.sin(m.times)
    m.vacuum[:3] = (0.895 if inside else 0.905) * 101325.0


def _air_after_release(m: Made, inside: bool) -> None:
    m.vacuum = 60e3 + np.sin(m.times)
    m.vacuum[-40:] = (0.945 if inside else 0.955) * 101325.0


def _air_and_no_less(m: Made, inside: bool) -> None:
    """As much as the air before the pump-down, and in the cure that less."""
    m.vacuum = 98e3 - (0.055 if inside else 0.065) * 104e3 + np.sin(m.times)
    m.vacuum[:40] = 98e3


def _moved(m: Made, inside: bool) -> None:
    """Two rows without their last cell, of thermocouples 1 K apart and a set point."""
    m.temps += np.arange(4) * 1.0
    m.set_point = m.temps[:, 3] + 1.0
    m.temps[500:502] += 0.35 if inside else 0.4
    m.set_point[500:502] = np.nan


case(c.V_SENSE, "90 % of the air at the start", faults(_starts_at_air))
case(c.V_SENSE, "95 % of the air after the release", faults(_air_after_release))
case(c.V_SENSE, "6 % of the air between cure and open gauge", faults(_air_and_no_less))
case(c.V_IMPOSSIBLE, "1 kPa more than the air can give", faults(_impossible))
case(c.V_SENSE, "half of it 3 kPa above ambient", faults(_sense))
case(c.V_STUCK, "one value all through", faults(_gauge_stuck))
case(c.V_UNIT, "8 kPa", faults(_small))
case(c.V_MISSING, "one cell", faults(_gauge_missing))
case(c.FROZEN, "three minutes", faults(_frozen))


def _filled(m: Made, inside: bool) -> None:
    noisy(m)
    m.temps[451 : 456 if inside else 457] = m.temps[450]


def _repeats(m: Made, inside: bool) -> None:
    noisy(m)
    m.temps[451 : 453 if inside else 454] = m.temps[450]


def _drawn(m: Made, inside: bool) -> None:
    """Twenty rows on lines between their ends; inside, one reading lies two digits off."""
    noisy(m)
    share = np.linspace(0.0, 1.0, 21)[:, None]
    line = m.temps[450] + share * (m.temps[470] - m.temps[450])
    m.temps[450:471] = np.round(line - 273.15, 1) + 273.15
    m.temps[460, 1] += 0.3 if inside else 0.0


case(c.DRAWN, "one reading off the line", faults(_drawn))
case(c.REPLAYED, "a dozen rows", faults(_replayed))


def _joined(m: Made, inside: bool) -> None:
    m.temps[450:] += np.array([1.0, -1.0, 1.0, -1.0]) * (0.78 if inside else 0.82)


case(c.JOINED, "0.8 K, root mean square, against one another", faults(_joined))
case(c.FILLED, "rows filled up, more than a minute between readings", faults(_filled))
case(c.REPEATS, "rows filled up, more than 2.5 steps between readings", faults(_repeats))
case(c.MOVED, "the own course half as far away as the neighbours'", faults(_moved))
case(c.JUMPED, "8 K beside what a part can follow", faults(_jumped))
case(c.V_AMBIENT, "3 kPa between the log's air and the bay's", _air)
