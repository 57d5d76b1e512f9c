"""A fault of the log: its finding, and which readings it takes out of the judgement."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import Code, Finding
from panelmend.plan.judge.log import CureLog

BoolArray = NDArray[np.bool_]

# K/s that a part can follow with the blanket fully on and fully off: upper bounds of our choice (common
# practice, no source), a blanket of 12 kW/m2 over its own heat capacity and little else, and a bare thin
# panel in blown air
ON, OFF = 3.0, 0.5


@dataclass(frozen=True)
class Fault:
    """``channel`` "" for the clock; from ``time`` to ``until`` [s]; ``lost``: readings in between are not
    used; ``sensor_lost``: the sensor counts as failed; ``doubt``: a suspicion only, its readings stay in the
    judgement and somebody is asked; ``shift`` [K]: what it reads too much, where that can be said;
    ``reckoned``: no sensor stands behind the channel, so none was lost."""

    finding: Finding
    channel: str
    time: float
    until: float
    lost: bool = False
    sensor_lost: bool = False
    doubt: bool = False
    shift: float = 0.0
    reckoned: bool = False


def fault(
    log: CureLog,
    code: Code,
    words: str,
    *,
    channel: str = "",
    time: float = 0.0,
    until: float | None = None,
    lost: bool = False,
    sensor_lost: bool | None = None,
    doubt: bool = False,
    shift: float = 0.0,
    reckoned: bool = False,
) -> Fault:
    """A fault with its channel and clock in the words, its line in the place; times [s of the log]."""
    place = f"{channel or 'clock'}, line {log.line_at(time)}"
    named = f"{channel}: {words}" if channel and channel not in words else words
    finding = code(f"{code.title}: {named} (at {log.clock(time)})", place=place)
    end = time if until is None else until
    sensor = lost if sensor_lost is None else sensor_lost
    return Fault(finding, channel, time, end, lost, sensor, doubt, shift, reckoned)


def runs(mask: BoolArray) -> Iterator[tuple[int, int]]:
    """First and last index of each run of True."""
    if not mask.size:
        return
    for start, stop in zip(*run_ends(mask), strict=True):
        yield int(start), int(stop)


def run_ends(mask: BoolArray) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """First and last index (k,) [1] of every run of True in a mask (n,), for masks with very many."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(np.int8)))
    return edges[::2], edges[1::2] - 1


def length_up(seconds: float) -> str:
    """Like :func:`length`, for a time that hides something [s]: rounded up, never shorter than it was."""
    if seconds < 120:
        return f"{math.ceil(round(seconds, 6))} s"
    if seconds < 86400:
        return f"{math.ceil(round(seconds / 60, 6))} min"
    return f"{math.ceil(round(seconds / 360, 6)) / 10:.1f} h"


def length(seconds: float) -> str:
    """A duration [s] in words: a cure is told in minutes; only what is longer than a day in hours."""
    if seconds < 120:
        return f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 86400 else f"{seconds / 3600:.1f} h"
