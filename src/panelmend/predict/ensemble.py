"""How likely a cure holds: many cases over the ranges of what nobody measured, run and counted.

In full every case is solved as finely as a prediction. Reduced, which is the default, every case is solved on
a coarse grid with long steps and put right by what a few cases run both ways showed (``physics.reduced``).
What is learnt are the few temperatures a verdict needs, not traces: the control loop moves traces in time
from case to case, the extremes change smoothly. The error on cases kept aside is part of the result.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

from panelmend.errors import InputError, SolverError
from panelmend.job.cure.prediction import Likelihood, Prediction
from panelmend.job.cure.problem import HeatProblem
from panelmend.physics import reduced
from panelmend.predict.cases import Verdict
from panelmend.predict.counting import drivers, quantiles, wilson
from panelmend.predict.model import FULL, Fineness, Spot
from panelmend.predict.reading import COLDEST, HOTTEST, REACH, Case, Reading, judge, run_case
from panelmend.predict.spread import Stop, Tell, Workers, silent, workers
from panelmend.predict.where import Where, here

Array = NDArray[np.float64]
T = TypeVar("T")
CASES, SEED = 1000, 1
COARSE = Fineness(0.050, 30.0, 1)  # found by trying: see docs/method/ensemble.md
TRAIN, HELD_OUT = 20, 8
_FEWEST = 12  # cases to train on that came to their dwell both ways


@dataclass(frozen=True)
class Ask:
    """An ensemble that is wanted: the cure, its thermocouples, how many cases, where the dice begin."""

    problem: HeatProblem
    spots: tuple[Spot, ...]
    cases: int = CASES
    seed: int = SEED
    full: bool = False

    def __post_init__(self) -> None:
        if not 2 <= self.cases <= 1_000_000:
            raise InputError("too few or too many cases", read=str(self.cases), expected="2 to 1,000,000")
        if not self.problem.unknowns:
            raise InputError(f"{self.problem.operation}: nothing is unknown, so there are no cases to try")

    @property
    def in_full(self) -> bool:
        """Whether every case is run in full: asked for, or no more cases than training would take."""
        return self.full or self.cases <= TRAIN + HELD_OUT

    def drawn(self, count: int, seed: int, fine: Fineness) -> list[Case]:
        """Cases spread evenly over the ranges of the unknowns (Latin hypercube)."""
        low, high = (np.array([getattr(u, n) for u in self.problem.unknowns]) for n in ("low", "high"))
        rows = reduced.spread(count, low, high, seed)
        return [Case(self.problem, self.spots, fine, tuple(float(v) for v in row)) for row in rows]


@dataclass(frozen=True, eq=False)
class Table:
    """Every case of an ensemble: values of the unknowns, temperatures of :class:`Reading` (no numbers where
    it was not solved), whether its dwell began, its verdict (None where it was not solved)."""

    values: Array  # (cases, unknowns)
    kelvin: Array  # (cases, temperatures)
    began: NDArray[np.bool_]
    verdicts: tuple[Verdict | None, ...]
    held_out: reduced.HeldOut | None
    wrong: int


def spots_of(prediction: Prediction) -> tuple[Spot, ...]:
    """The thermocouples of a prediction."""
    return tuple(Spot(s.id, s.at, s.face, s.role != "check") for s in prediction.sensors)


def likelihood(
    ask: Ask, *, on: Where | Workers | None = None, tell: Tell = silent, stop: Stop | None = None
) -> Likelihood:
    """Likelihood of one cure; see :func:`likelihoods`."""
    return likelihoods([ask], on=on, tell=tell, stop=stop)[0]


def likelihoods(
    asks: Sequence[Ask], *, on: Where | Workers | None = None, tell: Tell = silent, stop: Stop | None = None
) -> list[Likelihood]:
    """How likely cures hold.

    Args:
        asks: the ensembles; all their cases are spread over the workers together.
        on: where the cases run; the cores of this machine by default. The result does not depend on it.
        tell: told how far it is.
        stop: set to stop.

    Returns:
        one likelihood for each, the same for the same ask.

    Raises:
        InputError: no such cluster.
        SolverError: a case was refused, or too few training cases came to their dwell.
        Cancelled: ``stop`` was set.

    Source: M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21 (1979) 239, for the cases;
    E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209, for the interval of the share.
    """
    return [_or_raise(found) for found in each(asks, on=on, tell=tell, stop=stop)]


def each(
    asks: Sequence[Ask], *, on: Where | Workers | None = None, tell: Tell = silent, stop: Stop | None = None
) -> list[Likelihood | SolverError]:
    """As :func:`likelihoods`, but an ensemble that cannot be counted is told in its place."""
    made = _tables(asks, on, tell, stop)
    with threadpool_limits(limits=1):
        return [_counted(a, t) if isinstance(t, Table) else t for a, t in zip(asks, made, strict=True)]


def tables(
    asks: Sequence[Ask], *, on: Where | Workers | None = None, tell: Tell = silent, stop: Stop | None = None
) -> list[Table]:
    """Every case of every ensemble; arguments and errors of :func:`likelihoods`."""
    return [_or_raise(found) for found in _tables(asks, on, tell, stop)]


def _or_raise(found: T | SolverError) -> T:
    if isinstance(found, SolverError):
        raise found
    return found


def _tables(
    asks: Sequence[Ask], on: Where | Workers | None, tell: Tell, stop: Stop | None
) -> list[Table | SolverError]:
    fine: list[list[Case]] = []
    rough: list[list[Case]] = []
    for ask in asks:
        if ask.in_full:
            fine.append(ask.drawn(ask.cases, ask.seed + 1, FULL))
            rough.append([])
        else:
            fine.append(ask.drawn(TRAIN + HELD_OUT, ask.seed, FULL))
            trained = ask.drawn(TRAIN + HELD_OUT, ask.seed, COARSE)
            rough.append(trained + ask.drawn(ask.cases, ask.seed + 1, COARSE))
    if isinstance(on, Workers):
        read = [_run(on, fine, "in full", tell, stop), _run(on, rough, "quickly", tell, stop)]
    else:
        with workers(on if on is not None else here(), tell) as ready:
            read = [_run(ready, fine, "in full", tell, stop), _run(ready, rough, "quickly", tell, stop)]
    with threadpool_limits(limits=1):  # sums depend on how many threads make them
        return [_table(ask, *row) for ask, *row in zip(asks, fine, rough, *read, strict=True)]


def _run(
    ready: Workers, cases: list[list[Case]], how: str, tell: Tell, stop: Stop | None
) -> list[list[Reading]]:
    """Readings of several lists of cases, all spread together."""
    flat = [case for some in cases for case in some]
    if not flat:
        return [[] for _ in cases]
    found = iter(ready.spread(run_case, flat, tell=lambda words: tell(f"{how}: {words}"), stop=stop))
    return [[next(found) for _ in some] for some in cases]


def _table(
    ask: Ask, fine: list[Case], rough: list[Case], full: list[Reading], cheap: list[Reading]
) -> Table | SolverError:
    if ask.in_full:
        values, kelvin, began = _arrays(fine, full)
        return Table(values, kelvin, began, _verdicts(ask.problem, kelvin, began), None, 0)
    both = len(full)
    values, good, good_began = _arrays(fine, full)
    _, bad, bad_began = _arrays(rough[:both], cheap[:both])
    fit = np.isfinite(good).all(axis=1) & np.isfinite(bad).all(axis=1) & (good_began == bad_began)
    seen, aside = np.flatnonzero(fit[:TRAIN]), TRAIN + np.flatnonzero(fit[TRAIN:])
    if len(seen) < _FEWEST or len(aside) < 2:
        return SolverError(
            f"{ask.problem.operation}: only {fit.sum()} of {both} training cases came to their dwell on both "
            "grids, too few to put coarse runs right by; run every case in full, or look first why the "
            "dwell is not reached"
        )
    used = np.concatenate([seen, aside])
    model = reduced.train(values[used], bad[used], good[used], held_out=len(aside))
    right, right_began = _put_right(ask.problem, model, values[TRAIN:], bad[TRAIN:], bad_began[TRAIN:])
    mine = _verdicts(ask.problem, right, right_began)
    theirs = _verdicts(ask.problem, good[TRAIN:], good_began[TRAIN:])
    wrong = sum(_flags(a) != _flags(b) for a, b in zip(mine, theirs, strict=True))
    asked, quick, quick_began = _arrays(rough[both:], cheap[both:])
    kelvin, began = _put_right(ask.problem, model, asked, quick, quick_began)
    return Table(asked, kelvin, began, _verdicts(ask.problem, kelvin, began), model.held_out, wrong)


def _put_right(
    problem: HeatProblem, model: reduced.Reduced, values: Array, quick: Array, began: NDArray[np.bool_]
) -> tuple[Array, NDArray[np.bool_]]:
    """Coarse runs put right; a dwell begins where the thermocouple that lags comes to the band.

    Beyond the range that training covers (its outer cases may have had no solution) the correction at its
    edge is taken."""
    kelvin = model.correct(np.clip(values, model.low, model.high), quick)
    reach = kelvin[:, REACH] - problem.dwell.low
    return kelvin, np.where(np.abs(quick[:, REACH] - problem.dwell.low) > _NEAR, began, reach >= 0.0)


_NEAR = 5.0  # K: coarse runs that miss or make the band by more are right about whether the dwell began


def _arrays(cases: Sequence[Case], readings: Sequence[Reading]) -> tuple[Array, Array, NDArray[np.bool_]]:
    width = max((len(r.kelvin) for r in readings), default=0) or 1
    kelvin = np.array([r.kelvin if r.solved else (np.nan,) * width for r in readings], dtype=float)
    values = np.array([c.values for c in cases])
    return values, kelvin.reshape(len(readings), width), np.array([r.began for r in readings], dtype=bool)


def _verdicts(problem: HeatProblem, kelvin: Array, began: NDArray[np.bool_]) -> tuple[Verdict | None, ...]:
    solved: NDArray[np.bool_] = np.asarray(np.isfinite(kelvin).all(axis=1))
    return tuple(
        judge(problem, [float(v) for v in row], bool(b)) if ok else None
        for row, b, ok in zip(kelvin, began, solved, strict=True)
    )


def _flags(verdict: Verdict | None) -> tuple[bool, ...] | None:
    return None if verdict is None else (verdict.band, verdict.ceiling, verdict.limits, verdict.seen)


def _counted(ask: Ask, table: Table) -> Likelihood | SolverError:
    solved = [v for v in table.verdicts if v is not None]
    if not solved:
        raise SolverError(
            f"{ask.problem.operation}: no case could be solved; in every one the resin runs away"
        )
    there = np.array([v is not None for v in table.verdicts])
    values, kelvin = table.values[there], table.kelvin[there]
    everything = sum(v.everything for v in solved)
    low, high = wilson(everything, len(table.verdicts))
    error = table.held_out
    return Likelihood(
        cases=len(table.verdicts),
        seed=ask.seed,
        method="full" if ask.in_full else "reduced",
        held_out_rms=None if error is None else round(error.rms, 3),
        held_out_worst=None if error is None else round(error.worst, 3),
        held_out_cases=0 if error is None else error.cases,
        wrong=table.wrong,
        band=sum(v.band for v in solved),
        ceiling=sum(v.ceiling for v in solved),
        limits=sum(v.limits for v in solved),
        seen=sum(v.seen for v in solved),
        everything=everything,
        low=low,
        high=high,
        coldest=quantiles(kelvin[:, COLDEST]),
        hottest=quantiles(kelvin[:, HOTTEST]),
        drivers=drivers(ask.problem, values, kelvin),
        unsolved=len(table.verdicts) - len(solved),
    )
