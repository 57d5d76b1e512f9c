"""The place of each segment of the recipe in the log: found from the thermocouples, not from the set
point."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import assert_never

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.evidence import RISE, Evidence
from panelmend.plan.judge.holes import crossing_between, highest_with_unread, slowest_at_least
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.pieces import last_of
from panelmend.plan.judge.recipe import CureRecipe, RecipeLimit, RecipeSegment, SegmentKind
from panelmend.plan.judge.spans import (
    SLACK,
    Span,
    first_above,
    first_at,
    last_up,
    samples_within,
    spans_above,
)

SETTLED = 60.0  # s below the top of its band on the way down to a cooler dwell (common practice, no source)


@dataclass(frozen=True)
class Stretch:
    """A segment in the log. ``start`` and ``end`` [s]; ``entries`` [s]: when each thermocouple reached the
    segment's level (None: never); ``spans``: where the slowest was in the band; ``found`` False when the
    cure never came there; ``level`` [K]: that of the entries; ``until`` [s]: where the way to a hotter
    segment begins, or where it has come down to a cooler dwell that heat in its band follows, infinite for
    none; ``since`` [s]: where the way to this segment begins, at the soonest: behind a cooler dwell with
    that, in which a gap may hide it; ``down`` [s]: of a dwell cooler than the one before, when each
    thermocouple came down to ``top`` [K] (None: never); ``unparted``: the dwell right before it has the same
    target, and no reading shows where it begins."""

    segment: RecipeSegment
    start: float
    end: float
    entries: tuple[tuple[str, float | None], ...]
    spans: tuple[Span, ...]
    found: bool
    level: float = math.nan
    until: float = math.inf
    since: float = -math.inf
    down: tuple[tuple[str, float | None], ...] = ()
    top: float = math.nan
    unparted: bool = False


def counted_time(spans: tuple[Span, ...], segment: RecipeSegment) -> float:
    """The time that counts towards a dwell [s]: the sum of the spans, or the longest."""
    lengths = [x.length for x in spans]
    return (sum(lengths) if segment.summed else max(lengths)) if lengths else 0.0


def heat_start(e: Evidence) -> float:
    """When heat comes on [s]: the last sample before any thermocouple stands 5 K above its first readings;
    the first sample of a log that begins in the heat."""
    if not e.temps.size:
        return 0.0
    if any(f.finding.code in codes.BEGINS_IN_HEAT for f in e.checked.faults):
        return float(e.times[0])
    first = np.array([_first(e.temps[:, i]) for i in range(e.temps.shape[1])])
    warm = [
        first_above(c, float(np.nextafter(f + RISE, np.inf))) for c, f in zip(e.temps.T, first, strict=True)
    ]
    seen = [i for i in warm if i is not None]
    return float(e.times[max(0, min(seen) - 1)]) if seen else float(e.times[-1])


def _first(column: np.ndarray[tuple[int], np.dtype[np.float64]]) -> float:
    good = column[:1000][np.isfinite(column[:1000])]
    if good.size < 5:
        good = column[np.isfinite(column)]
    return float(np.median(good[:5])) if good.size else float("nan")


def walk(e: Evidence, recipe: CureRecipe) -> tuple[Stretch, ...]:
    """Go through the recipe's segments and find each in the log."""
    out: list[Stretch] = []
    now, lost = heat_start(e), False
    since, cooler, dwelt = _first_rows(e, now), None, -math.inf
    for at, segment in enumerate(recipe.segments):
        if cooler is not None and segment.target > cooler.segment.target:
            since = cooler.start
        if lost:
            out.append(Stretch(segment, now, now, (), (), False, since=since))
            continue
        if (
            cooler is not None
            and segment.target == cooler.segment.target
            and segment.kind is SegmentKind.DWELL
        ):
            out.append(Stretch(segment, now, now, (), (), False, since=since, unparted=True))
            continue
        if segment.kind is SegmentKind.DWELL and segment.target < dwelt:
            made = _dwell_below(e, recipe, at, now)
            since = max(since, made.since)
        elif segment.kind is SegmentKind.DWELL:
            made = _dwell(e, recipe, at, now)
        elif segment.kind is SegmentKind.RAMP:
            made = _ramp(e, recipe, at, now)
        elif segment.kind is SegmentKind.COOL:
            made = _cool(e, segment, now)
        else:
            assert_never(segment.kind)
        out.append(dataclasses.replace(made, since=since))
        lost = not made.found and segment.kind is SegmentKind.DWELL
        now = made.end if made.found else made.start
        if segment.kind is SegmentKind.DWELL:
            dwelt = segment.target
        if segment.kind is not SegmentKind.RAMP:
            since, cooler = now, made if segment.kind is SegmentKind.DWELL and made.found else None
    return tuple(out)


