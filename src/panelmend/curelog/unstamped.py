"""Rows of readings whose time cannot be read: samples where the file has room for them."""

from __future__ import annotations

import dataclasses

import numpy as np

from panelmend.plan.judge.fault import BoolArray, runs
from panelmend.plan.judge.log import Channel, CureLog, FloatArray, IntArray
from panelmend.plan.judge.order import ROOM, times_between

GAP = 2.5  # usual steps


def timed_by_place(times: FloatArray) -> FloatArray:
    """Give rows without a time that of their place, where the stamps around them leave room for them.

    Args:
        times: [s], shape (n,), NaN where a time cannot be read.

    Returns:
        Times [s], shape (n,); NaN where there is no room, or no stamp before or after: a line of
        averages at the end is no sample.
    """
    made = times.copy()
    steps = np.diff(times[np.isfinite(times)])
    forward = steps[steps > 0.0]
    if not forward.size:
        return made
    usual = float(np.median(forward))
    for a, last_row in runs(np.isnan(times)):
        b = last_row + 1
        if a == 0 or b == times.size:
            continue
        last, after = float(times[a - 1]), float(times[b])
        if after - last >= (b - a + ROOM) * usual:
            made[a:b] = times_between(last, after, b - a, usual, GAP * usual)
    return made


def placed_note(lines: IntArray) -> list[str]:
    """What is said of samples whose lines (n,) [1] have a time that cannot be read; nothing of none."""
    if not lines.size:
        return []
    where = ", ".join(map(str, lines[:6].tolist())) + (" ..." if lines.size > 6 else "")
    return [
        f"{lines.size} lines have readings and a time that cannot be read: their samples take that of "
        f"their place, line {where}"
    ]


def without_rows(log: CureLog, keep: BoolArray) -> CureLog:
    """A log of some of its rows: ``keep`` (n,) [1]."""

    def kept(channels: tuple[Channel, ...]) -> tuple[Channel, ...]:
        return tuple(dataclasses.replace(c, values=c.values[keep].copy()) for c in channels)

    return dataclasses.replace(
        log,
        times=log.times[keep],
        channels=kept(log.channels),
        lines=log.lines[keep],
        set_aside=kept(log.set_aside),
        ends_twice=log.ends_twice[keep],
    )
