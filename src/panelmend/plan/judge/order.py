"""The order of the samples: the order of the file rules. Odd time stamps are put right and said; a sample is
left out only where the file says it twice, so that no reading goes unseen because of its stamp."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import BoolArray, Fault, fault, length
from panelmend.plan.judge.log import Channel, CureLog, FloatArray, IntArray

ODD_RUN = 5  # samples: a longer run of strange stamps is a clock that was set, not a slip
FAR = 20.0  # usual steps, and
LEAST_FAR = 600.0  # s: a jump ahead by more may be a wrong stamp
MOST_NAMED = 12
ROOM = (
    0.5  # samples: so much more than its samples' steps between the stamps around an odd run is room for them
)
EVEN = 0.1  # of a step
LOST = 60.0  # s: set back by more in all by samples without room, how long anything lasted is not known


@dataclass(frozen=True, eq=False)
class Ordered:
    """A log whose times never fall. ``sure`` False where the clock was set back for good: the samples stand
    in the order of the file, but how long the step lasted is not known; ``waiting``: newest samples that are
    too far ahead to be believed until the next one comes."""

    log: CureLog
    faults: tuple[Fault, ...]
    sure: bool
    waiting: int


def times_in_order(log: CureLog, *, live: bool = False) -> Ordered:
    """Put the times of a log in order without moving a sample.

    A step back shorter than a sample is put right (the sample keeps its place and takes the time before it).
    Samples of up to five stamps that leave the clock, ahead or back, and come back to it take the time of
    their place, unless each says a row above again. Where the stamps around them leave no room for them the
    clock was set back, and all after them is as much later. Beyond a minute of that, and where a clock stays
    set back, the log is said to be unsure.

    Args:
        log: as read.
        live: the log still grows; newest samples far ahead wait for the next one.
    """
    times = log.times
    steps = np.diff(times)
    if not live and 2 * int(np.count_nonzero(steps < 0)) > steps.size and steps.size > 1:
        return _turned_round(log)
    usual = log.usual_step
    far = max(LEAST_FAR, FAR * usual)
    if not (steps < 0).any() and not (live and steps.size and steps[-1] > far):
        return Ordered(log, (), True, 0)
    keep = np.ones(times.size, np.bool_)
    made = times.astype(np.float64).copy()
    found: list[Fault] = []
    repaired: list[int] = []
    aside: list[int] = []
    placed: list[int] = []
    hidden: list[tuple[int, float]] = []  # where the clock was set back, by how much [s]
    lost = 0.0
    waiting, sure = 0, True
    offset, last = 0.0, _first(times, usual)
    i = 0
    gap = 2.5 * usual + log.stamp_step
    coarse = float(2 * int(np.count_nonzero(steps == 0.0)) > steps.size)  # stamps longer than most steps
    while i < times.size:
        now = times[i] + offset
        ahead = now - last
        if 0.0 <= ahead <= gap:
            odd = None
        elif ahead > gap:
            odd = _first_within(times[i + 1 : i + 1 + ODD_RUN] + offset, last, now - 1e-9)
            if odd is None and live and ahead > far and times.size - i <= 2:
                keep[i:] = False
                waiting = times.size - i
                break
        elif -ahead < max(usual, log.stamp_step):
            odd, now = None, last
            if _stays_back(times, i, usual):
                short = usual - float(times[i] - times[i - 1])
                now, offset, lost = last + usual, offset + short, lost + short
                hidden.append((i, short - usual))
                placed.append(i)
            else:
                repaired.append(i)
        else:
            odd = _first_within(times[i + 1 : i + 1 + ODD_RUN] + offset, last, last + far)
            if odd is None:
                found.append(_set_back(log, i, -ahead, usual))
                sure = False
                offset += last + usual - now
                now = last + usual
        if odd is not None:
            run = np.arange(i, i + 1 + odd)
            back = times[run[-1] + 1] + offset
            i += 1 + odd
            if not run[0] or _said_before(log, run):
                keep[run] = False
                aside.extend(run.tolist())
                continue
            placed.extend(run.tolist())
            if back - last + log.stamp_step * coarse < (run.size + ROOM) * usual:
                short = (run.size + 1) * usual - float(back - last)
                falls = int(np.argmin(np.diff(times[run[0] - 1 : run[-1] + 2]))) + int(run[0])
                hidden.append((falls, float(times[falls - 1] - times[falls])))
                offset, lost, back = offset + short, lost + short, back + short
            made[run] = times_between(last, back, run.size, usual, gap)
            last = float(made[run[-1]])
            continue
        made[i] = last = now
        i += 1
    if lost > LOST:
        sure = False
        found += [_set_back(log, at, by, usual) for at, by in hidden]
        found.sort(key=lambda f: f.time)
    found = found[:MOST_NAMED]
    found += _said(log, made, keep, repaired, aside, placed, lost)
    channels = tuple(dataclasses.replace(c, values=c.values[keep].copy()) for c in log.channels)
    aside_too = tuple(dataclasses.replace(c, values=c.values[keep].copy()) for c in log.set_aside)
    lines = log.lines[keep].copy()
    twice = log.ends_twice[keep] if log.ends_twice.size == keep.size else log.ends_twice
    whole = dataclasses.replace(
        log,
        times=made[keep],
        channels=channels,
        lines=lines,
        set_aside=aside_too,
        ends_twice=twice,
        set_back=lost,
    )
    return Ordered(whole, tuple(found), sure, waiting)


def times_between(last: float, back: float, count: int, usual: float, gap: float) -> FloatArray:
    """Times of samples between two stamps: evenly, or one usual step after another where that leaves a gap,
    which stays one.

    Args:
        last, back: the stamps [s].
        count: of samples.
        usual: step [s].
        gap: the least that is one [s].

    Returns:
        Times [s], shape (count,).
    """
    step = float(back - last) / (count + 1)
    if back - last - count * usual > gap:
        step = usual
    times = last + step * np.arange(1.0, count + 1.0)
    return times


def _turned_round(log: CureLog) -> Ordered:
    """A log whose times fall from row to row, oldest sample first: said once; its order is not sure."""

    def turned(channels: tuple[Channel, ...]) -> tuple[Channel, ...]:
        return tuple(dataclasses.replace(c, values=c.values[::-1].copy()) for c in channels)

    zero = float(log.times[-1])
    whole = dataclasses.replace(
        log,
        times=log.times[::-1] - zero,
        started=log.started_at(zero),
        lines=log.lines[::-1].copy(),
        channels=turned(log.channels),
        set_aside=turned(log.set_aside),
        ends_twice=log.ends_twice[::-1].copy(),
    )
    made = times_in_order(whole)
    fall = int(np.count_nonzero(np.diff(log.times) < 0))
    first, last = (
        f"{log.clock(t)} in line {log.lines[i]}" for t, i in ((float(log.times[0]), 0), (zero, -1))
    )
    words = f"times fall in {fall} of {len(log) - 1} steps, from {first} to {last}"
    found = fault(made.log, codes.NEWEST_FIRST, words, until=float(made.log.times[-1]))
    return Ordered(made.log, (found, *made.faults), False, 0)


def _first(times: FloatArray, usual: float) -> float:
    """Where the clock begins: the first stamp, unless the next ones all stand before it."""
    head = times[1 : 1 + ODD_RUN]
    if head.size and (head < times[0] - usual).all():
        return float(head.min())
    return float(times[0])


def _first_within(after: FloatArray, low: float, high: float) -> int | None:
    """The first of the next stamps that lies in a range; None for none of them."""
    there = np.flatnonzero((after >= low) & (after <= high))
    return int(there[0]) if there.size else None


def _said_before(log: CureLog, run: IntArray) -> bool:
    """Whether each row of a run says a row above again, stamp and readings, and something moves in it."""

    def same(a: int, b: int) -> bool:
        return all(np.array_equal(c.values[a], c.values[b], equal_nan=True) for c in log.channels)

    if not log.channels or not all(
        any(same(at, above) for above in np.flatnonzero(log.times[: run[0]] == log.times[at]).tolist())
        for at in run.tolist()
    ):
        return False
    return not all(same(at, int(run[0]) - 1) for at in run.tolist())


def _stays_back(times: FloatArray, at: int, usual: float) -> bool:
    """Whether samples follow one another evenly up to a step back and from it on: a clock that was set, no
    stamp that slipped."""
    beside = (times[at - 1] - times[at - 2], times[at + 1] - times[at]) if 1 < at < times.size - 1 else ()
    return bool(beside) and all(abs(step - usual) < EVEN * usual for step in beside)


def _set_back(log: CureLog, at: int, by: float, usual: float) -> Fault:
    step = float(log.times[at] - log.times[at - 1])
    hour = ", an hour: the clock may have been set back" if _is_hour(step, usual) else ""
    words = f"by {length(by)} after line {log.lines[at - 1]}{hour}; the order of the file is kept"
    finding = codes.CLOCK_BACK(
        f"{codes.CLOCK_BACK.title}: {words} (at {log.clock(float(log.times[at]))})",
        place=f"clock, line {log.lines[at]}",
    )
    return Fault(finding, "", float(log.times[at]), float(log.times[at - 1]))


def _is_hour(step: float, usual: float) -> bool:
    return abs(abs(step - usual) - 3600.0) <= max(2.0, 0.5 * usual)


def _said(
    log: CureLog,
    made: FloatArray,
    keep: BoolArray,
    repaired: list[int],
    aside: list[int],
    placed: list[int],
    lost: float,
) -> list[Fault]:
    found = []
    if repaired:
        at = repaired[0]
        words = (
            f"{len(repaired)} stamps step back by less than a sample and take the time of the one before; "
            f"lines {_lines(log, repaired)}"
        )
        found.append(fault(log, codes.ODD_STAMP, words, time=float(made[at])))
    if placed:
        at = placed[0]
        words = (
            f"{len(placed)} stamps leave the clock and come back ({log.clock(float(log.times[at]))}); their "
            f"samples take the time of their place in the file; lines {_lines(log, placed)}"
        )
        if lost:
            words += (
                f"; there is no room for them: times after them are up to {length(lost)} later than written"
            )
        found.append(fault(log, codes.ODD_STAMP, words, time=float(made[at])))
    if aside:
        before = made[: aside[0]][keep[: aside[0]]]
        time = float(before[-1]) if before.size else float(log.times[0])
        words = (
            f"{len(aside)} samples left out, they say rows above again, stamp and readings, or stand before "
            f"the first stamp that others follow ({log.clock(float(log.times[aside[0]]))}); "
            f"lines {_lines(log, aside)}"
        )
        found.append(fault(log, codes.ODD_STAMP, words, time=time))
    return found


def _lines(log: CureLog, at: list[int]) -> str:
    shown = ", ".join(str(int(log.lines[i])) for i in at[:6])
    return shown + (f" and {len(at) - 6} more" if len(at) > 6 else "")
