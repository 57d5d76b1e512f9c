"""Alarms of a running cure: what will happen if nobody acts, and what is no longer read."""

from __future__ import annotations

import math
from typing import assert_never

import numpy as np

from panelmend.errors import Code
from panelmend.plan.judge import codes
from panelmend.plan.judge.alarm import Alarm
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.fault import BoolArray, length_up
from panelmend.plan.judge.faults_clock import UNBROKEN, gap_step
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.recipe import CureRecipe, RecipeSegment, SegmentKind
from panelmend.plan.judge.said import show, time_left

AHEAD = 600.0  # s: alarms look ten minutes ahead
RECENT = 300.0  # s: rates are taken from the last five minutes
SURE = 180.0  # s: a limit of heat or of the band that is nearer is a stop, one further off a warning
# the same for the rise of a control that swings [s]: one whose rate over five minutes is less than this share
# of the present one (common practice, no source)
SWING, STEADY = RECENT / 2, 0.5
LATEST, JITTER = 10, 1.1  # steps that tell the sampling of late, and how uneven it may be
CREEP = 0.3 / 60  # K/s: slower than this is noise
BESIDE = 10.0  # K off the prediction that deserve a look; common practice, no source


def newest_value(values: FloatArray) -> float:
    """The newest known value [their unit] of (n,) [their unit]; NaN when the newest three are not known."""
    tail = values[-3:]
    good = tail[np.isfinite(tail)]
    return float(good[-1]) if good.size else math.nan


def slope(times: FloatArray, values: FloatArray, span: float, least: int = 4) -> float:
    """Rate [per s] over the last ``span`` [s] by a straight line through the readings, NaN if too few. Where
    the recent steps are so long that the span cannot hold ``least`` readings, it is as long as they need."""
    inside = _since(times, values, span)
    if inside.sum() < least:
        step = _late_step(times)
        for steps in (least - 1, least):  # one of them may be missing
            if inside.sum() < least and step * least > span:
                inside = _since(times, values, max(span, JITTER * steps * step))
    t, v = times[inside], values[inside]
    if t.size < least or t[-1] - t[0] < 0.4 * span:
        return math.nan
    t = t - t.mean()
    return float((t * v).sum() / (t * t).sum())


def _late_step(times: FloatArray) -> float:
    """The usual step of late between ``times`` [s], in seconds; 0 for one."""
    return float(np.median(np.diff(times[-LATEST:]))) if times.size > 1 else 0.0


def _since(times: FloatArray, values: FloatArray, span: float) -> BoolArray:
    """Readings (n,) [any unit] that are there in the last ``span`` [s] of ``times`` [s]."""
    return np.asarray((times >= times[-1] - span) & np.isfinite(values))


def beside_prediction(e: Evidence, expected: float) -> list[Alarm]:
    """The slowest is far from its predicted temperature, ``expected`` [K]."""
    low = newest_value(e.lowest)
    if not (math.isfinite(expected) and math.isfinite(low)) or abs(low - expected) <= BESIDE:
        return []
    code = codes.BEHIND if low < expected else codes.AHEAD_OF_IT
    name = e.slowest_at(len(e.times) - 1)
    return [_alarm(code, f"{name} at {_c(low)}, {_c(expected)} predicted of the slowest", 0.0)]


def _alarm(code: Code, words: str, within: float, place: str = "") -> Alarm:
    return Alarm(code(f"{code.title}: {words}", place=place), within)


def _c(value: float) -> str:
    return show(value, "temperature", decimals=1)


def _rate(value: float) -> str:
    return show(value, "temperature rate", decimals=2)


def alarms_ahead(e: Evidence, recipe: CureRecipe, segment: RecipeSegment, held: float) -> list[Alarm]:
    """Alarms for temperatures and vacuum heading for a limit in this segment; ``held`` [s] of the dwell
    already done."""
    found: list[Alarm] = []
    found += _heat(e, recipe, segment)
    found += _vacuum(e, recipe)
    if segment.kind is SegmentKind.RAMP:
        found += _ramp(e, segment)
    elif segment.kind is SegmentKind.DWELL:
        found += _dwell(e, segment, held)
    elif segment.kind is SegmentKind.COOL:
        found += _cool(e, recipe, segment)
    else:
        assert_never(segment.kind)
    return found


