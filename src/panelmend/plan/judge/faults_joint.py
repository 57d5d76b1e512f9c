"""What all thermocouples do at once and no part can: a change of unit or scale in the middle of the log."""

from __future__ import annotations

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import OFF, ON, Fault, fault
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
    for i in (i for part in pieces(0, len(log) - 1) for i in _jumps(log.times, temps, gap, part)):
        moved = temps[i + 1] - temps[i]
        moved = moved[np.isfinite(moved)]
        if moved.size < FEWEST or len(found) >= MOST_NAMED:
            continue
        by = float(np.median(moved))
        words = (
            f"all {moved.size} that read move by {show(by, 'temperature difference', decimals=1)} "
            f"within {log.times[i + 1] - log.times[i]:.0f} s, "
            "which no part can follow: unit or scale was changed"
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
