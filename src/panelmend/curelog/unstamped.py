"""Rows of readings whose time cannot be read: they are samples if the stamps around them leave room."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from panelmend.curelog.numerals import MISSING
from panelmend.plan.judge.fault import runs
from panelmend.plan.judge.log import FloatArray, IntArray
from panelmend.plan.judge.order import ROOM, sample_step

GAP = 2.5  # usual steps


NO_STAMP, NO_SAMPLE = math.inf, -math.inf


def unread_times(cells: Sequence[str]) -> FloatArray:
    """What stands for times (n,) [s] that cannot be read: NaN for what may be a broken stamp, since it has
    digits; NO_SAMPLE for words, as of an average; NO_STAMP for nothing and for marks."""
    return np.array([_unread(c.strip()) for c in cells], np.float64)


def _unread(cell: str) -> float:
    if any(c.isdigit() for c in cell):
        return math.nan
    words = any(c.isalpha() for c in cell) and cell.lower() not in MISSING
    return NO_SAMPLE if words else NO_STAMP


def timed_by_place(times: FloatArray, stamp_step: float) -> tuple[FloatArray, float]:
    """Give rows without a time one from their position, if the stamps around them leave room for them.

    Args:
        times: [s], shape (n,); where a time cannot be read what :func:`unread_times` says.
        stamp_step: the smallest step of the stamps [s].

    Returns:
        Times [s], shape (n,); NaN where there is no room, or no stamp before or after (a line of averages at
        the end is no sample), and in a gap: it is not known when in it they were read. And by how much the
        clock was set back in all [s] in rows of broken stamps without room.
    """
    made = np.full(times.size, np.nan)
    samples = np.flatnonzero(times != NO_SAMPLE)
    made[samples], lost = _placed(times[samples], stamp_step)
    return made, lost


def _placed(times: FloatArray, stamp_step: float) -> tuple[FloatArray, float]:
    made, lost = np.where(np.isfinite(times), times, np.nan), 0.0
    step, slack = sample_step(times[np.isfinite(times)], stamp_step)
    for a, last_row in runs(~np.isfinite(times)):
        b = last_row + 1
        if a == 0 or b == times.size:
            continue
        room, count = float(times[b] - times[a - 1]), b - a
        broken = int(np.count_nonzero(np.isnan(times[a:b])))
        if room < (count + ROOM) * step - slack:
            if broken and room < (broken + ROOM) * step - slack:
                lost += (broken + 1) * step - room
        elif room <= (count + GAP) * step + slack:
            made[a:b] = np.linspace(times[a - 1], times[b], count + 2)[1:-1]
    return made, lost


def placed_note(lines: IntArray) -> list[str]:
    """The note on samples whose lines (n,) [1] have a time that cannot be read; empty for none."""
    if not lines.size:
        return []
    where = ", ".join(map(str, lines[:6].tolist())) + (" ..." if lines.size > 6 else "")
    return [
        f"{lines.size} lines have readings and a time that cannot be read: their samples take that of "
        f"their place, line {where}"
    ]
