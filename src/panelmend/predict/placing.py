"""How far blanket and thermocouples may lie off before the prediction no longer holds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from panelmend.job.cure.prediction import Placing
from panelmend.job.cure.problem import HeatProblem
from panelmend.long_work import Tell, silent
from panelmend.predict.cases import solve
from panelmend.predict.limits import limit_rows, worst_of
from panelmend.predict.model import MEDIUM, QUICK, Fineness, SensorSpot
from panelmend.predict.sensors import first_of_extremes

TRIED = (0.005, 0.010, 0.020, 0.030)  # m that the blanket is moved
ALIKE_REACH = 1e-6  # m: ways alike in reach
WAYS = (("along", 1.0, "ahead"), ("along", -1.0, "back"), ("across", 1.0, "left"), ("across", -1.0, "right"))


def placing(
    problem: HeatProblem, spots: Sequence[SensorSpot], worst: float, tell: Tell = silent, *, threads: int = 2
) -> Placing:
    """What moving the blanket, and each thermocouple by its tolerance, does to the least margin.

    Which way is worst is found on a coarse grid; what is said of it is run again on the one that changes are
    compared on (a coarse grid tells the slope at a thermocouple badly), as a change added to the least margin
    of the full run.

    Args:
        problem: the cure.
        spots: its thermocouples.
        worst: least margin on temperature of the full run [K].
        tell: told after every run; may raise Cancelled to stop.
        threads: runs at once; the answer is the same for any number.

    Returns:
        how far each blanket may lie off, which way is worst, and the margins at the tolerances.

    Raises:
        InputError, SolverError: a problem that cannot be solved.
        Cancelled: raised by ``tell``.
    """
    fine, rough = _Margins(problem, spots, MEDIUM, worst), _Margins(problem, spots, QUICK, worst)
    blanket, sensor = problem.places
    at = [0.0, *sorted({*TRIED, blanket})]
    offs = {
        spot.id: [{f"{spot.id} {axis}": sign * sensor} for axis, sign, _ in WAYS]
        for spot in spots
        if spot.count
    }
    names = ["blanket", *(["behind"] if problem.source_behind is not None else [])]
    aside = [{f"{name} {axis}": sign * off} for name in names for axis, sign, _ in WAYS for off in at]
    rough.work_out([*aside, *(off for row in offs.values() for off in row)], tell, threads)
    short = [_shortest(name, at, blanket, rough) for name in names]
    nearest = {ident: row[_least([rough(off) for off in row])] for ident, row in offs.items()}
    moved = [{f"{name} {way[0]}": way[1] * blanket} for name, (_, way) in zip(names, short, strict=True)]
    fine.work_out([*moved, *nearest.values()], tell, threads)
    told: list[tuple[float, str, float]] = []
    for name, (reach, way) in zip(names, short, strict=True):
        key, sign, words = f"{name} {way[0]}", way[1], way[2]
        at_tolerance = fine({key: sign * blanket})
        if worst >= 0.0:
            # never farther than the finer grid allows
            steps = sorted({t for t in (*TRIED, blanket) if t < reach}, reverse=True)
            while reach > 0.0 and fine({key: sign * reach}) < 0.0:
                reach = steps.pop(0) if steps else 0.0
                tell(
                    f"{problem.operation}: how far the {'blanket behind' if told else 'blanket'} may lie off"
                )
        told.append((round(reach, 4), words, round(min(at_tolerance, worst), 2)))
    off = [(ident, round(min(fine(off), worst), 2)) for ident, off in nearest.items()]
    return Placing(*told[0], tuple(off), told[1] if len(told) > 1 else None)


_Way = tuple[str, float, str]


def _shortest(name: str, at: Sequence[float], tolerance: float, rough: _Margins) -> tuple[float, _Way]:
    """How far a blanket may lie off the worst way, and which way that is; of ways alike in reach the one that
    leaves least at the tolerance."""
    reaches = {}
    for axis, sign, words in WAYS:
        reaches[words] = _margin_lasts(at, [rough({f"{name} {axis}": sign * off}) for off in at])
    short = min(reaches.values()) + ALIKE_REACH
    alike = [w for w in WAYS if reaches[w[2]] <= short]
    way = alike[_least([rough({f"{name} {a}": s * tolerance}) for a, s, _ in alike])]
    return reaches[way[2]], way


def _least(margins: Sequence[float]) -> int:
    return first_of_extremes(np.array(margins), hot=False)


class _Margins:
    """Least margins on temperature with something off its place, on one grid; each worked out once."""

    def __init__(
        self, problem: HeatProblem, spots: Sequence[SensorSpot], fine: Fineness, worst: float
    ) -> None:
        self.problem, self.spots, self.fine, self.worst = problem, spots, fine, worst
        self.known: dict[_Key, float] = {}

    def __call__(self, values: Mapping[str, float]) -> float:
        return self.worst + self._run(values) - self._run({})

    def work_out(self, wanted: Iterable[Mapping[str, float]], tell: Tell, threads: int) -> None:
        """Run what will be asked for, some at once."""
        keys = list(dict.fromkeys([(), *map(_key, wanted)]))
        keys = [key for key in keys if key not in self.known]
        with ThreadPoolExecutor(threads) as pool:
            try:
                for n, (key, least) in enumerate(zip(keys, pool.map(self._least, keys), strict=True), 1):
                    self.known[key] = least
                    tell(f"{self.problem.operation}: off its place, {n} of {len(keys)}")
            except BaseException:
                pool.shutdown(wait=False, cancel_futures=True)  # nobody waits for what is not begun
                raise

    def _run(self, values: Mapping[str, float]) -> float:
        key = _key(values)
        if key not in self.known:
            self.known[key] = self._least(key)
        return self.known[key]

    def _least(self, key: _Key) -> float:
        _, result = solve(self.problem, self.spots, dict(key), self.fine, maps=False)
        return worst_of(limit_rows(self.problem, self.spots, result))


_Key = tuple[tuple[str, float], ...]


def _key(values: Mapping[str, float]) -> _Key:
    return tuple((n, v) for n, v in values.items() if v)


def _margin_lasts(at: Sequence[float], left: Sequence[float]) -> float:
    """How far it goes before the margin is gone, straight between what was tried."""
    if left[0] < 0.0:
        return 0.0
    for n in range(1, len(at)):
        if left[n] < 0.0:
            return at[n - 1] + (at[n] - at[n - 1]) * left[n - 1] / (left[n - 1] - left[n])
    return at[-1]
