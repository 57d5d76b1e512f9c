"""Alarms of the watch: straight lines just inside the limit and just outside."""

from __future__ import annotations

import dataclasses

import numpy as np
from numpy.typing import NDArray

from judge_case import Found, case
from judge_cases_vacuum import LEAST
from judge_lines import DOWN, HELD, START, TOP, UP, limit, made, recipe
from made_curelog import INHG, Made
from panelmend.plan.judge import (
    Channel,
    ChannelRole,
    CureLog,
    Predicted,
    look,
)
from panelmend.plan.judge import codes as c

AIR, ASKED = ChannelRole.AIR, ChannelRole.SET_POINT


def until(m: Made, time: float, **more: object) -> Found:
    """Alarms of the watch at a time."""
    log = m.log()
    n = int(np.searchsorted(log.times, time, side="right"))
    channels = tuple(dataclasses.replace(x, values=x.values[:n].copy()) for x in log.channels)
    part = dataclasses.replace(log, times=log.times[:n].copy(), channels=channels, lines=log.lines[:n].copy())
    r = more.pop("r", None) or WATCHED
    return tuple(a.finding for a in look(r, part, **more).alarms)  # type: ignore[arg-type]


WATCHED = recipe(
    dwell={"band_high": limit(395.0)}, ceiling=limit(400.0), vacuum=LEAST, release_most=limit(325.0)
)


def _creeps(within: float) -> Found:
    """The hottest rises past its target by 0.01 K/s towards the top of the band, so many seconds off."""
    m = made(held=6000.0)
    m.temps[:, 0] += np.interp(m.times, [4000.0, 4300.0], [0.0, 3.0])
    return until(m, 4300.0, r=recipe(dwell={"band_high": limit(TOP + 3.0 + 0.01 * within)}))


def _swings(within: float, before: float) -> Found:
    """Steady, then a rise of 0.05 K/s that began two minutes ago, so many seconds off the top of the band."""
    m = made(held=6000.0)
    m.temps[:, 0] += np.interp(m.times, [4150.0, 4300.0], [0.0, 7.5]) + np.interp(
        m.times, [4000.0, 4150.0], [0.0, before]
    )
    return until(m, 4300.0, r=recipe(dwell={"band_high": limit(TOP + 7.5 + before + 0.05 * within)}))


def _rises(share: float) -> Found:
    return until(made(), 1500.0, r=recipe(ramp={"rate_most": limit(UP / share)}))


def _lags(share: float) -> Found:
    return until(made(), 1600.0, r=recipe(ramp={"rate_least": limit(UP * share)}))


def _leaves(within: float) -> Found:
    """The slowest falls by 0.008 K/s; it leaves the band in so many seconds."""
    m = made(held=6000.0)
    m.temps[:, 0] -= np.interp(m.times, [4000.0, 4625.0], [0.0, 5.0])
    at = 4400.0
    low = TOP - 0.008 * (at - 4000.0) - 0.008 * within
    return until(m, at, r=recipe(dwell={"band_low": limit(low), "dwell_least": limit(5000.0)}))


def _vacuum_falls(by: float) -> Found:
    m = made()
    m.vacuum[:] = 22.2 * INHG - np.interp(m.times, [4000.0, 4150.0], [0.0, by])
    return until(m, 4150.0)


def _reads(inside: bool) -> Found:
    m = made()
    m.temps[400:, 0] = 643.15 + (-0.05 if inside else 0.05)
    return until(m, 4100.0)


def _falls(share: float) -> Found:
    return until(made(), 7600.0, r=recipe(cool={"rate_most": limit(DOWN / share)}))


def _cools(at: float) -> Found:
    m = made()
    row = int(np.argmax((m.times > 7500) & (m.temps.max(axis=1) < at)))
    return until(m, float(m.times[row]))


def _held(by: float) -> Found:
    entered = 600.0 + 85.0 / UP
    return until(made(), entered + 3600.0 + by)


def _predicted(off: float) -> Found:
    m = made()
    begun = 720.0  # the last sample before the first is 5 K up
    keep = m.times >= begun
    model = Predicted(tuple(m.times[keep] - begun), tuple(m.temps[keep].min(axis=1) + off))
    return until(m, 1500.0, predicted=model)


def _hot(by: float, *, back: bool = False) -> Found:
    m = made()
    m.temps[500:520, 0] += 400.0 - TOP + by
    return until(m, 5300.0 if back else 5100.0)


def _vacuum_now(by: float) -> Found:
    m = made()
    m.vacuum[500:] = (22.0 + by) * INHG
    return until(m, 5100.0)


def _below(by: float) -> Found:
    m = made()
    m.temps[500:, 0] = 385.0 + by
    return until(m, 5030.0)


def _backwards(by: float) -> Found:
    m = made()
    m.temps[300:, :3] = START - by  # three of four: the one that is right would be the odd one
    return until(m, 3100.0)


def _unanswered(since: float) -> Found:
    m = made()
    m.temps[:] = START + 1e-4 * np.sin(m.times / 7.0)[:, None] + 0.3 * np.arange(4)
    m.set_point = np.interp(m.times, [600.0, 1400.0], [START, START + 40.0])  # 20 K up at 1,000 s
    return until(m, 1010.0 + since)


