"""When the vacuum may be released: the hottest must have cooled, including those that are not read."""

from __future__ import annotations

import math

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.fault import OFF, length_up, runs
from panelmend.plan.judge.holes import hottest_unread
from panelmend.plan.judge.pieces import last_of
from panelmend.plan.judge.recipe import CureRecipe, SegmentKind
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.said import show
from panelmend.plan.judge.verdict import Outcome, VerdictRecorder
from panelmend.plan.judge.walk import Stretch


def cool_enough(recipe: CureRecipe) -> float | None:
    """The temperature to which the hottest must have cooled before the vacuum may be released [K]: the
    release temperature, else the end of the cool-down; None where the data gives neither."""
    if recipe.release_most is not None:
        return recipe.release_most.value
    cool = next((s for s in recipe.segments if s.kind is SegmentKind.COOL), None)
    return cool.target if cool else None


def let_go_unread(e: Evidence, book: VerdictRecorder, recipe: CureRecipe, end: float) -> Outcome:
    """Those that are read were cool at ``end`` [s]; a thermocouple that is not read when the vacuum falls
    after that may have been too hot, and one that was not read at ``end`` and is read hot when the vacuum
    falls was too hot."""
    level, rule = cool_enough(recipe), recipe.vacuum
    assert rule is not None
    if level is None:
        return Outcome.CONFORMS
    with np.errstate(invalid="ignore"):
        low = (e.times > end) & (e.vacuum < rule.least.value * (1 - 1e-9))
    then = e.index_at(end)
    unread = np.isnan(e.temps[then : then + 2]).any(axis=0)
    for first, _ in runs(low):
        with np.errstate(invalid="ignore"):
            hot = np.flatnonzero(unread & e.working[first] & (e.temps[first] > level + 1e-6))
        if hot.size:
            name = e.names[int(hot[0])]
            shown, limit = (
                show(x, "temperature", decimals=1) for x in (float(e.temps[first, hot[0]]), level)
            )
            words = (
                f"{name} was not read when the others had cooled, and is read at {shown} when the vacuum was "
            )
            words += f"let go, most {limit}"
            time = float(e.times[first])
            book.unknown(RuleName.VACUUM, words, limit=rule.least, kind="pressure", sensor=name, time=time)
            return Outcome.UNKNOWN
        name, could = hottest_unread(e, first)
        if could > level + 1e-6:
            limit = show(level, "temperature", decimals=1)
            words = f"{name} was not read when the vacuum was let go, and can have been above {limit}"
            time = float(e.times[first])
            book.unknown(RuleName.VACUUM, words, limit=rule.least, kind="pressure", sensor=name, time=time)
            return Outcome.UNKNOWN
    return Outcome.CONFORMS


def ends_released(
    e: Evidence, book: VerdictRecorder, recipe: CureRecipe, walked: tuple[Stretch, ...], needed: float
) -> Outcome:
    """The hottest reading when the vacuum is released: when it falls for good below half of the minimum; it
    was ``needed`` until then [s]."""
    assert recipe.release_most is not None
    assert recipe.vacuum is not None
    half = 0.5 * recipe.vacuum.least.value
    with np.errstate(invalid="ignore"):
        last = last_of(e.vacuum >= half)
    if last is None:
        return Outcome.CONFORMS  # never drawn: the vacuum rule says so
    out = _released(e, book, recipe, last, needed)
    name, could = hottest_unread(e, last)
    if out is Outcome.CONFORMS and could > recipe.release_most.value + 1e-6:
        limit = show(recipe.release_most.value, "temperature", decimals=1)
        words = f"{name} was not read when the vacuum was let go, and can have been above {limit}"
        time = float(e.times[last])
        book.unknown(
            RuleName.RELEASE, words, limit=recipe.release_most, kind="temperature", sensor=name, time=time
        )
        return Outcome.UNKNOWN
    return out


def _released(e: Evidence, book: VerdictRecorder, recipe: CureRecipe, last: int, needed: float) -> Outcome:
    """The hottest reading at the last sample under half of the least vacuum, or at the end of the log."""
    assert recipe.release_most is not None
    if last == last_of(np.isfinite(e.vacuum)):
        after = last_of(np.isfinite(e.highest))
        hot = float(e.highest[after]) if after is not None else math.nan
        if not hot <= recipe.release_most.value + 1e-6:
            words = (
                f"the log ends under vacuum at {show(hot, 'temperature', decimals=1)}"
                if hot == hot
                else "no readings"
            )
            time = float(e.times[-1])
            book.unknown(RuleName.RELEASE, words, limit=recipe.release_most, kind="temperature", time=time)
            return Outcome.UNKNOWN
        words = "vacuum was still held when all were below the release temperature"
        book.enter(
            Outcome.CONFORMS,
            RuleName.RELEASE,
            words,
            limit=recipe.release_most,
            kind="temperature",
            time=needed,
        )
        return Outcome.CONFORMS
    at = last_of(np.isfinite(e.highest[: last + 1]))
    if at is None:
        return Outcome.UNKNOWN
    old, hot = float(e.times[last] - e.times[at]), float(e.highest[at])
    if old > e.gap and hot > recipe.release_most.value + 1e-6:
        read = show(hot, "temperature", decimals=1)
        words = (
            f"last read {read}, {length_up(old)} before the vacuum was let go: how hot it was is not shown"
        )
        limit, time = recipe.release_most, float(e.times[at])
        book.unknown(RuleName.RELEASE, words, limit=limit, kind="temperature", time=time)
        return Outcome.UNKNOWN
    after = last + 1 + int(np.argmax(np.isfinite(e.vacuum[last + 1 :])))
    most, then = recipe.release_most.value + 1e-6, float(e.highest[after])
    cooled = then if then == then else hot - OFF * float(e.times[after] - e.times[at])
    if hot > most and cooled <= most:
        first = show(then, "temperature", decimals=1) if then == then else "not read"
        words = f"{show(hot, 'temperature', decimals=1)} at the last reading with the vacuum, {first} at the "
        words += "first without: how hot it was when the vacuum was let go between them is not shown"
        limit, time = recipe.release_most, float(e.times[last])
        book.unknown(RuleName.RELEASE, words, limit=limit, kind="temperature", time=time)
        return Outcome.UNKNOWN
    return book.measure(
        RuleName.RELEASED,
        float(e.highest[at]),
        recipe.release_most,
        "temperature",
        codes.RELEASED_HOT,
        most=True,
        sensor=e.fastest_at(at),
        time=float(e.times[last]),
    )
