"""What today's shelves say otherwise than a job's entries, and what that would change in its plan."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from panelmend.app.loading import chosen, damage_named, load_all, read_all
from panelmend.app.service import PlanDifference, differences_of, plan
from panelmend.document import Loaded
from panelmend.document.packed_lines import without_packed
from panelmend.document.written import written
from panelmend.errors import InputError
from panelmend.job.case import Case, case_of
from panelmend.job.cure.prediction import Prediction
from panelmend.job.several import with_others
from panelmend.nesting.store import layouts_path, read_layouts
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.plan.several import together
from panelmend.predict.kept_predictions import heat_path, read_predictions
from panelmend.shelves.differ import Differing, differing
from panelmend.shelves.entry import read_entry
from panelmend.shelves.folder import FOLDER, Folder, find_shelves
from panelmend.shelves.model import shelf_of
from panelmend.shelves.names import tidy_name


def newer_entries(job: Path) -> tuple[list[tuple[str, str, tuple[Differing, ...]]], list[PlanDifference]]:
    """What today's shelves would change in a job: entries that take the place of those it uses, and its plan.

    For a job in a pack the entries it carries are compared with those that stand on the shelves today.

    Returns:
        Old entry, new entry and what differs between them; and what would differ in the plan ([] where the
        job stands in a pack, or nothing took the place of anything).
    """
    loaded = load_all(damage_named(job)[0])[0]  # damages of one job have their entries in common
    if loaded.shelved is None:
        raise InputError("this document uses no shelves", where=job.name)
    carried = Path(loaded.shelved.root)
    in_pack = carried == job.parent / FOLDER and (job.parent / "manifest.json").is_file()
    today = find_shelves(job.parent.parent / "x") if in_pack else carried
    if today is None:
        raise InputError("no shelves were found to compare with", where=str(job))
    shelves = Folder(today)
    rows: list[tuple[str, str, tuple[Differing, ...]]] = []
    swap: dict[str, str] = {}
    for e in loaded.shelved.entries:
        if not e.taken:
            continue
        shelf = shelf_of(e.shelf)
        old = read_entry(e.data, e.file, shelf)
        if not shelves.has(shelf, e.name):
            rows.append((e.name, "", ()))
            continue
        now = shelves.read(shelf, e.name)
        if now.digest != old.digest:
            rows.append((e.name, now.head.name, differing(old.raw, now.raw)))
        for other in shelves.superseding(now):
            rows.append((e.name, other.head.name, differing(old.raw, other.raw)))
            swap[e.name] = other.head.name
    return rows, [] if in_pack or not swap else _plan_with(job, swap)


def _plan_with(job: Path, swap: dict[str, str]) -> list[PlanDifference]:
    """What differs in the plan of a job when it names other entries."""
    file, name = damage_named(job)
    text = naming(without_packed(file.read_text("utf8")), swap)
    read = read_all(text.encode("utf8"), file)
    made = plans_of(read, read_layouts(layouts_path(job)), read_predictions(heat_path(job)))
    return differences_of(plan(job), made[read.index(chosen(read, name, file))])


def naming(text: str, swap: Mapping[str, str]) -> str:
    """The text of a job that names other entries under ``use``, and says all else as it did.

    Args:
        text: the job.
        swap: by the name of an entry the one that is named instead.
    """
    new = {tidy_name(old): name for old, name in swap.items()}
    use = tomllib.loads(text).get("use")
    changes: dict[tuple[str | int, ...], Any] = {}
    for key, value in use.items() if isinstance(use, dict) else ():
        rows = enumerate(value) if isinstance(value, list) else [(None, value)]
        for i, named in rows:
            if isinstance(named, str) and tidy_name(named) in new:
                changes[("use", key) if i is None else ("use", key, i)] = new[tidy_name(named)]
    return written(text, changes)


def plans_of(
    read: tuple[Loaded, ...], layouts: Mapping[str, Any], heats: Mapping[str, Prediction]
) -> tuple[Plan, ...]:
    """The plan of every damage of a document that was read, each standing at the gravest of all."""

    def planned(case: Case) -> Plan:
        return make_plan(case, layouts, predictions=heats)

    if not read[0].damages:
        return (planned(case_of(read[0])),)
    return together(with_others([case_of(r) for r in read]), planned).plans