def unjudged(m: Made, role: ChannelRole | None, values: NDArray[np.float64], time: float) -> Found:
    """Alarms beside a channel [K] that was read in another role, None: given one although it looks like a
    thermocouple."""
    log = m.log()
    n = int(np.searchsorted(log.times, time, side="right"))
    kept = tuple(
        dataclasses.replace(x, values=x.values[:n].copy()) for x in log.channels if x.role is not role
    )
    more = Channel("Spare", role or ChannelRole.THERMOCOUPLE, "temperature", values[:n].copy())
    beside = {"set_aside": (more,)} if role is None else {}
    kept += () if role is None else (more,)
    part = CureLog(log.times[:n].copy(), kept, **beside)
    return tuple(a.finding for a in look(WATCHED, part).alarms)


def _spare(role: ChannelRole | None, *, by: float, hot: bool = False) -> Found:
    """A place that is heated less, or from the dwell on more, at 385 or at 395 K but for so much."""
    m = made()
    own = START + (m.temps[:, 0] - START) * ((385.0 + by - START) / (TOP - START))
    if hot:
        own = m.temps[:, 0] + (5.0 + by) * (m.times > 2900.0)
    return unjudged(m, role, own, 4000.0)


def _left_early(inside: bool) -> Found:
    """In the band from 385 K up to 385 K down: 125 s, the dwell at 390 K, 167 s."""
    shown = HELD + 5.0 / UP + 5.0 / DOWN
    how = recipe(dwell={"dwell_least": limit(shown + (-1.0 if inside else 1.0))})
    return until(made(), 8000.0, r=how)


case(
    c.UNJUDGED_OUT, "low end of the band, given another role", lambda i: _spare(None, by=0.05 if i else -0.05)
)
case(c.UNJUDGED_OUT, "low end of the band, taken as air", lambda i: _spare(AIR, by=0.05 if i else -0.05))
case(
    c.UNJUDGED_OUT, "low end of the band, read as set point", lambda i: _spare(ASKED, by=0.05 if i else -0.05)
)
case(c.UNJUDGED_OUT, "top of the band", lambda i: _spare(AIR, by=-0.05 if i else 0.05, hot=True))
case(c.LEFT_EARLY, "least dwell", _left_early)
case(c.BACKWARDS, "10 K below its first readings", lambda inside: _backwards(9.95 if inside else 10.05))
case(c.UNANSWERED, "ten minutes", lambda inside: _unanswered(590.0 if inside else 600.0))
case(c.TOP_SOON, "three minutes off", lambda inside: _creeps(185.0 if inside else 175.0))
case(c.TOP_SOON, "two and a half minutes off, a swing", lambda i: _swings(148.0 if i else 147.0, -0.4))
case(c.TOP_SOON, "three minutes off, no swing", lambda i: _swings(181.0 if i else 179.0, 0.4))
case(c.TOP_SOON, "half of the rate over five minutes", lambda i: _swings(175.0, -0.05 if i else 0.05))
case(c.TOP_NEARS, "ten minutes off", lambda inside: _creeps(605.0 if inside else 595.0))
case(c.RAMP_SOON, "3 % above its rate", lambda inside: _rises(1.025 if inside else 1.035))
case(c.RAMP_SLOWS, "least rate", lambda inside: _lags(0.995 if inside else 1.005))
case(c.BAND_SOON, "three minutes off", lambda inside: _leaves(185.0 if inside else 175.0))
case(c.BAND_NEARS, "ten minutes off", lambda inside: _leaves(605.0 if inside else 595.0))
case(c.BAND_NEARS, "three minutes off, then a stop", lambda inside: _leaves(175.0 if inside else 185.0))
case(c.VACUUM_SOON, "0.3 kPa in two and a half minutes", lambda i: _vacuum_falls(290.0 if i else 310.0))
case(c.SENSOR_NOW, "370 C", _reads)
case(c.SILENT, "two and a half steps", lambda i: until(made(), 4000.0, silent=25.0 if i else 25.1))
case(c.COOL_SOON, "3 % above its rate", lambda inside: _falls(1.025 if inside else 1.035))
case(c.HOLD_VACUUM, "release temperature", lambda inside: _cools(325.0 if inside else 325.3))
case(c.DONE, "least dwell", lambda inside: _held(-5.0 if inside else 5.0))
case(c.BEHIND, "10 K", lambda inside: _predicted(9.95 if inside else 10.05))
case(c.AHEAD_OF_IT, "10 K", lambda inside: _predicted(-9.95 if inside else -10.05))
case(c.TOP_NOW, "ceiling or top of the band", lambda inside: _hot(-5.05 if inside else -4.95))
case(c.TOP_WAS, "ceiling", lambda inside: _hot(-0.05 if inside else 0.05, back=True))
case(c.VACUUM_NOW, "least vacuum", lambda inside: _vacuum_now(0.01 if inside else -0.01))
case(c.BAND_NOW, "low end of the band", lambda inside: _below(0.05 if inside else -0.05))
