"""Thermocouples that were lost, of which the approved data allow some: what they read again afterwards, and
where they stood when they were lost. Neither may be left out without a word: a loose contact says nothing
against the readings beside it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.recipe import CureRecipe, SegmentKind
from panelmend.plan.judge.said import show
from panelmend.plan.judge.verdict import Book, Outcome, Reason
from panelmend.plan.judge.walk import Stretch

# common practice, no source, both: the rise before the loss, and for how long it may be carried on, until the
# thermocouple would have followed the others into the band
RISING, FOLLOW = 300.0, 600.0  # s
BEHIND = 3.0  # K behind the slowest other on the way that are not told from a place like its own; the same


def weigh_lost(
    e: Evidence,
    again: Evidence,
    book: Book,
    applied: Callable[[Evidence], Book],
    walked: tuple[Stretch, ...],
    recipe: CureRecipe,
) -> None:
    """Lost thermocouples that read on (``again``) are held against the rules too, and those that were lost
    below the band when all others stood in it, or far behind them, leave the slowest place unknown: the cure
    cannot be judged."""
    back = tuple(n for i, n in enumerate(e.names) if (again.working[:, i] & ~e.working[:, i]).any())
    if back:
        _read_again(book, applied(again), back, recipe)
    for name, time in e.lost_at:
        for s in walked:
            if s.segment.kind is SegmentKind.DWELL and s.found:
                _lost_below(e, again, book, name, time, s)


def _read_again(book: Book, other: Book, back: tuple[str, ...], recipe: CureRecipe) -> None:
    stands = {(r.rule, r.segment) for r in book.reasons if r.outcome is Outcome.DOES_NOT}
    against = [r for r in other.reasons if _speaks(r) and (r.rule, r.segment) not in stands]
    names = ", ".join(back)
    words = f"{names}: what was read after the loss is held against the rules too: "
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
    return r.outcome is Outcome.DOES_NOT or (r.outcome is Outcome.UNKNOWN and r.rule == "entry into the band")


def _lost_below(e: Evidence, again: Evidence, book: Book, name: str, time: float, s: Stretch) -> None:
    """Lost below a dwell's band when all others stood in it, or far behind on the way there; not one that
    would have followed soon."""
    assert s.segment.band_low is not None
    low, at = s.segment.band_low.value, e.names.index(name)
    before = np.flatnonzero(np.isfinite(e.temps[:, at]) & (e.times <= time))
    if not before.size:
        return
    last = int(before[-1])
    others = np.where(e.working[last], e.temps[last], np.nan)
    others[at] = np.nan
    value = float(e.temps[last, at])
    if not np.isfinite(others).any() or e.times[last] > s.end:
        return
    slowest = float(np.nanmin(others))
    stood = slowest >= low
    if value >= (low if stood else slowest - BEHIND):
        return
    rest = np.flatnonzero(again.working[:, at] & np.isfinite(again.temps[:, at]) & (e.times > time))
    if rest.size and again.temps[rest[0], at] >= low:
        return
    known = before[e.times[before] >= e.times[last] - RISING]
    span = float(e.times[last] - e.times[known[0]])
    rate = (value - float(e.temps[known[0], at])) / span if span > 0 else 0.0
    if rate * FOLLOW >= min(low, slowest) - value:
        return
    shown, wanted = (show(x, "temperature", decimals=1) for x in (value, low if stood else slowest))
    words = f"{name} was lost at {shown}, " + (
        f"below the band ({wanted}) when every other stood in it"
        if stood
        else f"more than ten minutes behind the slowest other ({wanted}) on the way to the band"
    )
    book.enter(
        Outcome.UNKNOWN,
        "thermocouple lost below the band",
        words,
        limit=s.segment.band_low,
        value=value,
        kind="temperature",
        segment=s.segment.name,
        sensor=name,
        time=float(e.times[last]),
        code=codes.LOST_BELOW,
    )
