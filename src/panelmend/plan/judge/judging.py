"""The judge: a log against its recipe."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import assert_never

import numpy as np

from panelmend.errors import InputError, RangeError
from panelmend.physics.thermocouple import Wire, tolerance
from panelmend.plan.judge import codes
from panelmend.plan.judge.aside import weigh_air, weigh_aside, weigh_gauges, weigh_points
from panelmend.plan.judge.doubt import SeenOfSensor, weigh_doubts
from panelmend.plan.judge.evidence import Evidence, gather
from panelmend.plan.judge.fault import length_up
from panelmend.plan.judge.faults import check_readings
from panelmend.plan.judge.faults_frozen import STOOD_LONG, longest_stay, stays_of_each
from panelmend.plan.judge.log import ChannelRole, CureLog
from panelmend.plan.judge.lost import weigh_lost
from panelmend.plan.judge.recipe import CureRecipe, SegmentKind
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.rules_clock import judge_clock
from panelmend.plan.judge.rules_dwell import interruptions, judge_ceilings, judge_dwell, time_counted
from panelmend.plan.judge.rules_gauge import judge_sense
from panelmend.plan.judge.rules_heats import judge_heats, judge_joint, judge_scale
from panelmend.plan.judge.rules_job import JobTimes, judge_job
from panelmend.plan.judge.rules_left_out import judge_left_out
from panelmend.plan.judge.rules_rate import judge_cool, judge_ramp
from panelmend.plan.judge.rules_sensors import ResinConstants, judge_cure, judge_sensors
from panelmend.plan.judge.rules_still import judge_still
from panelmend.plan.judge.rules_vacuum import LeakReading, judge_leak, judge_vacuum
from panelmend.plan.judge.said import in_units, show
from panelmend.plan.judge.spans import samples_within
from panelmend.plan.judge.stays import weigh_stays
from panelmend.plan.judge.unread import unread_time
from panelmend.plan.judge.verdict import (
    Interruption,
    Outcome,
    SegmentRow,
    Verdict,
    VerdictRecorder,
    worst_outcome,
)
from panelmend.plan.judge.walk import Stretch, walk

AIR_DIFFERS = 3e3  # Pa: more than the weather and a barometer's error together (common practice, no source)
# the key of [[confirm]] under which the default of a rule is confirmed
USUAL: dict[str, str] = {
    RuleName.LOST: "cure_log.may_fail",
    RuleName.WORKING: "cure_log.thermocouples_least",
    RuleName.ENTRY: "cure_log.band",
    RuleName.BAND_TOP: "cure_log.band",
}
NOTHING: Mapping[str, str] = MappingProxyType({})
_ORDER = {Outcome.DOES_NOT: 0, Outcome.UNKNOWN: 1, Outcome.CONFORMS: 2}


def judge(
    recipe: CureRecipe,
    log: CureLog,
    *,
    ambient: float | None = None,
    leak: LeakReading | None = None,
    leak_started: float | None = None,
    resin: ResinConstants | None = None,
    wire: Wire | str = Wire.K,
    statements: tuple[SeenOfSensor, ...] = (),
    job: JobTimes | None = None,
    longest_gap: float | None = None,
    confirmed: Mapping[str, str] = NOTHING,
    view: str = "mm",
    gauge_seen: tuple[SeenOfSensor, ...] = (),
) -> Verdict:
    """Judge a cure log against its recipe.

    Args:
        recipe: the approved recipe in SI.
        log: the log; its order is not changed and nothing is filled in.
        ambient: air pressure of the day and place [Pa], where the log does not carry it.
        leak: a leak test read from the gauge.
        leak_started: when the pump was shut off for a leak test within the log [s].
        resin: constants for degree of cure and glass transition.
        statements: what inspectors or engineers state about thermocouples; printed, with the verdict with and
            without them; the cure then cannot be judged.
        job: when this cure ran and which operations the log has served before; not checked when None.
        longest_gap: longest time between readings that still counts as unbroken [s], for loggers that write
            only what changes, from the approved data; the recipe's, else 2.5 usual steps when not given.
        confirmed: usual values that a named person confirmed, by the keys of :data:`USUAL`: who and when.
        view: "mm" or "in": the units of the words.
        gauge_seen: how vacuum gauges count, as inspectors or engineers state it from the gauge.
        wire: type of the thermocouples, for the remark on readings too close to a limit to tell.

    Returns:
        The verdict with every rule applied, its time, value, limit and place in the data.

    Raises:
        InputError: a log with fewer than two samples or without a thermocouple.
    """
    if len(log) < 2:
        raise InputError("fewer than two samples are no log", read=str(len(log)))
    if not log.of_role(ChannelRole.THERMOCOUPLE):
        raise InputError("no channel is a thermocouple", todo="set the roles of the channels")
    if longest_gap is not None and not longest_gap > 0:
        raise InputError("the longest gap must be a time", read=f"{longest_gap:g} s")
    longest_gap = recipe.longest_gap if longest_gap is None else longest_gap
    with in_units(view):
        made = _judged(
            RuleInputs(recipe, leak, leak_started, resin, job, gauge_seen),
            log,
            ambient,
            wire,
            statements,
            longest_gap,
            confirmed,
        )
        return made


def _judged(
    asked: RuleInputs,
    log: CureLog,
    ambient: float | None,
    wire: Wire | str,
    statements: tuple[SeenOfSensor, ...],
    longest_gap: float | None,
    confirmed: Mapping[str, str],
) -> Verdict:
    recipe, job = asked.recipe, asked.job
    answered = log.ambient
    if ambient is not None:
        log = dataclasses.replace(log, ambient=ambient)
    checked = check_readings(log)
    e = gather(log, longest_gap, checked=checked)
    book, walked, rows, breaks, degree, glass = _applied(e, asked)
    aside = {c.name for c in log.set_aside}
    of_aside = tuple(s for s in statements if s.channel in aside)
    statements = tuple(s for s in statements if s.channel not in aside)
    doubted = tuple(sorted({f.channel for f in checked.faults if f.doubt} | {s.channel for s in statements}))
    if e.order and doubted:
        other = _applied(gather(log, longest_gap, without=doubted, checked=checked), asked)[0]
        weigh_doubts(e, book, other, walked, recipe, statements)
    if log.set_aside:
        for weighed in (weigh_aside, weigh_gauges):
            weighed(log, book, lambda x: _applied(gather(x, longest_gap), asked)[0], recipe, of_aside)
    weigh_air(log, book, lambda x: _applied(gather(x, longest_gap), asked)[0], recipe)
    if e.order:
        weigh_points(log, book, lambda x: _applied(gather(x, longest_gap), asked)[0], recipe, walked)
    if e.order and e.lost_at:
        again = gather(log, longest_gap, checked=checked, back=True)
        weigh_lost(e, again, book, lambda x: _applied(x, asked)[0], walked, recipe)
    if e.order:
        weigh_stays(e, book, walked, recipe)
    if ambient is not None and abs(answered - ambient) > AIR_DIFFERS and recipe.vacuum is not None:
        have, bay = (show(x, "pressure", decimals=1) for x in (answered, ambient))
        words = f"vacuum was calculated from an air pressure of {have}; in the bay it is {bay}"
        book.note(codes.V_AMBIENT, words)
        book.unknown("air pressure", words, limit=recipe.vacuum.least, kind="pressure")
    rests: tuple[str, ...] = ()
    if job is not None:
        judge_job(book, e, job)
        alone = judge_clock(book, e, walked, job.watched, job.set_to, job.by) if e.order else ()
        if alone:
            words = f"nobody read a clock on the wall at the start and the end of {', '.join(alone)}"
            book.note(codes.CLOCK_ALONE, words)
            rests = (
                f"the logger's clock, which nobody compared with a clock on the wall ({', '.join(alone)})",
            )
    stood = longest_stay(e.log, e.checked.temps)
    if stood >= STOOD_LONG:
        words = f"the thermocouples' readings, which all stood at one value for {length_up(stood)}"
        book.note(codes.STOOD, words)
        rests += (f"{words}: a logger card that has stopped reads the same",)
    rests += judge_still(e, book, walked) if e.order else ()
    _defaults(book, confirmed)
    if e.order:
        _program(e, book, walked)
        _near(book, wire)
    made = _made(e, book, recipe, rows, breaks, degree, glass, rests, stood)
    return dataclasses.replace(made, unread=_unread(e, walked))


@dataclass(frozen=True)
class RuleInputs:
    """What the rules are applied with."""

    recipe: CureRecipe
    leak: LeakReading | None
    leak_started: float | None
    resin: ResinConstants | None
    job: JobTimes | None = None
    gauge_seen: tuple[SeenOfSensor, ...] = ()


Applied = tuple[
    VerdictRecorder, tuple[Stretch, ...], tuple[SegmentRow, ...], tuple[Interruption, ...], float, float
]


def _applied(e: Evidence, asked: RuleInputs) -> Applied:
    """Every rule of the recipe on one body of evidence."""
    recipe, book = asked.recipe, VerdictRecorder(e.log)
    if not e.order:
        return _no_order(e, book, recipe)
    walked = walk(e, recipe)
    in_heat = any(f.finding.code in codes.BEGINS_IN_HEAT for f in e.checked.faults)
    rows, breaks = [], []
    for at, s in enumerate(walked):
        outcome = _segment(e, book, s, in_heat and at == 0)
        if s.segment.kind is SegmentKind.DWELL:
            breaks += interruptions(e, book, s)
        rows.append(_row(e, s, outcome))
    judge_ceilings(e, book, recipe, walked)
    judge_vacuum(e, book, recipe, walked)
    judge_sense(e, book, recipe, asked.gauge_seen)
    judge_left_out(e, book, recipe, walked)
    judge_leak(e, book, recipe.leak, recipe.vacuum, asked.leak, asked.leak_started, asked.job)
    judge_sensors(e, book, recipe, walked)
    judge_heats(e, book)
    judge_scale(e, book, recipe, walked)
    judge_joint(e, book, walked)
    _, degree, glass = judge_cure(e, book, recipe, asked.resin)
    return book, walked, tuple(rows), tuple(breaks), degree, glass


def _defaults(book: VerdictRecorder, confirmed: Mapping[str, str]) -> None:
    """Every default that a rule rests on waits for a named person, or says who confirmed it."""
    seen = set()
    for at, r in enumerate(book.reasons):
        who = confirmed.get(USUAL.get(r.rule, ""), "") if r.default else ""
        if who:
            book.reasons[at] = dataclasses.replace(r, default=False, place=f"{r.place}; {who}")
        if r.default and (r.rule, r.limit) not in seen:
            seen.add((r.rule, r.limit))
            key = USUAL.get(r.rule, "")
            words = r.words if r.words.startswith(r.rule) else f"{r.rule}: {r.words}"
            words += f"; {who}" if who else f'; to be confirmed as "{key}"' if key else ""
            code = codes.CONFIRMED if who else codes.UNCONFIRMED
            book.note(code, words, segment=r.segment, time=r.time, place=r.place)


def _segment(e: Evidence, book: VerdictRecorder, s: Stretch, warm: bool) -> Outcome | None:
    if s.segment.kind is SegmentKind.DWELL:
        return judge_dwell(e, book, s)
    if s.segment.kind is SegmentKind.RAMP:
        return judge_ramp(e, book, s, warm)
    if s.segment.kind is SegmentKind.COOL:
        return judge_cool(e, book, s)
    assert_never(s.segment.kind)


def _no_order(e: Evidence, book: VerdictRecorder, recipe: CureRecipe) -> Applied:
    """Without a certain order of time only the ceiling can be judged, because each reading shows it by
    itself."""
    first = next(f for f in e.checked.faults if f.finding.code in codes.OUT_OF_ORDER)
    book.unknown("order of time", first.finding.words, time=first.time)
    judge_ceilings(e, book, recipe, ())
    return book, (), (), (), math.nan, math.nan


def _made(
    e: Evidence,
    book: VerdictRecorder,
    recipe: CureRecipe,
    rows: tuple[SegmentRow, ...],
    breaks: tuple[Interruption, ...],
    degree: float,
    glass: float,
    rests: tuple[str, ...],
    stood: float,
) -> Verdict:
    reasons = sorted(book.reasons, key=lambda r: _ORDER[r.outcome])
    findings = tuple(f.finding for f in e.checked.faults) + tuple(book.findings)
    return Verdict(
        worst_outcome([r.outcome for r in reasons]),
        recipe.name,
        e.log.digest,
        tuple(reasons),
        findings,
        rows,
        e.lost_at,
        breaks,
        degree,
        glass,
        stood,
        stays_of_each(e.log, e.names, e.checked.temps),
        rests,
    )


def _unread(e: Evidence, walked: tuple[Stretch, ...]) -> tuple[tuple[str, float], ...]:
    """The dwells in which not every thermocouple was read all through, and for how long [s]."""
    dwells = (s for s in walked if s.segment.kind is SegmentKind.DWELL and s.spans)
    found = ((s.segment.name, unread_time(e, s.spans[0].start, s.end)) for s in dwells)
    return tuple((name, seconds) for name, seconds in found if seconds > 0.0)


def _row(e: Evidence, s: Stretch, outcome: Outcome | None) -> SegmentRow:
    seen = sorted((t, n) for n, t in s.entries if t is not None)
    inside = samples_within(e.times, s.start, s.end)
    dwell = s.segment.kind is SegmentKind.DWELL
    counted = inside
    if dwell and s.spans:  # the least of what counts: before its entry the slowest is still on its way
        counted = samples_within(e.times, max(s.start, s.spans[0].start), min(s.end, s.spans[-1].end))
    low, high = e.lowest[counted], e.highest[inside]
    return SegmentRow(
        s.segment.name,
        s.segment.kind.value,
        s.start if s.found else math.nan,
        s.end if s.found else math.nan,
        seen[-1][1] if seen else "",
        seen[0][1] if seen else "",
        float(np.nanmin(low)) if np.isfinite(low).any() else math.nan,
        float(np.nanmax(high)) if np.isfinite(high).any() else math.nan,
        time_counted(s) if dwell else math.nan,
        outcome.value if outcome is not None else "no limit in the data",
    )


def _program(e: Evidence, book: VerdictRecorder, walked: tuple[Stretch, ...]) -> None:
    """The set point inside a dwell lies outside the dwell's band."""
    for channel in e.log.of_role(ChannelRole.SET_POINT):
        for s in walked:
            low, high = s.segment.band_low, s.segment.band_high
            if s.segment.kind is not SegmentKind.DWELL or not s.found or low is None or high is None:
                continue
            begin = s.spans[0].start if s.spans else s.start
            asked = channel.values[samples_within(e.times, begin, s.end)]
            asked = asked[np.isfinite(asked)]
            middle = float(np.median(asked, overwrite_input=True)) if asked.size else low.value
            if not low.value <= middle <= high.value:
                words = f"{show(middle, 'temperature')} in {s.segment.name}"
                book.note(codes.PROGRAM, words, segment=s.segment.name, time=begin, place=low.place)


def _near(book: VerdictRecorder, wire: Wire | str) -> None:
    """A temperature that conforms by less than the tolerance of thermocouple wire gets a remark."""
    for r in book.reasons:
        if r.kind != "temperature" or r.outcome is not Outcome.CONFORMS or math.isnan(r.limit):
            continue
        if r.rule == RuleName.GLASS:
            continue
        try:
            margin = tolerance(wire, r.value)
        except RangeError:
            continue
        if abs(r.limit - r.value) < margin:
            words = f"{r.words}; standard wire is good to {show(margin, 'temperature difference')}"
            book.note(codes.NEAR, words, sensor=r.sensor, segment=r.segment, time=r.time, place=r.place)
