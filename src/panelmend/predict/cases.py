"""One case of a cure: run it, read what counts, and say whether it holds."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelmend.job.cure.problem import HeatProblem
from panelmend.physics.heat import HeatModel, HeatResult, LegTimes, Progress, Region, run
from panelmend.predict.model import FULL, Fineness, Spot, model_of

Array = NDArray[np.float64]
SAMPLE = 60.0  # s
_SPARE = 4 * 3600.0  # s a recipe may take beyond its own times


@dataclass(frozen=True, eq=False)
class Outcome:
    """What one case came to; temperatures [K], times [s].

    ``others`` are the hottest of what has a limit of its own, named in ``other_names`` ("panel", "blanket",
    "rib ..."). ``window`` bounds the longest dwell as the controller counts it; None where it never began.
    ``band_time`` is the longest unbroken time that the whole bond line stays above the band's bottom.
    """

    times: Array
    sensors: Array  # (n, sensors)
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
class Verdict:
    """Whether a case holds. ``coldest`` and ``hottest`` are of the bond line in the dwell, ``peak`` all
    through
    [K]; ``seen`` says what the thermocouples would show."""

    band: bool
    ceiling: bool
    limits: bool
    seen: bool
    coldest: float
    hottest: float
    peak: float

    @property
    def everything(self) -> bool:
        """Band, ceiling and limits."""
        return self.band and self.ceiling and self.limits


def longest(problem: HeatProblem) -> float:
    """Time after which a run is given up [s]."""
    total, at = 0.0, problem.air
    for leg in problem.legs:
        total += abs(leg.target - at) / leg.rate + leg.dwell
        at = leg.target
    return 2.0 * total + _SPARE


def solve(
    problem: HeatProblem,
    sensors: Sequence[Spot],
    values: Mapping[str, float],
    fine: Fineness = FULL,
    *,
    probes: Sequence[Spot] = (),
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
    return model, run(
        model, longest=longest(problem), step=fine.step, sample=max(SAMPLE, fine.step), report=report
    )


def outcome(
    problem: HeatProblem, sensors: Sequence[Spot], values: Mapping[str, float], fine: Fineness = FULL
) -> Outcome:
    """Run one case and read it: see :class:`Outcome`."""
    _, result = solve(problem, sensors, values, fine, maps=False)
    return read(problem, sensors, result)


def read(problem: HeatProblem, sensors: Sequence[Spot], result: HeatResult) -> Outcome:
    """What counts of a finished run."""
    bond = [result.regions[n] for n in ("bond", "floor") if n in result.regions]
    hottest = np.max([r.hottest for r in bond], axis=0)
    coldest = np.min([r.coldest for r in bond], axis=0)
    names, rows = ["panel", "blanket"], [_panel(result), result.regions["blanket"].hottest]
    for rib in problem.ribs:
        region = result.regions.get(f"rib {rib.id}")
        if region is not None:
            names.append(f"rib {rib.id}")
            rows.append(region.hottest)
    return Outcome(
        result.times,
        np.column_stack([result.probes[s.id] for s in sensors]),
        hottest,
        coldest,
        np.column_stack(rows),
        tuple(names),
        window(problem, result),
        float(result.times[-1]),
        result.finished,
    )


def _panel(result: HeatResult) -> Array:
    skins: list[Region] = [result.regions[n] for n in ("near skin", "far skin") if n in result.regions]
    return np.asarray(np.max([r.hottest for r in skins], axis=0))


def window(problem: HeatProblem, result: HeatResult) -> tuple[float, float] | None:
    """Beginning and end of the longest dwell [s]: all blankets hold it; None where one never does."""
    at = problem.legs.index(problem.dwell)
    counted: list[LegTimes] = [legs[at] for legs in result.legs.values()]
    begun = [leg.holding for leg in counted if leg.holding is not None]
    if len(begun) < len(counted):
        return None
    last = float(result.times[-1])
    ended = min(leg.ended if leg.ended is not None else last for leg in counted)
    return (max(begun), ended) if max(begun) < ended else None


def verdict(problem: HeatProblem, case: Outcome) -> Verdict:
    """Whether a case holds the band, the ceiling and the limits, and what the thermocouples would show."""
    dwell, at = problem.dwell, case.dwelling
    cold, hot = float(case.coldest[at].min()), float(case.hottest[at].max())
    high = dwell.high if dwell.high is not None else np.inf
    ceiling = problem.ceiling if problem.ceiling is not None else np.inf
    peak = float(case.hottest.max())
    began = case.window is not None and case.finished
    tops = dict(zip(case.other_names, case.others.max(axis=0), strict=True))
    shown = case.sensors[at]
    return Verdict(
        band=began and cold >= dwell.low and hot <= high,
        ceiling=peak <= ceiling,
        limits=all(tops[name] <= limit for name, limit in limits(problem).items() if name in tops),
        seen=began
        and bool(shown.min() >= dwell.low - 1e-6 and shown.max() <= high and case.sensors.max() <= ceiling),
        coldest=cold,
        hottest=hot,
        peak=peak,
    )


def limits(problem: HeatProblem) -> dict[str, float]:
    """Limits of what surrounds the bond line [K], by the names of :class:`Outcome`."""
    found = {f"rib {r.id}": r.limit for r in problem.ribs}
    found["panel"], found["blanket"] = problem.panel_limit, problem.source.limit
    return {name: limit for name, limit in found.items() if limit is not None}
