"""The state of a running cure, and how long the slowest still needs."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from panelmend.errors import InputError, Severity
from panelmend.plan.judge import codes
from panelmend.plan.judge.alarm import Alarm
from panelmend.plan.judge.alarms import (
    CREEP,
    RECENT,
    alarms_ahead,
    beside_prediction,
    clock_now,
    lost_now,
    newest_value,
    silence,
    slope,
)
from panelmend.plan.judge.evidence import RISE, Evidence, gather
from panelmend.plan.judge.log import ChannelRole, CureLog
from panelmend.plan.judge.recipe import CureRecipe, RecipeLimit, RecipeSegment, SegmentKind
from panelmend.plan.judge.said import in_units
from panelmend.plan.judge.standing import standing_alarms
from panelmend.plan.judge.unjudged import unjudged_now
from panelmend.plan.judge.walk import Stretch, heat_start, walk


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
    """The state of a running cure, with its alarms.

    Args:
        recipe: what is to be done.
        log: the readings so far, at least two samples.
        silent: time since the last reading that counts (:attr:`Now.judged`) by the watcher's own clock [s].
        predicted: what a thermal model expects of the slowest; it is corrected with the readings so far.
        view: "mm" or "in": the units of the words.

    Returns:
        State, time left and alarms: stops first, the nearest first among them.
    """
    with in_units(view):
        return _looked(recipe, log, silent, predicted)


def _looked(recipe: CureRecipe, log: CureLog, silent: float, predicted: Predicted | None) -> Now:
    e = gather(log, recipe.longest_gap, live=True)
    log = e.log
    walked = walk(e, recipe)
    stretch = _current(e, walked)
    segment = stretch.segment if stretch else None
    at = len(log) - 1
    low, high = newest_value(e.lowest), newest_value(e.highest)
    rate = slope(e.times, e.lowest, RECENT)
    held = sum(s.length for s in stretch.spans) if stretch else 0.0
    if stretch and stretch.spans and not stretch.segment.summed:
        held = stretch.spans[-1].length
    held = max(0.0, held - e.blur)  # as the verdict will count it
    needed = segment.dwell_least.value if segment and segment.dwell_least else math.nan
    left, how = _left(e, segment, recipe, held, rate)
    if predicted is not None and segment is not None and segment.kind is SegmentKind.RAMP and left != 0.0:
        modelled = _by_model(e, predicted, _goal(recipe, segment)[0])
        if math.isfinite(modelled):
            left, how = modelled, "thermal model, corrected with the readings so far"
    points = [c.values for c in log.of_role(ChannelRole.SET_POINT)]
    alarms = [] if segment is None else alarms_ahead(e, recipe, segment, held)
    expected = _expected(e, predicted) if predicted is not None else math.nan
    if segment is not None and segment.kind is not SegmentKind.COOL:
        alarms += beside_prediction(e, expected)
    alarms += (
        standing_alarms(e, recipe, segment, held, walked)
        + unjudged_now(e, recipe, stretch, walked)
        + lost_now(e)
        + silence(e, silent, recipe.longest_gap)
        + clock_now(e)
    )
    alarms.sort(key=lambda a: (a.finding.severity is not Severity.STOP, a.within, a.finding.code))
    return Now(
        float(e.times[-1]),
        log.clock(float(e.times[-1])),
        segment.name if segment else "not found",
        segment.kind.value if segment else "",
        e.slowest_at(at),
        low,
        e.fastest_at(at),
        high,
        newest_value(points[0]) if points else math.nan,
        rate,
        newest_value(e.vacuum),
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


_SAID = (codes.ODD_STAMP.code, *codes.OUT_OF_ORDER, codes.FROZEN.code, *codes.BEGINS_IN_HEAT)


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


def _goal(recipe: CureRecipe, segment: RecipeSegment) -> tuple[float, RecipeLimit | None]:
    """The level the slowest must reach, and the least dwell time there."""
    if segment.kind is SegmentKind.RAMP:
        after = recipe.segments[recipe.segments.index(segment) + 1 :]
        if after and after[0].kind is SegmentKind.DWELL and after[0].band_low:
            return after[0].band_low.value, after[0].dwell_least
    return segment.target, None


def _left(
    e: Evidence, segment: RecipeSegment | None, recipe: CureRecipe, held: float, rate: float
) -> tuple[float, str]:
    """Time the slowest still needs [s] and how that was reckoned."""
    if segment is None:
        return math.nan, "the segment is not known"
    if segment.kind is SegmentKind.DWELL:
        assert segment.dwell_least is not None
        return max(0.0, segment.dwell_least.value - held), "time in the band so far"
    goal, _ = _goal(recipe, segment)
    low, high = newest_value(e.lowest), newest_value(e.highest)
    if segment.kind is SegmentKind.COOL:
        fall = -slope(e.times, e.highest, RECENT)
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
    start, low = heat_start(e), newest_value(e.lowest)
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
