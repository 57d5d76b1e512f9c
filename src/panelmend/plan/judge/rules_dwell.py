"""Rules on a dwell: entry and time by the slowest thermocouple, band and ceiling by the fastest, spread."""

from __future__ import annotations

import math

import numpy as np

from panelmend.errors import Code
from panelmend.plan.judge import codes
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.fault import length
from panelmend.plan.judge.holes import crossing_between, holes, peak
from panelmend.plan.judge.lost_read import last_into_band
from panelmend.plan.judge.pieces import place_of_most
from panelmend.plan.judge.recipe import CureRecipe, RecipeLimit, RecipeSegment, SegmentKind
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.rules_spread import judge_lag, judge_spread
from panelmend.plan.judge.said import heat_hidden, lengths_apart, show
from panelmend.plan.judge.spans import samples_within
from panelmend.plan.judge.unread import (
    ends_in_band,
    fastest_in_band,
    heat_ends,
    hidden_in_band,
    in_band_at_most,
)
from panelmend.plan.judge.verdict import Interruption, Outcome, VerdictRecorder, worst_outcome
from panelmend.plan.judge.walk import Stretch, counted_time

EVEN, FEW = 0.1, 0.1  # of the usual step; of the steps (common practice, no source, both)
DEEP = 8.0  # K below the band: more than a dip
MOST_NAMED = 8


def time_counted(s: Stretch) -> float:
    """The time that counts [s]: the sum of the spans, or the longest."""
    return counted_time(s.spans, s.segment)


def judge_dwell(e: Evidence, book: VerdictRecorder, s: Stretch) -> Outcome:
    """Every rule of one dwell; the worst outcome."""
    segment = s.segment
    if not s.found:
        return _not_reached(e, book, s)
    out = [_time(e, book, s)]
    out += [_band_high(e, book, s)] if segment.band_high is not None else []
    out += [_most(e, book, s)] if segment.dwell_most is not None else []
    out += [judge_spread(e, book, s)] if segment.spread_most is not None else []
    out += [judge_lag(e, book, s)] if segment.lag_most is not None else []
    return worst_outcome(out)


def _not_reached(e: Evidence, book: VerdictRecorder, s: Stretch) -> Outcome:
    segment = s.segment
    assert segment.band_low is not None
    low = segment.band_low.value
    if s.unparted:
        words = "the dwell before it has the same target: no reading shows where it begins"
        book.unknown(RuleName.ENTRY, words, limit=segment.band_low, segment=segment.name, time=s.start)
        return Outcome.UNKNOWN
    late = [n for n, t in s.entries if t is None]
    rest = np.flatnonzero((e.times >= s.start) & np.isfinite(e.lowest))
    if not rest.size:
        words = "no thermocouple can be used"
        book.unknown(
            RuleName.ENTRY,
            words,
            limit=segment.band_low,
            kind="temperature",
            segment=segment.name,
            time=s.start,
        )
        return Outcome.UNKNOWN
    at = int(rest[np.argmax(e.lowest[rest])])
    best = float(e.lowest[at])
    if best >= low:
        words = "not looked for: the dwell before it was not found"
        if not math.isnan(s.level):
            words = "the hottest is nowhere read to have come down to its band"
        book.unknown(RuleName.ENTRY, words, limit=segment.band_low, segment=segment.name, time=s.start)
        return Outcome.UNKNOWN
    heating = best - float(e.lowest[rest[-1]]) < 3.0
    wanted, shown = (show(x, "temperature", decimals=1) for x in (low, best))
    words = f"{', '.join(late) or 'the slowest'} never reached {wanted}; highest of the slowest {shown}"
    least = segment.dwell_least.value if segment.dwell_least is not None else math.inf
    hidden = not heating and 0.0 < least <= _hidden(e, s, low) + 1e-6
    if heating:
        words += "; the log ends before it cooled"
    elif hidden:
        words = f"the slowest is nowhere read at {wanted}, at most at {shown}; "
        words += f"gaps in the readings could hide {length(least)} there"
    outcome = Outcome.UNKNOWN if heating or hidden else Outcome.DOES_NOT
    book.enter(
        outcome,
        RuleName.ENTRY,
        words,
        limit=segment.band_low,
        value=best,
        kind="temperature",
        segment=segment.name,
        sensor=e.slowest_at(at),
        time=float(e.times[at]),
        code=codes.UNKNOWN if heating or hidden else codes.NOT_REACHED,
    )
    return outcome


