"""What all thermocouples do at once and no part can: a change of unit or scale in the middle of the log."""

from __future__ import annotations

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.fault import OFF, ON, Fault, fault
from panelmend.plan.judge.log import CureLog, FloatArray
from panelmend.plan.judge.said import show

JUMP = 8.0  # K beside what a part can follow between two samples (common practice, no source)
FEWEST = 2  # thermocouples
MOST_NAMED = 4


def jump_faults(log: CureLog, temps: FloatArray, gap: float) -> list[Fault]:
    """Steps between two samples no further apart than ``gap`` [s] in which every thermocouple of ``temps``
    [K], shape (n, m), rises or falls faster than a part can with the blanket fully on or off."""
    if temps.shape[1] < FEWEST or len(log) < 2:
        return []
    steps = np.diff(log.times)
    moved = np.diff(temps, axis=0)
    seen = np.isfinite(moved)
    least = np.where(seen, moved, np.inf).min(axis=1)
    most = np.where(seen, moved, -np.inf).max(axis=1)
    enough = (seen.sum(axis=1) >= FEWEST) & (steps <= gap)
    jumped = np.flatnonzero(enough & ((least > ON * steps + JUMP) | (most < -(OFF * steps + JUMP))))
    found = []
    for i in jumped[:MOST_NAMED].tolist():
        by = float(np.median(moved[i][seen[i]]))
        words = (
            f"all {int(seen[i].sum())} that read move by {show(by, 'temperature difference', decimals=1)} "
            f"within {steps[i]:.0f} s, which no part can follow: unit or scale was changed"
        )
        begin, end = float(log.times[i + 1]), float(log.times[-1])
        found.append(fault(log, codes.JUMPED, words, time=begin, until=end))
    return found
