"""Rules on rates: every thermocouple on the way up and on the way down."""

from __future__ import annotations

import math

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.evidence import RISE, Evidence, hour_moved
from panelmend.plan.judge.fault import length_up
from panelmend.plan.judge.holes import crossing_between
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.recipe import RecipeSegment, SegmentKind
from panelmend.plan.judge.said import show
from panelmend.plan.judge.spans import first_at, trace_at, window_rates
from panelmend.plan.judge.verdict import Outcome, VerdictRecorder, worst_outcome
from panelmend.plan.judge.walk import Stretch

RATE = "temperature rate"


def judge_ramp(e: Evidence, book: VerdictRecorder, s: Stretch, warm_start: bool) -> Outcome | None:
    """Fastest window and mean rate of each thermocouple from the start of heat to its entry.

    Returns the worst outcome, None when the data sets no rate.
    """
    segment = s.segment
    if segment.rate_most is None and segment.rate_least is None:
        return None
    if not s.entries:
        return None
    if warm_start:
        book.unknown("ramp", "the log starts in the heat: the ramp was not recorded", segment=segment.name)
        return Outcome.UNKNOWN
    out: list[Outcome] = []
    for name, entry in s.entries:
        values = e.temps[:, e.names.index(name)]
        end = entry if entry is not None else s.end
        if segment.rate_most is not None:
            out.append(_fastest(e, book, segment, name, values, s.start, end, rising=True))
            if entry is not None:
                out.append(_into_hole(e, book, s, name, values, entry))
        if segment.rate_least is not None and entry is not None:
            out.append(_mean_up(e, book, s, name, values, entry))
    return worst_outcome(out)


def _fastest(
    e: Evidence,
    book: VerdictRecorder,
    segment: RecipeSegment,
    name: str,
    values: FloatArray,
    start: float,
    end: float,
    *,
    rising: bool,
) -> Outcome:
    assert segment.rate_most is not None
    if segment.rate_above is not None:
        inside = np.flatnonzero((e.times >= start) & (e.times <= end) & (values >= segment.rate_above))
        if not inside.size:
            return Outcome.CONFORMS
        start, end = max(start, float(e.times[inside[0]])), min(end, float(e.times[inside[-1]]))
    begins, rates, unseen = window_rates(e.times, values, start, end, segment.rate_window, e.gap)
    rule = "fastest rise" if rising else "fastest fall"
    if not begins.size:
        if end - start <= 2 * e.gap:
            return Outcome.CONFORMS
        book.unknown(
            rule,
            f"{name} has no readings in it",
            limit=segment.rate_most,
            kind=RATE,
            segment=segment.name,
            sensor=name,
            time=start,
        )
        return Outcome.UNKNOWN
    if not rising:
        rates = -rates
    at, back = int(np.argmax(rates)), e.log.set_back  # samples that went by in less time rose faster
    outcome = book.measure(
        rule,
        float(rates[at]),
        segment.rate_most,
        RATE,
        codes.RAMP_FAST if rising else codes.COOL_FAST,
        most=True,
        segment=segment.name,
        sensor=name,
        time=float(begins[at]),
        decimals=2,
        unsure=max(0.0, float(rates[at])) * back / max(segment.rate_window - back, 1.0),
    )
    if outcome is Outcome.CONFORMS and unseen > 0:
        words = f"{name}: {unseen / 60:.0f} min without readings, longer than the window of the rate"
        book.unknown(
            rule,
            words,
            limit=segment.rate_most,
            kind=RATE,
            segment=segment.name,
            sensor=name,
            time=start,
        )
        return Outcome.UNKNOWN
    return outcome


def _into_hole(
    e: Evidence, book: VerdictRecorder, s: Stretch, name: str, values: FloatArray, entry: float
) -> Outcome:
    """Where a thermocouple reached the segment's level in a gap, the rise or fall over the gap belongs only
    partly to the segment: a rate that is too fast only because of it cannot be judged."""
    segment, cools = s.segment, s.segment.kind is SegmentKind.COOL
    assert segment.rate_most is not None
    soonest, latest = crossing_between(e, values, s.level, entry, falling=cools)
    if soonest == latest:
        return Outcome.CONFORMS
    good = e.times[np.isfinite(values)]
    end = float(good[np.searchsorted(good, entry, side="left")])
    begins, rates, unseen = window_rates(e.times, values, s.start, end, segment.rate_window, e.gap)
    fastest = float(np.max(-rates if cools else rates, initial=-math.inf))
    if fastest <= segment.rate_most.value * (1.0 + 1e-6) and not unseen > 0.0:
        return Outcome.CONFORMS
    words = (
        f"{name} has no readings for {length_up(latest - soonest)} in which it came to the band; over them"
    )
    words += f" {show(fastest, RATE, decimals=2)}, most {show(segment.rate_most.value, RATE, decimals=2)}"
    book.unknown(
        "fastest fall" if cools else "fastest rise",
        words,
        limit=segment.rate_most,
        kind=RATE,
        segment=segment.name,
        sensor=name,
        time=float(begins[-1]) if begins.size else entry,
    )
    return Outcome.UNKNOWN


