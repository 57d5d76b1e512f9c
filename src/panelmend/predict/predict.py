"""The prediction of one cure: places, the full run, what it says, and advice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from panelmend.job.cure.drying import NUMBER as DRYING
from panelmend.job.cure.prediction import CureState, Extreme, HeatMap, Prediction, Trace
from panelmend.job.cure.problem import Curing, HeatProblem
from panelmend.long_work import Tell, silent
from panelmend.physics.cure_chemistry import glass_transition
from panelmend.physics.heat import HeatModel, HeatResult, Progress, WatchedRegion
from panelmend.predict.advice import advise
from panelmend.predict.cases import CaseOutcome, bonded, read_run, solve, verdict
from panelmend.predict.dried_cases import dried_cases
from panelmend.predict.limits import limit_rows, rounded_row, worst_of
from panelmend.predict.model import FULL, MEDIUM, NEAR_AIR, POTTING, Fineness, SensorSpot, likely
from panelmend.predict.placing import placing
from panelmend.predict.problem_grid import from_frame, in_frame
from panelmend.predict.sensors import READ_ALIKE_WITHIN, choose, first_of_extremes, planned
from panelmend.predict.splice import OVER_IT, SPLICE, paste_width
from panelmend.units import show

Array = NDArray[np.float64]
MAP_MARGIN = 0.06  # m round the blanket that a map shows


def predict(
    problem: HeatProblem, tell: Tell = silent, *, fine: Fineness = FULL, advice: bool = True, threads: int = 2
) -> Prediction:
    """Predict one cure with the likely values of everything unknown.

    Args:
        problem: the cure.
        tell: told what is being done; may raise Cancelled to stop.
        fine: grid and time step of the run that counts.
        advice: try changes too.
        threads: runs at once; the answer does not depend on it.

    Returns:
        the prediction, without a likelihood; of a drying with its outermost cases.

    Raises:
        InputError, SolverError: a problem that cannot be solved.
        Cancelled: raised by ``tell``.
    """
    spots = choose(problem, tell)
    tell(f"{problem.operation}: the whole cure")

    def report(progress: Progress) -> None:
        tell(f"{problem.operation}: {progress.words}")

    model, result = solve(problem, spots, {}, fine, report=report)
    made = assemble(problem, spots, model, result)
    if problem.wet is not None:
        # told beside the dry one in a few numbers, which has the drawings
        made = replace(made, maps=(), traces=(), times=(), set_point=())
    if problem.number == DRYING:
        case = read_run(problem, spots, result)
        rough = MEDIUM if fine is FULL else fine
        made = replace(made, tried=dried_cases(problem, spots, case, tell, fine=rough, threads=threads))
    if not advice:
        return made
    if made.hopeless:
        return replace(made, notes=(UNTRIED, *made.notes))
    made = replace(made, advice=advise(problem, spots, tell, threads=threads))
    tell(f"{problem.operation}: how far blanket and thermocouples may lie off")
    return replace(made, placing=placing(problem, spots, made.worst, tell, threads=threads))


UNTRIED = "a limit is passed by so much that neither changes nor other cases were tried: set it up otherwise"


def assemble(
    problem: HeatProblem, spots: Sequence[SensorSpot], model: HeatModel, result: HeatResult
) -> Prediction:
    """What a finished run says."""
    case = read_run(problem, spots, result)
    at, found = case.dwelling, verdict(problem, case)
    rows = tuple(rounded_row(r) for r in limit_rows(problem, spots, result))
    duty = next(iter(result.duty.values()))
    target = next(iter(result.target.values()))
    ramp = case.times <= (case.window[0] if case.window is not None else case.times[-1])
    hottest = _extreme(problem, result, np.ones(len(case.times), dtype=bool), hot=True)
    low = problem.dwell.low
    arrived = np.flatnonzero(case.coldest >= low)
    return Prediction(
        problem=problem.digest(),
        operation=problem.operation,
        times=_row(case.times, 1),
        set_point=_row(target),
        traces=_traces(problem, spots, result),
        sensors=planned(problem, spots, result),
        hottest=hottest,
        coldest=_extreme(problem, result, at, hot=False),
        dwell_from=case.window[0] if case.window is not None else None,
        dwell_to=case.window[1] if case.window is not None else None,
        coldest_arrives=float(case.times[arrived[0]]) if len(arrived) else None,
        duration=case.duration,
        finished=case.finished,
        overshoot=round(found.peak - max(leg.target for leg in problem.legs if leg.kind == "heat"), 2),
        duty=(round(float(duty[ramp].max()), 3), round(float(duty[at].mean()), 3)),
        limits=rows,
        cured=_cured(problem, result),
        maps=_maps(problem, model, result),
        advice=(),
        likelihood=None,
        unknowns=problem.unknowns,
        worst=round(worst_of(rows), 2),
        energy_unbalanced=float(f"{result.energy.unbalanced:.1e}"),
        cells=result.cells,
        step=result.step,
        notes=_notes(problem, spots, result),
        around=_hottest_around(case, result),
        uncounted=problem.uncounted or (),
    )


def _hottest_around(case: CaseOutcome, result: HeatResult) -> tuple[tuple[str, float], ...]:
    """The hottest of what has or could have a limit of its own [K]."""
    tops = [*zip(case.other_names, case.others.max(axis=0), strict=True)]
    if "blanket behind" in result.regions:
        tops.append(("blanket behind", result.regions["blanket behind"].hottest.max()))
    return tuple((name, round(float(top), 2)) for name, top in tops)


def _row(values: Array, digits: int = 2) -> tuple[float, ...]:
    return tuple(round(float(v), digits) for v in values)


def _extreme(problem: HeatProblem, result: HeatResult, at: NDArray[np.bool_], *, hot: bool) -> Extreme:
    """Hottest or coldest of the bond line over some samples, with its place and time."""
    best: tuple[float, float, str, int, WatchedRegion] | None = None
    for words, region in bonded(result):
        inside = region.temperature[at]
        flat = first_of_extremes(inside.ravel(), hot=hot)
        sample, cell = divmod(flat, inside.shape[1])
        value = float(inside[sample, cell])
        if best is None or (
            value - best[0] > READ_ALIKE_WITHIN if hot else best[0] - value > READ_ALIKE_WITHIN
        ):
            best = (value, float(region.times[at][sample]), words, cell, region)
    assert best is not None, "the bond line is always watched"
    value, time, words, cell, region = best
    return Extreme(round(value, 2), time, from_frame(region.place(cell), problem.frame), words)


def _traces(problem: HeatProblem, spots: Sequence[SensorSpot], result: HeatResult) -> tuple[Trace, ...]:
    case = read_run(problem, spots, result)
    made = [
        Trace(s.id, "sensor" if s.count else "check", _row(case.sensors[:, n])) for n, s in enumerate(spots)
    ]
    made.append(Trace("hottest of the bond line", "hottest", _row(case.hottest)))
    made.append(Trace("coldest of the bond line", "coldest", _row(case.coldest)))
    made.append(Trace("far skin, hottest", "far skin", _row(result.regions["far skin"].hottest)))
    for rib in problem.ribs:
        region = result.regions.get(f"rib {rib.id}")
        if region is not None:
            made.append(Trace(rib.id, "structure", _row(region.hottest)))
    return tuple(made)


def _cured(problem: HeatProblem, result: HeatResult) -> tuple[CureState, ...]:
    regions = {"patch": ("patch", "patch below"), "bond line": ("bond",), "floor": ("floor",)}

    def potted(curing: Curing, name: str) -> bool:
        return curing.layer == "core" and name.startswith(f"{POTTING} ")

    made = []
    for curing in problem.curing:
        found = [
            r for n, r in result.regions.items() if n in regions.get(curing.layer, ()) or potted(curing, n)
        ]
        parts = [r for r in found if r.degree.max() > 0.0]
        if not parts:
            continue
        least = min(float(r.degree[-1].min()) for r in parts)
        most = max(float(r.degree[-1].max()) for r in parts)
        glass = None
        if curing.glass is not None:
            glass = round(glass_transition(least, *curing.glass), 1)
        made.append(CureState(curing.name, round(least, 4), round(most, 4), glass))
    return tuple(made)


def _maps(problem: HeatProblem, model: HeatModel, result: HeatResult) -> tuple[HeatMap, ...]:
    """Bond line when the coldest arrives and at the hottest moment, and the far skin then."""
    case_cold = np.min([r.coldest for _, r in bonded(result)], axis=0)
    case_hot = np.max([r.hottest for _, r in bonded(result)], axis=0)
    arrived = np.flatnonzero(case_cold >= problem.dwell.low)
    first = int(arrived[0]) if len(arrived) else int(case_cold.argmax())
    peak = int(case_hot.argmax())
    title = (
        "when the coldest place of the bond line enters the band" if len(arrived) else "when it is warmest"
    )
    made = [
        map_of(problem, model, result, "repair side", title, first),
        map_of(problem, model, result, "repair side", "at the hottest moment of the bond line", peak),
        map_of(problem, model, result, "far skin", "at the hottest moment of the bond line", peak),
    ]
    if "floor" in result.regions:
        made.append(map_of(problem, model, result, "floor of the opening", title, first))
    return tuple(made)


def map_of(
    problem: HeatProblem, model: HeatModel, result: HeatResult, layer: str, title: str, sample: int
) -> HeatMap:
    """A layer as a map at a sample of a run; the repair side shows the bond line where there is one, the skin
    elsewhere."""
    names = {
        "repair side": ("near skin", "bond"),
        "far skin": ("far skin",),
        "floor of the opening": ("floor",),
    }
    grid = model.grid
    field = np.full(grid.shape, np.nan)
    where = {w.name: w.where for w in model.watches}
    for name in names[layer]:
        if name in result.regions:
            present = (
                where[name] & result.present[model.first_cell(_layer_of(model, name), _cell_of(model, name))]
            )
            field[present] = result.regions[name].temperature[sample]
    x0, y0, x1, y1 = in_frame(problem.source.outer, problem.frame).bounds
    i = _lines_between(grid.x, x0 - MAP_MARGIN, x1 + MAP_MARGIN)
    j = _lines_between(grid.y, y0 - MAP_MARGIN, y1 + MAP_MARGIN)
    cut = field[j[0] : j[1], i[0] : i[1]]
    return HeatMap(
        title,
        float(result.times[sample]),
        layer,
        tuple(round(v, 6) for v in grid.x[i[0] : i[1] + 1]),
        tuple(round(v, 6) for v in grid.y[j[0] : j[1] + 1]),
        tuple(tuple(None if np.isnan(v) else round(float(v), 1) for v in row) for row in cut),
    )


def _layer_of(model: HeatModel, watch: str) -> str:
    return next(w.layer for w in model.watches if w.name == watch)


def _cell_of(model: HeatModel, watch: str) -> int:
    return next(w.cell for w in model.watches if w.name == watch)


def _lines_between(lines: Sequence[float], low: float, high: float) -> tuple[int, int]:
    """First and last line index of the cells that lie between two places."""
    cells = [n for n in range(len(lines) - 1) if lines[n + 1] > low and lines[n] < high]
    return cells[0], cells[-1] + 1


def _notes(problem: HeatProblem, spots: Sequence[SensorSpot], result: HeatResult) -> tuple[str, ...]:
    made = [
        "films and peel ply are not counted; a curved panel is taken as flat, laid out along its surface",
        *_bled_words(problem),
        *_splice_words(problem, result),
    ]
    if not result.finished:
        made.append(
            "the cure cycle did not come to its end: the blanket cannot do it, or the panel loses too much"
        )
    if any(leg.kind == "cool" and leg.target < problem.air + NEAR_AIR for leg in problem.legs):
        near = show(NEAR_AIR, "temperature difference", problem.view)
        made.append(f"the cool-down is followed to {near} above the air; what is left takes hours")
    used = [s for s in spots if s.face != "far face"]
    if len(used) < problem.least_sensors:
        made.append(f"the sensor line has room for {len(used)} of {problem.least_sensors} thermocouples")
    behind = [s for s in spots if s.face == "far face" and s.count]
    if problem.source_behind is not None and not behind:
        made.append("structure stands behind every place: the second blanket has no thermocouple of its own")
    made += _at_release(problem, spots, result)
    return (*made, *problem.notes)


def _bled_words(problem: HeatProblem) -> list[str]:
    """Where resin beyond what the cured plies hold is taken to go."""
    bled = problem.bled
    if bled is None:
        return ["no resin is laid on beyond what the cured plies hold, so none bleeds"]
    mass = show(bled.mass, "mass", problem.view)
    made = [
        f"{mass} of resin bleed out of the plies: taken to cure in the bleeder over them, with their heat"
    ]
    if bled.law is None:
        made = [
            f"{mass} of resin bleed out of the plies: no heat of cure is given for them, so NONE is counted"
        ]
    thick = sum(s.thickness for s in problem.sheets if s.layer == "bleeder")
    deepest = max(sum(m for m, o in bled.parts if o.contains(part.centroid)) for _, part in bled.parts)
    if thick > 0.0 and deepest / bled.density > FULL_BLEEDER * thick:
        made.append(
            "the bleeder cannot hold that resin where most plies lie: it spreads or stays in the plies; "
            "ask for more bleeder"
        )
    return made


def _splice_words(problem: HeatProblem, result: HeatResult) -> list[str]:
    """How hot the paste round a plug gets, and how wide it was taken."""
    paste = problem.splice
    if paste is None:
        return []
    region = result.regions[SPLICE]
    wide = show(paste_width(paste, likely(problem)), "length", problem.view)
    top = show(float(region.hottest.max()), "temperature", problem.view, decimals=1)
    at = show(float(region.times[int(region.hottest.argmax())]), "time")
    over = show(float(result.regions[OVER_IT].hottest.max()), "temperature", problem.view, decimals=1)
    return [
        f"paste round the plug, taken {wide} wide with what fills cells cut open: up to {top} after {at}, by "
        f"its own heat of cure; the bond line over it gets up to {over}; no thermocouple sees either, and "
        "the maps do not show them"
    ]


FULL_BLEEDER = 0.7  # of its thickness, the rest is fibre and air; common practice, no source


def _at_release(problem: HeatProblem, spots: Sequence[SensorSpot], result: HeatResult) -> list[str]:
    """How warm the bond line still is when the thermocouples allow to release the vacuum."""
    if problem.release_below is None or not any(leg.kind == "cool" for leg in problem.legs):
        return []
    case = read_run(problem, spots, result)
    leading = case.sensors[:, list(case.counts)].max(axis=1)
    below = np.flatnonzero(
        (leading < problem.release_below) & (case.times > case.times[case.hottest.argmax()])
    )
    if not len(below):
        return ["the cool-down ends before the thermocouples allow to release the vacuum"]
    left = float(case.hottest[below[0]])
    if left <= problem.release_below + 0.5:
        return []
    seen, there = (show(t, "temperature", problem.view, decimals=1) for t in (problem.release_below, left))
    return [f"when the last thermocouple falls below {seen} the bond line still has {there}: wait for it"]
