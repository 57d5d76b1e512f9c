"""What a pack that is opened says otherwise than today's shelves, and what they would change in its plan."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

from panelmend.app.loading import damage_named, load_all, read_all
from panelmend.app.service import differences_of
from panelmend.app.shelf_hold import moved_since
from panelmend.app.shelf_today import naming, newer_entries, plans_of
from panelmend.document.packed_lines import without_packed
from panelmend.document.shelved import Shelved
from panelmend.errors import PanelmendError
from panelmend.files import read_bytes
from panelmend.nesting.store import layouts_path, read_layouts
from panelmend.plan.plan import Plan
from panelmend.predict.kept_predictions import heat_path, read_predictions
from panelmend.shelves.folder import find_shelves

MANY = 12  # figures and values in one message


def moved_lines(document: Path, shelved: Shelved | None, work_date: date) -> tuple[str, ...]:
    """Of a job in its pack: what no longer holds today, and what it would change in the plan; () else."""
    lines = moved_since(document, shelved, work_date, date.today())
    return (*lines, *would_change(document)) if lines else ()


def would_change(document: Path) -> Iterator[str]:
    """What differs in the plan of a packed job with today's entries, in lines to print."""
    try:
        rows = list(_differences(document))
    except PanelmendError as error:
        yield f"  In the plan: today's entries cannot be planned with: {str(error).splitlines()[0]}"
        return
    yield "  In the plan:" if rows else "  In the plan no figure and no finding differs."
    yield from (f"    {row}" for row in rows[:MANY])
    if len(rows) > MANY:
        yield f"    and {len(rows) - MANY} more"


def _differences(document: Path) -> Iterator[str]:
    file, _ = damage_named(document)
    root = find_shelves(document.parent.parent / "x")
    if root is None:
        return
    text = without_packed(read_bytes(file).decode("utf-8-sig").replace("\r\n", "\n"))
    text = naming(text, {old: new for old, new, _ in newer_entries(document)[0] if new and new != old})
    packed = load_all(file)
    today = read_all(text.encode("utf8"), document.parent.parent / "today.toml")  # read where no pack is
    layouts, heats = read_layouts(layouts_path(file)), read_predictions(heat_path(file))
    if len(packed) != len(today):
        yield f"damages that count as one: {len(packed)} plans -> {len(today)}"
        return
    made = [plans_of(x, layouts, heats) for x in (packed, today)]
    for was, now in zip(*made, strict=True):
        letter = f"{was.case.document.damage.id} " if len(packed) > 1 else ""
        yield from (f"{letter}{row}" for row in _rows(was, now))


def _rows(old: Plan, new: Plan) -> Iterator[str]:
    for d in differences_of(old, new):
        if not d.key.startswith("finding X105"):  # the list of digests
            yield f"{d.key}: {d.before or 'nothing'} -> {d.after or 'nothing'}"
