"""Everything a cure report prints, ready to be drawn: no renderer has to compute anything."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from itertools import pairwise

import numpy as np

from panelmend.physics.thermocouple import Wire
from panelmend.plan.judge.fault import length_up
from panelmend.plan.judge.faults_clock import gap_step
from panelmend.plan.judge.faults_compare import told_apart_from
from panelmend.plan.judge.faults_frozen import SHORTEST, is_coarse
from panelmend.plan.judge.faults_reckoned import digit_of
from panelmend.plan.judge.log import Channel, ChannelRole, CureLog, FloatArray, matrix
from panelmend.plan.judge.recipe import CureRecipe, SegmentKind
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.rules_gauge import shows_open_bag
from panelmend.plan.judge.said import in_units, show
from panelmend.plan.judge.verdict import Verdict, nan_as_none


@dataclass(frozen=True)
class TracePiece:
    """A stretch of a trace without a gap: ``times`` [s] and ``values`` in SI, of the same length."""

    times: tuple[float, ...]
    values: tuple[float, ...]


@dataclass(frozen=True)
class ChartTrace:
    """A channel for the chart: pieces with nothing between them; least and most of every part of the chart
    are kept, so that no peak is lost to thinning."""

    name: str
    role: str
    kind: str
    pieces: tuple[TracePiece, ...]


@dataclass(frozen=True)
class Band:
    """A dwell's band over the time it lasted, for the chart: times [s], temperatures [K]."""

    name: str
    start: float
    end: float
    low: float
    high: float | None


@dataclass(frozen=True)
class ChannelRow:
    """A row of the channel map: extremes in SI, NaN when it has no reading; ``missing`` readings."""

    name: str
    role: str
    least: float
    most: float
    missing: int
    lost_at: float  # [s], NaN for a channel that was not lost


@dataclass(frozen=True)
class Provenance:
    """Where a log came from, who said how it is read, and by what it was judged; all in words.

    ``columns``: name, role, unit and sense of each channel as answered."""

    file: str = ""
    encoding: str = ""
    zone: str = ""
    columns: tuple[tuple[str, str, str, str], ...] = ()
    answered_by: str = ""
    air: str = ""
    leak: str = ""
    window: str = ""
    logger: str = ""
    judged_on: str = ""
    version: str = ""


NO_PROVENANCE = Provenance()


@dataclass(frozen=True)
class CureReport:
    """A cure report. ``not_judged``: what no rule looked at, and why. ``samples`` and ``length`` [s] of the
    log; ``ceiling`` [K] None without one."""

    title: str
    started: str
    digest: str
    samples: int
    length: float
    verdict: Verdict
    traces: tuple[ChartTrace, ...]
    bands: tuple[Band, ...]
    ceiling: float | None
    vacuum_least: float | None
    channels: tuple[ChannelRow, ...]
    notes: tuple[str, ...]
    not_judged: tuple[str, ...] = ()
    provenance: Provenance = NO_PROVENANCE

    def to_json(self) -> str:
        """As JSON text in SI; the same report gives the same bytes."""
        return json.dumps(nan_as_none(asdict(self)), indent=1, sort_keys=True, ensure_ascii=False) + "\n"


def make_report(
    recipe: CureRecipe,
    log: CureLog,
    verdict: Verdict,
    *,
    points: int = 600,
    provenance: Provenance = NO_PROVENANCE,
    view: str = "mm",
) -> CureReport:
    """Put a report together.

    Args:
        recipe: the recipe the log was judged by.
        log: the log.
        verdict: from :func:`panelmend.plan.judge.judge`.
        points: about how many points a trace keeps.
        provenance: where the log came from.
        view: "mm" or "in": the units of the words.

    Returns:
        The report; gaps stay gaps, peaks stay peaks.
    """
    lost = dict(verdict.lost_sensors)
    rows = []
    for c in log.channels:
        good = c.values[np.isfinite(c.values)]
        least, most = (float(good.min()), float(good.max())) if good.size else (float("nan"),) * 2
        missing = int(c.values.size - good.size)
        rows.append(ChannelRow(c.name, c.role.value, least, most, missing, lost.get(c.name, float("nan"))))
    found = {r.name: r for r in verdict.segments if r.start == r.start}
    bands = tuple(
        Band(
            s.name,
            found[s.name].start,
            found[s.name].end,
            s.band_low.value,
            s.band_high.value if s.band_high else None,
        )
        for s in recipe.segments
        if s.kind is SegmentKind.DWELL and s.name in found and s.band_low is not None
    )
    shown = [c for c in log.channels if c.role is not ChannelRole.OTHER]
    return CureReport(
        recipe.name,
        log.started,
        log.digest,
        len(log),
        float(np.max(log.times) - np.min(log.times)),
        verdict,
        tuple(thinned(log, c, points) for c in shown),
        bands,
        recipe.ceiling.value if recipe.ceiling else None,
        recipe.vacuum.least.value if recipe.vacuum else None,
        tuple(rows),
        log.notes,
        _left(recipe, log, verdict, view),
        provenance,
    )


