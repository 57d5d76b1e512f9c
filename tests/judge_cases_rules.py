"""Findings of the rules of a recipe: straight lines just inside the limit and just outside."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from datetime import timedelta

import numpy as np

from judge_case import APART, BEGUN, Found, case, found, heat
from judge_cases_temperature import drift
from judge_cases_vacuum import LEAST
from judge_lines import DOWN, HELD, START, TOP, UP, limit, made, recipe
from made_curelog import INHG, Made
from panelmend.errors import Code
from panelmend.physics.cure_chemistry import n_order
from panelmend.plan.judge import (
    Channel,
    ChannelRole,
    CureRecipe,
    LeakReading,
    LeakRule,
    ResinConstants,
    SensorRule,
    VacuumRule,
    judge,
)
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.recipe import RecipeLimit
from panelmend.plan.judge.rules_job import JobTimes

SMALL = 0.004  # share of the limit
STAYED = HELD + 5.0 / UP + 5.0 / DOWN


def ruled(
    of: Callable[[float], CureRecipe], seen: float, by: float, *, most: bool
) -> Callable[[bool], Found]:
    """The rule with its limit just beyond what is seen, and just short of it."""
    return lambda inside: found(of(seen + by if inside is most else seen - by))


RULES: tuple[tuple[Code, str, Callable[[float], CureRecipe], float, float, bool], ...] = (
    (c.RAMP_FAST, "fastest rise", lambda x: recipe(ramp={"rate_most": limit(x)}), UP, SMALL * UP, True),
    (c.RAMP_SLOW, "mean rise", lambda x: recipe(ramp={"rate_least": limit(x)}), UP, SMALL * UP, False),
    (c.DWELL_SHORT, "least dwell", lambda x: recipe(dwell={"dwell_least": limit(x)}), STAYED, 1.0, False),
    (c.DWELL_LONG, "longest dwell", lambda x: recipe(dwell={"dwell_most": limit(x)}), STAYED, 1.0, True),
    (c.CEILING, "ceiling", lambda x: recipe(ceiling=limit(x)), TOP, 0.01, True),
    (c.ABOVE_BAND, "top of the band", lambda x: recipe(dwell={"band_high": limit(x)}), TOP, 0.01, True),
    (c.COOL_FAST, "fastest fall", lambda x: recipe(cool={"rate_most": limit(x)}), DOWN, SMALL * DOWN, True),
    (c.COOL_SLOW, "mean fall", lambda x: recipe(cool={"rate_least": limit(x)}), DOWN, SMALL * DOWN, False),
)
for code_, words_, of_, seen_, by_, most_ in RULES:
    case(code_, words_, ruled(of_, seen_, by_, most=most_))


def _not_reached(inside: bool) -> Found:
    return found(recipe(dwell={"band_low": limit(TOP + (-0.01 if inside else 0.01))}), made(held=4300.0))


def _dip(by: float, *, deep: float = 5.0) -> Made:
    m = made(held=5000.0)
    low = (m.times > 5000) & (m.times < 5400)
    m.temps[low] -= (by + deep) * np.sin(np.pi * (m.times[low] - 5000) / 400)[:, None]
    return m


def _short_dip(inside: bool) -> Found:
    """Half a minute below the band: noise at its edge down to 1 K."""
    m = made(held=5000.0)
    m.temps[500:503] -= 5.0 + (0.95 if inside else 1.05)
    return found(recipe(), m)


def _spread(inside: bool) -> Found:
    m = made()
    m.temps[:, 3] += (2.99 if inside else 3.01) * heat(m)
    return found(recipe(dwell={"spread_most": limit(3.0)}), m)


def _lag(inside: bool) -> Found:
    m = made(held=4600.0)
    m.temps[:, 3] = np.interp(m.times - (299.5 if inside else 300.5), m.times, m.temps[:, 3])
    return found(recipe(dwell={"lag_most": limit(300.0)}), m)


def _released(inside: bool) -> Found:
    m = made()
    stays = (m.times >= 9020.0) & (m.times < 9060.0)  # so that the next row is as hot
    m.temps[stays] = (324.95 if inside else 325.05) + 1e-3 * m.temps[stays] - 0.325
    m.vacuum = np.where(m.times < 9040.0, 24.0 * INHG + 5.0 * np.sin(m.times / 9.0), 0.0)
    return found(recipe(vacuum=LEAST, release_most=limit(325.0)), m)


def _vacuum(inside: bool) -> Found:
    m = made()
    m.vacuum *= (22.01 if inside else 21.99) / 24.0
    return found(recipe(vacuum=LEAST), m)


def _allowed_dip(inside: bool) -> Found:
    m = made()
    m.vacuum[400:404] = (22.01 if inside else 21.99) * INHG + 3.0 * np.sin(np.arange(4))
    return found(recipe(vacuum=VacuumRule(limit(22 * INHG), dip_least=20 * INHG, dip_longest=60.0)), m)


def _leak(fall: float, seconds: float) -> Found:
    r = recipe(vacuum=LEAST, leak=LeakRule(limit(INHG), 60.0))
    return found(r, leak=LeakReading(24.0 * INHG, (24.0 - fall) * INHG, seconds))


def _lost(inside: bool, rule: SensorRule, least: int) -> Found:
    m = made()
    m.temps[400:, : least if inside else least + 1] = np.nan
    return found(dataclasses.replace(recipe(), sensors=rule), m)


RESIN = ResinConstants(n_order(6e4, 6e4, 1.2), glass=(250.0, 420.0, 0.5))
CURED = judge(recipe(), made().log(), resin=RESIN)


def _degree(inside: bool) -> Found:
    asked = limit(CURED.degree + (-0.001 if inside else 0.001))
    return found(recipe(degree_least=asked), resin=RESIN)


def _glass(inside: bool) -> Found:
    asked = limit(CURED.glass + (-0.01 if inside else 0.01))
    return found(recipe(glass_least=asked), resin=RESIN)


def _program(inside: bool) -> Found:
    m = made()
    m.set_point = np.full(m.times.size, 394.95 if inside else 395.05)
    return found(recipe(dwell={"band_high": limit(395.0)}), m)


def _doubt(inside: bool) -> Found:
    m = made()
    m.temps += APART
    drift(m, inside)
    return found(recipe(), m)


def _usual(inside: bool) -> Found:
    return found(recipe(dwell={"band_high": RecipeLimit(TOP + 5, "usual", default=not inside)}))


def _confirmed(inside: bool) -> Found:
    who = {} if inside else {"cure_log.band": "confirmed by A. Reyes"}
    return found(recipe(dwell={"band_high": RecipeLimit(TOP + 5, "usual", default=True)}), confirmed=who)


WARM = BEGUN + timedelta(seconds=730)  # the first sample that is 5 K up
COOLED = BEGUN + timedelta(seconds=8350)


def _other_job(inside: bool) -> Found:
    on = WARM + timedelta(seconds=55 if inside else 65)
    m = made()
    m.vacuum[m.times < 800] = 0.0
    return found(recipe(), m, job=JobTimes(on, COOLED + timedelta(hours=1)))


def _window(inside: bool) -> Found:
    on = WARM - timedelta(hours=24, minutes=0 if inside else 1)
    return found(recipe(), job=JobTimes(on, COOLED + timedelta(hours=1)))


def _heats(inside: bool) -> Found:
    m = made()
    again = np.interp(m.times, [9700, 10900, 11900], [0, 29.95 if inside else 30.05, 0])
    m.temps += again[:, None]
    return found(recipe(), m)


def _given(inside: bool) -> Found:
    m = made()
    log = m.log()
    follows = START + (0.395 if inside else 0.405) * (m.temps[:, 3] - START)
    aside = Channel("T9", ChannelRole.THERMOCOUPLE, "temperature", follows)
    return judge(recipe(), dataclasses.replace(log, set_aside=(aside,))).findings


def _gauge_given(inside: bool) -> Found:
    log = made().log()
    bag = dataclasses.replace(log.of_role(ChannelRole.VACUUM)[0], name="second port")
    more = {"channels": (*log.channels, bag)} if inside else {"set_aside": (bag,)}
    return judge(recipe(vacuum=LEAST), dataclasses.replace(log, **more)).findings  # type: ignore[arg-type]


def _air(inside: bool) -> Found:
    m = made()
    log = m.log()
    follows = START + (0.395 if inside else 0.405) * (m.temps[:, 3] - START)
    air = Channel("oven edge", ChannelRole.AIR, "temperature", follows)
    return judge(recipe(), dataclasses.replace(log, channels=(*log.channels, air))).findings


def _point(inside: bool) -> Found:
    m = made()
    m.set_point = m.temps[:, 0] - (4.95 if inside else 5.05)
    return found(recipe(), m)


def _gauge_answered(inside: bool) -> Found:
    m = made()
    m.vacuum[:] = 24.0 * INHG + 5.0 * np.sin(m.times / 9.0)
    m.vacuum[-1] = 0.0
    m.vacuum[-2] = (0.499 if inside else 0.501) * m.vacuum.max()
    log = dataclasses.replace(m.log(), sense_answered=("Vacuum",))
    return judge(recipe(vacuum=VacuumRule(limit(22.0 * INHG))), log).findings


def _overruled(inside: bool) -> Found:
    log = dataclasses.replace(made().log(), overruled=() if inside else (("Vacuum", "absolute"),))
    return judge(recipe(vacuum=VacuumRule(limit(22.0 * INHG))), log).findings


case(c.NOT_REACHED, "low end of the band", _not_reached)
case(c.BELOW_BAND, "1 K below the band", _short_dip)
case(c.SPREAD, "widest spread", _spread)
case(c.LAG, "last behind the first", _lag)
case(c.RELEASED_HOT, "temperature at the release", _released)
case(c.VACUUM_LOW, "least vacuum", _vacuum)
case(c.VACUUM_DIP, "least vacuum, a dip that is allowed", _allowed_dip)
case(c.LEAK, "most fall", lambda inside: _leak(0.999 if inside else 1.001, 60.0))
case(c.SENSORS_FEW, "least number", lambda inside: _lost(inside, SensorRule(2, "table 1"), 2))
case(c.SENSORS_LOST, "most lost", lambda inside: _lost(inside, SensorRule(1, "table 1", may_fail=1), 1))
case(c.SENSOR_NEEDED, "must work", lambda i: _lost(i, SensorRule(1, "table 1", must_work=("T2",)), 1))
case(c.INTERRUPTED, "8 K below the band", lambda inside: found(recipe(), _dip(7.95 if inside else 8.05)))
case(c.DEGREE, "least degree of cure", _degree)
case(c.GLASS, "least glass transition", _glass)
case(c.UNKNOWN, "time of the leak test", lambda inside: _leak(0.5, 60.0 if inside else 59.9))
case(c.NEAR, "2.2 K", lambda inside: found(recipe(ceiling=limit(TOP + (2.25 if inside else 2.15)))))
case(c.PROGRAM, "set point in the band", _program)
case(c.IN_DOUBT, "6 K in the hold", _doubt)
case(c.UNCONFIRMED, "a usual value", _usual)
case(c.CONFIRMED, "a usual value that was confirmed", _confirmed)
case(c.OTHER_JOB, "a minute before vacuum-on", _other_job)
case(c.WINDOW, "24 h before the heat", _window)
case(c.HEATS, "30 K", _heats)
case(c.SET_ASIDE, "40 % of the others' rise", _given)
case(c.AIR_FOLLOWS, "40 % of the others' rise", _air)
case(c.POINT_FOLLOWS, "the low end of the band", _point)
case(c.SENSE_ANSWERED, "half of the highest vacuum, twice", _gauge_answered)
case(c.OVERRULED, "what the file says", _overruled)
case(c.GAUGE_ASIDE, "a gauge that is left as one", _gauge_given)