def _first_rows(e: Evidence, start: float) -> float:
    """Where the way to the first dwell begins at the soonest [s]: the start of heat, or the first row where
    no reading shows what came before the first one."""
    read = first_above(e.lowest, -math.inf)
    late = read is not None and e.times[read] - e.times[0] > e.gap
    return float(e.times[0]) if late else start


def _level(recipe: CureRecipe, at: int) -> float:
    """The level a ramp has to reach: the low end of the dwell it leads to, or its own target."""
    if at + 1 < len(recipe.segments):
        after = recipe.segments[at + 1]
        if after.kind is SegmentKind.DWELL and after.band_low is not None:
            return after.band_low.value
    return recipe.segments[at].target


def _entries(
    e: Evidence, level: float, after: float, *, falling: bool = False
) -> tuple[tuple[str, float | None], ...]:
    return tuple(
        (name, first_at(e.times, e.temps[:, i], level, after, falling=falling))
        for i, name in enumerate(e.names)
        if e.working[e.index_at(after), i]
    )


def _ramp(e: Evidence, recipe: CureRecipe, at: int, now: float) -> Stretch:
    level = _level(recipe, at)
    entries = _entries(e, level, now)
    seen = [t for _, t in entries if t is not None]
    to_dwell = at + 1 < len(recipe.segments) and recipe.segments[at + 1].kind is SegmentKind.DWELL
    end = (min(seen) if to_dwell else max(seen)) if seen else float(e.times[-1])
    return Stretch(recipe.segments[at], now, end, entries, (), bool(seen), level)


def _dwell(e: Evidence, recipe: CureRecipe, at: int, now: float) -> Stretch:
    segment = recipe.segments[at]
    assert segment.band_low is not None
    low = segment.band_low.value
    entries = _entries(e, low, now)
    entry = first_at(e.times, e.lowest, low, now)
    if entry is None:
        return Stretch(segment, now, now, entries, (), False, low)
    until = _way_out(e, recipe, at, entry)
    end = min(until, float(e.times[-1]))
    lowest, known = slowest_at_least(e, low)
    inside = [s for s in spans_above(e.times, lowest, low, known) if s.end >= entry and s.start <= end]
    spans = [s.within(entry, end) for s in inside]
    last = max((s.end for s in spans), default=entry)
    first = min([t for _, t in entries if t is not None], default=entry)
    return Stretch(segment, min(first, entry), max(last, entry), entries, tuple(spans), True, low, until)


def _dwell_below(e: Evidence, recipe: CureRecipe, at: int, now: float) -> Stretch:
    """A dwell that is cooler than the one before: it begins where the hottest has come down to the top of its
    band, or as far above the target as the low end is below it. ``since`` is when that can have been."""
    segment = recipe.segments[at]
    assert segment.band_low is not None
    low, top = segment.band_low.value, top_come_down_to(segment).value
    highest = highest_with_unread(e, top)  # one read above it again was above it while it was not read
    reached = _come_down(e, highest, top, now)
    if reached is None:
        return Stretch(segment, now, now, (), (), False, low)
    soonest = crossing_between(e, highest, top, reached, falling=True)[0]
    made = _dwell(e, recipe, at, float(e.times[e.index_at(reached)]))
    spans = tuple(s.within(reached, made.end) for s in made.spans if s.end > reached)
    start = max(made.start, reached)
    down = _entries(e, top, now, falling=True)
    return dataclasses.replace(made, start=start, spans=spans, since=max(now, soonest), down=down, top=top)