def _heat(e: Evidence, recipe: CureRecipe, segment: RecipeSegment) -> list[Alarm]:
    """The fastest is past the segment's target and still rising towards a limit. On a ramp below the target
    the controller has yet to level off, so there is no alarm."""
    limits = [x for x in (recipe.ceiling, segment.ceiling) if x is not None]
    goal = segment.target
    if segment.kind is SegmentKind.DWELL and segment.band_high is not None:
        limits.append(segment.band_high)
    if segment.kind is SegmentKind.RAMP:
        after = recipe.segments[recipe.segments.index(segment) + 1 :]
        if after and after[0].kind is SegmentKind.DWELL and after[0].band_high is not None:
            limits.append(after[0].band_high)
    if not limits or segment.kind is SegmentKind.COOL:
        return []
    limit = min(limits, key=lambda x: x.value)
    high, rate = newest_value(e.highest), slope(e.times, e.highest, RECENT / 2)
    lately = slope(e.times, e.highest, 90.0, 3)
    rate = min(rate, lately) if math.isfinite(lately) else rate  # levelling off is no alarm
    if not (high > goal + 1.0 and rate > CREEP):
        return []
    within = max(0.0, (limit.value - high) / rate)
    swings = not slope(e.times, e.highest, RECENT) >= STEADY * rate
    sure = SWING if swings else SURE
    if within > AHEAD or _levels_off(e, high, limit.value, swings):
        return []
    name = e.fastest_at(len(e.times) - 1)
    when = f"passes {_c(limit.value)} in {time_left(within)}"
    if within <= 0.0:
        when = f"is past {_c(limit.value)} and still rises"
    words = f"{name} at {_c(high)} {when}"
    overshot = _last_peak(e) >= high and within > sure / 2  # it stood as high before and came back
    if within > sure or overshot:
        return [_alarm(codes.TOP_NEARS, words + " if it goes on so", within, limit.place)]
    return [_alarm(codes.TOP_SOON, words, within, limit.place)]


def _last_peak(e: Evidence) -> float:
    """The highest reading before the last five minutes [K]: an overshoot from which the temperature came
    back."""
    before = e.highest[e.times < e.times[-1] - RECENT]
    before = before[np.isfinite(before)]
    return float(before.max()) if before.size else -math.inf


def _levels_off(e: Evidence, high: float, limit: float, swings: bool) -> bool:
    """The rise slows down so much that it ends below the limit: an overshoot that the control corrects.

    The rates of two spans lie half of their difference apart; at their deceleration d a rate r goes on for
    r^2 / 2 d. For a swinging rise shorter spans are used as well; for a slow one they would only show its
    noise.
    """
    spans = [(RECENT, RECENT / 3)] + ([(RECENT / 2, RECENT / 5)] if swings else [])
    for long, short in spans:
        slow, quick = slope(e.times, e.highest, long), slope(e.times, e.highest, short, 3)
        if not (math.isfinite(slow) and math.isfinite(quick) and 0.0 < quick < slow):
            continue
        deceleration = (slow - quick) / (0.5 * (long - short))
        if high + quick * quick / (2 * deceleration) < limit:
            return True
    return False


def _vacuum(e: Evidence, recipe: CureRecipe) -> list[Alarm]:
    if recipe.vacuum is None or not np.isfinite(e.vacuum).any():
        return []
    value, trend = newest_value(e.vacuum), slope(e.times, e.vacuum, RECENT / 2)
    limit = recipe.vacuum.least
    released = recipe.release_most is not None and newest_value(e.highest) <= recipe.release_most.value
    fall = -trend * max(RECENT / 2, 3.0 * _late_step(e.times))
    steps = np.diff(e.vacuum[-30:])
    steps = steps[np.isfinite(steps)]
    noise = float(np.std(steps)) if steps.size > 4 else 0.0
    if released or not fall > max(300.0, 4 * noise) or not np.nanmax(e.vacuum) >= limit.value:
        return []
    within = max(0.0, (value - limit.value) / -trend)
    if within > AHEAD:
        return []
    have, least = (show(x, "pressure", decimals=1) for x in (value, limit.value))
    words = f"{have}, below {least} in {time_left(within)}"
    return [_alarm(codes.VACUUM_SOON, words, within, limit.place)]


def _ramp(e: Evidence, segment: RecipeSegment) -> list[Alarm]:
    found = []
    half = segment.rate_window / 2
    for i, name in enumerate(e.names):
        rate = slope(e.times, e.temps[:, i], half)
        limit = segment.rate_most
        if limit is not None and rate > 1.03 * limit.value:
            words = f"{name} rises {_rate(rate)}, most {_rate(limit.value)}"
            found.append(_alarm(codes.RAMP_SOON, words, half, limit.place))
    slow = slope(e.times, e.lowest, segment.rate_window)
    least = segment.rate_least
    begun = e.times[-1] - e.times[0] > 2 * segment.rate_window and newest_value(e.lowest) > e.lowest[0] + 10
    if least is not None and begun and slow < least.value and newest_value(e.lowest) < segment.target - 15:
        name = e.slowest_at(len(e.times) - 1)
        words = f"{name} rises {_rate(slow)}, least {_rate(least.value)}"
        found.append(_alarm(codes.RAMP_SLOWS, words, 0.0, least.place))
    return found


