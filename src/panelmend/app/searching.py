"""A plan with its cut layouts searched and its heat predicted, ready to be packed."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from panelmend.app.packed import in_pack, refuse_in_pack
from panelmend.app.planning import plan
from panelmend.errors import Cancelled, InputError, SolverError
from panelmend.long_work import Stop, Tell, silent
from panelmend.nesting.port import SearchProgress, search
from panelmend.nesting.store import layouts_path, write_layouts
from panelmend.plan.plan import Plan
from panelmend.units import show

NEST_BUDGET = 3.0  # [s] in all, shared by the sheets of cloth
SEED = 0


@dataclass(frozen=True)
class WrittenPack:
    """A pack that was written: where, its plan, and what the layout search had to say.

    ``plans`` has one for each damage of the job, ``plan`` is the first; ``first`` is the page to begin with.
    """

    folder: Path
    plan: Plan
    notes: tuple[str, ...]
    plans: tuple[Plan, ...] = ()
    first: str = "job-card.pdf"


def find_layouts(
    path: Path, made: Plan, budget: float = NEST_BUDGET, tell: Tell = silent, stop: Stop | None = None
) -> tuple[bool, tuple[str, ...]]:
    """Search shorter cut layouts and keep what is better beside the document.

    Args:
        path: the document; layouts are kept beside it.
        made: its plan.
        budget: time for all sheets of cloth together [s].
        tell: told about progress.
        stop: set to stop.

    Returns:
        Whether anything better was kept, and the engines' notes.

    Raises:
        InputError: the document stands in a pack.
    """
    if made.work is None or budget <= 0.0:
        return False, ()
    target = layouts_path(path)
    refuse_in_pack(path, "a layout")
    todo = [c for c in made.work.nest.cloths if c.nest.roll_length > c.bound + 1e-3 and not c.nest.unplaced]
    better, notes, left = False, list[str](), budget
    for number, item in enumerate(todo):
        name = item.problem.name

        def progress(p: SearchProgress, name: str = name) -> None:
            best = show(p.best, "length", made.case.view)
            tell(f"layout of {name}: {best} after {p.elapsed:.1f} s of {p.budget:.0f} s")

        tell(f"layout of {name}: {show(item.nest.roll_length, 'length', made.case.view)} so far")
        found = search(item.problem, left / (len(todo) - number), SEED, progress=progress, cancel=stop)
        left = max(0.0, left - found.seconds)  # what one sheet did not need is the next ones'
        notes += [f"{name}: {n}" for n in found.notes]
        if found.nest.cost() < item.nest.cost():
            better = write_layouts(target, item.problem, found.nest) or better
    return better, tuple(notes)


def with_layouts_and_heat(
    path: Path, made: Plan, budget: float, tell: Tell, stop: Stop | None, *, heat: bool
) -> tuple[Plan, tuple[str, ...]]:
    """The plan with its layouts searched and its heat predicted, and what there is to say of both."""
    notes: tuple[str, ...] = ()
    if in_pack(path):
        return made, notes  # it stays as it was made
    if made.work is not None and any(c.made_by == "shelves" for c in made.work.nest.cloths):
        better, notes = find_layouts(path, made, budget, tell, stop)
        if better:
            made = plan(path, silent, stop)
    if heat and made.work is not None and any(p is None for _, p in made.work.cure.heats):
        from panelmend.app.heat import predict_heat  # late: where all is kept nothing is predicted

        try:
            made = predict_heat(path, made, tell, stop)
        except (InputError, SolverError) as error:
            # the pack says which operation is not predicted; the rest of it does not wait for that
            notes = (*notes, f"heat not predicted: {error}")
            made = plan(path, silent, stop)
    if stop is not None and stop.is_set():
        raise Cancelled("stopped; nothing was written")
    return made, notes
