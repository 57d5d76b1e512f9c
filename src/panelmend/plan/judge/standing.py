"""Readings out of their limits now or earlier: they stay on the screen whether they still move or not."""

from __future__ import annotations

import numpy as np

from panelmend.errors import Code
from panelmend.plan.judge import codes
from panelmend.plan.judge.alarm import Alarm
from panelmend.plan.judge.evidence import RISE, Evidence
from panelmend.plan.judge.fault import length
from panelmend.plan.judge.log import ChannelRole, FloatArray
from panelmend.plan.judge.recipe import CureRecipe, RecipeLimit, RecipeSegment, SegmentKind
from panelmend.plan.judge.said import lengths_apart, show
from panelmend.plan.judge.spans import SLACK
from panelmend.plan.judge.walk import Stretch, counted_time

# common practice, no source, all three:
FALLEN = 10.0  # K below its first readings
ASKED, UNTIL = 20.0, 600.0  # K of set point above its first, and for how long [s] nothing may follow
NEWEST = 3  # samples: older readings are no longer those of now


def standing_alarms(
    e: Evidence,
    recipe: CureRecipe,
    segment: RecipeSegment | None,
    held: float,
    walked: tuple[Stretch, ...] = (),
) -> list[Alarm]:
    """Heat above its limit, now or before; vacuum below its least while hot; the slowest below the band;
    thermocouples that fall, or do not rise, while the part is heated.

    Args:
        e: what the log shows.
        recipe: what is to be done.
        segment: where the cure is; None when that is not known.
        held: time held in the dwell [s].
        walked: the segments as found in the log.
    """
    found = [
        *_top(e, recipe, segment),
        *_vacuum(e, recipe),
        *_band(e, segment, held),
        *_left_early(e, segment, walked),
    ]
    if segment is None or segment.kind is not SegmentKind.COOL:
        found += [*_backwards(e), *_unanswered(e)]
    return found


def _newest(values: FloatArray) -> int | None:
    """The place of the newest reading, None when the newest three are not known."""
    good = np.flatnonzero(np.isfinite(values[-NEWEST:]))
    return len(values) - min(NEWEST, len(values)) + int(good[-1]) if good.size else None


def _over(value: float, limit: RecipeLimit) -> bool:
    return value > limit.value * (1.0 + SLACK)


def _top(e: Evidence, recipe: CureRecipe, segment: RecipeSegment | None) -> list[Alarm]:
    limits = [x for x in (recipe.ceiling,) if x is not None]
    if segment is not None and segment.kind is not SegmentKind.COOL:
        own = (segment.ceiling, segment.band_high if segment.kind is SegmentKind.DWELL else None)
        limits += [x for x in own if x is not None]
    at = _newest(e.highest)
    if at is not None and limits:
        limit = min(limits, key=lambda x: x.value)
        if _over(float(e.highest[at]), limit):
            words = f"{e.fastest_at(at)} at {_c(float(e.highest[at]))}, limit {_c(limit.value)}"
            return [_alarm(codes.TOP_NOW, words, limit)]
    if recipe.ceiling is None or not np.isfinite(e.highest).any():
        return []
    top = int(np.nanargmax(e.highest))
    if not _over(float(e.highest[top]), recipe.ceiling):
        return []
    words = f"{e.fastest_at(top)} stood at {_c(float(e.highest[top]))} at {e.log.clock(float(e.times[top]))}"
    return [_alarm(codes.TOP_WAS, f"{words}, limit {_c(recipe.ceiling.value)}", recipe.ceiling)]


def _vacuum(e: Evidence, recipe: CureRecipe) -> list[Alarm]:
    rule, at = recipe.vacuum, _newest(e.highest)
    seen = np.flatnonzero(np.isfinite(e.highest))
    if rule is None or at is None or not e.checked.vacuum_names:
        return []
    hot = float(e.highest[at])
    released = recipe.release_most is not None and hot <= recipe.release_most.value
    if not (e.highest[seen] > e.highest[seen[0]] + RISE).any() or (released and _was_hot(e, recipe)):
        return []
    newest = _newest(e.vacuum)
    if newest is None:
        return [_alarm(codes.VACUUM_NOW, "the newest readings cannot be used: it is not known", rule.least)]
    value = float(e.vacuum[newest])
    if value >= rule.least.value * (1.0 - SLACK):
        return []
    with np.errstate(invalid="ignore"):
        good = np.flatnonzero(e.vacuum >= rule.least.value * (1.0 - SLACK))
    since = float(e.times[newest] - e.times[good[-1] if good.size else 0])
    have, least = (show(x, "pressure", decimals=1) for x in (value, rule.least.value))
    return [_alarm(codes.VACUUM_NOW, f"{have}, least {least}, for {length(since)}", rule.least)]


