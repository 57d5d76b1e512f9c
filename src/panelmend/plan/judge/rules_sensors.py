"""Rules on the thermocouples themselves, and on degree of cure."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from panelmend.errors import Code, PanelmendError
from panelmend.physics.cure_chemistry import RateLaw, glass_transition, integrate
from panelmend.plan.judge import codes
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.fault import OFF, ON
from panelmend.plan.judge.faults_sensor import HIGHEST, LOWEST
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.pieces import pieces
from panelmend.plan.judge.recipe import CureRecipe, SegmentKind
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.said import show
from panelmend.plan.judge.spans import samples_within
from panelmend.plan.judge.verdict import Outcome, VerdictRecorder, cured, told_apart, worst_outcome
from panelmend.plan.judge.walk import Stretch, heat_start

MOST_POINTS = 800
TOGETHER = 120.0  # s between the first cells that are missing, and the last (common practice, no source)


@dataclass(frozen=True)
class ResinConstants:
    """Constants of the resin: rate law, degree of cure at the start [1], and glass transition by the
    DiBenedetto relation: uncured [K], cured [K], shape [1]; None when not known."""

    law: RateLaw
    start: float = 0.0
    glass: tuple[float, float, float] | None = None


def judge_sensors(
    e: Evidence, book: VerdictRecorder, recipe: CureRecipe, walked: tuple[Stretch, ...]
) -> Outcome:
    """How many worked from the start of heat to the end of the last dwell, how many were lost, and which."""
    rule = recipe.sensors
    start = heat_start(e)
    dwells = [s.end for s in walked if s.segment.kind is SegmentKind.DWELL]
    end = max([start, *dwells])
    span = samples_within(e.times, start, end)
    counts = [int(e.working[p].sum(axis=1).min()) for p in pieces(span.start, span.stop) if e.working.size]
    left = min(counts, default=0)
    lost = [(n, t) for n, t in e.lost_at if t <= end]
    named = ", ".join(n for n, _ in lost)
    at = lost[-1][1] if lost else start
    place, default = rule.place, rule.default
    never = [n for n, _ in lost if _never_read(e, n)]
    spare = f"; {', '.join(never)}: no reading in the whole log, as of an input without a thermocouple"
    enough = left >= rule.least
    silent = _silent_together(e, [n for n, _ in lost])
    few = Outcome.UNKNOWN if left + len(silent) >= rule.least else Outcome.DOES_NOT
    alike = (
        f"; {', '.join(silent)} drop cells over the same minutes, as where the logger does: "
        if silent
        else ""
    )
    alike += "whether a contact was lost is not known" if silent else ""
    out = [
        _enter(
            book,
            Outcome.CONFORMS if enough else few,
            RuleName.WORKING,
            f"{left} worked all through, least {rule.least}"
            + (f"; lost: {named}" if named else "")
            + ("" if enough else alike),
            codes.SENSORS_FEW,
            at,
            place,
            default,
        )
    ]
    if rule.may_fail is not None:
        words = f"{len(lost)} lost" + (f" ({named})" if named else "") + f", most {rule.may_fail}"
        fits = len(lost) <= rule.may_fail
        good = Outcome.CONFORMS if fits else Outcome.DOES_NOT
        if not fits and enough and len(lost) - len(never) <= rule.may_fail:
            # it is not known whether a thermocouple was meant to be there; where the data's least is met
            # without it, it does not count as lost
            good = Outcome.UNKNOWN if default else Outcome.CONFORMS
            kept = ", ".join(n for n, _ in lost if n not in never)
            words = f"{len(lost) - len(never)} lost" + (f" ({kept})" if kept else "")
            words += f", most {rule.may_fail}{spare}"
        elif not fits and len(lost) - len(silent) <= rule.may_fail:
            good, words = Outcome.UNKNOWN, words + alike
        where = rule.may_fail_place or place
        out.append(
            _enter(book, good, RuleName.LOST, words, codes.SENSORS_LOST, at, where, rule.may_fail_default)
        )
    for name in rule.must_work:
        if name not in e.names:
            book.unknown("thermocouple that must work", f"{name} is not in the log", place=place)
            out.append(Outcome.UNKNOWN)
            continue
        when = dict(lost).get(name)
        words = f"{name} worked" if when is None else f"{name} was lost"
        good = Outcome.CONFORMS if when is None else Outcome.DOES_NOT
        if name in silent:
            good, words = Outcome.UNKNOWN, words + alike
        rule_name = "thermocouple that must work"
        out.append(_enter(book, good, rule_name, words, codes.SENSOR_NEEDED, when or start, place, default))
    return worst_outcome(out)


def _enter(
    book: VerdictRecorder,
    outcome: Outcome,
    rule: str,
    words: str,
    code: Code,
    time: float,
    place: str,
    default: bool,
) -> Outcome:
    code = codes.UNKNOWN if outcome is Outcome.UNKNOWN else code
    book.enter(outcome, rule, words, time=time, code=code, place=place, default=default)
    return outcome


def _silent_together(e: Evidence, lost: list[str]) -> list[str]:
    """Of the thermocouples that were lost those whose readings come and go from the same time on to the same
    time, two at least."""
    loose = {f.channel for f in e.checked.faults if f.finding.code == codes.LOOSE.code}
    ends = {}
    for name in lost:
        silent = e.times[~np.isfinite(e.log.channel(name).values)]
        if name in loose and silent.size:
            ends[name] = np.array([silent[0], silent[-1]])
    beside = [[n for n, x in ends.items() if (abs(x - own) <= TOGETHER).all()] for own in ends.values()]
    most = max(beside, key=len, default=[])
    return most if len(most) > 1 else []


def _never_read(e: Evidence, name: str) -> bool:
    """Whether a channel has no reading of a bond line from the first row to the last."""
    values = e.log.channel(name).values
    with np.errstate(invalid="ignore"):
        return not bool(((values >= LOWEST) & (values <= HIGHEST)).any())


def cure_of_slowest(e: Evidence, resin: ResinConstants, hottest: float | None = None) -> tuple[str, float]:
    """The thermocouple with the least degree of cure at the end of the log, and that degree [1].

    Only thermocouples that worked to the end. In a gap only what is sure counts: down with the blanket fully
    off, to the coldest it ever read, and back with it on; with ``hottest`` [K] the most that can have been:
    up with it on, to that, and back with it off.
    """
    least = ("", math.nan)
    for i, name in enumerate(e.names):
        if not e.working[:, i].all():
            continue
        times, temps = _history(e, e.temps[:, i], hottest)
        if times.size < 2:
            continue
        degree = integrate(resin.law, times.tolist(), temps.tolist(), start=resin.start).degree[-1]
        if not degree >= least[1]:
            least = (name, degree)
    return least


def _history(e: Evidence, values: FloatArray, hottest: float | None = None) -> tuple[FloatArray, FloatArray]:
    good = np.isfinite(values)
    t, v = e.times[good], values[good]
    rising = np.concatenate([[True], np.diff(t) > 0])
    t, v = t[rising], v[rising]
    gaps = np.flatnonzero(np.diff(t) > max(e.gap, 1.0))
    step = max(1, t.size // MOST_POINTS)
    keep = np.unique(
        np.concatenate([np.arange(0, t.size, step), gaps, gaps + 1, [t.size - 1]]).astype(np.int64)
    )
    if not gaps.size:
        return t[keep], v[keep]
    sign, bound = (-1.0, float(v.min())) if hottest is None else (1.0, max(float(v.max()), hottest))
    inside = [x for k in gaps.tolist() for x in _in_gap(t[k : k + 2], v[k : k + 2], sign, bound)]
    times = np.concatenate([t[keep], [x[0] for x in inside]])
    temps = np.concatenate([v[keep], [x[1] for x in inside]])
    order = np.argsort(times, kind="stable")
    return times[order], temps[order]


def _in_gap(t: FloatArray, v: FloatArray, sign: float, bound: float) -> list[tuple[float, float]]:
    """Where a history turns within a gap (2,) [s] between two readings (2,) [K] if it goes away from them as
    fast as the part can, up (``sign`` 1) or down (-1), not beyond a bound [K], and back: times [s], [K]."""
    away, back = (ON, OFF) if sign > 0 else (OFF, ON)
    span = float(t[1] - t[0])
    turn = (sign * float(v[1] - v[0]) + back * span) / (away + back)
    if not 0.0 < turn < span:
        return []
    top = float(v[0]) + sign * away * turn
    if sign * top <= sign * bound:
        return [(float(t[0]) + turn, top)]
    there, left = sign * (bound - float(v[0])) / away, span - sign * (bound - float(v[1])) / back
    return [(float(t[0]) + x, bound) for x in (there, left) if 0.0 < x < span]


def judge_cure(
    e: Evidence, book: VerdictRecorder, recipe: CureRecipe, resin: ResinConstants | None
) -> tuple[Outcome | None, float, float]:
    """Degree of cure [1] and glass transition [K] of the slowest; the outcome is None when neither is
    asked."""
    asked = [x for x in (recipe.degree_least, recipe.glass_least) if x is not None]
    if resin is None:
        for limit in asked:
            kind = "ratio" if limit is recipe.degree_least else "temperature"
            book.unknown("degree of cure", "the resin's constants are not given", limit=limit, kind=kind)
        return (Outcome.UNKNOWN if asked else None), math.nan, math.nan
    try:
        name, degree = cure_of_slowest(e, resin)
        most = degree
        if asked and not (e.known.all() and np.isfinite(np.sum(e.temps))):
            bounded = recipe.ceiling or any(x.band_high or x.ceiling for x in recipe.segments)
            most = cure_of_slowest(e, resin, recipe.top() if bounded else HIGHEST)[1]
        glass, glass_most = (
            glass_transition(x, *resin.glass) if resin.glass and x == x else math.nan for x in (degree, most)
        )
    except PanelmendError as error:
        if asked:
            kind = "ratio" if asked[0] is recipe.degree_least else "temperature"
            book.unknown("degree of cure", str(error), limit=asked[0], kind=kind)
        return (Outcome.UNKNOWN if asked else None), math.nan, math.nan
    end = float(e.times[-1])
    out = []
    for asks, value, at_most, kind, rule, code in (
        (recipe.degree_least, degree, most, "ratio", "degree of cure of the slowest", codes.DEGREE),
        (recipe.glass_least, glass, glass_most, "temperature", RuleName.GLASS, codes.GLASS),
    ):
        if asks is None:
            continue
        if math.isnan(value):
            book.unknown(
                rule, "no thermocouple worked all through, or constants are missing", limit=asks, kind=kind
            )
            out.append(Outcome.UNKNOWN)
            continue
        places = 3 if kind == "ratio" else 1
        if value < asks.value - 1e-6 <= at_most:
            words = _sure_only(f"{rule}: {name}", value, at_most, asks.value, kind, places)
            book.unknown(rule, words, limit=asks, value=value, kind=kind, sensor=name, time=end)
            out.append(Outcome.UNKNOWN)
            continue
        out.append(
            book.measure(rule, value, asks, kind, code, most=False, sensor=name, time=end, decimals=places)
        )
    return (worst_outcome(out) if out else None), degree, glass


def _sure_only(whose: str, value: float, at_most: float, limit: float, kind: str, places: int) -> str:
    """What is sure of a degree [1] or glass transition [K] with gaps, and the most that it can have been."""
    shown = cured if kind == "ratio" else float
    sure, least = told_apart(
        True,
        lambda finer: show(shown(value), kind, decimals=places + finer),
        lambda finer: show(limit, kind, decimals=places + finer),
    )
    most = show(shown(at_most), kind, decimals=places)
    return f"{whose} {sure} is sure, least {least}; in the gaps of the readings it can have come to {most}"
