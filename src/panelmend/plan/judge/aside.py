"""Channels that look like thermocouples but were given another role: the rules are applied with them too."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.doubt import SeenOfSensor, sensor_statement
from panelmend.plan.judge.faults_reckoned import digit_of
from panelmend.plan.judge.faults_sensor import median_of
from panelmend.plan.judge.faults_vacuum import SEA_LEVEL_MOST
from panelmend.plan.judge.log import Channel, ChannelRole, CureLog, FloatArray, matrix
from panelmend.plan.judge.pieces import last_of
from panelmend.plan.judge.recipe import CureRecipe, SegmentKind
from panelmend.plan.judge.rules_gauge import shows_open_bag
from panelmend.plan.judge.said import show
from panelmend.plan.judge.spans import first_above, samples_within
from panelmend.plan.judge.verdict import Outcome, VerdictRecorder, worst_outcome
from panelmend.plan.judge.walk import Stretch
from panelmend.units.fundamental import SEA_LEVEL_PRESSURE


def weigh_aside(
    log: CureLog,
    book: VerdictRecorder,
    applied: Callable[[CureLog], VerdictRecorder],
    recipe: CureRecipe,
    statements: tuple[SeenOfSensor, ...],
) -> None:
    """If the rules give another result with such channels (``applied``) than without them (``book``), the
    cure cannot be judged, whatever anybody states about them."""
    gauges = {c.name for c in log.set_aside if c.role is ChannelRole.VACUUM}
    said = {s.channel: f"; {sensor_statement(s)}" for s in statements if s.channel not in gauges}
    points = {c.name for c in log.of_role(ChannelRole.SET_POINT)}
    couples = log.of_role(ChannelRole.THERMOCOUPLE)
    aside = tuple(
        c
        for c in log.set_aside
        if c.role is ChannelRole.THERMOCOUPLE
        and follows_thermocouples(log, c.values)
        and not (c.name in points and programmed(c.values, couples, recipe))
    )
    for name in said.keys() - {c.name for c in aside}:
        book.note(codes.SET_ASIDE, f"{name}: it does not follow the heat{said[name]}", sensor=name)
    if not aside:
        return
    names = {c.name for c in aside}
    kept = tuple(c for c in log.channels if c.name not in names)
    whole = dataclasses.replace(log, channels=(*kept, *aside), set_aside=())
    other = applied(whole)
    without, with_it = (worst_outcome([r.outcome for r in b.reasons]) for b in (book, other))
    for c in aside:
        words = f"{c.name}: with its readings as a thermocouple's: {with_it}; without: {without}"
        words += said.get(c.name, "")
        book.note(codes.SET_ASIDE, words, sensor=c.name)
    if with_it is not without and without is Outcome.CONFORMS:
        against = next(r for r in other.reasons if r.outcome is with_it)
        words = f"{', '.join(sorted(names))} given another role; with them {with_it}: {against.words}"
        words += "".join(said[n] for n in sorted(names & said.keys()))
        place = recipe.sensors.place
        book.unknown("channel taken for no thermocouple", words, time=against.time, place=place)


def weigh_air(
    log: CureLog,
    book: VerdictRecorder,
    applied: Callable[[CureLog], VerdictRecorder],
    recipe: CureRecipe,
) -> None:
    """A channel taken as air, which no rule looks at, that follows the heat and lags the thermocouples is not
    the air that heats the part: if the rules give another result with it (``applied``) than without
    (``book``), the cure cannot be judged."""
    behind = []
    for c in log.of_role(ChannelRole.AIR):
        if not follows_thermocouples(log, c.values):
            continue
        middle = median_of(matrix(log.of_role(ChannelRole.THERMOCOUPLE), len(log)))
        rising = np.isfinite(middle) & np.isfinite(c.values)
        rising[int(np.nanargmax(middle)) :] = False
        if rising.any() and float(np.median((c.values - middle)[rising])) < 0.0:
            behind.append(c)
    if not behind:
        return
    names = {c.name for c in behind}
    kept = tuple(c for c in log.channels if c.name not in names)
    part = tuple(dataclasses.replace(c, role=ChannelRole.THERMOCOUPLE) for c in behind)
    other = applied(dataclasses.replace(log, channels=(*kept, *part), set_aside=()))
    without, with_it = (worst_outcome([r.outcome for r in b.reasons]) for b in (book, other))
    for c in behind:
        most = show(float(np.nanmax(c.values)), "temperature")
        words = (
            f"{c.name}: up to {most}, behind the thermocouples; as one of them: {with_it}; without: {without}"
        )
        book.note(codes.AIR_FOLLOWS, words, sensor=c.name)
    if with_it is not without and without is Outcome.CONFORMS:
        against = next(r for r in other.reasons if r.outcome is with_it)
        words = f"{', '.join(sorted(names))} taken as air; as thermocouples {with_it}: {against.words}"
        book.unknown("channel taken for air", words, time=against.time, place=recipe.sensors.place)


def weigh_points(
    log: CureLog,
    book: VerdictRecorder,
    applied: Callable[[CureLog], VerdictRecorder],
    recipe: CureRecipe,
    walked: tuple[Stretch, ...],
) -> None:
    """A channel read as set point that follows the heat and is below the band while the thermocouples are in
    it, or above it with noise of its own, is not a program: columns were exchanged, or a name is wrong. If
    the rules give another result with it as a thermocouple (``applied``) than without (``book``), the cure
    cannot be judged."""
    outside = tuple(
        c
        for c in log.of_role(ChannelRole.SET_POINT)
        if any(no_program(log, c.values, s) for s in walked) and follows_thermocouples(log, c.values)
    )
    if not outside:
        return
    names = {c.name for c in outside}
    kept = tuple(c for c in log.channels if c.name not in names)
    part = tuple(dataclasses.replace(c, role=ChannelRole.THERMOCOUPLE) for c in outside)
    other = applied(dataclasses.replace(log, channels=(*kept, *part), set_aside=()))
    without, with_it = (worst_outcome([r.outcome for r in b.reasons]) for b in (book, other))
    for c in outside:
        words = (
            f"{c.name}: outside the band it should ask for; as a thermocouple: {with_it}; without: {without}"
        )
        book.note(codes.POINT_FOLLOWS, words, sensor=c.name)
    if with_it is not without and without is Outcome.CONFORMS:
        against = next(r for r in other.reasons if r.outcome is with_it)
        words = f"{', '.join(sorted(names))} taken as set point; as a thermocouple {with_it}: {against.words}"
        book.unknown("channel taken for set point", words, time=against.time, place=recipe.sensors.place)


def no_program(log: CureLog, values: FloatArray, s: Stretch) -> bool:
    """A channel [K] is in the middle of a dwell below its band, or above it with a noise that shows."""
    low, high = s.segment.band_low, s.segment.band_high
    if s.segment.kind is not SegmentKind.DWELL or not s.found or not s.spans or low is None:
        return False
    asked = values[samples_within(log.times, s.spans[0].start, s.end)]
    asked = asked[np.isfinite(asked)]
    middle = float(np.median(asked)) if asked.size else low.value
    return middle < low.value or (high is not None and middle > high.value and _bends(values) > SMOOTH)


def weigh_gauges(
    log: CureLog,
    book: VerdictRecorder,
    applied: Callable[[CureLog], VerdictRecorder],
    recipe: CureRecipe,
    statements: tuple[SeenOfSensor, ...],
) -> None:
    """If the rules give another result with vacuum gauges given another role (``applied``) than without them
    (``book``), the cure cannot be judged, whatever anybody states about them; a gauge that never showed half
    of the least vacuum was not on a pumped bag, and is only reported. One whose sense nobody gave, and that
    does not show it, is judged both ways."""
    gauges = tuple(c for c in log.set_aside if c.role is ChannelRole.VACUUM and np.isfinite(c.values).any())
    if recipe.vacuum is None or not gauges:
        return
    said = {s.channel: f"; {sensor_statement(s)}" for s in statements}
    least = recipe.vacuum.least.value
    beyond = PRESSED * (log.ambient if np.isfinite(log.ambient) else SEA_LEVEL_MOST)
    air = log.ambient if np.isfinite(log.ambient) else SEA_LEVEL_PRESSURE
    other_way = {
        c.name: dataclasses.replace(c, name=f"{c.name}, read the other way", values=air - c.values)
        for c in gauges
        if c.name in log.sense_open and not shows_open_bag(c)
    }

    def drawn_by(c: Channel) -> bool:
        return 0.5 * least <= float(np.nanmax(np.abs(c.values))) <= beyond

    drawn = tuple(c for c in (*gauges, *other_way.values()) if drawn_by(c))
    weighed = {c.name for c in gauges if any(x is c or x is other_way.get(c.name) for x in drawn)}
    without = with_it = worst_outcome([r.outcome for r in book.reasons])
    if drawn:
        names = {c.name for c in drawn}
        kept = tuple(c for c in log.channels if c.name not in names)
        other = applied(dataclasses.replace(log, channels=(*kept, *drawn), set_aside=()))
        with_it = worst_outcome([r.outcome for r in other.reasons])
    for c in gauges:
        words = f"{c.name}: with its readings as a vacuum of this bag: {with_it}; without: {without}"
        if c.name not in weighed:
            size = float(np.nanmax(np.abs(c.values)))
            most = show(size, "pressure", decimals=1)
            words = f"{c.name}: it never showed more than {most}, as one on no pumped bag"
            if size > beyond:
                words = f"{c.name}: up to {most}, more than the air can give: no vacuum of a bag"
        elif c.name in other_way:
            words += "; nobody said how it counts: read below ambient and as absolute"
        book.note(codes.GAUGE_ASIDE, words + said.get(c.name, ""), sensor=c.name)
    if with_it is not without and without is Outcome.CONFORMS:
        against = next(r for r in other.reasons if r.outcome is with_it)
        words = (
            f"{', '.join(sorted(weighed))} given another role; with the readings {with_it}: {against.words}"
        )
        words += "".join(said.get(name, "") for name in sorted(weighed))
        book.unknown("channel taken for no gauge", words, time=against.time, place=recipe.vacuum.least.place)


PRESSED = 1.5  # of the air pressure: a reading above is not a bag's gauge (common practice, no source)
ALIKE, BEGIN, SHARE = 0.9, 15.0, 0.4  # correlation; K; of the others' rise (common practice, no source)
DELAYS = (0.0, 600.0, 1200.0, 1800.0, 2400.0)  # s that a late place may lag (the same)


def follows_thermocouples(log: CureLog, values: FloatArray) -> bool:
    """Whether a channel [K] begins where the thermocouples begin and rises with or after them, as one on the
    part does."""
    middle = median_of(matrix(log.of_role(ChannelRole.THERMOCOUPLE), len(log)))
    both = np.isfinite(middle) & np.isfinite(values)
    m, v, t = middle[both], values[both], log.times[both]
    if m.size < 20 or not np.ptp(v) >= max(10.0, SHARE * float(np.ptp(m))) or abs(v[0] - m[0]) > BEGIN:
        return False
    return any(np.corrcoef(np.interp(t - late, t, m), v)[0, 1] > ALIKE for late in DELAYS)


# common practice, no source, all: share of the samples; K; straight pieces of a program beside two for each
# segment of the cure cycle; samples that they are looked for in
SMOOTH, FINE, PIECES, LOOKED = 0.05, 0.3, 4, 2000


def programmed(values: FloatArray, couples: tuple[Channel, ...], recipe: CureRecipe) -> bool:
    """Whether a channel [K] is a program: it bends by no more than its last digit while each thermocouple
    shows noise; it is in the hottest dwell's band before the slowest of them, until that leaves it for good;
    and it calls for this band, or for more in few straight pieces. A filtered thermocouple in a cold, hot or
    late place is not a program."""
    if not _bends(values) <= SMOOTH < min(_bends(c.values) for c in couples):
        return False
    dwell, top = max(recipe.dwells(), key=lambda s: s.target), float(np.nanmax(values))
    low = dwell.band_low.value if dwell.band_low else dwell.target
    entries = [first_above(c.values, low) for c in couples]
    own, slowest = first_above(values, low), max((x for x in entries if x is not None), default=values.size)
    if own is None or own > slowest or not _stays(values[own:], low):
        return False
    if low <= top <= (dwell.band_high.value if dwell.band_high else recipe.top()):
        return True
    most = 2 * len(recipe.segments) + PIECES
    return digit_of(values[np.isfinite(values)]) <= FINE and _pieces(values) <= most


def _stays(values: FloatArray, low: float) -> bool:
    """A channel (n,) is above a level [K] until it leaves it for good."""
    v = values[np.isfinite(values)]
    last = last_of(v >= low)
    return last is not None and bool(np.all(v[: last + 1] >= low))


def _bends(values: FloatArray) -> float:
    """The share of samples at which a channel (n,) bends by more than its last digit."""
    v = values[np.isfinite(values)]
    if v.size < 3 or not np.ptp(v):
        return 0.0
    return float(np.mean(np.abs(np.diff(v, 2)) > 1.01 * digit_of(v)))


def _pieces(values: FloatArray) -> int:
    """How many straight pieces follow a channel (n,) to its last digit, each from where the last ended."""
    v = values[np.isfinite(values)]
    near = 1.01 * digit_of(v)
    v = v[:: max(1, v.size // LOOKED)]
    count, start = 1, 0
    low, high = -np.inf, np.inf
    for i in range(1, v.size):
        low, high = (
            max(low, (v[i] - near - v[start]) / (i - start)),
            min(high, (v[i] + near - v[start]) / (i - start)),
        )
        if low > high:
            count, start = count + 1, i - 1
            low, high = (v[i] - near - v[start]), (v[i] + near - v[start])
    return count
