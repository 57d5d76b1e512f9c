"""Where thermocouples go: few places outside the adhesive that bracket what the bond line sees.

The controller follows the thermocouples, so moving them changes the cure: places are chosen from a run with
the places before, until they stay where they are.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import InputError
from panelmend.job.cure.prediction import PlannedSensor, SensorRole
from panelmend.job.cure.problem import HeatProblem, Point
from panelmend.job.defaults import OFF_METAL
from panelmend.long_work import Tell, silent
from panelmend.physics.heat import HeatResult
from panelmend.predict.cases import bonded, read_run, solve, verdict
from panelmend.predict.model import MEDIUM, SensorSpot
from panelmend.predict.problem_grid import from_frame, layout, to_frame
from panelmend.shapes import Outline, distance_to_point

Array = NDArray[np.float64]
LINE_STEP, LEAST_LINE_STEP = 0.012, 0.003  # m between places looked at along the sensor line
PLACING_ROUNDS = 3
LEAST_DIFFERENCE = 0.5  # K: a place is not moved for less
READ_ALIKE_WITHIN = 1e-3  # K: of places no further apart the first is named, so that no last digit chooses
CHECK, BEHIND = "C1", "B"
# Under a strip of edge breather the skin stays cooler than the line: no place for a thermocouple.
UNDER, STRIP = "under blanket", "edge breather"  # layer and name of its sheets


def candidates(problem: HeatProblem) -> tuple[SensorSpot, ...]:
    """Places along the sensor line that lie on the panel, in order round it."""
    points: list[Point] = []
    line = problem.sensor_line.segments()
    apart = max(LEAST_LINE_STEP, min(LINE_STEP, sum(s.length for s in line) / (4 * problem.least_sensors)))
    for segment in line:
        count = max(1, math.ceil(segment.length / apart))
        points += [segment.at(i / count) for i in range(count)]
    strips = [
        s.outline
        for s in problem.sheets
        if s.layer == UNDER and s.name == STRIP and s.outline is not None  # a cloth may be called so, too
    ]
    off = [*(r.outline for r in problem.ribs if r.near), *problem.avoid, *strips]
    grid = layout(problem, MEDIUM.spacing).grid
    kept = []
    for at in points:
        u, v = to_frame(at, problem.frame)
        there = grid.x[0] < u < grid.x[-1] and grid.y[0] < v < grid.y[-1]
        there = there and problem.panel.contains(at) and problem.seal_line.contains(at)
        there = there and not any(o.contains(at) for o in off)
        if there and _skin_there(problem, at):
            kept.append(at)
    # metal draws heat: nearer to it only where no other place is left
    clear = [at for at in kept if not any(off_metal(o, at) < OFF_METAL for o in problem.avoid)]
    if len(clear) >= problem.least_sensors:
        kept = clear
    if not kept:
        raise InputError(
            "no thermocouple can be placed: their line lies off the panel or the bag, or on what is there",
            where=problem.operation,
            todo="look at the place of the repair, and at data.bag.sensor_margin",
        )
    return tuple(SensorSpot(f"candidate {n}", at) for n, at in enumerate(kept))


def off_metal(outline: Outline, at: Point) -> float:
    """How far a place lies off a fastener, insert or earlier repair; below zero on it [m]."""
    return -distance_to_point(outline, at)


def _skin_there(problem: HeatProblem, at: Point) -> bool:
    """Whether there is skin to stick it to on the repair side."""
    on = layout(problem, MEDIUM.spacing)
    u, v = to_frame(at, problem.frame)
    i = int(np.clip(np.searchsorted(on.grid.x, u) - 1, 0, on.grid.shape[1] - 1))
    j = int(np.clip(np.searchsorted(on.grid.y, v) - 1, 0, on.grid.shape[0] - 1))
    return "near skin" in on.layers and bool(on.layers["near skin"].thickness[j, i] > 0.0)


def choose(problem: HeatProblem, tell: Tell = silent) -> tuple[SensorSpot, ...]:
    """The places: the coldest first, then the hottest, then what lies farthest between, and a check behind.

    Args:
        problem: the cure.
        tell: told what is being done; may raise Cancelled.

    Returns:
        as many as the recipe asks, three at least (fewer where the line has no room), and one on the far face
        behind the hottest of the bond line where no structure stands.

    Raises:
        InputError: there is no place at all.
    """
    if problem.placed:
        return _by_hand(problem, tell)
    offered = candidates(problem)
    count = min(problem.least_sensors, len(offered))
    spots = _first_places(problem, offered, count)
    for n in range(PLACING_ROUNDS):
        tell(f"{problem.operation}: places of thermocouples, round {n + 1}")
        _, result = solve(problem, spots, {}, MEDIUM, probes=offered, maps=False)
        at = read_run(problem, spots, result).dwelling
        mean = np.column_stack([result.probes[s.id] for s in offered])[at].mean(axis=0)
        new = tuple(SensorSpot(f"T{k + 1}", offered[i].at) for k, i in enumerate(_pick(offered, mean, count)))
        settled = n > 0 and _places_settled(spots, new, offered, mean)
        if settled:
            break
        spots = new
    spots += _behind(problem, spots)
    check = _check(problem, result)
    return spots if check is None else (*spots, check)


def _by_hand(problem: HeatProblem, tell: Tell) -> tuple[SensorSpot, ...]:
    """The places the planner chose, with what lies behind them and the check on the far face."""
    spots = tuple(SensorSpot(name, at) for name, at in problem.sensors)
    tell(f"{problem.operation}: thermocouples as they were placed by hand")
    _, result = solve(problem, spots, {}, MEDIUM, probes=(), maps=False)
    spots += _behind(problem, spots)
    check = _check(problem, result)
    return spots if check is None else (*spots, check)


def _behind(problem: HeatProblem, spots: Sequence[SensorSpot]) -> tuple[SensorSpot, ...]:
    """Those a second blanket follows, opposite the ones of the repair side."""
    if problem.source_behind is None:
        return ()
    return tuple(
        SensorSpot(f"{BEHIND}{n + 1}", s.at, "far face")
        for n, s in enumerate(spots)
        if _clear_behind(problem, s.at)
    )


def _first_places(problem: HeatProblem, offered: Sequence[SensorSpot], count: int) -> tuple[SensorSpot, ...]:
    """The bag's own places to begin with, moved to where a thermocouple can go."""
    left = list(offered)
    made = []
    for name, at in problem.sensors[:count]:
        nearest = min(left, key=lambda s: math.dist(s.at, at))
        left.remove(nearest)
        made.append(SensorSpot(name, nearest.at))
    return tuple(made)