def _dwell(e: Evidence, segment: RecipeSegment, held: float) -> list[Alarm]:
    assert segment.band_low is not None
    assert segment.dwell_least is not None
    if held >= segment.dwell_least.value:
        words = f"{math.floor(held / 60)} min held, {math.ceil(segment.dwell_least.value / 60)} min required"
        return [_alarm(codes.DONE, words, 0.0, segment.dwell_least.place)]
    low, rate = newest_value(e.lowest), slope(e.times, e.lowest, RECENT / 2)
    if not rate < -CREEP:
        return []
    within = max(0.0, (low - segment.band_low.value) / -rate)
    if within > AHEAD:
        return []
    name = e.slowest_at(len(e.times) - 1)
    words = f"{name} at {_c(low)} falls out in {time_left(within)}"
    if within > SURE:  # an on-off control swings as far
        return [_alarm(codes.BAND_NEARS, words + " if it goes on so", within, segment.band_low.place)]
    return [_alarm(codes.BAND_SOON, words, within, segment.band_low.place)]


def _cool(e: Evidence, recipe: CureRecipe, segment: RecipeSegment) -> list[Alarm]:
    found = []
    limit, half = segment.rate_most, segment.rate_window / 2
    for i, name in enumerate(e.names):
        rate = -slope(e.times, e.temps[:, i], half)
        if limit is not None and rate > 1.03 * limit.value:
            words = f"{name} falls {_rate(rate)}, most {_rate(limit.value)}"
            found.append(_alarm(codes.COOL_SOON, words, half, limit.place))
    release = recipe.release_most
    if recipe.bagged and release is not None and newest_value(e.highest) > release.value:
        words = f"hottest {_c(newest_value(e.highest))}, release at {_c(release.value)}"
        found.append(_alarm(codes.HOLD_VACUUM, words, 0.0, release.place))
    return found


def lost_now(e: Evidence) -> list[Alarm]:
    """An alarm for each thermocouple that is lost or in doubt, with how many are left."""
    left = int(e.working[-1].sum()) if e.working.size else 0
    return [
        _alarm(codes.SENSOR_NOW, f"{f.channel}: {f.finding.words}; {left} are left", 0.0, f.channel)
        for f in e.checked.faults
        if (f.sensor_lost or f.doubt) and f.channel in e.names
    ]


def clock_now(e: Evidence) -> list[Alarm]:
    """The clock was set back, or nothing moves any more: the newest readings cannot be relied on."""
    found = []
    if not e.order:
        words = "set back; times since then follow the order of the readings"
        found.append(_alarm(codes.CLOCK_BACK, words, 0.0))
    if e.checked.frozen.size and e.checked.frozen[-1]:
        since = float(e.times[-1] - e.times[~e.checked.frozen][-1])
        found.append(_alarm(codes.FROZEN, f"for {length_up(since)}; look at the logger", 0.0))
    stopped = [
        f
        for f in e.checked.faults
        if f.finding.code == codes.STOOD_TOGETHER.code and f.until >= float(e.times[-1])
    ]
    if stopped:
        who = ", ".join(f.channel for f in stopped)
        since = float(e.times[-1]) - min(f.time for f in stopped)
        words = f"{who} for {length_up(since)}, others go on; look at the logger"
        found.append(_alarm(codes.STOOD_TOGETHER, words, 0.0))
    return found


def silence(e: Evidence, silent: float, longest_gap: float | None = None) -> list[Alarm]:
    """Nothing new has come for ``silent`` [s]. If the longest gap of the approved data [s] is shorter than a
    gap of the log, the alarm comes sooner; if it is longer, for a logger that writes only changes, the alarm
    comes within a minute all the same: a gap hides as much from the watch whether or not it is allowed."""
    limit = gap_step(e.log)
    if longest_gap is not None:
        limit = min(longest_gap, max(limit, UNBROKEN))
    if silent <= max(limit, 5.0):
        return []
    words = f"the newest reading that counts is {length_up(silent)} old"
    return [_alarm(codes.SILENT, words, 0.0)]
