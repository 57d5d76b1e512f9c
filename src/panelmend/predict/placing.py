"""How far blanket and thermocouples may lie off before the prediction no longer holds."""

from __future__ import annotations

from collections.abc import Sequence

from panelmend.job.cure.prediction import Placing
from panelmend.job.cure.problem import HeatProblem
from panelmend.predict.cases import solve
from panelmend.predict.limits import limit_rows, worst_of
from panelmend.predict.model import QUICK, Spot

TRIED = (0.005, 0.010, 0.020, 0.030)  # m that the blanket is moved
WAYS = (("along", 1.0, "ahead"), ("along", -1.0, "back"), ("across", 1.0, "left"), ("across", -1.0, "right"))


def placing(problem: HeatProblem, spots: Sequence[Spot], worst: float) -> Placing:
    """What moving the blanket, and each thermocouple by its tolerance, does to the least margin.

    Found on a coarse grid as a change, and added to the least margin of the full run.

    Args:
        problem: the cure.
        spots: its thermocouples.
        worst: least margin on temperature of the full run [K].

    Returns:
        how far the blanket may lie off, which way is worst, and the margins at the tolerances.
    """

    def margin(values: dict[str, float]) -> float:
        _, result = solve(problem, spots, values, QUICK, maps=False)
        return worst_of(limit_rows(problem, spots, result))

    base = margin({})
    blanket, sensor = problem.places
    reach, way, at_tolerance = TRIED[-1], "", worst
    for axis, sign, words in WAYS:
        at, left = [0.0], [worst]
        for off in sorted({*TRIED, blanket}):
            at.append(off)
            left.append(worst + margin({f"blanket {axis}": sign * off}) - base)
            if off == blanket and left[-1] < at_tolerance:
                at_tolerance = left[-1]
        own = _reach(at, left)
        if own < reach or not way:
            reach, way = min(own, reach), words
    moved = []
    for spot in spots:
        if not spot.count:
            continue
        least = min(margin({f"{spot.id} {axis}": sign * sensor}) for axis, sign, _ in WAYS)
        moved.append((spot.id, round(worst + min(least - base, 0.0), 2)))
    return Placing(round(reach, 4), way, round(at_tolerance, 2), tuple(moved))


def _reach(at: Sequence[float], left: Sequence[float]) -> float:
    """How far it goes before the margin is gone, straight between what was tried."""
    if left[0] < 0.0:
        return 0.0
    for n in range(1, len(at)):
        if left[n] < 0.0:
            return at[n - 1] + (at[n] - at[n - 1]) * left[n - 1] / (left[n - 1] - left[n])
    return at[-1]
