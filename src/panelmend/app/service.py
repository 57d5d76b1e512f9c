"""Every action a user can take, one function each; the command line only reads words and prints answers."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from panelmend.app.loading import damage_named, load_all, refuse_changed
from panelmend.app.loading import load as load
from panelmend.app.loading import read_text as read_text
from panelmend.app.packed import PACKED
from panelmend.app.planning import gravest as gravest
from panelmend.app.planning import plan as plan
from panelmend.app.planning import plan_beside as plan_beside
from panelmend.app.planning import plan_several as plan_several
from panelmend.app.planning import plans as plans
from panelmend.app.report_file import STRENGTH, as_json, check_report
from panelmend.app.searching import NEST_BUDGET, WrittenPack, with_layouts_and_heat
from panelmend.app.searching import find_layouts as find_layouts
from panelmend.app.stopping import at_once, told_unless_stopped, unbroken
from panelmend.derive.ledger import same_value, words_of
from panelmend.errors import InputError
from panelmend.files import replace_whole
from panelmend.long_work import Stop, Tell, silent
from panelmend.plan.plan import Plan
from panelmend.unwatched import unwatched

if TYPE_CHECKING:
    from panelmend.plan.strength_study import StrengthStudy


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
    exact = {f.key for f in old.ledger if f.key in new.ledger and _same_figure(old, new, f.key)}
    keys = [*a, *(k for k in b if k not in a)]
    return [PlanDifference(k, a.get(k, ""), b.get(k, "")) for k in keys if k not in exact and _tells(a, b, k)]


def _same_figure(old: Plan, new: Plan, key: str) -> bool:
    return same_value(old.ledger[key].value, new.ledger[key].value)


def _tells(a: dict[str, str], b: dict[str, str], key: str) -> bool:
    return not key.startswith("finding ") or a.get(key) != b.get(key)


def document_schema() -> str:
    """The JSON Schema of repair documents as text."""
    from panelmend.document.schema import schema_text

    return schema_text()
