"""A fleet: many cures, each as planned and as changed, with what is predicted and how likely it holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from panelmend.errors import InputError, SolverError
from panelmend.job.cure.prediction import Likelihood
from panelmend.job.cure.problem import HeatProblem
from panelmend.long_work import Stop, Tell, silent
from panelmend.predict.cases import read_run, solve, verdict
from panelmend.predict.ensemble import ENSEMBLE_SEED, Ask, each
from panelmend.predict.limits import limit_rows
from panelmend.predict.many_cases import Workers, workers
from panelmend.predict.model import FULL, SensorSpot
from panelmend.predict.run_on import RunOn, here
from panelmend.predict.sensors import choose


@dataclass(frozen=True)
class Variant:
    """One cure as planned or changed. Where there is no problem ``refused`` says why."""

    document: str
    operation: str
    change: str
    problem: HeatProblem | None
    refused: str = ""


@dataclass(frozen=True)
class Nominal:
    """The run with likely values: coldest and hottest of the bond line in the dwell and its peak, the least
    margin of all limits on temperature [K] and of which, the time of the cycle [s], and whether the recipe
    came to its end and every limit holds."""

    spots: tuple[SensorSpot, ...]
    coldest: float
    hottest: float
    peak: float
    worst: float
    limit: str
    duration: float
    finished: bool
    holds: bool


@dataclass(frozen=True)
class VariantRow:
    """What came out for a variant; ``words`` say what could not be computed, and why."""

    variant: Variant
    nominal: Nominal | None
    likelihood: Likelihood | None
    words: str = ""


def fleet(
    variants: Sequence[Variant],
    *,
    cases: int,
    full: bool = False,
    seed: int = ENSEMBLE_SEED,
    on: RunOn | Workers | None = None,
    tell: Tell = silent,
    stop: Stop | None = None,
) -> list[VariantRow]:
    """Predict every variant and how likely it holds; the same problem is computed once.

    Args:
        variants: the cures.
        cases: of each likelihood; 0 for none.
        full: run every case in full.
        seed: where the dice begin.
        on: where to run; the cores of this machine by default.
        tell: told how far it is.
        stop: set to stop.

    Returns:
        a row for each variant, in their order; a variant that cannot be solved has words instead of numbers.

    Raises:
        InputError: no such cluster, or a number of cases that makes no sense.
        Cancelled: ``stop`` was set.
    """
    if not isinstance(on, Workers):
        with workers(on if on is not None else here(), tell) as ready:
            return fleet(variants, cases=cases, full=full, seed=seed, on=ready, tell=tell, stop=stop)
    problems = {v.problem.digest(): v.problem for v in variants if v.problem is not None}
    runs = on.spread(nominal, list(problems.values()), tell=lambda w: tell(f"likely values: {w}"), stop=stop)
    solved = dict(zip(problems, runs, strict=True))
    asks = {
        digest: Ask(problems[digest], run.spots, cases, seed, full)
        for digest, run in solved.items()
        if cases and isinstance(run, Nominal)
    }
    found = dict(zip(asks, each(list(asks.values()), on=on, tell=tell, stop=stop), strict=True))
    return [_row(v, solved, found) for v in variants]


def _row(
    variant: Variant, solved: dict[str, Nominal | str], found: dict[str, Likelihood | SolverError]
) -> VariantRow:
    if variant.problem is None:
        return VariantRow(variant, None, None, variant.refused)
    run = solved[variant.problem.digest()]
    if isinstance(run, str):
        return VariantRow(variant, None, None, run)
    likely = found.get(variant.problem.digest())
    if isinstance(likely, SolverError):
        return VariantRow(variant, run, None, str(likely))
    return VariantRow(variant, run, likely)


def nominal(problem: HeatProblem) -> Nominal | str:
    """The run with likely values, thermocouples placed for it; words where it cannot be solved."""
    try:
        spots = choose(problem)
        _, result = solve(problem, spots, {}, FULL, maps=False)
        rows = limit_rows(problem, spots, result)
    except (InputError, SolverError) as error:
        return str(error)
    case = read_run(problem, spots, result)
    said = verdict(problem, case)
    worst = min((r for r in rows if r.kind == "temperature"), key=lambda r: r.margin)
    return Nominal(
        spots,
        said.coldest,
        said.hottest,
        said.peak,
        worst.margin,
        f"{worst.what}, {worst.place}",
        case.duration,
        case.finished,
        case.finished and all(r.holds for r in rows),
    )