def _left(recipe: CureRecipe, log: CureLog, verdict: Verdict, view: str) -> tuple[str, ...]:
    with in_units(view):
        return (
            *not_judged(recipe, verdict),
            *_not_seen(recipe, log, verdict),
            *_on_the_digit(recipe, log, verdict),
        )


UNBAGGED = "pressure: cured without a bag, no log shows what pressed on it; vacuum and leak are not asked"
TAKEN_OFF = (
    "temperature at which what held it came off: no log shows that; the step of the card has its blank"
)


def not_judged(recipe: CureRecipe, verdict: Verdict) -> tuple[str, ...]:
    """What was not judged, each with the reason."""
    out = [
        words
        for limit, words in (
            (recipe.ceiling, "maximum temperature: the data gives none"),
            (recipe.vacuum, "vacuum: the data gives no least" if recipe.bagged else UNBAGGED),
            (recipe.release_most, "temperature at release: the data gives none"),
            (recipe.leak if recipe.bagged else recipe, "leak test: the data asks for none"),
            (recipe.degree_least, "degree of cure: the data asks for none"),
            (recipe.glass_least, "glass transition: the data asks for none"),
        )
        if limit is None
    ]
    if not recipe.bagged and recipe.release_most is not None:
        out.append(TAKEN_OFF)
    for s in recipe.segments:
        pairs = [(s.rate_least, "least rate"), (s.rate_most, "fastest rate")]
        if s.kind is SegmentKind.DWELL:
            pairs = [
                (s.band_high, "top of the band"),
                (s.dwell_most, "longest dwell"),
                (s.spread_most, "spread"),
                (s.lag_most, "last behind the first"),
            ]
        out += [f"{s.name}, {words}: the data gives none" for limit, words in pairs if limit is None]
    heats = [s for s in recipe.segments if s.kind is not SegmentKind.RAMP]
    out += [
        f"{after.name}, rate of the way down to it from {before.name}: the data gives no segment for it"
        for before, after in pairwise(heats)
        if before.kind is after.kind is SegmentKind.DWELL and after.target < before.target
    ]
    asked = {s.name for s in recipe.segments if s.spread_most is not None}
    out += [
        f"{name}, spread: for {length_up(seconds)} of it not every thermocouple was read; the spread then is "
        "that of those that were"
        for name, seconds in verdict.unread
        if name in asked
    ]
    applied = {r.rule for r in verdict.reasons}
    if not applied & {RuleName.OF_THIS_JOB, RuleName.USED_ONCE}:
        out.append("whether the log is of this job: not asked")
    told = length_up(max(verdict.stood, SHORTEST))
    if verdict.lost_sensors:
        names = ", ".join(n for n, _ in verdict.lost_sensors)
        out.append(
            f"how warm the place of {names} became while it did not read: it is carried on beside the others "
            "where its readings tell how it stood to them"
        )
    if verdict.stood_alone:
        each = ", ".join(f"{n} {length_up(s)}" for n, s in verdict.stood_alone)
        out.append(f"whether a thermocouple that stood at one value while hot was stuck for so long: {each}")
    return (
        *out,
        f"a logger that stops for {told} or less: it cannot be told from readings that do not change"
        + (" (they stood as long in this log)" if verdict.stood > SHORTEST else ""),
        "whether a copy of this log served a repair whose document lies in another folder, or was written in "
        "other units or digits: its readings are compared, as they stand, with those of logs that served in "
        "the folders of the document and of the log, no others",
        *_wires(recipe),
        "whether the leak test was of this bag and nothing was opened after it: two readings and their time "
        "do not show it",
        "faults that all or half of the thermocouples share, other than standing still: "
        "no neighbour shows them",
        "two logs joined, or plugs or columns exchanged on the way, where all were as hot and the "
        f"thermocouples stood alike to about {_about(1.0)}; columns exchanged from the first row "
        "on: no reading shows them",
        *_clock(verdict),
        "rows filled up afterwards: with the readings before, in whole degrees while nothing changed or in "
        "a log with fewer than three thermocouples; on straight lines drawn between two "
        "readings, where noise does not show above the last digit; with their own last reading once more "
        "after a lost cell, "
        f"where all stand within {show(0.5, 'temperature difference', decimals=1)} of one another",
        "whether each thermocouple lies where the drawing has it, and whether two lie on one place: two "
        "sensors with a noise of their own read as two",
        "temperatures between and beside the thermocouples, and the bond itself: no log shows them",
        "pressure other than vacuum, air temperature, heat-blanket power",
    )


def _clock(verdict: Verdict) -> tuple[str, ...]:
    """What was not checked about the logger's clock."""
    applied = {r.rule for r in verdict.reasons}
    never = "no reading shows it, only that steps are uneven where they change"
    out = []
    if RuleName.BY_A_WATCH not in applied:
        out.append(
            f"whether the logger's clock ran at its rate: time rests on it, nobody compared it; {never}"
        )
    else:
        out.append(
            "whether the logger's clock ran at its rate outside the dwells timed by a clock on the "
            "wall, such "
            f"as on the ramps: {never}"
        )
    if RuleName.STEP_SET not in applied:
        out.append("whether stamps were written anew at other steps: nobody said what the logger was set to")
    return tuple(out)


