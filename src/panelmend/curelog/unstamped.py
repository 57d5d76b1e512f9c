"""Rows of readings whose time cannot be read: samples where the file has room for them."""

from __future__ import annotations

import numpy as np

from panelmend.plan.judge.fault import runs
from panelmend.plan.judge.log import FloatArray, IntArray
from panelmend.plan.judge.order import ROOM, sample_step

GAP = 2.5  # usual steps


def timed_by_place(times: FloatArray, stamp_step: float) -> tuple[FloatArray, float]:
    """Give rows without a time that of their place, where the stamps around them leave room for them.

    Args:
        times: [s], shape (n,), NaN where a time cannot be read.
        stamp_step: the smallest step of the stamps [s].

    Returns:
        Times [s], shape (n,); NaN where there is no room, or no stamp before or after (a line of averages
        at the end is no sample), and in a gap: nobody knows where in it they were read. And by how much the
        clock was set back in all [s] in rows without room.
    """
    made, lost = times.copy(), 0.0
    step, slack = sample_step(times[np.isfinite(times)], stamp_step)
    for a, last_row in runs(np.isnan(times)):
        b = last_row + 1
        if a == 0 or b == times.size:
            continue
        room, count = float(times[b] - times[a - 1]), b - a
        if room < (count + ROOM) * step - slack:
            lost += (count + 1) * step - room
        elif room <= (count + GAP) * step + slack:
            made[a:b] = np.linspace(times[a - 1], times[b], count + 2)[1:-1]
    return made, lost


def placed_note(lines: IntArray) -> list[str]:
    """What is said of samples whose lines (n,) [1] have a time that cannot be read; nothing of none."""
    if not lines.size:
        return []
    where = ", ".join(map(str, lines[:6].tolist())) + (" ..." if lines.size > 6 else "")
    return [
        f"{lines.size} lines have readings and a time that cannot be read: their samples take that of "
        f"their place, line {where}"
    ]