def _pick(offered: Sequence[SensorSpot], mean: Array, count: int) -> list[int]:
    """Coldest, hottest and the rest; evenly along the line where all read alike."""
    if float(mean.max() - mean.min()) < LEAST_DIFFERENCE:
        return [round(k * len(offered) / count) % len(offered) for k in range(count)]
    chosen = [first_of_extremes(mean, hot=False), first_of_extremes(mean, hot=True)][:count]
    places = np.array([s.at for s in offered])
    while len(chosen) < count:
        gap = np.min(np.hypot(*(places[:, None] - places[chosen]).transpose(2, 0, 1)), axis=1)
        chosen.append(int(np.flatnonzero(gap >= gap.max() - 1e-6)[0]))
    return chosen


def first_of_extremes(values: Array, *, hot: bool) -> int:
    """Which value is the highest (``hot``) or the lowest; of those alike the first: on a panel that is the
    same left and right two places are, and the last digit of a machine would choose.

    Args:
        values: (n,) temperatures [K].
        hot: the highest.

    Returns:
        its index.
    """
    over = values if hot else -values
    return int(np.flatnonzero(over >= over.max() - READ_ALIKE_WITHIN)[0])


def _places_settled(
    old: Sequence[SensorSpot], new: Sequence[SensorSpot], offered: Sequence[SensorSpot], mean: Array
) -> bool:
    """Whether the coldest and hottest places read the same as those chosen before."""
    by_place = {s.at: float(m) for s, m in zip(offered, mean, strict=True)}
    return all(
        abs(by_place.get(a.at, math.inf) - by_place[b.at]) < LEAST_DIFFERENCE
        for a, b in zip(old[:2], new[:2], strict=False)
    )