def _first(values: FloatArray) -> float:
    """The first readings [K]; NaN for none."""
    good = values[np.isfinite(values)][:5]
    return float(np.median(good)) if good.size else float("nan")


def _backwards(e: Evidence) -> list[Alarm]:
    """A thermocouple far below its own first readings: nothing in the shop cools it that far."""
    found = []
    for name, values in zip(e.names, e.temps.T, strict=True):
        at = _newest(values)
        first = _first(values)
        if at is not None and values[at] < first - FALLEN:
            words = f"{name} at {_c(float(values[at]))}, it began at {_c(first)}"
            found.append(Alarm(codes.BACKWARDS(f"{codes.BACKWARDS.title}: {words}"), 0.0))
    return found


def _unanswered(e: Evidence) -> list[Alarm]:
    """The set point rose long ago and no thermocouple followed: the part may be heating with no thermocouple
    on it."""
    for channel in e.log.of_role(ChannelRole.SET_POINT):
        wanted = channel.values
        part = np.median([_first(c) for c in e.temps.T if np.isfinite(c).any()] or [_first(wanted)])
        begun = max(_first(wanted), float(part))  # an idle set point may stand far below the part
        above = np.flatnonzero(wanted > begun + ASKED)
        newest = [(_newest(c), c) for c in e.temps.T]
        risen = any(at is not None and c[at] >= _first(c) + RISE for at, c in newest)
        seen = any(at is not None for at, _ in newest)
        if not above.size or not seen or risen or np.nanmax(e.highest) >= np.nanmin(e.highest) + 2 * RISE:
            continue
        since = float(e.times[-1] - e.times[above[0]])
        if since >= UNTIL and above[-1] == len(wanted) - 1:
            asked = _c(float(wanted[-1]))
            words = f"the set point stands at {asked}, all others where they were {length(since)} ago"
            return [Alarm(codes.UNANSWERED(f"{codes.UNANSWERED.title}: {words}"), 0.0)]
    return []


def _was_hot(e: Evidence, recipe: CureRecipe) -> bool:
    """The hottest stood above the release temperature before: what is below it now has cooled."""
    assert recipe.release_most is not None
    return bool(np.nanmax(e.highest) > recipe.release_most.value)


def _band(e: Evidence, segment: RecipeSegment | None, held: float) -> list[Alarm]:
    if segment is None or segment.kind is not SegmentKind.DWELL or segment.band_low is None:
        return []
    at = _newest(e.lowest)
    if at is None or (segment.dwell_least is not None and held >= segment.dwell_least.value):
        return []
    value = float(e.lowest[at])
    if value >= segment.band_low.value * (1.0 - SLACK):
        return []
    words = f"{e.slowest_at(at)} at {_c(value)}, least {_c(segment.band_low.value)}"
    return [_alarm(codes.BAND_NOW, words, segment.band_low)]


def _left_early(e: Evidence, segment: RecipeSegment | None, walked: tuple[Stretch, ...]) -> list[Alarm]:
    """Past dwells that were not held for their minimum time: the alarm stays to the end of the log."""
    found = []
    order = [s.segment for s in walked]
    behind = order.index(segment) if segment in order else 0
    for s in walked[:behind]:
        least = s.segment.dwell_least
        if s.segment.kind is not SegmentKind.DWELL or not s.found or least is None:
            continue
        blur = e.blur * (len(s.spans) if s.segment.summed else 1)  # as the verdict will count it
        held = max(0.0, counted_time(s.spans, s.segment) - blur)
        if held < least.value * (1.0 - SLACK):
            shown, required = lengths_apart(held, least.value, 1)
            words = f"{s.segment.name}: {shown} shown, {required} required"
            found.append(_alarm(codes.LEFT_EARLY, words, least))
    return found


def _alarm(code: Code, words: str, limit: RecipeLimit) -> Alarm:
    return Alarm(code(f"{code.title}: {words}", place=limit.place), 0.0)


def _c(value: float) -> str:
    return show(value, "temperature", decimals=1)
