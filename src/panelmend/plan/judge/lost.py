"""Lost thermocouples, of which the approved data may allow some: their readings after the loss, and the
temperature of their places. Neither may be dropped silently: readings through a loose contact say nothing
against the others, and the place goes on being heated."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from panelmend.errors import Code
from panelmend.plan.judge import codes
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.fault import BoolArray
from panelmend.plan.judge.holes import slowest_at_least
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.lost_moving import at_worst, back_at_worst
from panelmend.plan.judge.lost_read import (
    FOLLOW,
    GROWS,
    MEAN,
    RISING,
    STANDS,
    read_late,
    readings_of_lost,
)
from panelmend.plan.judge.pieces import last_of
from panelmend.plan.judge.recipe import CureRecipe, RecipeLimit, SegmentKind
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.rules_release import cool_enough
from panelmend.plan.judge.said import lengths_apart, show
from panelmend.plan.judge.spans import first_at, samples_within, spans_above
from panelmend.plan.judge.unread import heat_ends
from panelmend.plan.judge.verdict import Outcome, Reason, VerdictRecorder, told_apart
from panelmend.plan.judge.walk import Stretch, counted_time, heat_start, top_come_down_to

# K (common practice, no source): apart from the others on the way that is not told from a place like theirs
APART = 3.0
RELEASES = (RuleName.RELEASED, RuleName.RELEASE)  # rules on the release, by those that read
HEAT_OF_LOST = "place of a lost thermocouple, heat"
RULE_OF_DWELL = "place of a lost thermocouple, dwell"
RELEASE_OF_LOST = "place of a lost thermocouple, release"


def weigh_lost(
    e: Evidence,
    again: Evidence,
    book: VerdictRecorder,
    applied: Callable[[Evidence], VerdictRecorder],
    walked: tuple[Stretch, ...],
    recipe: CureRecipe,
) -> None:
    """Lost thermocouples that read again (``again``) are judged by the rules too, and so are their places,
    estimated from their offset to the others and their movement when the reading ended: if that makes the
    dwell by the slowest too short or passes a limit, the cure cannot be judged."""
    back = tuple(n for i, n in enumerate(e.names) if (again.working[:, i] & ~e.working[:, i]).any())
    if back:
        _read_again(book, applied(again), back, recipe)
    read = {n: readings_of_lost(e, again, n, t) for n, t in e.lost_at}
    whole = [] if recipe.ceiling is None else [recipe.ceiling]
    for name, (column, single) in read.items():
        _read_above(e, book, "", name, column, single, whole)
    before: Stretch | None = None
    for s in walked:
        dwell = s.segment.kind is SegmentKind.DWELL
        hot, before = before, s if dwell else before
        lost = {n: t for n, t in e.lost_at if t <= s.end}
        kept = [i for i, n in enumerate(e.names) if n not in lost and e.working[0, i]]
        if not dwell or not s.found or not lost or not kept:
            continue
        slowest, hottest = np.fmin.reduce(e.temps[:, kept], axis=1), np.fmax.reduce(e.temps[:, kept], axis=1)
        for name, time in lost.items():
            column, single = read[name]
            inside = single & (e.times >= s.start) & (e.times <= s.end)
            tops = [x for x in (s.segment.band_high, s.segment.ceiling) if x is not None]
            _read_above(e, book, s.segment.name, name, column, inside, tops)
            # single readings may count against the place, never in its favour
            plain = again.temps[:, e.names.index(name)]
            for values, seen in ((plain, NONE), (column, inside))[: 1 + bool(single.any())]:
                colder = list(_carried(e, values, slowest, 1.0, time, s.end))
                hotter = list(_carried(e, values, hottest, -1.0, time, s.end))
                first = read_late(e, values, s.start, heat_ends(e, s))  # its reading may end the dwell
                if first is not None:
                    colder.append((first, *back_at_worst(e, values, slowest, 1.0, first, s.start)))
                    hotter.append((first, *back_at_worst(e, values, hottest, -1.0, first, s.start)))
                if not _told(book, s, name, codes.LOST_BELOW):
                    _short(e, book, s, name, values, colder, seen)
                if not _told(book, s, name, codes.LOST_ABOVE):
                    if hot is not None and hot.segment.target > s.segment.target:
                        hotter = _come_down(e, book, s, name, values, hotter, hot.end)
                    _passed(e, book, s, name, values, hotter, recipe)
    _released(e, again, book, recipe, read)


def _told(book: VerdictRecorder, s: Stretch, name: str, code: Code) -> bool:
    return any((r.code, r.segment, r.sensor) == (code.code, s.segment.name, name) for r in book.reasons)


def _read_above(
    e: Evidence,
    book: VerdictRecorder,
    segment: str,
    name: str,
    column: FloatArray,
    single: BoolArray,
    tops: list[RecipeLimit],
) -> None:
    """Single readings (n,) of a lost thermocouple (n,) [K] that lie above the least of some limits."""
    top = min(tops, key=lambda x: x.value, default=None)
    if top is None or not single.any():
        return
    at = int(np.argmax(np.where(single, column, -np.inf)))
    if column[at] <= top.value + 1e-6:
        return
    shown, limit = _above(float(column[at]), top)
    words = f"{name} counts as lost, and read {shown} after that, most {limit}"
    _enter_words(e, book, segment, name, column, at, HEAT_OF_LOST, codes.LOST_ABOVE, top, words)


def _above(value: float, top: RecipeLimit) -> tuple[str, str]:
    """A temperature [K] and the limit that it lies above, in words that read apart."""
    return told_apart(
        True,
        lambda finer: show(value, "temperature", decimals=1 + finer),
        lambda finer: show(top.value, "temperature", decimals=1 + finer),
    )


def _released(
    e: Evidence,
    again: Evidence,
    book: VerdictRecorder,
    recipe: CureRecipe,
    read: dict[str, tuple[FloatArray, BoolArray]] | None = None,
) -> None:
    """Those that are read were cool when the vacuum was released; the place of a lost one may not have
    been."""
    vacuum = recipe.vacuum
    rules = RELEASES if recipe.release_most is not None else (RuleName.VACUUM,)
    met = any(r.rule in rules and r.outcome is Outcome.CONFORMS for r in book.reasons)
    level = cool_enough(recipe) if vacuum is not None and met else None
    if level is None or vacuum is None:
        return
    most = recipe.release_most or RecipeLimit(level, vacuum.least.place)
    with np.errstate(invalid="ignore"):
        at = last_of(e.vacuum >= vacuum.least.value * (1 - 1e-9))
    lost = {n: t for n, t in e.lost_at if at is not None and t <= e.times[at]}
    kept = [i for i, n in enumerate(e.names) if n not in lost and e.working[0, i]]
    if at is None or not lost or not kept:
        return
    hottest = np.fmax.reduce(e.temps[:, kept], axis=1)
    for name, time in lost.items():
        plain = again.temps[:, e.names.index(name)]
        for column in (plain, read[name][0]) if read is not None and read[name][1].any() else (plain,):
            for last, gone, place in _carried(e, column, hottest, -1.0, time, float(e.times[at])):
                if gone.stop == at + 1 and place[-1] > most.value + 1e-6:
                    shown, limit = _above(float(place[-1]), most)
                    words = (
                        f"its place may still have been at {shown} when the vacuum was released, most {limit}"
                    )
                    _enter(e, book, "", name, column, last, RELEASE_OF_LOST, codes.LOST_ABOVE, most, words)


def _read_again(
    book: VerdictRecorder, other: VerdictRecorder, back: tuple[str, ...], recipe: CureRecipe
) -> None:
    stands = {(r.rule, r.segment) for r in book.reasons if r.outcome is Outcome.DOES_NOT}
    against = [r for r in other.reasons if _speaks(r) and (r.rule, r.segment) not in stands]
    names = ", ".join(back)
    words = f"{names}: readings after the loss are judged too: "
    if against:
        words += against[0].words
        place = recipe.sensors.place
        book.enter(
            Outcome.UNKNOWN,
            "thermocouple that reads again",
            words,
            time=against[0].time,
            code=codes.READS_AGAIN,
            place=place,
        )
    else:
        book.note(codes.LOST_SAME, words + "the same verdict", sensor=names)


def _speaks(r: Reason) -> bool:
    return r.outcome != Outcome.CONFORMS and (r.outcome != Outcome.UNKNOWN or r.rule == RuleName.ENTRY)


Carried = tuple[int, slice, FloatArray]
NONE = np.zeros(0, np.bool_)


def _carried(
    e: Evidence, column: FloatArray, other: FloatArray, sign: float, lost: float, end: float
) -> Iterator[Carried]:
    """Each time without readings (n,) [K] from the loss [s] to the end of a dwell [s]: its last reading, the
    samples after it, and what the place may have come to there [K], carried on beside the slowest ``other``
    (n,) [K] of those that were not lost (``sign`` 1), or the hottest (-1)."""
    read = np.flatnonzero(np.isfinite(column))
    ends = [*np.flatnonzero(np.diff(e.times[read]) > e.gap).tolist(), read.size - 1] if read.size else []
    for k in ends:
        last, back = int(read[k]), int(read[k + 1]) if k + 1 < read.size else len(column)
        until = min(back, samples_within(e.times, 0.0, end).stop)
        if last + 1 < until and (back == len(column) or e.times[back] > lost):
            gone = slice(last + 1, until)
            place = _place(e, column, other, sign, last, gone)
            yield last, gone, at_worst(e, column, other, sign, (last, gone, place), back)


def place_of_lost(
    e: Evidence, column: FloatArray, other: FloatArray, sign: float, last: int, gone: slice
) -> FloatArray:
    """What the place of readings (n,) [K] may have come to [K], (k,), after the last, beside the slowest
    ``other`` (n,) [K] (``sign`` 1), or the hottest (-1)."""
    return _place(e, column, other, sign, last, gone)


def _place(
    e: Evidence, column: FloatArray, other: FloatArray, sign: float, last: int, gone: slice
) -> FloatArray:
    """The estimated temperature of a place [K], (k,), after its last reading."""
    apart, course = sign * (column - other), other[gone]
    times = e.times[gone] - _level(e, e.times, last)  # a mean holds for the middle of its time
    now, beside = _level(e, apart, last), _level(e, other, last)
    early = max(0, e.index_at(float(e.times[last]) - RISING))
    if beside - _level(e, other, early) > STANDS:
        half = _half_way(e, other, last, beside)
        grew, way = now - _level(e, apart, half), beside - _level(e, other, half)
        if grew <= -GROWS and way > 0:  # a place that is heated less, or more, than the others
            return course + sign * (now + grew / way * (course - beside))
        rate = (_level(e, column, last) - _level(e, column, early)) / RISING
        if now >= -APART:
            return course
        if -now > rate * FOLLOW:
            return course + sign * now
        # a lagging place follows at the rate it rose; a leading one is overtaken by none
        return np.fmin(course, _level(e, column, last) + rate * times) if sign > 0 else course
    drift = (now - _level(e, apart, early)) / RISING
    if now >= 0.0 and drift >= 0.0:
        return course
    moved = drift * np.minimum(times, FOLLOW) if abs(drift) * RISING >= GROWS else 0.0
    return course + sign * np.minimum(now + moved, max(now, 0.0))


def _level(e: Evidence, values: FloatArray, at: int) -> float:
    """The mean [their unit] of two minutes up to a sample; NaN where nothing is known."""
    here = values[samples_within(e.times, float(e.times[at]) - MEAN, float(e.times[at]))]
    return float(np.nanmean(here)) if np.isfinite(here).any() else float("nan")


def _half_way(e: Evidence, other: FloatArray, last: int, now: float) -> int:
    """The sample at which the others had risen by half of what they rose until the last reading."""
    first = e.index_at(heat_start(e))
    base = _level(e, other, first)
    risen = np.flatnonzero(other[first:last] >= base + 0.5 * (now - base))
    return first + int(risen[0]) if risen.size else first


def _short(
    e: Evidence,
    book: VerdictRecorder,
    s: Stretch,
    name: str,
    column: FloatArray,
    carried: list[Carried],
    single: BoolArray = NONE,
) -> None:
    """The dwell by the slowest with what a lost thermocouple's place may have come to, and what its
    ``single`` readings (n,) in the dwell show."""
    least, band = s.segment.dwell_least, s.segment.band_low
    assert least is not None
    assert band is not None
    if not (carried or single.any()) or counted_time(s.spans, s.segment) < least.value - 1e-6:
        return
    lowest, known = slowest_at_least(e, band.value)
    traced = np.array(column)
    for _, gone, place in carried:
        traced[gone] = place
    slowest = np.where(np.isnan(traced) | (e.times > s.end), lowest, np.minimum(lowest, traced))
    spans = [
        x for x in spans_above(e.times, slowest, band.value, known) if x.end > s.start and x.start < s.end
    ]
    inside = [x.within(s.start, s.end) for x in spans]
    counts = counted_time(tuple(inside), s.segment)
    if counts >= least.value - 1e-6:
        return
    ends = [c[0] for c in carried] or np.flatnonzero(single).tolist()
    last = max(ends, key=lambda i: (column[i] < band.value, i))
    shown, asked = lengths_apart(counts, least.value)
    words = f"the dwell by the slowest may have been {shown}, {asked} are asked"
    _enter(e, book, s.segment.name, name, column, last, RULE_OF_DWELL, codes.LOST_BELOW, band, words)


def _come_down(
    e: Evidence,
    book: VerdictRecorder,
    s: Stretch,
    name: str,
    column: FloatArray,
    carried: list[Carried],
    left: float,
) -> list[Carried]:
    """A dwell cooler than the one before, which was left at a time [s], begins where the hottest has come
    down to it: of a place that is not read then nobody knows when, and nothing of its heat. Gives what is
    carried within the dwell otherwise."""
    least, top = s.segment.dwell_least, top_come_down_to(s.segment)
    assert least is not None
    out: list[Carried] = []
    seen, at = s.start, None
    for last, gone, place in carried:
        hot = max(float(column[last]), float(np.nanmax(place, initial=-np.inf))) > top.value + 1e-6
        low = e.times[last] >= left and column[last] <= top.value + 1e-6
        if e.times[last] >= s.start or not hot or low:
            first = max(gone.start, samples_within(e.times, s.start, s.end).start)
            out.append((last, slice(first, gone.stop), place[first - gone.start :]))
        elif e.times[gone.stop - 1] >= s.start:
            after = first_at(e.times, column, top.value, float(e.times[gone.stop - 1]), falling=True)
            seen, at = max(seen, np.inf if after is None else after), last
    rest = tuple(x.within(seen, s.end) for x in s.spans if x.end > seen)
    counts = counted_time(rest, s.segment)
    if at is None or counts >= least.value - 1e-6 or counted_time(s.spans, s.segment) < least.value - 1e-6:
        return out
    stood, limit = (show(x, "temperature", decimals=1) for x in (float(column[at]), top.value))
    words = f"{name} was lost at {stood}: nobody read when its place came down to {limit}, where this cooler"
    words += " dwell begins"
    if counts > 0.0:
        shown, asked = lengths_apart(counts, least.value)
        words += f"; since it was read again {shown} are shown, {asked} are asked"
    _enter_words(e, book, s.segment.name, name, column, at, RULE_OF_DWELL, codes.LOST_ABOVE, top, words)
    return out


def _passed(
    e: Evidence,
    book: VerdictRecorder,
    s: Stretch,
    name: str,
    column: FloatArray,
    carried: list[Carried],
    recipe: CureRecipe,
) -> None:
    """The top of the band and the maximum with what a lost thermocouple's place may have come to."""
    tops = [x for x in (s.segment.band_high, s.segment.ceiling, recipe.ceiling) if x is not None]
    for last, _, place in carried:
        most = float(np.nanmax(place, initial=-np.inf))
        if tops and most > min(x.value for x in tops) + 1e-6:
            top = min(tops, key=lambda x: x.value)
            shown, limit = _above(most, top)
            words = f"its place may have come to {shown}, most {limit}"
            _enter(e, book, s.segment.name, name, column, last, HEAT_OF_LOST, codes.LOST_ABOVE, top, words)
            return


def _enter(
    e: Evidence,
    book: VerdictRecorder,
    segment: str,
    name: str,
    column: FloatArray,
    last: int,
    rule: str,
    code: Code,
    limit: RecipeLimit,
    words: str,
) -> None:
    shown = show(float(column[last]), "temperature", decimals=1)
    late = bool(np.isnan(column[:last]).all()) and float(e.times[last] - e.times[0]) > e.gap
    how, on = ("was first read", "back") if late else ("was lost", "on")
    words = f"{name} {how} at {shown}; carried {on} beside the others, {words}"
    _enter_words(e, book, segment, name, column, last, rule, code, limit, words)


def _enter_words(
    e: Evidence,
    book: VerdictRecorder,
    segment: str,
    name: str,
    column: FloatArray,
    last: int,
    rule: str,
    code: Code,
    limit: RecipeLimit,
    words: str,
) -> None:
    book.enter(
        Outcome.UNKNOWN,
        rule,
        words,
        limit=limit,
        value=float(column[last]),
        kind="temperature",
        segment=segment,
        sensor=name,
        time=float(e.times[last]),
        code=code,
    )