def _mean_up(
    e: Evidence, book: VerdictRecorder, s: Stretch, name: str, values: FloatArray, entry: float
) -> Outcome:
    """Mean rate from 5 K above the start (or where rates begin to count) to the band: every ramp starts and
    ends slowly, so the minimum rate applies to the whole. Where either was reached in a gap, the bounds of
    the gap decide."""
    segment, start = s.segment, s.start
    assert segment.rate_least is not None
    first = values[e.index_at(start)]
    if not math.isfinite(first):
        good = values[np.isfinite(values)]
        first = good[0] if good.size else math.nan
    level = max(first + RISE, segment.rate_above or 0.0)
    begin = first_at(e.times, values, level, start)
    last = trace_at(e.times, values, entry)
    if begin is None or entry - begin < 1.0 or last <= level:
        return Outcome.CONFORMS
    begun, came = crossing_between(e, values, level, begin), crossing_between(e, values, s.level, entry)
    if came[0] < came[1]:
        last = s.level
    moved = hour_moved(e, begin, entry)
    return book.measure(
        "mean rise",
        (last - level) / (entry - begin),
        segment.rate_least,
        RATE,
        codes.RAMP_SLOW,
        most=False,
        segment=segment.name,
        sensor=name,
        time=begin,
        decimals=2,
        between=_rates(last - level, begun, came, moved),
        more=_of_an_hour(moved),
    )


def _of_an_hour(moved: float) -> str:
    return "; the clock moved by an hour in it, and nobody knows whether an hour passed" if moved else ""


def _rates(
    change: float, begun: tuple[float, float], came: tuple[float, float], moved: float
) -> tuple[float, float]:
    """The least and the most mean rate [K/s] of a change [K] between two times that are each known between
    two bounds [s], less what a clock may have been put forward [s]."""
    return change / max(1.0, came[1] - begun[0]), change / max(1.0, came[0] - begun[1] - moved)


def judge_cool(e: Evidence, book: VerdictRecorder, s: Stretch) -> Outcome | None:
    """Fastest window of each thermocouple on the way down, and the mean when a least is set."""
    segment = s.segment
    if segment.rate_most is None and segment.rate_least is None:
        return None
    out: list[Outcome] = []
    if not s.found:
        target = show(segment.target, "temperature", decimals=1)
        late = [n for n, t in s.entries if t is None]
        shown = []
        for n in late:
            column = e.temps[:, e.names.index(n)]
            last = column[np.isfinite(column)]
            shown.append(
                f"{n} {show(float(last[-1]), 'temperature', decimals=1) if last.size else 'unknown'}"
            )
        words = f"not every thermocouple is seen to come down to {target}; last readings: {', '.join(shown)}"
        if not s.entries:
            words = "where it begins is not known, as the band was not reached before"
        book.unknown(
            "cool-down",
            words,
            limit=segment.rate_most or segment.rate_least,
            kind=RATE,
            segment=segment.name,
            time=float(e.times[-1]),
        )
        out.append(Outcome.UNKNOWN)
    for name, entry in s.entries:
        values = e.temps[:, e.names.index(name)]
        end = entry if entry is not None else s.end
        if segment.rate_most is not None:
            out.append(_fastest(e, book, segment, name, values, s.start, end, rising=False))
            if entry is not None:
                out.append(_into_hole(e, book, s, name, values, entry))
        if segment.rate_least is not None and entry is not None:
            first = trace_at(e.times, values, s.start)
            rate = (first - segment.target) / max(entry - s.start, 1.0)
            came = crossing_between(e, values, s.level, entry, falling=True)
            moved = hour_moved(e, s.start, entry)
            out.append(
                book.measure(
                    "mean fall",
                    rate,
                    segment.rate_least,
                    RATE,
                    codes.COOL_SLOW,
                    most=False,
                    segment=segment.name,
                    sensor=name,
                    time=s.start,
                    decimals=2,
                    between=_rates(first - segment.target, (s.start, s.start), came, moved),
                    more=_of_an_hour(moved),
                )
            )
    return worst_outcome(out)
