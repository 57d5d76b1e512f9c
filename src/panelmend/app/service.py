"""Every action a user can take, one function each; the command line only reads words and prints answers."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from panelmend.app.loading import chosen, damage_named, load_all, refuse_changed
from panelmend.app.loading import load as load
from panelmend.app.loading import read_text as read_text
from panelmend.app.packed import PACKED, in_pack, refuse_in_pack
from panelmend.app.report_file import STRENGTH, as_json, check_report
from panelmend.app.stopping import at_once, told_unless_stopped, unbroken
from panelmend.derive.ledger import same_value, words_of
from panelmend.document import Loaded
from panelmend.errors import Cancelled, InputError, SolverError
from panelmend.files import replace_whole
from panelmend.job.case import Case, case_of
from panelmend.long_work import Stop, Tell, silent
from panelmend.nesting.port import SearchProgress, search
from panelmend.nesting.store import layouts_path, read_layouts, write_layouts
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan, Standing
from panelmend.predict.kept_predictions import heat_path, read_predictions
from panelmend.units import show
from panelmend.unwatched import unwatched

if TYPE_CHECKING:
    from panelmend.plan.several import Several
    from panelmend.plan.strength_study import StrengthStudy

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


def pack(
    path: Path,
    folder: Path,
    budget: float = NEST_BUDGET,
    tell: Tell = silent,
    stop: Stop | None = None,
    *,
    heat: bool = True,
    over_another: bool = False,
    after: tuple[Path, str] | None = None,
) -> WrittenPack:
    """Plan a repair, search its layouts, predict its heat, and write the whole pack or nothing.

    A layout found earlier is used again and no new search is made for it, so that the same document and
    layouts give the same pack; so is a prediction of heat. ``heat`` false leaves out what is not kept;
    ``over_another`` lets the pack of another repair be replaced. ``after`` is the document that was worked by
    and what is done by it, for a later revision, whose pack begins with what differs.

    Raises:
        DocumentError: the document has faults.
        InputError: the job was packed with other shelf entries, and nobody accepted what was changed; or the
            document or an entry was changed while this took its time.
        OutputError: the pack could not be written; what was there before is untouched.
        Cancelled: ``stop`` was set.
    """
    from panelmend.app.pack_beside import refuse_unlike
    from panelmend.render.pack import ensure_own, write_pack  # late: a plan writes nothing

    file, name = damage_named(path)
    with at_once(stop):
        read = load_all(file)
    refuse_unlike(file, read[0].shelved, also=folder)
    if not name and read[0].damages:
        from panelmend.app.several import pack_several

        if after is not None:
            raise InputError(
                "a revision is of one damage", where=file.name, expected=f"{file.name}#A", todo="name it"
            )
        return pack_several(file, folder, budget, tell, stop, read, heat=heat, over_another=over_another)
    first, every = plan_beside(path, tell, stop, read)
    ensure_own(folder, "" if over_another else first.case.document.repair.number)
    made, notes = with_layouts_and_heat(path, first, budget, tell, stop, heat=heat)
    if len(every) > 1:  # what waits at another damage waits here too: its heat is predicted as well
        for other in every:
            if (of := other.case.document.damage.id) != made.case.document.damage.id:
                _, said = with_layouts_and_heat(
                    path.with_name(f"{file.name}#{of}"), other, 0.0, tell, stop, heat=heat
                )
                notes = (*notes, *(f"{of}: {note}" for note in said))
    if len(every) > 1 or made is not first:  # all of a pack comes from one reading
        refuse_changed(file, read)
        made, every = plan_beside(path, tell, stop, read)
    revision: dict[str, bytes] = {}
    if after is not None:
        from panelmend.app.again import revised_files  # late: few repairs are planned twice

        made, revision = revised_files(plan(after[0], tell, stop), made, after[1])
    from panelmend.render.files import pack_files  # late: a plan draws nothing

    drawing = told_unless_stopped(tell, stop, "nothing was written")
    with at_once(stop):
        files = pack_files(made, made.case.text, drawing) | revision
    drawing("writing the pack")
    about = {"repair": made.case.document.repair.number, "plan": made.digest, "document": made.case.digest}
    if made.case.shelved is not None:
        from panelmend.app.shelves import carried_by_all, with_entries

        files |= carried_by_all(every, path)
        files[PACKED] = with_entries(made.case)
        about["name"] = made.case.name
    with unbroken(stop), unwatched():
        where = write_pack(folder, files, about, over_another=over_another)
        return WrittenPack(where, made, notes, (made,), next(iter(revision), "job-card.pdf"))


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


def strength_study(path: Path, tell: Tell = silent, stop: Stop | None = None) -> StrengthStudy:
    """Compare the repaired panel with the sound one."""
    from panelmend.render.kept_study import kept_study  # late, like everything a plan does without

    made = plan(path, tell, stop)
    tell("strength")
    return kept_study(made)


def write_strength(made: StrengthStudy, target: Path) -> None:
    """Write the strength report as PDF, or the study as JSON where the name says so.

    Raises:
        InputError: the name ends in neither or is that of another file.
        OutputError: it could not be written; nothing was left half written.
    """
    from panelmend.render.strength_report import strength_json, strength_pdf

    check_report(target, STRENGTH)
    replace_whole(target, strength_json(made) if as_json(target) else strength_pdf(made))


def explain_figure(path: Path, key: str) -> str:
    """How a figure came about, down to what was typed. Raises MissingError for a key that is not there."""
    made = plan(path)
    return made.ledger.explain(key, made.case.view)


def figures(path: Path, containing: str = "") -> list[tuple[str, str, str]]:
    """Key, value and origin of every figure whose key contains a text."""
    made = plan(path)
    view = made.case.view
    return [(f.key, words_of(f, view), f.origin.value) for f in made.ledger if containing in f.key]


@dataclass(frozen=True)
class PlanDifference:
    """One figure or finding that differs between two plans ("" where it is missing)."""

    key: str
    before: str
    after: str


def compare_documents(before: Path, after: Path) -> list[PlanDifference]:
    """What differs between the plans of two documents, figure by figure and finding by finding."""
    return differences_of(plan(before), plan(after))


def differences_of(old: Plan, new: Plan) -> list[PlanDifference]:
    """What differs between two plans."""
    view = new.case.view

    def values(made: Plan) -> dict[str, str]:
        rows = {f.key: words_of(f, view) for f in made.ledger}
        rows |= {f"finding {f.code} {f.place}": f.words for f in made.findings}
        return rows

    a, b = values(old), values(new)
    exact = {f.key for f in old.ledger if f.key in new.ledger and _same(old, new, f.key)}
    keys = [*a, *(k for k in b if k not in a)]
    return [PlanDifference(k, a.get(k, ""), b.get(k, "")) for k in keys if k not in exact and _told(a, b, k)]


def _same(old: Plan, new: Plan, key: str) -> bool:
    return same_value(old.ledger[key].value, new.ledger[key].value)


def _told(a: dict[str, str], b: dict[str, str], key: str) -> bool:
    return not key.startswith("finding ") or a.get(key) != b.get(key)


def document_schema() -> str:
    """The JSON Schema of repair documents as text."""
    from panelmend.document.schema import schema_text

    return schema_text()