def _time(e: Evidence, book: VerdictRecorder, s: Stretch) -> Outcome:
    """Dwell by the slowest. Time inside gaps is not counted; when it could decide, it cannot be judged."""
    segment = s.segment
    assert segment.dwell_least is not None
    counted, least = time_counted(s), segment.dwell_least.value
    possible = _possible(e, s)
    entry = s.spans[0].start if s.spans else s.start
    slowest = last_into_band(e, s)
    how = "summed" if segment.summed else "unbroken"
    short = counted < least - 1e-6
    cut = "begins" if _runs_in(e, s) else "ends" if _runs_out(e, s) else ""
    hurried = _hurried(e, s)
    if short and (cut or possible + hurried >= least - 1e-6):
        why = f"the log {cut} in the dwell" if cut else "gaps in the readings could hide the rest"
        if not cut and possible < least - 1e-6:
            why = f"stamps nearer to one another than usual could hide {length(hurried)}: a clock set back"
        shown, required = lengths_apart(counted, least)
        words = f"{shown} ({how}) are shown, {required} are required; {why}"
        book.unknown(
            "dwell",
            words,
            limit=segment.dwell_least,
            value=counted,
            kind="time",
            segment=segment.name,
            sensor=slowest,
            time=entry,
        )
        return Outcome.UNKNOWN
    return book.measure(
        f"dwell by the slowest, {how}",
        counted,
        segment.dwell_least,
        "time",
        codes.DWELL_SHORT,
        most=False,
        segment=segment.name,
        sensor=slowest,
        time=entry,
        decimals=2,
        unsure=e.blur * (len(s.spans) if segment.summed else 1),
    )


def _runs_in(e: Evidence, s: Stretch) -> bool:
    """Whether the slowest is in the band where its readings begin."""
    return bool(s.spans) and s.spans[0].start <= float(e.times[np.isfinite(e.lowest)][0]) + 1e-6


def _hurried(e: Evidence, s: Stretch) -> float:
    """By how much [s] a clock repeatedly set back by less than a sample can have shortened the time that
    counts: single intervals shorter than the usual one among usual ones. A row written between two others
    makes two short intervals, and hides nothing."""
    usual = e.log.usual_step
    steps = np.diff(e.times)
    near = abs(steps - usual) <= max(EVEN * usual, e.log.stamp_step)
    alone = ~near[1:-1] & near[:-2] & near[2:] & (steps[1:-1] < usual)
    at, less = e.times[1:-2][alone], (usual - steps[1:-1])[alone]
    within = [float(less[(at >= x.start) & (at < x.end)].sum()) for x in s.spans]
    if alone.sum() > FEW * steps.size:  # rows of their own: no clock is set back so often
        return 0.0
    return sum(within) if s.segment.summed else max(within, default=0.0)


def _runs_out(e: Evidence, s: Stretch) -> bool:
    """Whether the slowest is in the band where its readings end: nothing is known about rows without
    readings."""
    return bool(s.spans) and s.spans[-1].end >= float(e.times[np.isfinite(e.lowest)][-1]) - 1e-6


def _possible(e: Evidence, s: Stretch) -> float:
    """The time that would count if nothing had happened inside the holes [s], and where the slowest came into
    the band or left it in one, as soon and as late as its sides allow."""
    joined: list[tuple[float, float]] = []
    open_end = False  # a gap with the band on both sides; else a reading shows that the band was left
    for x in s.spans:
        start, end = x.start, x.end
        if x.open_start:
            start = crossing_between(e, e.lowest, s.level, np.nextafter(start, -np.inf))[0]
        if x.open_end:
            end = crossing_between(e, e.lowest, s.level, np.nextafter(end, np.inf), falling=True)[1]
        if open_end and x.open_start:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
        open_end = x.open_end
    lengths = [b - a for a, b in joined]
    hidden = _hidden(e, s, s.level)
    return sum(lengths) + hidden if s.segment.summed else max([*lengths, hidden])


