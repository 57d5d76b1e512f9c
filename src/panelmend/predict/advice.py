"""Advice found by trying it: each change is run, and what it gains is told."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from panelmend.job.cure.prediction import Advice, Limit, LimitRow
from panelmend.job.cure.problem import HeatProblem, HeatSource, Leg, Sheet
from panelmend.long_work import Tell, silent
from panelmend.physics import reduced
from panelmend.predict.cases import solve
from panelmend.predict.limits import limit_rows, worst_of
from panelmend.predict.model import COARSE, MEDIUM, SensorSpot
from panelmend.predict.reading import CaseValues, drawn, in_time, least_margin, run_case
from panelmend.shapes import Outline, clearance, offset
from panelmend.units import show
from panelmend.units.fundamental import ZERO_CELSIUS

FELT = 0.012  # m of glass fibre blanket that is tried
FELT_RESISTANCE = FELT / 0.045  # m2 K/W; its conductivity in W/(m K), from memory
LEAST_GAIN_TOLD = 0.5  # K: a smaller gain is not told
SET_POINT_INSIDE_BAND = 1.0  # K from the edges of the band that a set point keeps
BEST = 3  # changes tried in pairs where none is enough alone
MOST_CHANGES_TOLD = 6
ADVICE_CASES, ADVICE_SEED = 20, 3  # quick cases that a change is held against, alike drawn for all


@dataclass(frozen=True)
class AdvisedChange:
    """A change of a problem: in words, where the planner writes it, and how it changes a problem."""

    words: str
    field: str
    to: Callable[[HeatProblem], HeatProblem]

    def after(self, first: AdvisedChange) -> AdvisedChange:
        """Both changes, the other first."""
        return AdvisedChange(
            f"{first.words}, and {self.words}", f"{first.field}; {self.field}", lambda p: self.to(first.to(p))
        )


@dataclass(frozen=True)
class Tried:
    """What a problem comes to at the fineness changes are compared with."""

    rows: tuple[LimitRow, ...]
    duration: float
    finished: bool

    @property
    def worst(self) -> float:
        """Least margin on temperature [K]."""
        return worst_of(self.rows)

    @property
    def holds(self) -> bool:
        """Whether every limit holds and the recipe came to its end."""
        return self.finished and all(r.holds for r in self.rows)

    def breaks(self, before: Tried) -> bool:
        """Whether it passes a limit, or misses the end, that was kept before."""
        passed, known = ({(r.code, r.place) for r in t.rows if not r.holds} for t in (self, before))
        return bool(passed - known) or (before.finished and not self.finished)


def attempt(problem: HeatProblem, spots: Sequence[SensorSpot]) -> Tried:
    """Run a problem and read its limits."""
    _, result = solve(problem, spots, {}, MEDIUM, maps=False)
    rows = limit_rows(problem, spots, result)
    return Tried(rows, float(result.times[-1]), result.finished)


def advise(
    problem: HeatProblem,
    spots: Sequence[SensorSpot],
    tell: Tell = silent,
    *,
    threads: int = 2,
) -> tuple[Advice, ...]:
    """Changes that gain at least half a kelvin of the worst margin, the best first.

    Args:
        problem: the cure.
        spots: its thermocouples, which stay where they are.
        tell: told what is tried; may raise Cancelled.
        threads: runs at once; the answer is the same for any number.

    Returns:
        advice; where no single change holds everything, pairs of the best are tried too. None of it passes
        a limit that was kept before, or holds in fewer of some quick cases drawn alike.
    """
    before = attempt(problem, spots)
    middle = to_middle(problem, before)
    singles = [*single_changes(problem), *([middle] if middle is not None else [])]
    tried = _try_all(problem, singles, spots, tell, threads)
    if not before.holds and not any(t.holds for _, t in tried):
        best = sorted(tried, key=lambda pair: -pair[1].worst)[:BEST]
        both = [b.after(a) for (a, _), (b, _) in combinations(best, 2) if a.field != b.field]
        pairs = _try_all(problem, both, spots, tell, threads)
        again = [_middle_after(problem, c, t) for c, t in [*best, *pairs] if "set_point" not in c.field]
        tried += pairs + _try_all(problem, [c for c in again if c is not None], spots, tell, threads)
    gained = [
        (c, t)
        for c, t in tried
        if (t.worst - before.worst >= LEAST_GAIN_TOLD or (t.holds and not before.holds))
        and not t.breaks(before)
    ]
    gained = list({(t.worst, t.duration, frozenset(c.field.split("; "))): (c, t) for c, t in gained}.values())
    gained.sort(key=lambda p: (not p[1].holds, p[0].field.count("; "), -p[1].worst, p[0].words))
    told: dict[str, tuple[AdvisedChange, Tried]] = {}
    for change, t in gained:
        told.setdefault(change.words, (change, t))  # what reads the same is one change: the better one stays
    best = list(told.values())[:MOST_CHANGES_TOLD]
    if not best:
        return ()
    now = held_in(problem, spots, before, tell, threads)
    made = []
    for c, t in best:
        then = held_in(c.to(problem), spots, t, tell, threads)
        if then >= now:
            margins = round(before.worst, 1), round(t.worst, 1)
            made.append(Advice(c.words, c.field, *margins, t.duration, t.holds, (now, then, ADVICE_CASES)))
    return tuple(made)


def held_in(
    problem: HeatProblem,
    spots: Sequence[SensorSpot],
    likely: Tried,
    tell: Tell = silent,
    threads: int = 2,
) -> int:
    """In how many of ADVICE_CASES quick cases a problem keeps its temperatures, times and rates.

    Args:
        problem: the cure.
        spots: its thermocouples.
        likely: what it comes to with the likely values: the coarse grid is put right by it.
        tell: told that they are tried; may raise Cancelled.
        threads: runs at once; the answer is the same for any number.

    Returns:
        cases that hold. The cases are drawn alike for every problem with the same unknowns and thermocouples.
    """
    tell("tried: quick cases")
    unknowns = drawn(problem, spots)
    low, high = (np.array([getattr(u, end) for u in unknowns]) for end in ("low", "high"))
    rows = reduced.latin_hypercube(ADVICE_CASES, low, high, ADVICE_SEED)
    values = [tuple(u.likely for u in unknowns), *(tuple(float(v) for v in row) for row in rows)]
    asked = [CaseValues(problem, tuple(spots), COARSE, v) for v in values]
    with ThreadPoolExecutor(threads) as pool:
        first, *others = pool.map(run_case, asked)
    if not first.solved:
        return 0
    off = likely.worst - least_margin(problem, first.kelvin, first.rest, first.began) if first.began else 0.0
    timely = in_time(first.rest)
    return sum(
        least_margin(problem, c.kelvin, c.rest, c.began) + off >= 0.0 and (in_time(c.rest) or not timely)
        for c in others
        if c.solved
    )


def _try_all(
    problem: HeatProblem,
    changes: Sequence[AdvisedChange],
    spots: Sequence[SensorSpot],
    tell: Tell,
    threads: int,
) -> list[tuple[AdvisedChange, Tried]]:
    def one(change: AdvisedChange) -> Tried:
        return attempt(change.to(problem), spots)

    made = []
    known = {problem.digest()}
    fresh = []
    for change in changes:
        digest = change.to(problem).digest()
        if digest not in known:
            known.add(digest)
            fresh.append(change)
    with ThreadPoolExecutor(threads) as pool:
        for change, tried in zip(fresh, pool.map(one, fresh), strict=True):
            tell(f"tried: {change.words}")
            made.append((change, tried))
    return made


def single_changes(problem: HeatProblem) -> list[AdvisedChange]:
    """Every change worth trying on its own, but for the set point."""
    made = []
    thick = show(FELT, "length", problem.view)
    if problem.insulation_over == 0.0:
        made.append(
            AdvisedChange(
                f"insulate over the bag ({thick})",
                "choice.heat.insulation_over",
                lambda p: replace(p, insulation_over=FELT_RESISTANCE),
            )
        )
    if problem.insulation_behind == 0.0:
        made.append(
            AdvisedChange(
                f"insulate the far face and the structure there ({thick})",
                "choice.heat.insulation_behind",
                lambda p: replace(p, insulation_behind=FELT_RESISTANCE),
            )
        )
    made += _slower(problem)
    larger = problem.larger
    if larger is not None:
        made.append(
            AdvisedChange(
                f"the larger blanket {larger.id}", "choice.heat.blanket", lambda p: with_blanket(p, larger)
            )
        )
    if problem.source_behind is None and not _stands_behind(problem):
        second = problem.second
        which = (
            f"a second blanket, {second.id}," if second is not None else "a second blanket of the same size"
        )
        bare = "" if second is not None else " (the bay has none to spare whose constants are known)"
        made.append(
            AdvisedChange(
                f"{which} on the far face, with its own controller{bare}",
                "choice.heat.blanket_behind",
                with_second,
            )
        )
    return made


def _stands_behind(problem: HeatProblem) -> bool:
    """Whether structure on the far face would hold a second blanket off."""
    lies = (problem.second or problem.source).outer
    return any(
        clearance(rib.outline, lies).overlaps
        for rib in problem.ribs
        if not rib.near and rib.kind != "doubler"
    )


def _slower(problem: HeatProblem) -> list[AdvisedChange]:
    """Half the rate, and near the slowest the data leaves: a slow ramp lets the heat of cure out."""
    heating = [leg for leg in problem.legs if leg.kind == "heat"]
    now, least = min(leg.rate for leg in heating), max(leg.rate_from for leg in heating)
    return [
        _at_rate(problem, rate)
        for rate in sorted({max(share * now, ABOVE_LEAST * least) for share in (0.5, 0.25)}, reverse=True)
        if rate < NEARLY * now
    ]


NEARLY = 0.95  # of the rate: nearer to it is no change worth a word
ABOVE_LEAST = 1.04  # over the data's least rate: thermocouples lag a little behind the set point


def _at_rate(problem: HeatProblem, rate: float) -> AdvisedChange:
    def slowed(leg: Leg) -> Leg:
        return replace(leg, rate=min(leg.rate, rate)) if leg.kind == "heat" else leg

    return AdvisedChange(
        f"heat up at {show(rate, 'temperature rate', problem.view, decimals=2)}",
        "choice.heat.rate",
        lambda p: replace(p, legs=tuple(slowed(leg) for leg in p.legs)),
    )


def to_middle(problem: HeatProblem, tried: Tried) -> AdvisedChange | None:
    """The set point that puts what was found in the middle of the band, if it may be moved at all."""
    dwell = problem.dwell
    found = {r.code: r.predicted for r in tried.rows}
    cold, hot = found.get(Limit.COLDEST), found.get(Limit.HOTTEST)
    if dwell.high is None or dwell.points is None or cold is None or hot is None:
        return None
    wanted = dwell.target + 0.5 * (dwell.low + dwell.high) - 0.5 * (cold + hot)
    bottom, top = dwell.points
    point = min(max(wanted, bottom + SET_POINT_INSIDE_BAND), top - SET_POINT_INSIDE_BAND)
    point = ZERO_CELSIUS + round((point - ZERO_CELSIUS) * 2.0) / 2.0
    if not bottom <= point <= top or abs(point - dwell.target) < 0.75:
        return None
    words = "lower" if point < dwell.target else "raise"
    moved = abs(point - dwell.target)
    return AdvisedChange(
        f"{words} the set point by {show(moved, 'temperature difference', problem.view)}",
        "choice.heat.set_point",
        lambda p: at_point(p, point),
    )


def _middle_after(problem: HeatProblem, change: AdvisedChange, tried: Tried) -> AdvisedChange | None:
    middle = to_middle(change.to(problem), tried)
    return None if middle is None else middle.after(change)


def at_point(problem: HeatProblem, point: float) -> HeatProblem:
    """The same cure with another set point [K] in its longest dwell."""

    def moved(leg: Leg) -> Leg:
        return replace(leg, target=point) if leg is problem.dwell else leg

    return replace(problem, legs=tuple(moved(leg) for leg in problem.legs))


def with_blanket(problem: HeatProblem, source: HeatSource) -> HeatProblem:
    """The same cure under another blanket; breather and seal grow by what the blanket is larger."""
    more = 0.5 * (math.sqrt(source.outer.area) - math.sqrt(problem.source.outer.area))

    def grown(outline: Outline | None) -> Outline | None:
        if outline is None or more <= 0.0:
            return outline
        return max(offset(outline, more), key=lambda o: o.area)

    def sheet(s: Sheet) -> Sheet:
        if s.layer == "blanket":
            return _sheet_of_blanket(s, source)
        return replace(s, outline=grown(s.outline)) if s.layer == "bag" else s

    seal = grown(problem.seal_line)
    assert seal is not None
    return replace(
        problem, source=source, larger=None, sheets=tuple(sheet(s) for s in problem.sheets), seal_line=seal
    )


def _sheet_of_blanket(sheet: Sheet, source: HeatSource) -> Sheet:
    """The sheet of a blanket made that of another one, with its own mass and conductivity where given."""
    if source.stuff is None:
        return replace(sheet, outline=source.outer)
    thickness, k, heat = source.stuff
    return Sheet(sheet.layer, source.id, thickness, k, k, heat, source.outer)


def with_second(problem: HeatProblem) -> HeatProblem:
    """The same cure with a second blanket on the far face, under a like bag: the bay's, or one like it."""
    second = problem.second if problem.second is not None else problem.source
    behind = tuple(
        replace(_sheet_of_blanket(s, second) if s.layer == "blanket" else s, layer=f"{s.layer} behind")
        for s in problem.sheets
        if s.layer in ("blanket", "bag")
    )
    return replace(problem, source_behind=second, second=None, sheets=problem.sheets + behind)
