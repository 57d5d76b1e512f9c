"""Thermocouples that stopped at one value in a dwell: a stay is judged no more leniently than a loss. One
that was moving until it stopped, or is stuck by its noise, is estimated as a lost one is, and one that jumps
when it resumes was at another temperature meanwhile."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from panelmend.errors import Code
from panelmend.plan.judge import codes
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.fault import length_up, run_ends
from panelmend.plan.judge.faults_frozen import is_coarse
from panelmend.plan.judge.faults_reckoned import digit_of
from panelmend.plan.judge.holes import slowest_at_least
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.lost import place_of_lost
from panelmend.plan.judge.lost_moving import BACK, MOST_LOOKED, least_told, moved_further
from panelmend.plan.judge.lost_read import RISING
from panelmend.plan.judge.recipe import CureRecipe, RecipeLimit, SegmentKind
from panelmend.plan.judge.said import lengths_apart, show
from panelmend.plan.judge.spans import samples_within, spans_above
from panelmend.plan.judge.unread import heat_ends
from panelmend.plan.judge.verdict import Outcome, VerdictRecorder, told_apart
from panelmend.plan.judge.walk import Stretch, counted_time

# common practice, no source, all: a stay that is looked at, in time, in time after a steep way, and in rows;
# a step that ends it and that the others do not take within five minutes
STOOD, SHORT, ROWS, JUMPED = 600.0, 300.0, 6, 1.0  # s, s, rows, K
FLICKERS = 0.1  # K, the widest last digit that is told to flicker from a place that comes to rest
FAR = 3.0  # K from the others at which one in whole degrees is distinguished from a place that came to rest
RULE = "readings that stand"


def weigh_stays(e: Evidence, book: VerdictRecorder, walked: tuple[Stretch, ...], recipe: CureRecipe) -> None:
    """Each thermocouple that counts and stood at one value in a dwell: where its place may have gone on from
    that and would break a limit, or it jumps when it moves again, the cure cannot be judged."""
    for s in walked:
        if s.segment.kind is not SegmentKind.DWELL or not s.found:
            continue
        for i, name in enumerate(e.names):
            kept = [k for k in range(len(e.names)) if k != i and e.working[:, k].all()]
            if not kept or name in dict(e.lost_at):
                continue
            told: list[slice] = []
            for stay in stays(e, e.temps[:, i], s.start, heat_ends(e, s)):
                if any(stay.start < x.stop and x.start < stay.stop for x in told):
                    continue
                before = len(book.reasons)
                _weigh(e, book, s, i, kept, stay, recipe)
                told += [stay] * (len(book.reasons) > before)


def stays(e: Evidence, values: FloatArray, start: float, end: float) -> Iterator[slice]:
    """The rows of each stay of readings (n,) [K] of ten minutes and six rows that touches a time [s]: at one
    value, or to and fro between two that lie a last digit, a tenth of a kelvin at most, apart."""
    read = np.flatnonzero(np.isfinite(values))
    seen = values[read]
    digit = digit_of(seen[:: max(1, seen.size // MOST_LOOKED)])
    found = _alike(seen)
    least = least_told(values)
    if 0.0 < digit <= FLICKERS + 1e-3:
        steps = np.round((seen - np.nanmin(seen)) / digit)
        for pairs in (steps // 2, (steps + 1) // 2):
            found += [x for x in _alike(pairs) if np.count_nonzero(np.diff(steps[x[0] : x[1] + 1])) > 1]
    for first, last in ((int(read[a]), int(read[z])) for a, z in found):
        took = e.times[last] - e.times[first]
        long = took >= STOOD - 1e-6 or (took >= SHORT - 1e-6 and _was_steep(e, values, first, least))
        if long and last - first >= ROWS and e.times[last] >= start and e.times[first] <= end:
            yield slice(first, last + 1)


def _was_steep(e: Evidence, values: FloatArray, first: int, least: float) -> bool:
    """Whether readings (n,) [K] moved by so much [K] in the last minute before a stay, in two steps or more:
    one alone is how a logger writes that leaves small changes out."""
    time = float(e.times[first])
    before = values[samples_within(e.times, time - BACK[-1], time)]
    return bool(abs(before[0] - before[-1]) >= least - 1e-6 and np.unique(before).size > 2)


def _alike(values: FloatArray) -> list[tuple[int, int]]:
    """The first and last of each run of values (n,) that are one."""
    if not values.size:
        return []
    begins, ends = run_ends(np.concatenate([[False], np.diff(values) == 0.0]))
    return list(zip((begins - 1).tolist(), ends.tolist(), strict=True))


def _weigh(
    e: Evidence,
    book: VerdictRecorder,
    s: Stretch,
    at: int,
    kept: list[int],
    stay: slice,
    recipe: CureRecipe,
) -> None:
    others, column = e.temps[:, kept], e.temps[:, at].copy()
    stood = float(column[stay.start])
    gone = slice(stay.start + 1, stay.stop)
    column[gone] = np.nan
    coarse = is_coarse(e.temps)
    span = length_up(float(e.times[stay.stop - 1] - e.times[stay.start]))
    doubts = (f for f in e.checked.faults if f.doubt and f.finding.code == codes.STUCK.code)
    stuck = any(f.channel == e.names[at] and f.time == e.times[stay.start] for f in doubts)
    said = f"{e.names[at]} stood at {show(stood, 'temperature', decimals=1)} for {span}"
    jumped = jump_after(e, column, others, stay)
    if jumped and e.times[stay.stop - 1] - e.times[stay.start] >= STOOD - 1e-6:
        by = show(abs(jumped), "temperature difference", decimals=1)
        words = (
            f"{said}, then jumped by {by}, further than the others went in five minutes: nobody read where "
        )
        words += "its place was meanwhile"
        _enter(e, book, s, at, stay, codes.STOOD_JUMPED, s.segment.band_low, words)
        return
    for sign, other in ((1.0, np.fmin.reduce(others, axis=1)), (-1.0, np.fmax.reduce(others, axis=1))):
        inside = slice(gone.start, min(gone.stop, samples_within(e.times, s.start, heat_ends(e, s)).stop))
        if inside.start >= inside.stop:
            continue
        place = moved_further(e, column, other, sign, stay.start, inside)
        if coarse and sign * (stood - other[stay.start]) > -FAR:
            place[:] = np.nan
        if stuck:
            as_lost = place_of_lost(e, column, other, sign, stay.start, inside)
            place = np.asarray(sign * np.fmin(sign * place, sign * as_lost))
        broken = _colder(e, s, inside, place) if sign > 0 else _hotter(s, place, recipe)
        if broken is not None:
            limit, words = broken
            _enter(
                e,
                book,
                s,
                at,
                stay,
                codes.STOOD_MOVING,
                limit,
                f"{said}; carried on as a lost one is, {words}",
            )


def jump_after(e: Evidence, column: FloatArray, others: FloatArray, stay: slice) -> float:
    """By how much [K] readings (n,) [K], of which the stay is left out, jump when they go on; 0 where the
    others (n, m) [K] go as far the same way within five minutes, or a hole lies between."""
    after, last = stay.stop, stay.stop - 1
    if after >= column.size or not np.isfinite(column[after]) or e.times[after] - e.times[last] > e.gap:
        return 0.0
    jumped = float(column[after] - column[stay.start])
    near = others[samples_within(e.times, float(e.times[last]), float(e.times[after]) + RISING)]
    moved = np.fmax.reduce(np.sign(jumped) * (near - near[0]), axis=None, initial=0.0)
    return jumped if abs(jumped) >= max(JUMPED, least_told(column)) + moved - 1e-6 else 0.0


def _colder(e: Evidence, s: Stretch, gone: slice, place: FloatArray) -> tuple[RecipeLimit, str] | None:
    """The dwell by the slowest with a place (k,) [K] in it, where that makes it too short."""
    least, band = s.segment.dwell_least, s.segment.band_low
    assert least is not None
    assert band is not None
    if counted_time(s.spans, s.segment) < least.value - 1e-6:
        return None
    lowest, known = slowest_at_least(e, band.value)
    lowest = lowest.copy()
    lowest[gone] = np.fmin(lowest[gone], place)
    spans = [
        x for x in spans_above(e.times, lowest, band.value, known) if x.end > s.start and x.start < s.end
    ]
    counts = counted_time(tuple(x.within(s.start, s.end) for x in spans), s.segment)
    if counts >= least.value - 1e-6:
        return None
    shown, asked = lengths_apart(counts, least.value)
    return band, f"the dwell by the slowest may have been {shown}, {asked} are asked"


def _hotter(s: Stretch, place: FloatArray, recipe: CureRecipe) -> tuple[RecipeLimit, str] | None:
    """The least of the tops that a place (k,) [K] may have passed."""
    tops = [x for x in (s.segment.band_high, s.segment.ceiling, recipe.ceiling) if x is not None]
    most, top = float(np.fmax.reduce(place)), min(tops, key=lambda x: x.value, default=None)
    if top is None or not most > top.value + 1e-6:
        return None
    shown, limit = told_apart(
        True,
        lambda finer: show(most, "temperature", decimals=1 + finer),
        lambda finer: show(top.value, "temperature", decimals=1 + finer),
    )
    return top, f"its place may have come to {shown}, most {limit}"


def _enter(
    e: Evidence,
    book: VerdictRecorder,
    s: Stretch,
    at: int,
    stay: slice,
    code: Code,
    limit: RecipeLimit | None,
    words: str,
) -> None:
    book.enter(
        Outcome.UNKNOWN,
        RULE,
        words,
        limit=limit,
        value=float(e.temps[stay.start, at]),
        kind="temperature",
        segment=s.segment.name,
        sensor=e.names[at],
        time=float(e.times[stay.start]),
        code=code,
    )
