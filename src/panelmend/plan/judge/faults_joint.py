"""Changes of all thermocouples at once that no part can follow: a change of unit or scale in the middle of
the log, and the joint of two logs."""

from __future__ import annotations

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import OFF, ON, Fault, fault
from panelmend.plan.judge.faults_clock import stood_before_gaps
from panelmend.plan.judge.log import CureLog, FloatArray
from panelmend.plan.judge.pieces import pieces
from panelmend.plan.judge.said import show

JUMP = 8.0  # K beside what a part can follow between two samples (common practice, no source)
FEWEST = 2  # thermocouples
MOST_NAMED = 4


def jump_faults(log: CureLog, temps: FloatArray, gap: float) -> list[Fault]:
    """Steps between two samples no further apart than ``gap`` [s] in which every thermocouple of ``temps``
    [K], shape (n, m), rises or falls faster than a part can with the blanket fully on or off."""
    if temps.shape[1] < FEWEST or len(log) < 2:
        return []
    found: list[Fault] = []
    stood = stood_before_gaps(log, gap)
    for i in (i for part in pieces(0, len(log) - 1) for i in _jumps(log.times, temps, gap, part)):
        moved = temps[i + 1] - temps[i]
        moved = moved[np.isfinite(moved)]
        if moved.size < FEWEST or len(found) >= MOST_NAMED or any(a <= i < b for a, b in stood):
            continue
        by = float(np.median(moved))
        words = (
            f"all {moved.size} that read move by {show(by, 'temperature difference', decimals=1)} "
            f"within {log.times[i + 1] - log.times[i]:.0f} s, "
            "which no part can follow: unit or scale was changed, or they were taken off"
        )
        begin, end = float(log.times[i + 1]), float(log.times[-1])
        found.append(fault(log, codes.JUMPED, words, time=begin, until=end))
    return found


def _jumps(times: FloatArray, temps: FloatArray, gap: float, part: slice) -> list[int]:
    """The steps of a piece at which every thermocouple that reads jumps the same way."""
    steps = np.diff(times[part.start : part.stop + 1])
    up = down = np.flatnonzero(steps <= gap)
    for column in temps.T:  # each leaves fewer steps to look at
        moved = np.diff(column[part.start : part.stop + 1])
        with np.errstate(invalid="ignore"):
            up = up[~(moved[up] <= ON * steps[up] + JUMP)]
            down = down[~(moved[down] >= -(OFF * steps[down] + JUMP))]
    return [int(part.start) + int(i) for i in np.union1d(up, down)]


# common practice, no source, all: thermocouples and rows it takes; K that they step against one another, so
# many times more than at the fourth such place of the log; s that the lines are drawn through, in rows
STEP_CHANNELS, STEP_ROWS = 3, 60
STEP, MORE, BESIDE = 0.8, 2.0, 4
DRAWN, FEWEST_DRAWN, MOST_DRAWN = 90.0, 4, 10
MOST_LOOKED = 20_000


def joined_faults(log: CureLog, temps: FloatArray, gap: float) -> list[Fault]:
    """Places at which the thermocouples of ``temps`` [K], shape (n, m), step against one another between two
    samples no further apart than ``gap`` [s], as where the logs of two jobs were joined, or plugs exchanged.

    Each channel is extended by a straight line from before and from after; the offset between the lines, less
    that of the middle channel, is small where curves run on; noise and bends show how small.
    """
    rows = slice(None, None, max(1, -(-len(log) // MOST_LOOKED)))
    times, table = log.times[rows], temps[rows]
    read = [_whole(times, c) for c in table.T if len(c) and np.isfinite(c).mean() > 0.9]
    if len(read) < STEP_CHANNELS or len(times) < STEP_ROWS:
        return []
    step = float(np.median(np.diff(times)))
    count = int(np.clip(round(DRAWN / step) if step else MOST_DRAWN, FEWEST_DRAWN, MOST_DRAWN))
    apart, first = _apart(times, np.column_stack(read), count, max(gap, 2.5 * step)), count - 1
    places: list[tuple[float, int]] = []
    for _ in range(BESIDE):
        at = int(np.argmax(apart))
        places.append((float(apart[at]), at))
        apart[max(0, at - 2 * count) : at + 2 * count] = 0.0
    usual = places[-1][0]
    found = []
    for size, at in sorted(places[:-1], key=lambda p: p[1]):
        if size < STEP or size < MORE * usual:
            continue
        time = float(times[first + at + 1])
        words = (
            f"they move {show(size, 'temperature difference', decimals=1)} against one another from one "
            f"sample to the next, elsewhere no more than {show(usual, 'temperature difference', decimals=1)}"
        )
        found.append(fault(log, codes.JOINED, words, time=time))
    return found


def _whole(times: FloatArray, values: FloatArray) -> FloatArray:
    """A channel (n,) [K] with what is missing drawn in, for looking only."""
    good = np.isfinite(values)
    return values if good.all() else np.interp(times, times[good], values[good])


def _apart(times: FloatArray, temps: FloatArray, count: int, gap: float) -> FloatArray:
    """How far the lines through so many rows before and after each place lie apart [K], beside what they do
    in the middle channel: root mean square of all channels but the furthest; 0 where a gap is near."""
    windows = sliding_window_view(times, count)
    centre = windows.mean(axis=1)
    away = windows - centre[:, None]
    square = np.maximum((away * away).sum(axis=1), 1e-9)
    left = np.arange(times.size - 2 * count + 1)
    right = left + count
    middle = 0.5 * (times[left + count - 1] + times[right])
    apart = np.empty((left.size, temps.shape[1]))
    for j, column in enumerate(temps.T):
        seen = sliding_window_view(column, count)
        mean, slope = seen.mean(axis=1), (away * seen).sum(axis=1) / square
        before, after = (mean[k] + slope[k] * (middle - centre[k]) for k in (left, right))
        apart[:, j] = after - before
    apart = np.sort(np.abs(apart - np.median(apart, axis=1)[:, None]), axis=1)[:, :-1]
    size = np.sqrt((apart * apart).mean(axis=1))
    near = sliding_window_view(np.diff(times), 2 * count - 1).max(axis=1) <= gap
    return np.where(near, size, 0.0)
