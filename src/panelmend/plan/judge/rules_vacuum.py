"""Rules on vacuum: all through, and the leak test."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from panelmend.errors import InputError
from panelmend.plan.judge import codes
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.fault import BoolArray, length, length_up, runs
from panelmend.plan.judge.faults_vacuum import SEA_LEVEL_MOST
from panelmend.plan.judge.holes import crossing_between, highest_with_unread
from panelmend.plan.judge.pieces import last_of, place_of_least
from panelmend.plan.judge.recipe import CureRecipe, LeakRule, SegmentKind, VacuumRule
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.rules_job import JobTimes, other_time
from panelmend.plan.judge.rules_release import cool_enough, ends_released, let_go_unread
from panelmend.plan.judge.said import lengths_apart, show
from panelmend.plan.judge.spans import first_at
from panelmend.plan.judge.verdict import Outcome, VerdictRecorder, told_apart, worst_outcome
from panelmend.plan.judge.walk import Stretch, heat_start

MOST_LOOKED = 100_000  # samples
GAUGES = ("below ambient", "absolute")


@dataclass(frozen=True)
class LeakReading:
    """A leak test read from the gauge: vacuum [Pa below ambient] at its start and end, ``seconds`` apart.

    ``gauge`` says how the gauge counts, one of :data:`GAUGES`; "" when nobody said so. Readings of an
    absolute gauge are given here below ambient all the same. ``words``: as it was typed. ``at``: when the
    pump was shut off, by the clock of the log; None when nobody said.
    """

    start: float
    end: float
    seconds: float
    gauge: str = "below ambient"
    words: str = ""
    at: datetime | None = None

    def __post_init__(self) -> None:
        if self.gauge not in ("", *GAUGES):
            raise InputError("no such gauge sense", read=repr(self.gauge), expected=" or ".join(GAUGES))
        if not all(math.isfinite(x) for x in (self.start, self.end, self.seconds)):
            raise InputError("a leak test reading that is not a number", read=self.words)


def judge_vacuum(
    e: Evidence, book: VerdictRecorder, recipe: CureRecipe, walked: tuple[Stretch, ...]
) -> Outcome | None:
    """Vacuum from the start of heat until it may be released; None when the data asks for none."""
    rule = recipe.vacuum
    if rule is None:
        return None
    start, (end, cooled) = heat_start(e), needed_until(e, recipe, walked)
    surely = _surely_until(e, recipe, end) if cooled else end
    if not np.isfinite(e.vacuum).any():
        book.unknown(
            RuleName.VACUUM, "the log has no vacuum that can be used", limit=rule.least, kind="pressure"
        )
        return Outcome.UNKNOWN
    inside = (e.times >= start) & (e.times <= end)
    out = [_level_until(e, book, recipe, inside, surely)]
    if out[0] is Outcome.CONFORMS and any(f.finding.code in codes.BEGINS_IN_HEAT for f in e.checked.faults):
        words = "the log begins in the heat: vacuum before it is not shown"
        book.unknown(RuleName.VACUUM, words, limit=rule.least, kind="pressure", time=start)
        out.append(Outcome.UNKNOWN)
    out += [ends_released(e, book, recipe, walked, end)] if recipe.release_most is not None else []
    blank = [r for r in runs(inside & ~np.isfinite(e.vacuum)) if _after(e, r[1]) - _before(e, r[0]) > e.gap]
    longest = max((_after(e, b) - _before(e, a) for a, b in blank), default=0.0)
    if blank and out[0] is Outcome.CONFORMS:
        words = f"vacuum is not known for {length_up(longest)} at the longest"
        book.unknown(
            RuleName.VACUUM, words, limit=rule.least, kind="pressure", time=float(e.times[blank[0][0]])
        )
        out.append(Outcome.UNKNOWN)
    steps = np.flatnonzero(~e.known & inside[:-1] & inside[1:])
    if steps.size and worst_outcome(out) is Outcome.CONFORMS:
        at = int(steps[np.argmax(np.diff(e.times)[steps])])
        words = f"a gap of {length_up(float(e.times[at + 1] - e.times[at]))}: vacuum in it is not shown"
        book.unknown(RuleName.VACUUM, words, limit=rule.least, kind="pressure", time=float(e.times[at]))
        out.append(Outcome.UNKNOWN)
    if cooled and worst_outcome(out) is Outcome.CONFORMS:
        out.append(let_go_unread(e, book, recipe, end))
    if not cooled and worst_outcome(out) is Outcome.CONFORMS:
        words = "the readings end before all have cooled: until when it was needed, and held, is not shown"
        book.unknown(RuleName.VACUUM, words, limit=rule.least, kind="pressure", time=end)
        out.append(Outcome.UNKNOWN)
    return worst_outcome(out)


def needed_until(e: Evidence, recipe: CureRecipe, walked: tuple[Stretch, ...]) -> tuple[float, bool]:
    """Vacuum is needed until the hottest has cooled to the release temperature, else to the end of the
    cool-down, else of the last dwell [s]; and whether readings show that. If not, until the last reading:
    what was needed after that is not known."""
    dwells = [s for s in walked if s.segment.kind is SegmentKind.DWELL and s.found]
    if dwells:
        last = dwells[-1].end
    else:
        seen = np.isfinite(e.highest)
        last = float(e.times[int(np.argmax(np.where(seen, e.highest, -np.inf)))])
    level = cool_enough(recipe)
    if level is None:
        return last, True
    reached = first_at(e.times, highest_with_unread(e, level), level, last, falling=True)
    if reached is not None:
        return reached, True
    read = last_of(np.isfinite(e.highest))
    return float(e.times[-1 if read is None else read]), False


def _surely_until(e: Evidence, recipe: CureRecipe, end: float) -> float:
    """Until when [s] it surely was needed, if it was no longer needed at ``end`` [s]: where the hottest came
    down to the release temperature while none was read, as soon as its readings allow."""
    level = cool_enough(recipe)
    if level is None:
        return end
    return crossing_between(e, highest_with_unread(e, level), level, end, falling=True)[0]


def _level_until(
    e: Evidence, book: VerdictRecorder, recipe: CureRecipe, inside: BoolArray, surely: float
) -> Outcome:
    """What was too low only where it is not known whether vacuum was still needed cannot be judged."""
    assert recipe.vacuum is not None
    sure = inside & (e.times <= surely)
    if not (inside & ~sure).any():
        return _level(e, book, recipe, inside)
    whole = _level(e, VerdictRecorder(e.log), recipe, inside)
    if whole is not Outcome.DOES_NOT or _level(e, VerdictRecorder(e.log), recipe, sure) is whole:
        return _level(e, book, recipe, inside)
    words = "no thermocouple was read while all came down to the release temperature: whether they had when "
    words += "the vacuum was let go is not shown"
    book.unknown(RuleName.VACUUM, words, limit=recipe.vacuum.least, kind="pressure", time=surely)
    return Outcome.UNKNOWN


def _level(e: Evidence, book: VerdictRecorder, recipe: CureRecipe, inside: BoolArray) -> Outcome:
    rule = recipe.vacuum
    assert rule is not None
    least = rule.least.value * (1 - 1e-9)
    with np.errstate(invalid="ignore"):
        low = inside & (e.vacuum < least)
    lowest = place_of_least(e.vacuum, inside)
    if lowest is None:
        book.unknown(
            RuleName.VACUUM, "no usable reading while the part was hot", limit=rule.least, kind="pressure"
        )
        return Outcome.UNKNOWN
    if not low.any():
        return _enter(e, book, recipe, lowest, "", Outcome.CONFORMS)
    out = []
    for dips in _dips(e, low, rule.dip_longest):
        at = min((a + int(np.argmin(e.vacuum[a : b + 1])) for a, b in dips), key=lambda i: e.vacuum[i])
        begin = float(e.times[dips[0][0]])
        ends = [_read_after(e, b) for _, b in dips]
        too_low = sum(end - float(e.times[a]) for (a, _), end in zip(dips, ends, strict=True))
        seen = all(end - float(e.times[b]) <= e.gap for (_, b), end in zip(dips, ends, strict=True))
        many = f" in {len(dips)} dips" if len(dips) > 1 else ""
        allowed = (
            rule.dip_least is not None
            and float(e.vacuum[at]) >= rule.dip_least * (1 - 1e-9)
            and too_low <= rule.dip_longest + 1e-6
        )
        if not seen:
            out.append(_not_seen(e, book, recipe, at, dips))
        elif allowed and too_low + e.blur * len(dips) > rule.dip_longest + 1e-6:
            words = f", {length(too_low)} too low{many}; the stamps leave it open whether longer"
            out.append(_enter(e, book, recipe, at, words, Outcome.UNKNOWN))
        elif allowed:
            words = f"down to {show(float(e.vacuum[at]), 'pressure')} for {length(too_low)}{many}"
            book.note(codes.VACUUM_DIP, words, time=begin, place=rule.least.place)
            out.append(Outcome.CONFORMS)
        else:
            out.append(_enter(e, book, recipe, at, f", {length(too_low)} too low{many}", Outcome.DOES_NOT))
    if worst_outcome(out) is Outcome.CONFORMS:
        _enter(e, book, recipe, lowest, ", a dip that is allowed", Outcome.CONFORMS)
    return worst_outcome(out)


def _dips(e: Evidence, low: BoolArray, longest: float) -> list[list[tuple[int, int]]]:
    """Dips in samples ``low`` (n,), first and last of each; those that follow the one before sooner than the
    longest allowed [s] count as one: a vacuum that hovers about its least is no row of short dips."""
    out: list[list[tuple[int, int]]] = []
    for a, b in runs(low):
        if out and float(e.times[a]) - _after(e, out[-1][-1][1]) < longest:
            out[-1].append((a, b))
        else:
            out.append([(a, b)])
    return out


def _not_seen(
    e: Evidence, book: VerdictRecorder, recipe: CureRecipe, at: int, dips: list[tuple[int, int]]
) -> Outcome:
    """Too low in samples behind which no vacuum is read for longer than counts as unbroken: how long it was
    low is not shown, and of the one reading at which a gauge began to stand still not even that it was."""
    if len(dips) == 1 and dips[0][0] == dips[0][1]:
        after = _after(e, at)
        stands = (f for f in e.checked.faults if f.finding.code == codes.FROZEN.code and f.time == after)
        if any(f.channel in e.checked.vacuum_names for f in stands):
            words = ", where the gauge begins to stand still: whether the vacuum was so low is not shown"
            return _enter(e, book, recipe, at, words, Outcome.UNKNOWN)
    words = ", too low and not read after that: for how long is not shown"
    return _enter(e, book, recipe, at, words, Outcome.DOES_NOT)


def _read_after(e: Evidence, at: int) -> float:
    """The time of the next sample with a vacuum, else of the last one [s]."""
    if at + 1 < len(e.times) and np.isfinite(e.vacuum[at + 1]):
        return float(e.times[at + 1])
    later = np.flatnonzero(np.isfinite(e.vacuum[at + 1 : at + 1 + MOST_LOOKED]))
    return float(e.times[at + 1 + int(later[0])] if later.size else e.times[-1])


def _before(e: Evidence, at: int) -> float:
    """The time of the sample before [s]."""
    return float(e.times[max(at - 1, 0)])


def _after(e: Evidence, at: int) -> float:
    """The time of the next sample [s]."""
    return float(e.times[min(at + 1, len(e.times) - 1)])


def _enter(
    e: Evidence, book: VerdictRecorder, recipe: CureRecipe, at: int, more: str, outcome: Outcome
) -> Outcome:
    assert recipe.vacuum is not None
    limit, value = recipe.vacuum.least, float(e.vacuum[at])
    shown, least = told_apart(
        value < limit.value * (1 - 1e-9),
        lambda finer: show(value, "pressure", decimals=1 + finer),
        lambda finer: show(limit.value, "pressure", decimals=1 + finer),
    )
    words = f"vacuum: {shown} below ambient, least {least}{more}"
    ambient = e.log.ambient
    if outcome is not Outcome.CONFORMS and math.isfinite(ambient) and ambient < limit.value:
        words += f"; air of {show(ambient, 'pressure', decimals=1)} cannot give it at all"
    book.enter(
        outcome,
        RuleName.VACUUM,
        words,
        limit=limit,
        value=value,
        kind="pressure",
        time=float(e.times[at]),
        code=codes.UNKNOWN if outcome is Outcome.UNKNOWN else codes.VACUUM_LOW,
    )
    return outcome


def judge_leak(
    e: Evidence,
    book: VerdictRecorder,
    rule: LeakRule | None,
    vacuum: VacuumRule | None,
    reading: LeakReading | None,
    started: float | None,
    job: JobTimes | None = None,
) -> Outcome | None:
    """The leak test, from two gauge readings or from the log at ``started`` [s]; None when none is asked.

    A test that ran longer than asked and lost no more than allowed passes; one that ran shorter, or ran
    longer and lost more, is not scaled: a leak does not lose vacuum evenly. Readings count only from the
    least vacuum on, falling or held, within what the air can give, from a gauge whose sense is known. Of a
    job it counts only with its own time, between vacuum-on and the heat, and where the log shows that vacuum.
    """
    if rule is None:
        return None
    if reading is None and started is not None:
        reading = _from_log(e, rule, started)
    if reading is None:
        words = "no leak test is recorded: neither two readings nor when the pump was shut off"
        book.unknown("leak test", words, limit=rule.fall_most, kind="pressure")
        return Outcome.UNKNOWN
    fall = reading.start - reading.end
    told = _told(reading)
    typed = started is None
    clock = "" if not typed else f"{reading.at:%Y-%m-%d %H:%M}" if reading.at else "a time nobody said"
    why = _no_test(e, rule, vacuum, reading)
    if not why and typed and job is not None:
        why = other_time(e, job, reading.at, reading.start, reading.end, reading.seconds)
    if why:
        book.unknown(
            "leak test",
            f"{why}; {told}",
            limit=rule.fall_most,
            value=fall,
            kind="pressure",
            time=started or 0.0,
            clock=clock,
        )
        return Outcome.UNKNOWN
    ran, over = lengths_apart(reading.seconds, rule.over)
    if reading.seconds < rule.over - 1e-6:
        words = f"ran {ran}, {over} are required; a shorter test is not scaled up; " + told
        book.unknown("leak test", words, limit=rule.fall_most, value=fall, kind="pressure", clock=clock)
        return Outcome.UNKNOWN
    if reading.seconds > rule.over + 1e-6 and fall > rule.fall_most.value + 1e-6:
        words = f"ran {ran}, lost more than {over} allow"
        words += f"; not scaled down; {told}"
        book.unknown("leak test", words, limit=rule.fall_most, value=fall, kind="pressure", clock=clock)
        return Outcome.UNKNOWN
    return book.measure(
        "fall in the leak test",
        fall,
        rule.fall_most,
        "pressure",
        codes.LEAK,
        most=True,
        time=started or 0.0,
        decimals=2,
        more=f"; {told}",
        clock=clock,
    )


def _told(reading: LeakReading) -> str:
    """Both readings, the time and the gauge, in words."""
    start, end = (show(x, "pressure", decimals=2) for x in (reading.start, reading.end))
    typed = f" (typed {reading.words!r})" if reading.words else ""
    gauge = reading.gauge or "not said"
    at = f", pump shut off {reading.at:%Y-%m-%d %H:%M}" if reading.at else ""
    return f"{start} to {end} below ambient in {length(reading.seconds)}, gauge counts: {gauge}{at}{typed}"


def _no_test(e: Evidence, rule: LeakRule, vacuum: VacuumRule | None, reading: LeakReading) -> str:
    """Why two readings are no leak test, "" for one that counts."""
    ambient = e.log.ambient if math.isfinite(e.log.ambient) else SEA_LEVEL_MOST
    least = rule.start_least or (vacuum.least if vacuum is not None else None)
    if not reading.gauge:
        return "nobody said how the gauge counts (below ambient or absolute)"
    if min(reading.start, reading.end) < 0.0:
        return "a reading above the air pressure is no vacuum: the sense of the gauge is not that"
    if max(reading.start, reading.end) > ambient + 1e3:
        most = show(ambient, "pressure", decimals=1)
        return f"the air of {most} cannot give such a vacuum: unit or sense of the gauge is not that"
    if reading.end > reading.start + 1e-6:
        return (
            "the vacuum rises with the pump shut off: readings exchanged, sense wrong, or the pump still drew"
        )
    if least is None:
        return "the data gives no least vacuum to start from"
    if reading.start < least.value * (1 - 1e-9):
        return f"starts below the least vacuum of {show(least.value, 'pressure', decimals=2)} ({least.place})"
    return ""


def _from_log(e: Evidence, rule: LeakRule, started: float) -> LeakReading | None:
    good = np.isfinite(e.vacuum)
    t, v = e.times[good], e.vacuum[good]
    if t.size < 2 or started < t[0] - e.gap:
        return None
    end = min(started + rule.over, float(t[-1]))
    return LeakReading(float(np.interp(started, t, v)), float(np.interp(end, t, v)), end - started)
