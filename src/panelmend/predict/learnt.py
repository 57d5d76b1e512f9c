"""What the log of a cure tells about what nobody had measured: cases weighed by how well they fit it.

Cases are drawn over the ranges of the unknowns and run with the recipe as the log shows it. Each weighs
exp(-misfit / 2), its misfit taken at the thermocouples alone. What they cannot see keeps its range. Places,
moving air, the bag and the bled resin are drawn anew with every lay-up: a log narrows them for nobody.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import InputError, SolverError
from panelmend.job.cure.problem import HeatProblem, Unknown
from panelmend.long_work import Stop, Tell, silent
from panelmend.physics import reduced
from panelmend.physics.heat import Follow, HeatResult
from panelmend.predict.cases import solve
from panelmend.predict.many_cases import Workers, workers
from panelmend.predict.model import QUICK, Fineness, SensorSpot
from panelmend.predict.reading import CaseValues, drawn
from panelmend.predict.run_on import here
from panelmend.units.fundamental import ZERO_CELSIUS

Array = NDArray[np.float64]
LEARNING_CASES, LEARNING_SEED = 800, 7
SIGMA = (
    1.2  # K a case may miss one stage of one thermocouple by: model, grid, noise; common practice, no source
)
LEAST_CASES_LEFT = 30.0  # cases' worth that must be left; common practice, no source
NARROWED = 0.75  # of the width before: less is within the chance of the draw
WORST_MISFIT = 3.0  # mean square misfit of the best case over SIGMA^2 from which no case explains the log
SPREAD_AT_REST = 4.0  # K between thermocouples at the start: more and the panel was not at rest
RANGE_QUANTILES = (0.025, 0.975)
RAMP, DWELL, COOL = (0.4, 0.7), (0.1, 0.4, 0.7, 0.95), (600.0, 1800.0, 3600.0)
LEAST_RISE = 20.0  # K
AT_DWELL_WITHIN = 2.0  # K under the level of the dwell from which it counts as come to


@dataclass(frozen=True)
class Narrowed:
    """One unknown before and after: the middle 95 % of the cases drawn, and of their weight.

    ``seen``: the thermocouples narrowed it; what is not seen is not offered."""

    unknown: Unknown
    before: tuple[float, float]
    after: tuple[float, float]
    seen: bool


@dataclass(frozen=True)
class Learnt:
    """What a log tells: ``worth`` is the effective number of cases left (sum of weights squared over sum of
    squares), ``misfit`` the root mean square miss of the best case [K]."""

    operation: str
    cases: int
    unsolved: int
    worth: float
    misfit: float
    thermocouples: tuple[str, ...]
    rows: tuple[Narrowed, ...]
    afresh: tuple[Unknown, ...]


@dataclass(frozen=True, eq=False)
class Logged:
    """Thermocouples of a log: ``times`` [s] (n,), ``kelvin`` by the id of the planned place, each (n,), NaN
    where there is no reading."""

    times: Array
    kelvin: Mapping[str, Array]


@dataclass(frozen=True, eq=False)
class Watched:
    """A case to run for a log, and what of it is compared."""

    case: CaseValues
    ids: tuple[str, ...]


def learn(
    problem: HeatProblem,
    spots: Sequence[SensorSpot],
    logged: Logged,
    *,
    cases: int = LEARNING_CASES,
    seed: int = LEARNING_SEED,
    fine: Fineness = QUICK,
    on: Workers | None = None,
    tell: Tell = silent,
    stop: Stop | None = None,
) -> Learnt:
    """What a log tells of the unknowns of its cure.

    Args:
        problem: the cure as it was predicted.
        spots: the planned places; those named in the log are compared.
        logged: the log's thermocouples.
        cases: how many are drawn over the ranges.
        seed: of the draw.
        fine: how finely a case is solved.
        on: workers; threads of this machine by default.
        tell: told how far it is.
        stop: set to stop.

    Returns:
        every unknown that is not drawn afresh, before and after.

    Raises:
        InputError: the log does not fit the cure (places, a start that is not at rest, no dwell), no case
            comes near it, or too few are left to say anything.
        SolverError: no case could be solved.
        Cancelled: ``stop`` was set.

    Source: importance sampling; the worth of weighted cases by L. Kish, Survey Sampling (1965), from memory.
    """
    ids = tuple(s.id for s in spots if s.id in logged.kelvin)
    counted = [s.id for s in spots if s.count and s.face != "far face"]
    if missing := [i for i in counted if i not in ids]:
        raise InputError(
            "the log has no channel for a thermocouple of the plan",
            where=problem.operation,
            read=", ".join(sorted(logged.kelvin)) or "none",
            expected=", ".join(missing),
            todo="name the channels of the log as the plan names its thermocouples",
        )
    ran = as_it_ran(problem, logged, counted)
    aim = stages(logged.times, logged.kelvin, ids, counted, ran)
    unknowns = drawn(ran, spots)
    low, high = (np.array([getattr(u, end) for u in unknowns]) for end in ("low", "high"))
    rows = reduced.latin_hypercube(cases, low, high, seed)
    asked = [Watched(CaseValues(ran, tuple(spots), fine, tuple(map(float, row))), ids) for row in rows]
    if on is not None:
        found = list(on.spread(run_watched, asked, tell=tell, stop=stop))
    else:
        with workers(here(), tell) as ready:
            found = list(ready.spread(run_watched, asked, tell=tell, stop=stop))
    solved = np.array([f is not None for f in found])
    if not solved.any():
        raise SolverError(f"{problem.operation}: no case could be solved")
    seen = np.array([f for f in found if f is not None])
    weight, best = weigh(seen, aim)
    if best > WORST_MISFIT:
        raise InputError(
            "no case over the ranges comes near this log: something else was otherwise than planned",
            where=problem.operation,
            read=f"the best case misses it by {SIGMA * best**0.5:.1f} K root mean square",
            expected=f"{SIGMA * WORST_MISFIT**0.5:.1f} K at most",
            todo="look for swapped leads, another blanket or place, or structure that was not drawn",
        )
    worth = float(1.0 / (weight**2).sum())
    if worth < LEAST_CASES_LEFT:
        raise InputError(
            "too few cases are like this log to say anything",
            where=problem.operation,
            read=f"{worth:.0f} cases' worth of {len(seen)}",
            expected=f"{LEAST_CASES_LEFT:.0f} at least",
            todo=f"ask for more cases, --cases {4 * cases}",
        )
    made = tuple(
        _narrowed(u, rows[solved, n], weight) for n, u in enumerate(problem.unknowns) if not u.afresh
    )
    afresh = tuple(u for u in problem.unknowns if u.afresh)
    rms = SIGMA * best**0.5
    return Learnt(problem.operation, len(seen), int((~solved).sum()), worth, rms, ids, made, afresh)


def weigh(seen: Array, aim: Array) -> tuple[Array, float]:
    """Weights of cases by their misfit, and the mean square misfit of the best over SIGMA^2.

    Args:
        seen: stages of the cases, shape (cases, thermocouples, 3, 4) [K].
        aim: stages of the log, shape (thermocouples, 3, 4) [K].

    Returns:
        weights that sum to 1, shape (cases,), and the best misfit [1].
    """
    miss = np.array([_misfit(row, aim) for row in seen])
    weight = np.exp(-0.5 * (miss - miss.min()))
    terms = int(np.isfinite(aim).any(axis=2).sum())
    return weight / weight.sum(), float(miss.min() / max(terms, 1))


def _narrowed(unknown: Unknown, values: Array, weight: Array) -> Narrowed:
    before = tuple(float(v) for v in np.quantile(values, RANGE_QUANTILES))
    after = weighted(values, weight)
    wide, left = before[1] - before[0], after[1] - after[0]
    return Narrowed(unknown, (before[0], before[1]), after, wide > 0.0 and left < NARROWED * wide)


def weighted(values: Array, weight: Array) -> tuple[float, float]:
    """The middle 95 % of weighted values."""
    order = np.argsort(values)
    share = np.cumsum(weight[order]) - 0.5 * weight[order]
    low, high = np.interp(RANGE_QUANTILES, share, values[order])
    return float(low), float(high)


def as_it_ran(problem: HeatProblem, logged: Logged, counted: Sequence[str]) -> HeatProblem:
    """The cure with the recipe as the log shows it: air it started from, rate, level and length of the dwell.

    Raises:
        InputError: not one ramp to one dwell, a start that is not at rest, or no dwell in the log.
    """
    heating = [leg for leg in problem.legs if leg.kind == "heat"]
    if len({leg.target for leg in heating}) != 1 or sum(leg.dwell > 0.0 for leg in heating) != 1:
        raise InputError("only a cure of one ramp and one dwell can be learnt from", where=problem.operation)
    followed, start = _followed(problem, logged, counted), _start(problem, logged)
    top = float(np.nanmax(followed))
    hot = followed >= start + 0.9 * (top - start)
    level = float(np.nanmedian(followed[hot])) - AT_DWELL_WITHIN
    if top < start + LEAST_RISE or level < problem.dwell.low - 2.0 * AT_DWELL_WITHIN:
        raise InputError(
            "the thermocouples never came to the dwell",
            where=problem.operation,
            read=f"{top - ZERO_CELSIUS:.1f} C",
        )
    first, last = _first_and_last_above(logged.times, followed, level)
    held = (logged.times >= first + 0.3 * (last - first)) & (logged.times <= last - 0.1 * (last - first))
    target = float(np.nanmedian(followed[held]))
    rise = [_first_above(logged.times, followed, start + s * (target - start)) for s in (0.3, 0.8)]
    rate = 0.5 * (target - start) / max(rise[1] - rise[0], 60.0)
    # it stays in the band for a while after the set point began to fall, and reached it before the target
    below = (target - level) / rate
    cool = next((leg.rate for leg in problem.legs if leg.kind == "cool"), rate)
    hold = max(last - first - below - (target - level) / cool, 600.0)
    legs = tuple(
        replace(leg, target=target, rate=rate, dwell=hold if leg.dwell > 0.0 else 0.0)
        if leg.kind == "heat"
        else leg
        for leg in problem.legs
    )
    ceiling = None if problem.ceiling is None else max(problem.ceiling, target + 5.0)
    return replace(problem, air=start, legs=legs, ceiling=ceiling)


def _followed(problem: HeatProblem, logged: Logged, counted: Sequence[str]) -> Array:
    rows = np.array([logged.kelvin[i] for i in counted])
    there = np.isfinite(rows)
    match Follow(problem.follow):
        case Follow.AVERAGE:
            made = np.where(there, rows, 0.0).sum(axis=0) / np.maximum(there.sum(axis=0), 1)
        case Follow.LEADING:
            made = np.where(there, rows, -np.inf).max(axis=0)
        case Follow.LAGGING:
            made = np.where(there, rows, np.inf).min(axis=0)
        case other:
            raise AssertionError(f"nobody logs what a controller follows that is {other.value!r}")
    return np.asarray(np.where(there.any(axis=0), made, np.nan))


def _start(problem: HeatProblem, logged: Logged) -> float:
    first = [float(v[np.isfinite(v)][0]) for v in logged.kelvin.values() if np.isfinite(v).any()]
    if not first or max(first) - min(first) > SPREAD_AT_REST or abs(np.mean(first) - problem.air) > 15.0:
        raise InputError(
            "the log does not begin with the panel at the temperature of the bay's air",
            where=problem.operation,
            read=", ".join(f"{v - ZERO_CELSIUS:.1f} C" for v in first) or "no reading",
            expected=f"within {SPREAD_AT_REST:g} K of each other, near {problem.air - ZERO_CELSIUS:.0f} C",
        )
    return float(np.mean(first))


def _first_above(times: Array, values: Array, level: float) -> float:
    there = np.isfinite(values)
    times, values = times[there], values[there]
    above = np.flatnonzero(values >= level)
    n = int(above[0])
    if n == 0:
        return float(times[0])
    share = (level - values[n - 1]) / (values[n] - values[n - 1])
    return float(times[n - 1] + share * (times[n] - times[n - 1]))


def _first_and_last_above(times: Array, values: Array, level: float) -> tuple[float, float]:
    """When a trace first comes to a level and when it last leaves it [s]."""
    above = np.flatnonzero(values >= level)
    return _first_above(times, values, level), float(times[above[-1]])


def stages(
    times: Array, kelvin: Mapping[str, Array], ids: Sequence[str], counted: Sequence[str], ran: HeatProblem
) -> Array:
    """What is compared, shape (thermocouples, 3 stages, 4): readings on the ramp, in the dwell and in the
    cooling, each taken against clocks that the followed reading sets; NaN where there is none."""
    followed = _followed(ran, Logged(times, kelvin), counted)
    made = np.full((len(ids), 3, 4), np.nan)
    level = ran.dwell.target - AT_DWELL_WITHIN
    if not (followed >= level).any():
        return made
    begin, end = _first_and_last_above(times, followed, level)
    start, target = ran.air, ran.dwell.target
    moments = (
        [_first_above(times, followed, start + s * (level - start)) for s in RAMP],
        [begin + s * ran.dwell.dwell for s in DWELL if begin + s * ran.dwell.dwell <= end],
        [end + s for s in COOL if end + s <= times[-1]],
    )
    for n, ident in enumerate(ids):
        own = kelvin[ident]
        there = np.isfinite(own)
        for stage, at in enumerate(moments):
            made[n, stage, : len(at)] = np.interp(at, times[there], own[there]) - target
    return made


def run_watched(watched: Watched) -> Array | None:
    """The stages of one case; None where the resin runs away."""
    case = watched.case
    names = [u.name for u in drawn(case.problem, case.spots)]
    values = dict(zip(names, case.values, strict=True))
    try:
        _, result = solve(case.problem, case.spots, values, case.fine, maps=False)
    except SolverError:
        return None
    return stages_of(case.problem, case.spots, result, watched.ids)


def stages_of(
    problem: HeatProblem, spots: Sequence[SensorSpot], result: HeatResult, ids: Sequence[str]
) -> Array:
    """The stages of a run."""
    counted = [s.id for s in spots if s.count and s.face != "far face"]
    return stages(result.times, result.probes, ids, counted, problem)


def _misfit(row: Array, aim: Array) -> float:
    """Sum over thermocouples and stages of the mean square miss over SIGMA^2: readings of one stage err
    alike, so a stage counts once. A stage that the case lacks and the log has counts as far off."""
    off = np.where(np.isfinite(aim), (row - aim) / SIGMA, np.nan)
    off = np.where(np.isfinite(aim) & ~np.isfinite(off), 10.0, off)
    told = np.isfinite(off).any(axis=2)
    with np.errstate(invalid="ignore"):
        mean = np.nansum(off**2, axis=2) / np.maximum(np.isfinite(off).sum(axis=2), 1)
    return float(mean[told].sum())
