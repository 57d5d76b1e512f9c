"""One log, one heat: if a part was heated twice, it is not known which heat belongs to this cure."""

from __future__ import annotations

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.faults_joint import JUMP
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.recipe import CureRecipe
from panelmend.plan.judge.rules_release import cool_enough
from panelmend.plan.judge.verdict import Outcome, VerdictRecorder
from panelmend.plan.judge.walk import Stretch, heat_start

# common practice, no source, both:
HEAT = 30.0  # K that make a heat: more than a warm debulk or the sun
BACK = 0.5  # of its rise that ends it: more than an interruption of a dwell
MOST_ROWS = 20_000


def judge_heats(e: Evidence, book: VerdictRecorder) -> None:
    """The log must have one heat; with more, the cure cannot be judged."""
    begins = heats(e)
    if len(begins) < 2:
        return
    clocks = ", ".join(e.log.clock(t) for t in begins[:4])
    book.enter(
        Outcome.UNKNOWN,
        "one heat in the log",
        f"heated {len(begins)} times, from {clocks}: the log does not show which of them is this "
        "operation, or what the others did to the part",
        code=codes.HEATS,
        time=begins[1],
        place="cut the log to the one, or have the engineer decide",
    )


def judge_scale(e: Evidence, book: VerdictRecorder, recipe: CureRecipe, walked: tuple[Stretch, ...]) -> None:
    """One unit and scale all through; where all thermocouples jump at once, the cure cannot be judged, unless
    they were pulled off the part when all was done."""
    jumps = [
        f
        for f in e.checked.faults
        if f.finding.code == codes.JUMPED.code and not _pulled_off(e, f.time, recipe, walked)
    ]
    if jumps:
        book.enter(
            Outcome.UNKNOWN,
            "one scale in the log",
            f"all thermocouples jump at {', '.join(e.log.clock(f.time) for f in jumps)}: which side of it is "
            "right, no log shows",
            code=codes.UNKNOWN,
            time=jumps[0].time,
            place="find out what was changed in the logger",
        )


def _pulled_off(e: Evidence, time: float, recipe: CureRecipe, walked: tuple[Stretch, ...]) -> bool:
    """Whether thermocouples that jump up to a time [s] fell to what each first read, after all had cooled and
    the vacuum was let go."""
    at, level = int(np.searchsorted(e.times, time)), cool_enough(recipe)
    done = all(s.found and s.end <= e.times[at - 1] + 1e-6 for s in walked)
    if level is None or not done or not e.highest[at - 1] <= level + 1e-6:
        return False
    if recipe.vacuum is not None and not e.vacuum[at] < 0.5 * recipe.vacuum.least.value:
        return False
    read = np.flatnonzero(np.isfinite(e.temps[at]) & np.isfinite(e.temps[at - 1]))
    firsts = np.array([e.temps[np.isfinite(e.temps[:, i]), i][0] for i in read])
    back = np.abs(e.temps[at, read] - firsts) <= JUMP
    return bool((back & (e.temps[at, read] < e.temps[at - 1, read])).all())


def judge_joint(e: Evidence, book: VerdictRecorder, walked: tuple[Stretch, ...]) -> None:
    """One log all through: where thermocouples step against one another from the start of heat to the end of
    the cool-down, the cure cannot be judged. Later they may have been taken off."""
    begin, end = heat_start(e), max((s.end for s in walked if s.found), default=float(e.times[-1]))
    joints = [f for f in e.checked.faults if f.finding.code == codes.JOINED.code and begin < f.time <= end]
    if joints:
        book.enter(
            Outcome.UNKNOWN,
            "one job in the log",
            f"thermocouples step against one another at {', '.join(e.log.clock(f.time) for f in joints)}: "
            "the logs of two jobs may have been joined there",
            code=codes.UNKNOWN,
            time=joints[0].time,
            place="find out what was joined or swapped, or have the engineer decide",
        )


def heats(e: Evidence) -> list[float]:
    """When each heat began [s]: a rise of the middle thermocouple by 30 K, after it had come back by half of
    the rise before."""
    rows = slice(None, None, max(1, len(e.times) // MOST_ROWS))
    temps, times = np.where(e.working[rows], e.temps[rows], np.nan), e.times[rows]
    seen = np.isfinite(temps).any(axis=1)
    if not seen.any():
        return []
    return _begins(times[seen], np.nanmedian(temps[seen], axis=1))


def _begins(times: FloatArray, middle: FloatArray) -> list[float]:
    begins: list[float] = []
    low, at, high = float(middle[0]), float(times[0]), -np.inf
    for t, v in zip(times.tolist(), middle.tolist(), strict=True):
        if high > -np.inf:  # hot
            high = max(high, v)
            if v < high - BACK * (high - low):
                low, at, high = v, t, -np.inf
        elif v < low:
            low, at = v, t
        elif v >= low + HEAT:
            begins.append(at)
            high = v
    return begins
