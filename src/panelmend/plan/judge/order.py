"""The order of the samples is that of the file. Odd time stamps are corrected and reported; a sample is left
out only where the file repeats it, so that no reading is missed because of its stamp."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from enum import Enum

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import BoolArray, Fault, fault, length
from panelmend.plan.judge.log import Channel, CureLog, FloatArray, IntArray, without_rows

ODD_RUN = 5  # samples: a longer run of odd stamps is a clock that was set, not an error
FAR = 20.0  # usual steps, and
LEAST_FAR = 600.0  # s: a jump ahead by more may be a wrong stamp
MOST_NAMED = 12
ROOM = (
    0.5  # samples: so much more than its samples' steps between the stamps around an odd run is room for them
)
EVEN = 0.75  # of a step: a clock set back lacks a step or more, an odd stamp lacks nothing
ALIKE = 0.2  # of the steps forward: as many stamps that repeat are coarse stamps
LOST = 60.0  # s: set back by more in all by samples without room, how long anything lasted is not known


class _Aside(Enum):
    """Why samples are left out, in words."""

    AGAIN = "they say rows above again, stamp and readings"
    IN_GAP = "they stand in a gap, and nobody knows where in it they were read"
    BEFORE = "they stand before the first stamp that others follow"


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

    A step back shorter than a sample is corrected (the sample keeps its place and takes the time before it).
    Samples of up to five stamps that leave the clock, ahead or back, and come back to it take a time from
    their position, unless each repeats a row above, or they fall in a gap: it remains a gap, as it is not
    known when in it they were read, and their readings are kept as left out. Rows that changed places take
    each other's stamps. If the stamps around samples leave no room for them, the clock was set back, and all
    later times are moved on by as much. Beyond a minute of that, and where a clock stays set back, the log is
    reported as unsure.

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
    if not (steps < 0).any() and not log.set_back and not (live and steps.size and steps[-1] > far):
        return Ordered(log, (), True, 0)
    keep = np.ones(times.size, np.bool_)
    made = times.astype(np.float64).copy()
    found: list[Fault] = []
    repaired: list[int] = []
    aside: list[tuple[int, _Aside]] = []
    placed: list[int] = []
    hidden: list[tuple[int, float]] = []  # where the clock was set back, by how much [s]
    lost = log.set_back  # by rows whose time cannot be read
    waiting, sure = 0, True
    offset, last = 0.0, _first(times, usual)
    i = 0
    gap = 2.5 * usual + log.stamp_step
    step, slack = sample_step(times, log.stamp_step)
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
            short, even = _stays_back(times, i, step)
            if short:
                lost += short
                hidden.append((i, float(times[i - 1] - times[i])))
            if short and even:
                now, offset = last + step, offset + last + step - now
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
            in_gap = back - last - run.size * step > gap
            if not run[0] or in_gap or _said_before(log, run):
                why = _Aside.AGAIN if _said_before(log, run) else _Aside.IN_GAP if run[0] else _Aside.BEFORE
                keep[run] = False
                aside += [(at, why) for at in run.tolist()]
                continue
            placed.extend(run.tolist())
            first = _swapped_from(made, times + offset, run, step)
            if first is not None:
                both = np.concatenate([made[first : run[0]], times[run] + offset])
                made[first : run[-1] + 1] = np.sort(both)
            else:
                if back - last + slack < (run.size + ROOM) * step:
                    short = (run.size + 1) * step - float(back - last)
                    falls = int(np.argmin(np.diff(times[run[0] - 1 : run[-1] + 2]))) + int(run[0])
                    hidden.append((falls, float(times[falls - 1] - times[falls])))
                    offset, lost, back = offset + short, lost + short, back + short
                made[run] = np.linspace(last, back, run.size + 2)[1:-1]
            last = float(made[run[-1]])
            continue
        made[i] = last = now
        i += 1
    if lost > LOST:
        sure = False
        found += [_set_back(log, at, by, usual) for at, by in hidden]
        found += [_unstamped(log)] if log.set_back else []
        found.sort(key=lambda f: f.time)
    found = found[:MOST_NAMED]
    found += _said(log, made, keep, repaired, aside, placed, lost - log.set_back)
    held = np.zeros(times.size, np.bool_)
    held[[at for at, why in aside if why is not _Aside.AGAIN]] = True
    whole = dataclasses.replace(without_rows(log, keep, held), times=made[keep], set_back=lost)
    return Ordered(whole, tuple(found), sure, waiting)


def sample_step(times: FloatArray, stamp_step: float) -> tuple[float, float]:
    """The usual time between samples, also where several have one stamp, and by how much more room there may
    be between two stamps than they say.

    Args:
        times: as stamped [s], shape (n,).
        stamp_step: the smallest step of the stamps [s].

    Returns:
        Both [s]; the second is nought for stamps that tell samples apart.
    """
    steps = np.diff(times)
    forward = steps[steps > 0.0]
    if not forward.size:
        return 0.0, 0.0
    usual, same = float(np.median(forward)), int(np.count_nonzero(steps == 0.0))
    if same < ALIKE * forward.size:
        return usual, 0.0
    return usual * forward.size / (forward.size + same), stamp_step


def _before(made: FloatArray, stamps: FloatArray, at: int) -> int:
    """The first sample, of the latest before ``at``, whose time is later than the earliest of some stamps."""
    first = at
    while first > max(0, at - 2 * ODD_RUN) and made[first - 1] > stamps.min():
        first -= 1
    return first


def _swapped_from(made: FloatArray, stamps: FloatArray, run: IntArray, step: float) -> int | None:
    """The first of the samples that those of a run changed places with: all their stamps together stand
    evenly, none twice. None where they did not."""
    first = _before(made, stamps[run], int(run[0]))
    if first == 0 or first == run[0]:
        return None
    steps = np.diff(np.sort(np.concatenate([made[first - 1 : run[0]], stamps[run], stamps[run[-1:] + 1]])))
    return first if (abs(steps - step) <= ROOM * step).all() else None


def _turned_round(log: CureLog) -> Ordered:
    """A log whose times fall from row to row, reversed so that the oldest sample comes first: reported once;
    its order is not sure."""

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


def _stays_back(times: FloatArray, at: int, step: float) -> tuple[float, bool]:
    """By how much a step back sets a clock back for good [s], against the samples beside it, nought for a
    stamp that slipped; and whether these are even."""
    steps = np.diff(times[max(0, at - 4) : at + 4])
    here = min(at, 4) - 1
    beside = np.delete(steps, here)
    if here < 1 or here > steps.size - 2:
        return 0.0, False
    back = steps.size * step - float(steps.sum())
    return (back if back > EVEN * step else 0.0), bool((abs(beside - step) <= ROOM * step).all())


def _set_back(log: CureLog, at: int, by: float, usual: float) -> Fault:
    step = float(log.times[at] - log.times[at - 1])
    hour = ", an hour: the clock may have been set back" if _is_hour(step, usual) else ""
    words = f"by {length(by)} after line {log.lines[at - 1]}{hour}; the order of the file is kept"
    finding = codes.CLOCK_BACK(
        f"{codes.CLOCK_BACK.title}: {words} (at {log.clock(float(log.times[at]))})",
        place=f"clock, line {log.lines[at]}",
    )
    return Fault(finding, "", float(log.times[at]), float(log.times[at - 1]))


def _unstamped(log: CureLog) -> Fault:
    words = (
        f"rows whose time cannot be read have no room between the stamps beside them: by "
        f"{length(log.set_back)} in all; the order of the file is kept"
    )
    finding = codes.CLOCK_BACK(f"{codes.CLOCK_BACK.title}: {words}", place="clock")
    return Fault(finding, "", float(log.times[0]), float(log.times[0]))


def _is_hour(step: float, usual: float) -> bool:
    return abs(abs(step - usual) - 3600.0) <= max(2.0, 0.5 * usual)


def _said(
    log: CureLog,
    made: FloatArray,
    keep: BoolArray,
    repaired: list[int],
    aside: list[tuple[int, _Aside]],
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
    for why in _Aside:
        rows = [at for at, x in aside if x is why]
        if not rows:
            continue
        before = made[: rows[0]][keep[: rows[0]]]
        time = float(before[-1]) if before.size else float(log.times[0])
        words = (
            f"{len(rows)} samples left out, {why.value} ({log.clock(float(log.times[rows[0]]))}); "
            f"lines {_lines(log, rows)}"
        )
        found.append(fault(log, codes.ODD_STAMP, words, time=time))
    return found


def _lines(log: CureLog, at: list[int]) -> str:
    shown = ", ".join(str(int(log.lines[i])) for i in at[:6])
    return shown + (f" and {len(at) - 6} more" if len(at) > 6 else "")
