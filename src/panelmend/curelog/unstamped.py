"""Rows of readings whose time cannot be read: samples where the file has room for them."""

from __future__ import annotations

import dataclasses

import numpy as np

from panelmend.plan.judge.fault import BoolArray, runs
from panelmend.plan.judge.log import Channel, CureLog, FloatArray, IntArray
from panelmend.plan.judge.order import ROOM, sample_step

GAP = 2.5  # usual steps


def timed_by_place(times: FloatArray, stamp_step: float) -> FloatArray:
    """Give rows without a time that of their place, where the stamps around them leave room for them.

    Args:
        times: [s], shape (n,), NaN where a time cannot be read.
        stamp_step: the smallest step of the stamps [s].

    Returns:
        Times [s], shape (n,); NaN where there is no room, or no stamp before or after (a line of averages
        at the end is no sample), and in a gap: nobody knows where in it they were read.
    """
    made = times.copy()
    step, slack = sample_step(times[np.isfinite(times)], stamp_step)
    for a, last_row in runs(np.isnan(times)):
        b = last_row + 1
        if a == 0 or b == times.size:
            continue
        room, count = float(times[b] - times[a - 1]), b - a
        if (count + ROOM) * step - slack <= room <= (count + GAP) * step + slack:
            made[a:b] = np.linspace(times[a - 1], times[b], count + 2)[1:-1]
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
