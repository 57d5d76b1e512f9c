"""The logger's clock and readings that stand, from both sides."""

from __future__ import annotations

import dataclasses
from datetime import datetime, timedelta

import numpy as np

from judge_case import BEGUN, Found, case, found
from judge_lines import TOP, limit, made, recipe
from judge_lost import made as apart
from made_curelog import Made
from panelmend.plan.judge import ChannelRole, find_faults, judge
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.log import Channel
from panelmend.plan.judge.rules_clock import WatchedDwell
from panelmend.plan.judge.rules_job import JobTimes

NOON = datetime(2026, 11, 25, 12)


def _job(watched: float | None, set_to: float | None = None) -> Found:
    r = recipe()
    name = r.dwells()[0].name
    seen = () if watched is None else (WatchedDwell(name, NOON, NOON + timedelta(seconds=watched)),)
    job = JobTimes(BEGUN, BEGUN + timedelta(hours=5), watched=seen, set_to=set_to)
    return found(r, job=job)


def _short(inside: bool) -> Found:
    least = recipe().dwells()[0].dwell_least
    assert least is not None
    return _job(least.value - (120.0 if inside else 121.0))


def _stood(inside: bool) -> Found:
    m = made()
    m.temps += np.array([0.0, -1.0, 2.0, 1.0])
    m.temps = np.round(m.temps - 273.15) + 273.15
    hot = np.flatnonzero(m.temps.min(axis=1) > m.temps.max() - 5.0)
    swings = np.arange(m.times.size) % (91 if inside else 92) == 0  # 10 s a row: 900 s and 910 s between them
    m.temps[hot[swings[hot]], 0] += 1.0
    m.vacuum += np.where(np.arange(m.times.size) % 2, 300.0, 0.0)
    return found(recipe(), m)


def _stood_beside(inside: bool) -> Found:
    """One shows one value for 890 s or 900 s while another goes up and comes back."""
    m = made()
    m.temps += np.array([0.0, -0.3, 0.7, 0.3]) + np.random.default_rng(3).normal(0.0, 0.06, m.temps.shape)
    m.temps[:, 2] += np.interp(m.times, [3600.0, 4200.0, 4800.0], [0.0, 6.0, 0.0])
    m.temps = np.round((m.temps - 273.15) * 10.0) / 10.0 + 273.15
    first = int(np.searchsorted(m.times, 3750.0))
    m.temps[first : first + 91, 0] = m.temps[first, 0]
    m.temps[[first - 1, first + 91], 0] = m.temps[first, 0] + 0.1
    m.temps[first + 90, 0] += 0.1 if inside else 0.0
    return found(recipe(), m)


def _left_out(inside: bool) -> Found:
    """A row without a time in the middle of the hold, below a sample that is in the log."""
    log = made().log()
    hot = Channel("T2", ChannelRole.THERMOCOUPLE, "temperature", np.array([393.1 if inside else 393.2]))
    log = dataclasses.replace(log, left_lines=log.lines[500:501] + 1, left_out=(hot,))
    return judge(recipe(dwell={"band_high": limit(393.1)}), log).findings


def _clock_stood(inside: bool) -> Found:
    """Samples of one stamp before a gap of five minutes: as many as one holds, or one more."""
    m = made()
    log = m.log()
    times = log.times.copy()
    first = 500 if inside else 499
    times[first + 1 : 503] = times[first]
    times[503:] += 300.0
    return tuple(f.finding for f in find_faults(dataclasses.replace(log, times=times, stamp_step=20.0)))


case(c.CLOCK_STOOD, "as many as a stamp holds", _clock_stood)
case(c.LEFT_OUT, "the top of the band", _left_out)


def _stands(m: Made, after: float) -> None:
    """T3 shows one value from 4000 s to 4700 s, and is where it was so many seconds later."""
    here = (m.times >= 4000.0) & (m.times <= 4700.0)
    m.temps[here, 2] = m.temps[m.times == 4000.0, 2]
    way = np.interp(m.times, [4700.0, 4700.0 + after], [1.0, 0.0]) * (m.times > 4700.0)
    m.temps[:, 2] += way * (m.temps[m.times == 4000.0, 2] - TOP - 0.01)


def _stood_moving(inside: bool) -> Found:
    """It had come up by 0.6 K or 0.7 K in the last minute; ten minutes more end above the band."""
    m = apart()
    m.temps[:, 2] += (
        np.clip((m.times - 3940.0) / 60.0, 0.0, 1.0) * (0.6 if inside else 0.7) * (m.times <= 4000.0)
    )
    _stands(m, 600.0)
    return found(recipe(dwell={"band_high": limit(395.0)}), m)


def _stood_jumped(inside: bool) -> Found:
    """It goes on by 1.0 K or 1.1 K further up, and comes back in a quarter of an hour."""
    m = apart()
    _stands(m, 600.0)
    after = np.interp(m.times, [4710.0, 5610.0], [1.0, 0.0]) * (m.times > 4700.0)
    m.temps[:, 2] += after * (1.0 if inside else 1.1)
    return found(recipe(), m)


case(c.STOOD_MOVING, "0.7 K in a minute", _stood_moving)
case(c.STOOD_JUMPED, "1 K", _stood_jumped)
case(c.STOOD_BESIDE, "15 min", _stood_beside)
case(c.CLOCK_ALONE, "a watch that was read", lambda inside: _job(3700.0 if inside else None))
case(c.CLOCK_DIFFERS, "the least dwell and two minutes", _short)
case(c.OTHER_STEP, "a tenth of the step", lambda inside: _job(None, 9.1 if inside else 9.0))
case(c.STOOD, "15 min", _stood)