def _hidden(e: Evidence, s: Stretch, level: float) -> float:
    """The time that would count [s] in holes both sides of which are read below the band, at its most."""
    lengths = [b - a for a, b in hidden_in_band(e, level, s.since, s.until)]
    return sum(lengths) if s.segment.summed else max(lengths, default=0.0)


def _band_high(e: Evidence, book: VerdictRecorder, s: Stretch) -> Outcome:
    assert s.segment.band_high is not None
    ends = ends_in_band(e, s)
    return _peak(e, book, s, s.segment.band_high, RuleName.BAND_TOP, codes.ABOVE_BAND, ends=ends)


def _peak(
    e: Evidence,
    book: VerdictRecorder,
    s: Stretch,
    limit: RecipeLimit,
    rule: str,
    code: Code,
    *,
    ends: bool,
) -> Outcome:
    """``ends``: the readings end in the band, so that nothing bounds what came after. A dwell's heat is
    looked at from the first entry until the fastest leaves the band, in gaps from the way to it on."""
    since, until, end = s.start, s.end, s.end
    if s.segment.kind is SegmentKind.DWELL and s.spans:
        since, until, end = min(s.since, s.start), s.until, heat_ends(e, s)
    span = samples_within(e.times, s.start, end)
    at = place_of_most(e.highest.__getitem__, span.start, span.stop)
    if at is None:
        book.unknown(
            rule, "no readings", limit=limit, kind="temperature", segment=s.segment.name, time=s.start
        )
        return Outcome.UNKNOWN
    outcome = book.measure(
        rule,
        float(e.highest[at]),
        limit,
        "temperature",
        code,
        most=True,
        segment=s.segment.name,
        sensor=e.fastest_at(at),
        time=float(e.times[at]),
    )
    if outcome is not Outcome.CONFORMS:
        return outcome
    if ends:
        words = "the readings end in the band: how hot it became after that is not known"
        last = float(e.times[np.isfinite(e.highest)][-1])
        book.unknown(rule, words, limit=limit, kind="temperature", segment=s.segment.name, time=last)
        return Outcome.UNKNOWN
    # what begins or ends the stretch may be a hole: the way into the band, or out of it, was not read then
    for name, begin, read, before, after in holes(e, since, until, touching=True):
        could = peak(before, after, read - begin)
        if could > limit.value + 1e-6:
            words = f"{name} {heat_hidden(read - begin, before, after, limit.value)}"
            book.unknown(
                rule, words, limit=limit, kind="temperature", segment=s.segment.name, sensor=name, time=begin
            )
            return Outcome.UNKNOWN
    return outcome


