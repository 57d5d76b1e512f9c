"""How likely a cure holds: many cases over the ranges of what nobody measured, run and counted.

In full every case is solved as finely as a prediction. Reduced, which is the default, every case is solved on
a coarse grid with long steps and put right by what a few cases run both ways showed (``physics.reduced``).
What is learnt are the few temperatures a verdict needs, not traces: the control loop moves traces in time
from case to case, the extremes change smoothly. The error on cases kept aside is part of the result.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

from panelmend.errors import InputError, SolverError
from panelmend.job.cure.prediction import LEAST_CASES, Likelihood, Prediction
from panelmend.job.cure.problem import HeatProblem, Unknown
from panelmend.long_work import Stop, Tell, silent
from panelmend.physics import reduced
from panelmend.predict.case_arrays import CaseArrays, case_arrays, flags_of, verdicts_of
from panelmend.predict.cases import CaseVerdict
from panelmend.predict.counting import drivers, quantiles, wilson
from panelmend.predict.many_cases import Workers, workers
from panelmend.predict.model import COARSE, FULL, Fineness, SensorSpot
from panelmend.predict.reading import (
    CHANNELS,
    COLDEST,
    HOTTEST,
    MOST_MARGIN,
    REACH,
    CaseReading,
    CaseValues,
    drawn,
    in_time,
    least_margin,
    run_case,
)
from panelmend.predict.run_on import RunOn, here

Array = NDArray[np.float64]
T = TypeVar("T")
ENSEMBLE_CASES, ENSEMBLE_SEED = 1000, 1
TRAIN, HELD_OUT = 20, 8
DRIVES = 0.5  # K that an unknown moves the bond line by: from there on it drives the result
WIDER, WIDE_SHARE = 1.5, 4  # what if ranges are too narrow: times as wide, in a quarter of the cases
TRUST, IN_STEAD = (
    2.0,
    60,
)  # K: a quick method that errs by more is not used; so many full runs stand in its stead
TOLD_BY = (
    2  # cases for each unknown from which its drivers are told from chance (tests/laws/test_ensemble.py)
)
_FEWEST = 12  # cases to train on that came to their dwell both ways


@dataclass(frozen=True)
class Ask:
    """An ensemble that is wanted: the cure, its thermocouples, how many cases, where the dice begin."""

    problem: HeatProblem
    spots: tuple[SensorSpot, ...]
    cases: int = ENSEMBLE_CASES
    seed: int = ENSEMBLE_SEED
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

    @property
    def wide(self) -> int:
        """How many cases are tried with wider ranges."""
        return max(2, self.cases // WIDE_SHARE)

    def ranges(self, wider: float = 1.0) -> tuple[Array, Array]:
        """Low and high ends of what a case draws, in the order of :func:`reading.drawn`."""
        rows = [_range_ends(u, wider) for u in drawn(self.problem, self.spots)]
        return np.array([r[0] for r in rows]), np.array([r[1] for r in rows])

    def drawn(self, count: int, seed: int, fine: Fineness, wider: float = 1.0) -> list[CaseValues]:
        """Cases spread evenly over the ranges of the unknowns, or over wider ones (Latin hypercube)."""
        low, high = self.ranges(wider)
        rows = reduced.latin_hypercube(count, low, high, seed)
        return [CaseValues(self.problem, self.spots, fine, tuple(float(v) for v in row)) for row in rows]


_SHARES = ("blanket rim", "bled aside", "bled kept", "splice cells")  # of these none lies below 0


def _range_ends(unknown: Unknown, wider: float) -> tuple[float, float]:
    """A range, about its middle as many times as wide; what cannot be is left out."""
    if wider == 1.0 or unknown.basis == "measured":
        return unknown.low, unknown.high
    middle, half = 0.5 * (unknown.low + unknown.high), 0.5 * wider * (unknown.high - unknown.low)
    low, high = middle - half, middle + half
    if unknown.unit == "1" and not unknown.name.startswith("uneven"):
        low = max(low, 0.0 if unknown.name in _SHARES else 0.2 * unknown.low)
    if unknown.name == "emissivity":
        high = min(high, 1.0)
    if unknown.name.startswith("draught"):
        low = 0.0
    return low, high


@dataclass(frozen=True, eq=False)
class CaseTable:
    """Every case of an ensemble: values of the unknowns, temperatures and other margins of
    :class:`CaseReading` (no numbers where it was not solved), whether its dwell began, its verdict
    (None: not solved)."""

    values: Array  # (cases, unknowns)
    kelvin: Array  # (cases, temperatures)
    rest: Array  # (cases, other margins)
    began: NDArray[np.bool_]
    verdicts: tuple[CaseVerdict | None, ...]
    held_out: reduced.HeldOut | None
    wrong: int
    wide: tuple[CaseVerdict | None, ...] = ()  # of the cases with wider ranges
    poor: float | None = None  # error of the quick method [K], where full runs stand in its stead


def spots_of(prediction: Prediction) -> tuple[SensorSpot, ...]:
    """The thermocouples of a prediction."""
    return tuple(SensorSpot(s.id, s.at, s.face, s.role != "check") for s in prediction.sensors)


def likelihood(
    ask: Ask, *, on: RunOn | Workers | None = None, tell: Tell = silent, stop: Stop | None = None
) -> Likelihood:
    """Likelihood of one cure; see :func:`likelihoods`."""
    return likelihoods([ask], on=on, tell=tell, stop=stop)[0]


def likelihoods(
    asks: Sequence[Ask], *, on: RunOn | Workers | None = None, tell: Tell = silent, stop: Stop | None = None
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
    asks: Sequence[Ask], *, on: RunOn | Workers | None = None, tell: Tell = silent, stop: Stop | None = None
) -> list[Likelihood | SolverError]:
    """As :func:`likelihoods`, but an ensemble that cannot be counted is told in its place."""
    made = _tables(asks, on, tell, stop)
    with threadpool_limits(limits=1):
        return [_counted(a, t) if isinstance(t, CaseTable) else t for a, t in zip(asks, made, strict=True)]


def case_tables(
    asks: Sequence[Ask], *, on: RunOn | Workers | None = None, tell: Tell = silent, stop: Stop | None = None
) -> list[CaseTable]:
    """Every case of every ensemble; arguments and errors of :func:`likelihoods`."""
    return [_or_raise(found) for found in _tables(asks, on, tell, stop)]


def _or_raise(found: T | SolverError) -> T:
    if isinstance(found, SolverError):
        raise found
    return found


def _tables(
    asks: Sequence[Ask], on: RunOn | Workers | None, tell: Tell, stop: Stop | None
) -> list[CaseTable | SolverError]:
    fine: list[list[CaseValues]] = []
    rough: list[list[CaseValues]] = []
    for ask in asks:
        if ask.in_full:
            wide = ask.drawn(ask.wide, ask.seed + 2, FULL, WIDER)
            fine.append(ask.drawn(ask.cases, ask.seed + 1, FULL) + wide)
            rough.append([])
        else:
            # trained over the wider ranges, so that one training serves both
            fine.append(ask.drawn(TRAIN + HELD_OUT, ask.seed, FULL, WIDER))
            trained = ask.drawn(TRAIN + HELD_OUT, ask.seed, COARSE, WIDER)
            wide = ask.drawn(ask.wide, ask.seed + 2, COARSE, WIDER)
            rough.append(trained + ask.drawn(ask.cases, ask.seed + 1, COARSE) + wide)

    def all_of(ready: Workers) -> list[CaseTable | SolverError]:
        read = [_run(ready, fine, "in full", tell, stop), _run(ready, rough, "quickly", tell, stop)]
        with threadpool_limits(limits=1):  # sums depend on how many threads make them
            made = [_table(ask, *row) for ask, *row in zip(asks, fine, rough, *read, strict=True)]
        return _in_stead(asks, made, ready, tell, stop)

    if isinstance(on, Workers):
        return all_of(on)
    with workers(on if on is not None else here(), tell) as ready:
        return all_of(ready)


def _in_stead(
    asks: Sequence[Ask], made: list[CaseTable | SolverError], ready: Workers, tell: Tell, stop: Stop | None
) -> list[CaseTable | SolverError]:
    """Full runs, fewer of them, where the quick method erred too much on cases kept aside."""
    poor = {
        n: t.held_out.worst
        for n, t in enumerate(made)
        if isinstance(t, CaseTable) and t.held_out is not None and t.held_out.worst > TRUST
    }
    few = [replace(asks[n], full=True, cases=min(asks[n].cases, IN_STEAD)) for n in poor]
    cases = [a.drawn(a.cases, a.seed + 1, FULL) + a.drawn(a.wide, a.seed + 2, FULL, WIDER) for a in few]
    read = _run(ready, cases, "in full, for the quick way errs", tell, stop)
    for (n, error), ask, own, found in zip(poor.items(), few, cases, read, strict=True):
        made[n] = replace(_split(ask, case_arrays(own, found), None, 0), poor=error)
    return made


def _run(
    ready: Workers, cases: list[list[CaseValues]], how: str, tell: Tell, stop: Stop | None
) -> list[list[CaseReading]]:
    """Readings of several lists of cases, all spread together."""
    flat = [case for some in cases for case in some]
    if not flat:
        return [[] for _ in cases]
    found = iter(ready.spread(run_case, flat, tell=lambda words: tell(f"{how}: {words}"), stop=stop))
    return [[next(found) for _ in some] for some in cases]


def _table(
    ask: Ask,
    fine: list[CaseValues],
    rough: list[CaseValues],
    full: list[CaseReading],
    cheap: list[CaseReading],
) -> CaseTable | SolverError:
    if ask.in_full:
        got = case_arrays(fine, full)
        return _split(ask, got, None, 0)
    both = len(full)
    good, bad = case_arrays(fine, full), case_arrays(rough[:both], cheap[:both])
    fit = (
        np.isfinite(good.kelvin).all(axis=1) & np.isfinite(bad.kelvin).all(axis=1) & (good.began == bad.began)
    )
    seen, aside = np.flatnonzero(fit[:TRAIN]), TRAIN + np.flatnonzero(fit[TRAIN:])
    if len(seen) < _FEWEST or len(aside) < 2:
        return SolverError(
            f"{ask.problem.operation}: only {fit.sum()} of {both} training cases came to their dwell on both "
            "grids, too few to put coarse runs right by; run every case in full, or look first why the "
            "dwell is not reached"
        )
    used = np.concatenate([seen, aside])
    # place and error of single thermocouples are alike in both runs: nothing is learnt from them
    width = len(ask.problem.unknowns)
    at = good.values[used, :width]
    model = reduced.train(at, bad.kelvin[used], good.kelvin[used], held_out=len(aside))
    # rates and times have small margins and no modes worth learning: their middle difference alone
    shift = np.asarray(np.median(good.rest[used] - bad.rest[used], axis=0))
    mine = verdicts_of(ask.problem, _put_right(ask.problem, model, shift, bad.only(slice(TRAIN, None))))
    theirs = verdicts_of(ask.problem, good.only(slice(TRAIN, None)))
    wrong = sum(flags_of(a) != flags_of(b) for a, b in zip(mine, theirs, strict=True))
    got = _put_right(ask.problem, model, shift, case_arrays(rough[both:], cheap[both:]))
    return _split(ask, got, model.held_out, wrong)


def _split(ask: Ask, got: CaseArrays, held_out: reduced.HeldOut | None, wrong: int) -> CaseTable:
    """The cases that count and, apart, the verdicts on those with wider ranges."""
    own, wide = got.only(slice(0, ask.cases)), got.only(slice(ask.cases, None))
    verdicts = verdicts_of(ask.problem, own)
    wider = verdicts_of(ask.problem, wide)
    return CaseTable(own.values, own.kelvin, own.rest, own.began, verdicts, held_out, wrong, wider)


def _put_right(problem: HeatProblem, model: reduced.Reduced, shift: Array, quick: CaseArrays) -> CaseArrays:
    """Coarse runs put right; a dwell begins where the thermocouple that lags comes to the band.

    Beyond the range that training covers (its outer cases may have had no solution) the correction at its
    edge is taken."""
    at = quick.values[:, : len(model.low)]
    kelvin = model.correct(np.clip(at, model.low, model.high), quick.kelvin)
    rest = np.where(np.abs(quick.rest) < MOST_MARGIN, quick.rest + shift, quick.rest)
    reach = kelvin[:, REACH] - problem.dwell.low
    near = np.abs(quick.kelvin[:, REACH] - problem.dwell.low) <= _NEAR
    return CaseArrays(quick.values, kelvin, rest, np.where(near, reach >= 0.0, quick.began))


_NEAR = 5.0  # K: coarse runs that miss or make the band by more are right about whether the dwell began


def _counted(ask: Ask, table: CaseTable) -> Likelihood | SolverError:
    solved = [v for v in table.verdicts if v is not None]
    if not solved:
        raise SolverError(
            f"{ask.problem.operation}: no case could be solved; in every one the resin runs away"
        )
    there = np.array([v is not None for v in table.verdicts])
    values, kelvin = table.values[there], table.kelvin[there]
    everything = sum(v.everything for v in solved)
    low, high = wilson(everything, len(table.verdicts))
    moved = drivers(drawn(ask.problem, ask.spots), values, kelvin)
    nobody = [u.name for u in ask.problem.unknowns if u.basis in ("assumed", "fitted")]
    assumed = {*nobody, CHANNELS}
    # of so few cases nobody can say what drives: then all of it may
    rests = [d.unknown for d in moved if d.unknown in assumed and d.most >= DRIVES]
    rests = (
        rests
        if len(values) >= max(LEAST_CASES, TOLD_BY * values.shape[1])
        else rests + [n for n in nobody if n not in rests]
    )
    error = table.held_out
    firm, perhaps = _give_or_take(ask.problem, table, 0.0 if error is None else error.worst)
    return Likelihood(
        cases=len(table.verdicts),
        seed=ask.seed,
        method="full" if error is None else "reduced",
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
        drivers=moved,
        unsolved=len(table.verdicts) - len(solved),
        rest=sum(v.rest for v in solved),
        wider=(sum(v is not None and v.everything for v in table.wide), len(table.wide)),
        rests_on=tuple(rests),
        firm=firm,
        perhaps=perhaps,
        blind=sum(v.seen and not v.everything for v in solved),
        quick_error=None if table.poor is None else round(table.poor, 3),
    )


def _give_or_take(problem: HeatProblem, table: CaseTable, error: float) -> tuple[int, int]:
    """How many cases hold with an error [K] taken off every margin on temperature, and with it added."""
    firm = perhaps = 0
    for v, kelvin, rest, began in zip(table.verdicts, table.kelvin, table.rest, table.began, strict=True):
        if v is None or not in_time(rest):
            continue
        least = least_margin(problem, kelvin, rest, bool(began))
        firm += least >= error
        perhaps += least >= -error
    return firm, perhaps