def _check(problem: HeatProblem, result: HeatResult) -> SensorSpot | None:
    """A place on the far face behind the hottest of the bond line, if no structure stands there."""
    bond = max((r for _, r in bonded(result)), key=lambda r: float(r.temperature.max()))
    n = first_of_extremes(bond.temperature.max(axis=0), hot=True)
    at = from_frame(bond.place(n), problem.frame)
    return SensorSpot(CHECK, at, "far face", count=False) if _clear_behind(problem, at) else None


def _clear_behind(problem: HeatProblem, at: Point) -> bool:
    """Whether the far face is free at a place of structure and, as far as on the near one, of fasteners and
    inserts, which go through."""
    if any(r.outline.contains(at) for r in problem.ribs if not r.near):
        return False
    return not any(off_metal(o, at) < OFF_METAL for o in problem.avoid)


def planned(
    problem: HeatProblem, spots: Sequence[SensorSpot], result: HeatResult
) -> tuple[PlannedSensor, ...]:
    """What each thermocouple should read, and how far the unseen extremes of the bond line lie from it."""
    case = read_run(problem, spots, result)
    at, low = case.dwelling, problem.dwell.low
    found = verdict(problem, case)
    repair = [n for n, s in enumerate(spots) if s.face != "far face"]
    mean = case.sensors[at].mean(axis=0)
    coldest, hottest = min(repair, key=lambda n: mean[n]), max(repair, key=lambda n: mean[n])
    alike = float(mean[hottest] - mean[coldest]) < LEAST_DIFFERENCE
    made = []
    for n, spot in enumerate(spots):
        row = case.sensors[:, n]
        above = np.flatnonzero(row >= low - 1e-9)
        role: SensorRole = "between"
        why = "between the two, as far from both as the line allows"
        if spot.face == "far face" and spot.count:
            role, why = (
                "behind",
                "far face, opposite one of the repair side: the second blanket follows these",
            )
        elif spot.face == "far face":
            role, why = (
                "check",
                "far face behind the hottest of the bond line: watch it, it controls nothing",
            )
        elif problem.placed:
            role, why = _role_by_hand(n, coldest, hottest, alike=alike)
        elif alike:
            why = "the whole line reads alike, so they stand evenly along it"
        elif n == coldest:
            role, why = "coldest", "coldest place outside the adhesive"
        elif n == hottest:
            role, why = "hottest", "hottest place outside the adhesive"
        made.append(
            PlannedSensor(
                spot.id,
                spot.at,
                spot.face,
                role,
                why + _followed(problem.follow, role),
                float(row[at].min()),
                float(row[at].max()),
                float(case.times[above[0]]) if len(above) else None,
                float(row[at].min() - found.coldest),
                float(found.hottest - row[at].max()),
            )
        )
    return tuple(made)


def _role_by_hand(n: int, coldest: int, hottest: int, *, alike: bool) -> tuple[SensorRole, str]:
    """Role and reason of a place the planner chose."""
    if not alike and n == coldest:
        return "coldest", "placed by hand; the coldest of those placed"
    if not alike and n == hottest:
        return "hottest", "placed by hand; the hottest of those placed"
    return "between", "placed by hand"


def _followed(follow: str, role: str) -> str:
    if (follow == "lagging" and role == "coldest") or (follow == "leading" and role == "hottest"):
        return "; the controller follows it"
    return ""