def _most(e: Evidence, book: VerdictRecorder, s: Stretch) -> Outcome:
    """The maximum dwell is judged by the fastest: time at or above the low end of the band. A gap in which it
    left the band or came back into it counts as late and as soon as its bounds allow."""
    segment = s.segment
    assert segment.dwell_most is not None
    entered = [t for _, t in s.entries if t is not None]
    first = min(entered, default=s.start)  # those that are read in the band may have come there unread
    read = np.isfinite(e.highest)
    spans = fastest_in_band(s, e.times, e.highest, e.known, first)
    joined = fastest_in_band(
        s, e.times[read], e.highest[read], np.ones(max(0, int(read.sum()) - 1), np.bool_), first
    )
    total, could = sum(x.length for x in spans), [(x.start, x.end) for x in joined]
    if joined:
        could[0] = (crossing_between(e, e.highest, s.level, joined[0].start)[0], could[0][1])
        last = crossing_between(e, e.highest, s.level, joined[-1].end, falling=True)[1]
        could[-1] = (could[-1][0], last)
    at_most = in_band_at_most(e, s.level, min([s.since, first]), s.until, could)
    name, blur = "longest dwell, by the fastest", e.blur * len(spans)
    at_most += blur if at_most > total + 1e-6 else 0.0
    why = ", and the readings end in the band" if ends_in_band(e, s) else ""
    why = why or ("" if entered else "; no reading shows when the first came into the band")
    begins = float(e.times[np.isfinite(e.highest)][0])
    why = why or (", and the readings begin in the band" if s.start <= begins + 1e-6 else "")
    if why and total <= segment.dwell_most.value + 1e-6:
        words = f"{length(total)} are shown{why}: how long it stayed is not known"
        book.unknown(
            name,
            words,
            limit=segment.dwell_most,
            value=total,
            kind="time",
            segment=segment.name,
            time=first,
        )
        return Outcome.UNKNOWN
    return book.measure(
        name,
        total,
        segment.dwell_most,
        "time",
        codes.DWELL_LONG,
        most=True,
        segment=segment.name,
        time=first,
        decimals=2,
        unsure=blur,
        between=(total, at_most),
    )


def interruptions(e: Evidence, book: VerdictRecorder, s: Stretch) -> list[Interruption]:
    """Times the slowest fell out of the band and came back: dips, and deep ones as an interrupted cure."""
    out = []
    dips = 0
    assert s.segment.band_low is not None
    for before, after in zip(s.spans, s.spans[1:], strict=False):
        if before.open_end or after.open_start:
            continue
        part = samples_within(e.times, before.end, after.start)
        inside = np.flatnonzero(np.isfinite(e.lowest[part])) + part.start
        if not inside.size:
            continue
        at = int(inside[np.argmin(e.lowest[inside])])
        least = float(e.lowest[at])
        span = after.start - before.end
        if s.segment.band_low.value - least < 1.0 and span < 60.0:
            continue  # noise at the edge
        words = f"{e.slowest_at(at)} down to {show(least, 'temperature', decimals=1)} for {length(span)}"
        deep = s.segment.band_low.value - least > DEEP
        code = codes.INTERRUPTED if deep else codes.BELOW_BAND
        dips += 1
        if dips <= MOST_NAMED or deep:
            book.note(code, words, segment=s.segment.name, time=before.end, place=s.segment.band_low.place)
        if deep:
            vacuum = e.vacuum[inside]
            worst_vacuum = float(np.nanmin(vacuum)) if np.isfinite(vacuum).any() else float("nan")
            so_far = sum(x.length for x in s.spans if x.end <= before.end)
            out.append(
                Interruption(s.segment.name, before.end, after.start, least, so_far, worst_vacuum, words)
            )
    if dips > MOST_NAMED:
        words = f"{dips} times in all"
        book.note(codes.BELOW_BAND, words, segment=s.segment.name, time=s.start)
    return out


def judge_ceilings(
    e: Evidence, book: VerdictRecorder, recipe: CureRecipe, walked: tuple[Stretch, ...]
) -> Outcome:
    """Ceiling of the recipe by the fastest all through, and of each segment within it."""
    out = []
    if recipe.ceiling is not None:
        whole = Stretch(_any(recipe), float(np.min(e.times)), float(np.max(e.times)), (), (), True)
        ends = any(ends_in_band(e, s) for s in walked if s.segment.kind is SegmentKind.DWELL and s.found)
        out.append(_peak(e, book, whole, recipe.ceiling, "maximum temperature", codes.CEILING, ends=ends))
    for s in walked:
        if s.segment.ceiling is not None and s.found:
            ends = s.segment.kind is SegmentKind.DWELL and ends_in_band(e, s)
            out.append(_peak(e, book, s, s.segment.ceiling, "maximum temperature", codes.CEILING, ends=ends))
    return worst_outcome(out)


def _any(recipe: CureRecipe) -> RecipeSegment:
    first = recipe.segments[0]
    return RecipeSegment(
        "whole cure", first.kind, first.target, band_low=first.band_low, dwell_least=first.dwell_least
    )