def _come_down(e: Evidence, highest: FloatArray, top: float, now: float) -> float | None:
    """When the hottest (n,) [K] has come down to a level [K] from a time [s] on, and has been so for a
    minute: noise on the way down is no heat above it. None for never."""
    reached = first_at(e.times, highest, top, now, falling=True)
    while reached is not None:
        near = samples_within(e.times, reached, reached + SETTLED)
        with np.errstate(invalid="ignore"):
            above = last_of(highest[near] > top * (1.0 + SLACK))
        if above is None:
            break
        after = float(e.times[near.start + above])
        reached = first_at(e.times, highest, top, after, falling=True)
    return reached


def top_come_down_to(segment: RecipeSegment) -> RecipeLimit:
    """The level [K] that the hottest has to come down to for a cooler dwell: the top of its band, or as far
    above the target as the low end is below it."""
    assert segment.band_low is not None
    mirrored = RecipeLimit(2.0 * segment.target - segment.band_low.value, segment.band_low.place)
    return segment.band_high or mirrored


def _way_out(e: Evidence, recipe: CureRecipe, at: int, entry: float) -> float:
    """Where what may count for a dwell ends [s]: the start of the way to a hotter segment, or where the
    hottest has come down to a cooler dwell that is followed by heat in its own band; infinite for neither."""
    return min(_way_to_hotter(e, recipe, at, entry), _way_to_cooler(e, recipe, at, entry))


def _way_to_hotter(e: Evidence, recipe: CureRecipe, at: int, entry: float) -> float:
    segment = recipe.segments[at]
    hotter = [
        s for s in recipe.segments[at + 1 :] if s.kind is not SegmentKind.COOL and s.target > segment.target
    ]
    if not hotter:
        return math.inf
    top = segment.band_high.value if segment.band_high else 0.5 * (segment.target + hotter[0].target)
    wanted = hotter[0].band_low.value if hotter[0].band_low else hotter[0].target
    reached = first_at(e.times, e.highest, wanted, entry)
    until = reached if reached is not None else float(e.times[-1])
    # the readings beside: the way may begin and end between two of them
    begin, end = (
        int(np.searchsorted(e.times, entry, "right")) - 1,
        int(np.searchsorted(e.times, until, "left")),
    )
    left = last_up(e.times, e.highest, top, float(e.times[begin]), float(e.times[end]))
    if left is not None:
        return min(max(left, entry), until)
    on_its_way = float(np.fmin.reduce(e.highest[begin : end + 1])) > top  # before the slowest came
    return entry if on_its_way else until


def _way_to_cooler(e: Evidence, recipe: CureRecipe, at: int, entry: float) -> float:
    segment, behind = recipe.segments[at], recipe.segments[at + 1 :]
    assert segment.band_low is not None
    low = segment.band_low.value
    cooler = [i for i, s in enumerate(behind) if s.kind is SegmentKind.DWELL and s.target < segment.target]
    if not cooler:
        return math.inf
    again = [s for s in behind[cooler[0] + 1 :] if s.kind is not SegmentKind.COOL]
    if not any(max(s.target, s.band_high.value if s.band_high else 0.0) >= low for s in again):
        return math.inf
    # where the bands touch, it has to have left its own
    top = min(top_come_down_to(behind[cooler[0]]).value, low * (1.0 - 2.0 * SLACK))
    reached = _come_down(e, highest_with_unread(e, top), top, entry)
    return math.inf if reached is None else reached


def _cool(e: Evidence, segment: RecipeSegment, now: float) -> Stretch:
    entries = _entries(e, segment.target, now, falling=True)
    seen = [t for _, t in entries if t is not None]
    done = bool(entries) and len(seen) == len(entries)
    end = max(seen) if done else float(e.times[-1])
    return Stretch(segment, now, end, entries, (), done, segment.target)
