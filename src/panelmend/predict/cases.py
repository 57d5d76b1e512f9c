"""One case of a cure: run it, read what counts, and say whether it holds."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from panelmend.job.cure.prediction import PLUG_EDGE
from panelmend.job.cure.problem import HeatProblem
from panelmend.physics.heat import HeatModel, HeatResult, LegTimes, Progress, WatchedRegion, run
from panelmend.predict.model import FULL, POTTING, Fineness, SensorSpot, likely, model_of
from panelmend.predict.splice import OVER_IT, with_splice

Array = NDArray[np.float64]
SAMPLE = 60.0  # s
UNSEEN_BELOW_BAND = (
    0.1  # K below the band that no thermocouple shows; the dwell begins at the band's very bottom
)
_SPARE = 4 * 3600.0  # s a recipe may take beyond its own times


@dataclass(frozen=True, eq=False)
class CaseOutcome:
    """What one case came to; temperatures [K], times [s].

    ``others`` are the hottest of what has a limit of its own, named in ``other_names`` ("panel", "blanket",
    "rib ..."). ``counts`` are the columns of thermocouples that count; a check only watches. ``window``
    bounds the longest dwell as the controller counts it; None where it never began.
    """

    times: Array
    sensors: Array  # (n, sensors)
    counts: tuple[int, ...]
    hottest: Array  # (n,)
    coldest: Array  # (n,)
    others: Array  # (n, others)
    other_names: tuple[str, ...]
    window: tuple[float, float] | None
    duration: float
    finished: bool

    @property
    def dwelling(self) -> NDArray[np.bool_]:
        """Which samples lie in the longest dwell; the last tenth of the run where it never began."""
        if self.window is None:
            return np.asarray(self.times >= 0.9 * self.times[-1])
        return np.asarray((self.times >= self.window[0] - 1e-6) & (self.times <= self.window[1] + 1e-6))


@dataclass(frozen=True)
class CaseVerdict:
    """Whether a case holds. ``coldest`` and ``hottest`` are of the bond line in the dwell, ``peak`` all
    through [K]; ``seen`` says what the thermocouples would show; ``rest`` is every other row of limits:
    times, spread, rates, other dwells, the blanket behind."""

    band: bool
    ceiling: bool
    limits: bool
    seen: bool
    coldest: float
    hottest: float
    peak: float
    rest: bool = True

    @property
    def everything(self) -> bool:
        """Band, ceiling, limits and the rest."""
        return self.band and self.ceiling and self.limits and self.rest


def longest(problem: HeatProblem) -> float:
    """Time after which a run is given up [s]."""
    total, at = 0.0, problem.air
    for leg in problem.legs:
        total += abs(leg.target - at) / leg.rate + leg.dwell
        at = leg.target
    return 2.0 * total + _SPARE


def solve(
    problem: HeatProblem,
    sensors: Sequence[SensorSpot],
    values: Mapping[str, float],
    fine: Fineness = FULL,
    *,
    probes: Sequence[SensorSpot] = (),
    maps: bool = True,
    report: Callable[[Progress], None] | None = None,
) -> tuple[HeatModel, HeatResult]:
    """Run one case.

    Args:
        problem: the cure.
        sensors: thermocouples; the controller follows those of the repair side.
        values: of the unknowns.
        fine: grid and step.
        probes: more places to read.
        maps: keep whole layers.
        report: progress; may raise Cancelled.

    Returns:
        model and result.

    Raises:
        InputError, SolverError: a problem that cannot be solved.
        Cancelled: raised by ``report``.
    """
    model = model_of(problem, sensors, values, fine, probes=probes, maps=maps)
    result = run(
        model, longest=longest(problem), step=fine.step, sample=max(SAMPLE, fine.step), report=report
    )
    result = with_splice(problem, likely(problem) | dict(values), result)
    return model, _with_beginning(result, window(problem, sensors, result))


def outcome(
    problem: HeatProblem, sensors: Sequence[SensorSpot], values: Mapping[str, float], fine: Fineness = FULL
) -> CaseOutcome:
    """Run one case and read it: see :class:`CaseOutcome`."""
    _, result = solve(problem, sensors, values, fine, maps=False)
    return read_run(problem, sensors, result)


def read_run(problem: HeatProblem, sensors: Sequence[SensorSpot], result: HeatResult) -> CaseOutcome:
    """What counts of a finished run."""
    bond = [region for _, region in bonded(result)]
    hottest = np.max([r.hottest for r in bond], axis=0)
    coldest = np.min([r.coldest for r in bond], axis=0)
    names, rows = ["panel", "blanket"], [_panel(result), result.regions["blanket"].hottest]
    for rib in problem.ribs:
        region = result.regions.get(f"rib {rib.id}")
        if region is not None:
            names.append(f"rib {rib.id}")
            rows.append(region.hottest)
    for (name, _), top in zip(_insulated(problem), _insulation(problem, result), strict=True):
        names.append(name)
        rows.append(top)
    return CaseOutcome(
        result.times,
        np.column_stack([result.probes[s.id] for s in sensors]),
        tuple(n for n, s in enumerate(sensors) if s.count),
        hottest,
        coldest,
        np.column_stack(rows),
        tuple(names),
        window(problem, sensors, result),
        float(result.times[-1]),
        result.finished,
    )


def bonded(result: HeatResult) -> list[tuple[str, WatchedRegion]]:
    """What is bonded or filled here and is judged by the band, with its words."""
    made = [(words, result.regions[n]) for n, words in BONDED.items() if n in result.regions]
    return made + [("potting", r) for n, r in result.regions.items() if n.startswith(f"{POTTING} ")]


BONDED = {"bond": "bond line", "floor": "floor of the opening", OVER_IT: PLUG_EDGE}


def _panel(result: HeatResult) -> Array:
    names = ("near skin", "far skin", OVER_IT)
    skins: list[WatchedRegion] = [result.regions[n] for n in names if n in result.regions]
    return np.asarray(np.max([r.hottest for r in skins], axis=0))


OVER, BEHIND = "insulation over the bag", "insulation behind"


def _insulated(problem: HeatProblem) -> list[tuple[str, float | None]]:
    """Chosen insulation and what it may see [K]."""
    over, behind = problem.insulation_limits or (None, None)
    made = [(OVER, over)] if problem.insulation_over > 0.0 else []
    return made + ([(BEHIND, behind)] if problem.insulation_behind > 0.0 else [])


def _insulation(problem: HeatProblem, result: HeatResult) -> list[Array]:
    """How hot chosen insulation gets: over the bag no hotter than blanket and bond line under it, behind than
    the far skin and the blanket there."""
    under = [result.regions["blanket"].hottest, *(r.hottest for _, r in bonded(result))]
    there = [result.regions[n].hottest for n in ("far skin", "blanket behind") if n in result.regions]
    by = {OVER: under, BEHIND: there}
    return [np.asarray(np.max(by[name], axis=0)) for name, _ in _insulated(problem)]


def window(
    problem: HeatProblem, sensors: Sequence[SensorSpot], result: HeatResult
) -> tuple[float, float] | None:
    """Beginning and end of the longest dwell [s]: all blankets hold it; None where one never does.

    The controller looks once a step. The beginning is put back within that step to where the set point came
    to its target and the last thermocouple that counts into the band, so that it does not jump with the step.
    """
    at = problem.legs.index(problem.dwell)
    counted: list[LegTimes] = [legs[at] for legs in result.legs.values()]
    begun = [leg.holding for leg in counted if leg.holding is not None]
    if len(begun) < len(counted):
        return None
    last = float(result.times[-1])
    ended = min(leg.ended if leg.ended is not None else last for leg in counted)
    if not max(begun) < ended:
        return None
    earliest = max(begun) - result.step
    before = int(np.searchsorted(result.times, earliest - 1e-6)) - 1  # two samples that no reading adds to
    after = int(np.searchsorted(result.times, max(begun) - 1e-6))
    if before < 0:
        return max(begun), ended
    set_point = next(iter(result.target.values()))[before]
    arrived = result.times[before] + (problem.dwell.target - set_point) / problem.dwell.rate - result.step
    lagging = np.min([result.probes[s.id] for s in sensors if s.count], axis=0)
    low, high, bottom = lagging[before], lagging[after], problem.dwell.low
    share = (bottom - low) / (high - low) if low < bottom < high else 0.0
    crossed = result.times[before] + share * (result.times[after] - result.times[before])
    begin = min(max(float(arrived), float(crossed), earliest), max(begun))
    return begin, ended


def _with_beginning(result: HeatResult, dwell: tuple[float, float] | None) -> HeatResult:
    """The same run with a sample at the beginning of the longest dwell too, straight between its neighbours.

    On the ramp the bond line changes by kelvins from one sample to the next. The end needs none: there the
    dwell has settled, and what comes after it is another leg.
    """
    if dwell is None or np.abs(result.times - dwell[0]).min() < 1e-6:
        return result
    n = int(np.searchsorted(result.times, dwell[0]))
    share = (dwell[0] - result.times[n - 1]) / (result.times[n] - result.times[n - 1])

    def more(rows: Array) -> Array:
        between = rows[n - 1 : n] + share * (rows[n : n + 1] - rows[n - 1 : n])
        return np.concatenate((rows[:n], between, rows[n:]))

    times = more(result.times)
    regions = {
        name: replace(r, temperature=more(r.temperature), degree=more(r.degree), times=times)
        for name, r in result.regions.items()
    }
    probes, duty, target = (
        {name: more(row) for name, row in rows.items()}
        for rows in (result.probes, result.duty, result.target)
    )
    return replace(result, times=times, regions=regions, probes=probes, duty=duty, target=target)


def verdict(problem: HeatProblem, case: CaseOutcome) -> CaseVerdict:
    """Whether a case holds the band, the ceiling and the limits, and what the thermocouples would show."""
    at = case.dwelling
    sensors = case.sensors[:, list(case.counts)]
    tops = dict(zip(case.other_names, case.others.max(axis=0), strict=True))
    return judged(
        problem,
        began=case.window is not None and case.finished,
        coldest=float(case.coldest[at].min()),
        hottest=float(case.hottest[at].max()),
        peak=float(case.hottest.max()),
        shown=(float(sensors[at].min()), float(sensors[at].max()), float(sensors.max())),
        tops={name: float(top) for name, top in tops.items()},
    )


def judged(
    problem: HeatProblem,
    *,
    began: bool,
    coldest: float,
    hottest: float,
    peak: float,
    shown: tuple[float, float, float],
    tops: Mapping[str, float],
) -> CaseVerdict:
    """The verdict on what was read of a case.

    Args:
        problem: the cure.
        began: whether the longest dwell began and the recipe came to its end.
        coldest: of the bond line in the dwell [K].
        hottest: of the bond line in the dwell [K].
        peak: hottest of the bond line at any time [K].
        shown: lowest and highest reading in the dwell and highest at any time, of what counts [K].
        tops: hottest of what has a limit of its own, by name [K].
    """
    high = problem.dwell.high if problem.dwell.high is not None else np.inf
    ceiling = problem.ceiling if problem.ceiling is not None else np.inf
    lowest, highest, top = shown
    return CaseVerdict(
        band=began and coldest >= problem.dwell.low and hottest <= high,
        ceiling=peak <= ceiling,
        limits=all(tops[name] <= limit for name, limit in limits(problem).items() if name in tops),
        seen=began and lowest >= problem.dwell.low - UNSEEN_BELOW_BAND and highest <= high and top <= ceiling,
        coldest=coldest,
        hottest=hottest,
        peak=peak,
    )


def limits(problem: HeatProblem) -> dict[str, float]:
    """Limits of what surrounds the bond line [K], by the names of :class:`CaseOutcome`."""
    found = {f"rib {r.id}": r.limit for r in problem.ribs}
    found["panel"], found["blanket"] = problem.panel_limit, problem.source.limit
    found |= dict(_insulated(problem))
    return {name: limit for name, limit in found.items() if limit is not None}
