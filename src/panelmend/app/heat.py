"""Predicting the heat of every cure of a document, and keeping what was predicted beside it."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from threading import Event

from panelmend.app.packed import refuse_in_pack
from panelmend.app.planning import plan
from panelmend.app.report_file import CURE_PLAN, as_json, check_report
from panelmend.app.stopping import told_unless_stopped
from panelmend.errors import Cancelled, InputError, PanelmendError, SolverError
from panelmend.files import ensure_writable, replace_whole
from panelmend.job.cure.drying import NUMBER
from panelmend.job.cure.prediction import Prediction
from panelmend.job.cure.problem import HeatProblem
from panelmend.long_work import Stop, Tell, silent
from panelmend.plan.plan import Plan
from panelmend.predict.kept_predictions import heat_path, read_predictions, write_predictions
from panelmend.predict.predict import predict
from panelmend.render.cure_plan import cure_plan_pdf
from panelmend.render.heatjson import heat_json

VERB_CASES = 200  # of the verb, where nobody asks for another number


def predict_heat(
    path: Path,
    made: Plan,
    tell: Tell = silent,
    stop: Stop | None = None,
    *,
    again: bool = False,
    cases: int | None = 0,
    full: bool = False,
    cluster: str = "",
) -> Plan:
    """Predict what is not predicted yet, keep it beside the document, and plan again.

    Args:
        path: the document.
        made: its plan.
        tell: told about progress.
        stop: set to stop.
        again: predict also what is kept already.
        cases: how many cases make the likelihood of each cure; 0 for none, then one that is kept stays; None
            for the usual number where none is kept.
        full: run every case in full.
        cluster: where the cases run (see :func:`panelmend.predict.run_on.where`); "" for this machine.

    Returns:
        the plan with its predictions.

    Raises:
        InputError: the cluster is not there, a number of cases that makes no sense, or the document stands in
            a pack and something would have to be kept there.
        InputError, SolverError: an operation cannot be predicted; those that can be are kept.
        Cancelled: ``stop`` was set; nothing was kept.
        OutputError: the predictions could not be kept.
    """
    if made.work is None:
        return made

    def progress(words: str) -> None:
        if stop is not None and stop.is_set():
            raise Cancelled("stopped; nothing was kept")
        tell(words)

    cured = [prediction for _, prediction in made.work.cure.heats]
    if again or any(
        p is None or (cases != 0 and _has_cases(q) and not p.hopeless and not _has(p, cases, full))
        for q, p in made.work.cure.heats
    ):
        refuse_in_pack(path, "a prediction of heat")
        ensure_writable(heat_path(path))  # rather than after minutes of work
    todo = [problem for problem, prediction in made.work.cure.heats if prediction is None or again]
    fresh, refused = _side_by_side(path, todo, progress)
    done = fresh if again else {p.problem: p for p in cured if p is not None} | fresh
    found = [done[q] for problem, _ in made.work.cure.heats if (q := problem.digest()) in done]
    if refused is not None:
        keep_predictions(path, made, found)
        raise refused
    if cases != 0:
        found = _likely(made, found, progress, stop, cases, full, cluster)
    if found == cured:
        return made
    keep_predictions(path, made, found)
    return plan(path, tell, stop)


# Operations predicted at once: two cores are everywhere. Each may have as many runs under way, so that no
# core is idle while the last operation is at work, whichever that is.
ATONCE = 2


def _side_by_side(
    path: Path, todo: Sequence[HeatProblem], tell: Tell
) -> tuple[dict[str, Prediction], PanelmendError | None]:
    """Predictions by the digest of their problem, and the first refusal of one that cannot be predicted.

    The runs of heat hold nothing of Python's, so that threads serve; the answers do not depend on them.
    """
    found: dict[str, Prediction] = {}
    refused: PanelmendError | None = None
    ended = Event()

    told = told_unless_stopped(tell, ended, "nothing was kept")

    def one(problem: HeatProblem) -> Prediction:
        # the place and rate of drying are the data's: there is nothing to advise
        return predict(problem, told, advice=_has_cases(problem), threads=ATONCE)

    with ThreadPoolExecutor(ATONCE) as pool:
        begun = [(problem, pool.submit(one, problem)) for problem in todo]
        try:
            for problem, future in begun:
                try:
                    found[problem.digest()] = future.result()
                except (InputError, SolverError) as error:
                    # what could be predicted of the other operations is kept all the same
                    refused = refused or _named(error, f"{path.name}, {problem.operation}")
        except BaseException:
            ended.set()
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    return found, refused


def _likely(
    made: Plan,
    found: list[Prediction],
    tell: Tell,
    stop: Stop | None,
    cases: int | None,
    full: bool,
    cluster: str,
) -> list[Prediction]:
    """The predictions with their likelihoods; one made of the same cases before stays."""
    from panelmend.predict.ensemble import Ask, likelihoods, spots_of
    from panelmend.predict.run_on import run_on

    assert made.work is not None, "nothing is cured"
    problems = {problem.digest(): problem for problem, _ in made.work.cure.heats}
    wanted = [
        p for p in found if _has_cases(problems[p.problem]) and not p.hopeless and not _has(p, cases, full)
    ]
    if not wanted:
        return found
    count = VERB_CASES if cases is None else cases
    asks = [Ask(problems[p.problem], spots_of(p), cases=count, full=full) for p in wanted]
    shares = likelihoods(asks, on=run_on(cluster), tell=tell, stop=stop)
    new = {p.problem: replace(p, likelihood=share) for p, share in zip(wanted, shares, strict=True)}
    return [new.get(p.problem, p) for p in found]


def _has_cases(problem: HeatProblem) -> bool:
    """Whether cases of it are tried: of cures; a drying has no band to keep, and a cure with water left in
    the core stands beside the dry one."""
    return problem.number != NUMBER and problem.wet is None


def _has(made: Prediction, cases: int | None, full: bool) -> bool:
    known = made.likelihood
    if known is None or (full and known.method != "full"):
        return False
    # fewer than asked for were run where the quick method erred too much
    in_stead = known.quick_error is not None and not full and (cases or 0) >= known.cases
    return cases in (None, known.cases) or in_stead


def _named(error: InputError | SolverError, where: str) -> PanelmendError:
    """The same refusal with the operation it belongs to."""
    if isinstance(error, InputError):
        return InputError(error.words, where=where, read=error.read, expected=error.expected, todo=error.todo)
    return SolverError(f"{where}: {error}")


def keep_predictions(path: Path, made: Plan, found: list[Prediction]) -> None:
    """Keep predictions beside the document; of those whose problem this plan does not have, the latest stay.

    What the other damages of the job ask for is among these, so that more stay where there are more damages.
    """
    assert made.work is not None, "nothing is cured"
    present = {problem.digest() for problem, _ in made.work.cure.heats}
    there = read_predictions(heat_path(path))
    kept = {d: p for d, p in there.items() if d in present}
    former = [p for d, p in there.items() if d not in present]
    write_predictions(heat_path(path), found, kept, former, damages=1 + len(made.case.others))


def write_heat(made: Plan, target: Path) -> None:
    """Write the cure plan as PDF, or the predictions as JSON where the name says so.

    Raises:
        InputError: nothing is cured, or the name ends in neither or is that of another file.
        OutputError: it could not be written; nothing was left half written.
    """
    check_report(target, CURE_PLAN)
    if made.work is None or not made.work.cure.operations:
        raise InputError(
            "nothing is cured in this repair, so there is no cure plan",
            where=made.case.name,
            todo="leave out --report",
        )
    replace_whole(target, heat_json(made) if as_json(target) else cure_plan_pdf(made))
