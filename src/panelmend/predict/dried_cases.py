"""A drying in many cases: how cold the foot of the core may stay and how hot a skin may get.

They lie over the ranges of what nobody measured. A drying has no band to keep, so nothing is counted as held:
its outermost cases are told.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from panelmend.errors import SolverError
from panelmend.job.cure.prediction import DriedCases
from panelmend.job.cure.problem import HeatProblem
from panelmend.long_work import Tell, silent
from panelmend.predict.cases import CaseOutcome, limits, outcome
from panelmend.predict.ensemble import ENSEMBLE_SEED, Ask
from panelmend.predict.model import MEDIUM, Fineness, SensorSpot
from panelmend.predict.reading import CaseValues, drawn

DRYING_CASES = 40  # of them the outermost are told; it is no bound
_Told = tuple[float, float, float | None, float]  # foot [K], skin [K], when the foot is near [s], spare [K]


def dried_cases(
    problem: HeatProblem,
    spots: Sequence[SensorSpot],
    likely: CaseOutcome,
    tell: Tell = silent,
    *,
    fine: Fineness = MEDIUM,
    threads: int = 2,
    cases: int = DRYING_CASES,
) -> DriedCases:
    """What the cases of a drying come to.

    Every case is run on a coarser grid; what that grid is off by with the likely values is taken off all of
    them. What is left of it stands in docs/method/drying.md.

    Args:
        problem: the drying.
        spots: its thermocouples.
        likely: the full run with likely values.
        tell: told after every case; may raise Cancelled to stop.
        fine: grid and time step of the cases.
        threads: runs at once; the answer is the same for any number.
        cases: how many are tried.

    Returns:
        the outermost of them [K, s].

    Raises:
        InputError: nothing is unknown, or a problem that makes no sense.
        SolverError: not to be solved with its likely values, or in no case.
        Cancelled: raised by ``tell``.

    Source: M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21 (1979) 239, for the cases.
    """
    ask = Ask(problem, tuple(spots), cases=cases)
    names = [u.name for u in drawn(problem, spots)]
    rows = ask.drawn(cases, ENSEMBLE_SEED + 1, fine)

    def one(case: CaseValues) -> _Told | None:
        try:
            return _told(problem, outcome(problem, spots, dict(zip(names, case.values, strict=True)), fine))
        except SolverError:
            return None

    rough, true = _told(problem, outcome(problem, spots, {}, fine)), _told(problem, likely)
    off = [true[n] - rough[n] for n in (0, 1, 3)]  # type: ignore[operator]
    found: list[_Told] = []
    with ThreadPoolExecutor(threads) as pool:
        try:
            for n, told in enumerate(pool.map(one, rows), 1):
                if told is not None:
                    found.append(told)
                tell(f"{problem.operation}: case {n} of {cases}")
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)  # nobody waits for what is not begun
            raise
    if not found:
        raise SolverError(f"{problem.operation}: no case could be solved")
    foot, skin, spare = (np.array([f[k] for f in found]) + d for k, d in zip((0, 1, 3), off, strict=True))
    times = [f[2] for f in found]
    near = [t for t in times if t is not None]
    late = None
    if true[2] is not None and rough[2] is not None and len(near) == len(found):
        late = round(max(max(near) + true[2] - rough[2], true[2]), 1)
    return DriedCases(
        len(found),
        ENSEMBLE_SEED,
        (round(min(float(foot.min()), true[0]), 2), round(max(float(foot.max()), true[0]), 2)),
        (round(min(float(skin.min()), true[1]), 2), round(max(float(skin.max()), true[1]), 2)),
        int((foot >= problem.dwell.low).sum()),
        late,
        int((spare < 0.0).sum()),
        cases - len(found),
    )


def _told(problem: HeatProblem, case: CaseOutcome) -> _Told:
    """How warm the foot's coldest place gets, how hot a skin, when the foot is near, and the least margin to
    a limit of panel, structure or blanket."""
    tops = dict(zip(case.other_names, case.others.max(axis=0), strict=True))
    near = np.flatnonzero(case.coldest >= problem.dwell.low)
    spare = min((most - tops[name] for name, most in limits(problem).items() if name in tops), default=np.inf)
    return (
        float(case.coldest.max()),
        float(tops["panel"]),
        float(case.times[near[0]]) if len(near) else None,
        float(min(spare, 1e6)),
    )
