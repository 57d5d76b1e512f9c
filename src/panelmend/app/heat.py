"""Predicting the heat of every cure of a document, and keeping what was predicted beside it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from panelmend.app.service import Stop, plan
from panelmend.errors import Cancelled
from panelmend.job.cure.part import CureOperation
from panelmend.job.cure.prediction import Prediction
from panelmend.plan.plan import Plan
from panelmend.predict.kept import heat_path, read_predictions, write_predictions
from panelmend.predict.predict import predict

Tell = Callable[[str], None]


def _silent(words: str) -> None:
    """Tell nobody."""


def waiting(made: Plan) -> tuple[CureOperation, ...]:
    """Operations that could be predicted and are not yet."""
    if made.work is None:
        return ()
    return tuple(o for o in made.work.cure.operations if o.problem is not None and o.prediction is None)


def predict_heat(
    path: Path, made: Plan, tell: Tell = _silent, stop: Stop | None = None, *, again: bool = False
) -> Plan:
    """Predict what is not predicted yet, keep it beside the document, and plan again.

    Args:
        path: the document.
        made: its plan.
        tell: told about progress.
        stop: set to stop.
        again: predict also what is kept already.

    Returns:
        the plan with its predictions.

    Raises:
        Cancelled: ``stop`` was set; nothing was kept.
        OutputError: the predictions could not be kept.
    """
    if made.work is None:
        return made
    wanted = [o for o in made.work.cure.operations if o.problem is not None] if again else waiting(made)
    if not wanted:
        return made

    def progress(words: str) -> None:
        if stop is not None and stop.is_set():
            raise Cancelled("stopped; nothing was kept")
        tell(words)

    found = []
    for operation in wanted:
        assert operation.problem is not None, "only operations with a problem are predicted"
        found.append(predict(operation.problem, progress))
    keep(path, made, found)
    return plan(path, tell, stop)


def keep(path: Path, made: Plan, found: list[Prediction]) -> None:
    """Keep predictions beside the document; those of problems the document no longer has are dropped."""
    assert made.work is not None, "nothing is cured"
    present = {o.problem.digest() for o in made.work.cure.operations if o.problem is not None}
    kept = {d: p for d, p in read_predictions(heat_path(path)).items() if d in present}
    write_predictions(heat_path(path), found, kept)
