"""A cure while it runs: where it stands, how long the slowest needs, what will happen if nobody acts."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from panelmend.errors import Code, InputError
from panelmend.plan.judge import codes
from panelmend.plan.judge.alarm import Alarm
from panelmend.plan.judge.evidence import RISE, Evidence, gather
from panelmend.plan.judge.faults_clock import gap_step
from panelmend.plan.judge.log import CureLog, FloatArray, Role
from panelmend.plan.judge.recipe import CureRecipe, Limit, Segment, SegmentKind
from panelmend.plan.judge.said import in_units, show
from panelmend.plan.judge.standing import standing
from panelmend.plan.judge.walk import Stretch, heat_start, walk

AHEAD = 600.0  # s: alarms look ten minutes ahead
RECENT = 300.0  # s: rates are taken from the last five minutes
SURE = 180.0  # s: a limit of heat that is nearer than this is a stop, one further off a warning
CREEP = 0.3 / 60  # K/s: slower than this is noise
BESIDE = 10.0  # K from the prediction that are worth a look; common practice, no source


@dataclass(frozen=True)
class Now:
    """The state of a running cure. Temperatures [K], ``rate`` of the slowest [K/s], ``vacuum`` [Pa], times
    [s]; NaN where not known. ``left`` is what the slowest still needs in this segment at its present rate;
    ``left_how`` says how it was reckoned; ``expected`` is what a prediction says of the slowest now [K];
    ``judged``: samples with a thermocouple that count, ``said``: what was put right or set aside in the log,
    in words."""

    time: float
    clock: str
    segment: str
    kind: str
    slowest: str
    lowest: float
    fastest: str
    highest: float
    set_point: float
    rate: float
    vacuum: float
    working: int
    held: float
    needed: float
    left: float
    left_how: str
    alarms: tuple[Alarm, ...]
    expected: float = math.nan
    judged: int = 0
    said: tuple[str, ...] = ()


@dataclass(frozen=True)
class Predicted:
    """What a model expects of the slowest: ``times`` [s] from the start of heat, ``temps`` [K]."""

    times: tuple[float, ...]
    temps: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.times) != len(self.temps) or len(self.times) < 2 or not np.all(np.diff(self.times) > 0):
            raise InputError("a prediction needs rising times and as many temperatures")


def look(
    recipe: CureRecipe,
    log: CureLog,
    *,
    silent: float = 0.0,
    predicted: Predicted | None = None,
    view: str = "mm",
) -> Now:
    """Look at a cure that runs.

    Args:
        recipe: what is to be done.
        log: the readings so far, at least two samples.
        silent: time since the last reading that counts (:attr:`Now.judged`) by the watcher's own clock [s].
        predicted: what a thermal model expects of the slowest; it is corrected with the readings so far.
        view: "mm" or "in": the units of the words.

    Returns:
        State, time left and alarms, the nearest first.
    """
    with in_units(view):
        return _looked(recipe, log, silent, predicted)


def _looked(recipe: CureRecipe, log: CureLog, silent: float, predicted: Predicted | None) -> Now:
    e = gather(log, live=True)
    log = e.log
    walked = walk(e, recipe)
    stretch = _current(e, walked)
    segment = stretch.segment if stretch else None
    at = len(log) - 1
    low, high = _last(e.lowest), _last(e.highest)
    rate = _slope(e.times, e.lowest, RECENT)
    held = sum(s.length for s in stretch.spans) if stretch else 0.0
    if stretch and stretch.spans and not stretch.segment.summed:
        held = stretch.spans[-1].length
    needed = segment.dwell_least.value if segment and segment.dwell_least else math.nan
    left, how = _left(e, segment, recipe, held, rate)
    if predicted is not None and segment is not None and segment.kind is SegmentKind.RAMP and left != 0.0:
        modelled = _by_model(e, predicted, _goal(recipe, segment)[0])
        if math.isfinite(modelled):
            left, how = modelled, "thermal model, corrected with the readings so far"
    points = [c.values for c in log.of_role(Role.SET_POINT)]
    alarms = [] if segment is None else _alarms(e, recipe, segment, held)
    expected = _expected(e, predicted) if predicted is not None else math.nan
    if segment is not None and segment.kind is not SegmentKind.COOL:
        alarms += _beside(e, expected)
    alarms += standing(e, recipe, segment, held) + _lost(e) + _silence(e, silent) + _clock(e)
    alarms.sort(key=lambda a: (a.within, a.finding.code))
    return Now(
        float(e.times[-1]),
        log.clock(float(e.times[-1])),
        segment.name if segment else "not found",
        segment.kind.value if segment else "",
        e.slowest_at(at),
        low,
        e.fastest_at(at),
        high,
        _last(points[0]) if points else math.nan,
        rate,
        _last(e.vacuum),
        int(e.working[-1].sum()) if e.working.size else 0,
        held,
        needed,
        left,
        how,
        tuple(alarms),
        expected,
        int((np.isfinite(e.temps) & e.working).any(axis=1).sum()),
        tuple(f.finding.words for f in e.checked.faults if f.finding.code in _SAID)
        + ((f"{e.checked.waiting} samples far ahead wait for the next one",) if e.checked.waiting else ()),
    )


_SAID = (codes.ODD_STAMP.code, codes.CLOCK_BACK.code, codes.FROZEN.code)


def _last(values: FloatArray) -> float:
    """The newest known value; NaN when the newest three are not known."""
    tail = values[-3:]
    good = tail[np.isfinite(tail)]
    return float(good[-1]) if good.size else math.nan


def _slope(times: FloatArray, values: FloatArray, span: float, least: int = 4) -> float:
    """Rate over the last ``span`` seconds by a straight line through the readings [per s], NaN if too few."""
    inside = (times >= times[-1] - span) & np.isfinite(values)
    t, v = times[inside], values[inside]
    if t.size < least or t[-1] - t[0] < 0.4 * span:
        return math.nan
    t = t - t.mean()
    return float((t * v).sum() / (t * t).sum())


def _current(e: Evidence, walked: tuple[Stretch, ...]) -> Stretch | None:
    """The segment the cure is in: the last one whose start has come; a dwell once the slowest is in."""
    now = None
    for s in walked:
        if s.segment.kind is SegmentKind.COOL:
            dwells = [x for x in walked if x.segment.kind is SegmentKind.DWELL]
            low = dwells[-1].segment.band_low
            fallen = low is not None and dwells[-1].found and e.highest[-1] < low.value
            if fallen:
                now = s
        elif s.segment.kind is SegmentKind.DWELL:
            if s.found:
                now = s
        elif now is None or (now.found and now.segment.kind is SegmentKind.DWELL and s.start < e.times[-1]):
            high = now.segment.band_high if now else None
            if now is None or (high is not None and e.highest[-1] > high.value):
                now = s
    return now


def _goal(recipe: CureRecipe, segment: Segment) -> tuple[float, Limit | None]:
    """The level the slowest must reach, and the least dwell time there."""
    if segment.kind is SegmentKind.RAMP:
        after = recipe.segments[recipe.segments.index(segment) + 1 :]
        if after and after[0].kind is SegmentKind.DWELL and after[0].band_low:
            return after[0].band_low.value, after[0].dwell_least
    return segment.target, None


def _left(
    e: Evidence, segment: Segment | None, recipe: CureRecipe, held: float, rate: float
) -> tuple[float, str]:
    """Time the slowest still needs [s] and how that was reckoned."""
    if segment is None:
        return math.nan, "the segment is not known"
    if segment.kind is SegmentKind.DWELL:
        assert segment.dwell_least is not None
        return max(0.0, segment.dwell_least.value - held), "time in the band so far"
    goal, _ = _goal(recipe, segment)
    low, high = _last(e.lowest), _last(e.highest)
    if segment.kind is SegmentKind.COOL:
        fall = -_slope(e.times, e.highest, RECENT)
        if high <= segment.target:
            return 0.0, "all are below the target"
        if not fall > CREEP:
            return math.nan, "the hottest does not fall"
        return (high - segment.target) / fall, "present rate of the hottest"
    if low >= goal:
        return 0.0, "the slowest is in the band"
    if not rate > CREEP:
        return math.nan, "the slowest does not rise"
    return (goal - low) / rate, "present rate of the slowest"


def _by_model(e: Evidence, p: Predicted, goal: float) -> float:
    """Time until the slowest reaches the goal [s]: the model's own, stretched by how much later than the
    model the readings came to where they are now. NaN where the model never comes there."""
    times, temps = np.array(p.times), np.maximum.accumulate(np.array(p.temps))
    start, low = heat_start(e), _last(e.lowest)
    if not temps[0] + RISE < low < temps[-1] or not goal <= temps[-1]:
        return math.nan
    here = float(times[int(np.searchsorted(temps, low))])
    there = float(times[int(np.searchsorted(temps, goal))])
    spent = float(e.times[-1]) - start
    return math.nan if here <= 0 or spent <= 0 else max(0.0, there - here) * spent / here


def _expected(e: Evidence, p: Predicted) -> float:
    """What the model says of the slowest now [K]; NaN past its end."""
    since = float(e.times[-1]) - heat_start(e)
    return float(np.interp(since, p.times, p.temps)) if 0.0 <= since <= p.times[-1] else math.nan


def _beside(e: Evidence, expected: float) -> list[Alarm]:
    """The slowest is far from what was predicted of it."""
    low = _last(e.lowest)
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


def _alarms(e: Evidence, recipe: CureRecipe, segment: Segment, held: float) -> list[Alarm]:
    found: list[Alarm] = []
    found += _heat(e, recipe, segment)
    found += _vacuum(e, recipe)
    if segment.kind is SegmentKind.RAMP:
        found += _ramp(e, segment)
    elif segment.kind is SegmentKind.DWELL:
        found += _dwell(e, segment, held)
    else:
        found += _cool(e, recipe, segment)
    return found


def _heat(e: Evidence, recipe: CureRecipe, segment: Segment) -> list[Alarm]:
    """The fastest is past the segment's target and still rises towards a limit. On a ramp below the target
    the controller is still to level off, so nothing is said there."""
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
    high, rate = _last(e.highest), _slope(e.times, e.highest, RECENT / 2)
    newest = _slope(e.times, e.highest, 90.0, 3)
    rate = min(rate, newest) if math.isfinite(newest) else rate  # levelling off is no alarm
    if not (high > goal + 1.0 and rate > CREEP):
        return []
    within = max(0.0, (limit.value - high) / rate)
    if within > AHEAD or (within > 0.0 and _levels_off(e, high, limit.value)):
        return []
    name = e.fastest_at(len(e.times) - 1)
    words = f"{name} at {_c(high)} passes {_c(limit.value)} in {within / 60:.0f} min"
    overshot = _last_peak(e) >= high and within > SURE / 2  # it stood as high before and came back
    if within > SURE or overshot:
        return [_alarm(codes.TOP_NEARS, words + " if it goes on so", within, limit.place)]
    return [_alarm(codes.TOP_SOON, words, within, limit.place)]


def _last_peak(e: Evidence) -> float:
    """The highest reading before the last five minutes [K]: an overshoot that was taken back."""
    before = e.highest[e.times < e.times[-1] - RECENT]
    before = before[np.isfinite(before)]
    return float(before.max()) if before.size else -math.inf


def _levels_off(e: Evidence, high: float, limit: float) -> bool:
    """The rise slows down so much that it ends below the limit: an overshoot that the control takes back.

    Rates of the last 5 min and of the last 100 s lie 100 s apart; at their deceleration d a rate r goes on
    for r^2 / 2 d.
    """
    slow, quick = _slope(e.times, e.highest, RECENT), _slope(e.times, e.highest, RECENT / 3, 3)
    if not (math.isfinite(slow) and math.isfinite(quick) and 0.0 < quick < slow):
        return False
    deceleration = (slow - quick) / (RECENT / 3)
    return high + quick * quick / (2 * deceleration) < limit


def _vacuum(e: Evidence, recipe: CureRecipe) -> list[Alarm]:
    if recipe.vacuum is None or not np.isfinite(e.vacuum).any():
        return []
    value, slope = _last(e.vacuum), _slope(e.times, e.vacuum, RECENT / 2)
    limit = recipe.vacuum.least
    released = recipe.release_most is not None and _last(e.highest) <= recipe.release_most.value
    fall = -slope * RECENT / 2
    steps = np.diff(e.vacuum[-30:])
    steps = steps[np.isfinite(steps)]
    noise = float(np.std(steps)) if steps.size > 4 else 0.0
    if released or not fall > max(300.0, 4 * noise) or not np.nanmax(e.vacuum) >= limit.value:
        return []
    within = max(0.0, (value - limit.value) / -slope)
    if within > AHEAD:
        return []
    have, least = (show(x, "pressure", decimals=1) for x in (value, limit.value))
    words = f"{have}, below {least} in {within / 60:.0f} min"
    return [_alarm(codes.VACUUM_SOON, words, within, limit.place)]


def _ramp(e: Evidence, segment: Segment) -> list[Alarm]:
    found = []
    half = segment.rate_window / 2
    for i, name in enumerate(e.names):
        rate = _slope(e.times, e.temps[:, i], half)
        limit = segment.rate_most
        if limit is not None and rate > 1.03 * limit.value:
            words = f"{name} rises {_rate(rate)}, most {_rate(limit.value)}"
            found.append(_alarm(codes.RAMP_SOON, words, half, limit.place))
    slow = _slope(e.times, e.lowest, segment.rate_window)
    least = segment.rate_least
    begun = e.times[-1] - e.times[0] > 2 * segment.rate_window and _last(e.lowest) > e.lowest[0] + 10
    if least is not None and begun and slow < least.value and _last(e.lowest) < segment.target - 15:
        name = e.slowest_at(len(e.times) - 1)
        words = f"{name} rises {_rate(slow)}, least {_rate(least.value)}"
        found.append(_alarm(codes.RAMP_SLOWS, words, 0.0, least.place))
    return found


def _dwell(e: Evidence, segment: Segment, held: float) -> list[Alarm]:
    assert segment.band_low is not None
    assert segment.dwell_least is not None
    if held >= segment.dwell_least.value:
        words = f"{held / 60:.0f} min held, {segment.dwell_least.value / 60:.0f} min asked"
        return [_alarm(codes.DONE, words, 0.0, segment.dwell_least.place)]
    low, rate = _last(e.lowest), _slope(e.times, e.lowest, RECENT / 2)
    if not rate < -CREEP:
        return []
    within = max(0.0, (low - segment.band_low.value) / -rate)
    if within > AHEAD:
        return []
    name = e.slowest_at(len(e.times) - 1)
    words = f"{name} at {_c(low)} falls out in {within / 60:.0f} min"
    return [_alarm(codes.BAND_SOON, words, within, segment.band_low.place)]


def _cool(e: Evidence, recipe: CureRecipe, segment: Segment) -> list[Alarm]:
    found = []
    limit, half = segment.rate_most, segment.rate_window / 2
    for i, name in enumerate(e.names):
        rate = -_slope(e.times, e.temps[:, i], half)
        if limit is not None and rate > 1.03 * limit.value:
            words = f"{name} falls {_rate(rate)}, most {_rate(limit.value)}"
            found.append(_alarm(codes.COOL_SOON, words, half, limit.place))
    release = recipe.release_most
    if release is not None and _last(e.highest) > release.value:
        words = f"hottest {_c(_last(e.highest))}, release at {_c(release.value)}"
        found.append(_alarm(codes.HOLD_VACUUM, words, 0.0, release.place))
    return found


def _lost(e: Evidence) -> list[Alarm]:
    left = int(e.working[-1].sum()) if e.working.size else 0
    return [
        _alarm(codes.SENSOR_NOW, f"{f.channel}: {f.finding.words}; {left} are left", 0.0, f.channel)
        for f in e.checked.faults
        if (f.sensor_lost or f.doubt) and f.channel in e.names
    ]


def _clock(e: Evidence) -> list[Alarm]:
    """The clock was set back, or nothing moves any more: what the newest readings say is not sure."""
    found = []
    if not e.order:
        words = "set back; times since are reckoned in the order of the readings"
        found.append(_alarm(codes.CLOCK_BACK, words, 0.0))
    if e.checked.frozen.size and e.checked.frozen[-1]:
        since = float(e.times[-1] - e.times[~e.checked.frozen][-1])
        found.append(_alarm(codes.FROZEN, f"for {since / 60:.0f} min; look at the logger", 0.0))
    return found


def _silence(e: Evidence, silent: float) -> list[Alarm]:
    if silent <= max(gap_step(e.log), 5.0):
        return []
    words = f"the newest reading that counts is {_age(silent)} old"
    return [_alarm(codes.SILENT, words, 0.0)]


def _age(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 120 else f"{seconds / 60:.0f} min"