def _about(kelvin: float) -> str:
    return show(kelvin, "temperature difference", decimals=0)


def _not_seen(recipe: CureRecipe, log: CureLog, verdict: Verdict) -> tuple[str, ...]:
    """What this log cannot show although others do."""
    out = []
    stated = {r.sensor: r.states for r in verdict.reasons if r.rule == RuleName.GAUGE_COUNTS and r.by}
    for c in log.of_role(ChannelRole.VACUUM):
        if recipe.vacuum is not None and not shows_open_bag(c):
            by = "the answer" if c.name in log.sense_answered else "the head of the file"
            said = stated.get(c.name, "")
            out.append(
                f"how {c.name} counts: the log shows no time without vacuum, so below ambient or absolute "
                f"rests on {by} " + (f"and one statement: {said}" if said else "alone")
            )
    if is_coarse(matrix(log.of_role(ChannelRole.THERMOCOUPLE), len(log))):
        out.append(
            "whether readings were copied from another part of the log: in whole or half degrees stretches "
            "can come twice by themselves"
        )
    return tuple(out)


def _on_the_digit(recipe: CureRecipe, log: CureLog, verdict: Verdict) -> tuple[str, ...]:
    """Limits that readings keep by less than half of the last digit they are written to."""
    couples = (c.values[np.isfinite(c.values)] for c in log.of_role(ChannelRole.THERMOCOUPLE))
    half = 0.5 * max((digit_of(v) for v in couples if v.size > 1), default=0.0)
    out, of = [], {s.name: s for s in recipe.segments}
    for row in verdict.segments:
        s = of[row.name]
        if s.kind is not SegmentKind.DWELL:
            continue
        sides = ((row.least, s.band_low, 1.0, "least"), (row.most, s.band_high, -1.0, "most"))
        for value, limit, sign, words in sides:
            room = sign * (value - limit.value) if limit else np.inf
            if -1e-6 <= room < half - 1e-6 and limit is not None:
                read, asked = (show(x, "temperature", decimals=1) for x in (value, limit.value))
                out.append(
                    f"{s.name}, whether {read} as written keeps the {words} of {asked}: the log is written "
                    f"in steps of {show(2 * half, 'temperature difference', decimals=1)}, "
                    "and a reading may be half a step off"
                )
    return tuple(out)


def _wires(recipe: CureRecipe) -> tuple[str, ...]:
    """Which thermocouple types the heat of this recipe cannot tell apart by the readings."""
    top = max(s.target for s in recipe.segments)
    told = []
    for wire, instrument in ((Wire.J, Wire.K), (Wire.K, Wire.J), (Wire.T, Wire.K), (Wire.K, Wire.T)):
        start = told_apart_from(wire, instrument)
        if start > top:
            told.append(f"{wire} wire on a {instrument} input (told from {show(start, 'temperature')})")
    if not told:
        return ()
    most = show(top, "temperature", decimals=0)
    return (
        f"thermocouples of another type: {', '.join(told)}; up to the {most} of this cure they read no "
        "further from the others than a cold or hot place does",
    )


def thinned(log: CureLog, channel: Channel, points: int) -> ChartTrace:
    """A channel thinned for a chart: in each slice of time its least and its most, and the ends of pieces.

    Args:
        log: the log the channel belongs to.
        channel: the channel.
        points: about how many points to keep.
    """
    good = np.isfinite(channel.values)
    breaks = np.zeros(len(log), np.bool_)
    steps = np.diff(log.times)
    breaks[1:] = (steps > gap_step(log)) | (steps < 0)
    number = np.cumsum(breaks | ~good)
    pieces = []
    kept = np.flatnonzero(good)
    if kept.size:
        starts = np.flatnonzero(np.diff(number[kept], prepend=number[kept[0]] - 1))
        size = max(2.0, kept.size / max(1, points // 2))
        for piece in np.split(kept, starts[1:]):
            at = _keep(channel.values[piece], size)
            pieces.append(
                TracePiece(tuple(log.times[piece[at]].tolist()), tuple(channel.values[piece[at]].tolist()))
            )
    return ChartTrace(channel.name, channel.role.value, channel.kind, tuple(pieces))


def _keep(values: FloatArray, size: float) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """Places of the first, the last, and the least and most of each slice of about ``size`` values."""
    count = max(1, int(values.size / size))
    edges = np.linspace(0, values.size, count + 1).astype(np.int64)
    keep = [0, values.size - 1]
    for a, b in pairwise(edges.tolist()):
        if b > a:
            keep += [int(a + np.argmin(values[a:b])), int(a + np.argmax(values[a:b]))]
    return np.unique(np.array(keep, np.int64))
