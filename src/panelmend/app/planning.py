"""Planning a repair, or every damage of a job, with what is kept beside its document."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from panelmend.app.loading import chosen, damage_named, load_all
from panelmend.app.stopping import at_once
from panelmend.document import Loaded
from panelmend.errors import Cancelled, InputError
from panelmend.job.case import Case, case_of
from panelmend.long_work import Stop, Tell, silent
from panelmend.nesting.store import layouts_path, read_layouts
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan, Standing
from panelmend.predict.kept_predictions import heat_path, read_predictions

if TYPE_CHECKING:
    from panelmend.plan.several import Several


def plan(path: Path, tell: Tell = silent, stop: Stop | None = None, *, beyond: bool = False) -> Plan:
    """Plan a repair with layouts and predictions kept beside its document; ``beyond`` for a request alone."""
    file, _ = damage_named(path)
    with at_once(stop):
        read = load_all(file, beyond=beyond)
    return plan_beside(path, tell, stop, read)[0]


def plan_beside(
    path: Path, tell: Tell = silent, stop: Stop | None = None, read: tuple[Loaded, ...] = ()
) -> tuple[Plan, tuple[Plan, ...]]:
    """Plan the damage that a name asks for, with those of all damages of its job: it stands at the gravest.

    Args:
        path: the document, with its damage behind it where it has several (repair.toml#A).
        tell: told about progress.
        stop: set to stop.
        read: the documents of its damages, where they were read before.
    """
    file, name = damage_named(path)
    with at_once(stop):
        read = read or load_all(file)
        own = chosen(read, name, file)
        if not read[0].damages:
            made = _planned(case_of(own), file, tell, stop)
            return made, (made,)
    plans = plan_several(file, tell, stop, read).plans
    return next(p for p in plans if p.case.document.damage.id == own.document.damage.id), plans


def plan_several(
    path: Path, tell: Tell = silent, stop: Stop | None = None, read: tuple[Loaded, ...] = ()
) -> Several:
    """Plan every damage of a job by itself, and look at them beside each other.

    Args:
        path: the document.
        tell: told about progress.
        stop: set to stop.
        read: the documents of its damages, where they were read before.
    """
    from panelmend.job.several import with_others  # late: most documents have one damage
    from panelmend.plan.several import together

    with at_once(stop):
        cases = with_others([case_of(r) for r in read or load_all(path)])
        return together(cases, lambda case: _planned(case, path, tell, stop))


def plans(path: Path, tell: Tell = silent, stop: Stop | None = None) -> tuple[Plan, ...]:
    """The plan of every damage of a job, or the one that the name asks for (repair.toml#A)."""
    file, name = damage_named(path)
    if name:
        return (plan(path, tell, stop),)
    with at_once(stop):
        read = load_all(file)
    if not read[0].damages:
        return plan_beside(file, tell, stop, read)[1]
    return plan_several(file, tell, stop, read).plans


def gravest(made: Iterable[Plan]) -> Standing:
    """The gravest standing of several plans."""
    order = (Standing.STOP, Standing.DRAFT, Standing.READY)
    return min((p.standing for p in made), key=order.index)


def _planned(case: Case, path: Path, tell: Tell, stop: Stop | None) -> Plan:
    if stop is not None and stop.is_set():
        raise Cancelled("stopped")
    name = case.document.damage.id

    def progress(stage: str) -> None:
        if stop is not None and stop.is_set():
            raise Cancelled("stopped")
        tell(f"damage {name}: stage {stage}" if name else f"stage {stage}")

    predictions = read_predictions(heat_path(path))
    try:
        return make_plan(case, read_layouts(layouts_path(path)), progress, predictions)
    except InputError as error:
        raise case.placed(error) from None
