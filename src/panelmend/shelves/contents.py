"""Everything wrong with what an entry says, seen without a job: each field, each row of each table."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from pydantic import ValidationError

from panelmend.document.approved import ApprovedData
from panelmend.document.bay import Bay, Stores
from panelmend.document.fault import Fault, fault_at
from panelmend.document.model import People, Repair
from panelmend.document.panel import Panel
from panelmend.document.places import Path
from panelmend.document.reader import InFile, refusal
from panelmend.document.wording import did_you_mean, plain_complaint
from panelmend.materials import MaterialSet
from panelmend.materials.quantities import Typed
from panelmend.shelves.choose import placed
from panelmend.shelves.entry import ShelfEntry

WHOLE: dict[str, type[Typed]] = {
    "panel": Panel,
    "data": ApprovedData,
    "bay": Bay,
    "stores": Stores,
    "materials": MaterialSet,
}
PARTS: dict[str, type[Typed]] = {"repair": Repair, "people": People}


def refuse_contents(entry: ShelfEntry) -> None:
    """Refuse an entry whose contents have faults.

    Raises:
        DocumentError: with every fault, each with its line.
    """
    found = contents_faults(entry)
    if found:
        raise refusal(found, InFile(entry.file, entry.text), entry.file)


def contents_faults(entry: ShelfEntry) -> list[Fault]:
    """Every fault of the fields of an entry, and of each row of its tables as the damage might choose it."""
    found: list[Fault] = []
    for key, model in WHOLE.items():
        if key in entry.raw:
            found += _table_faults(model, entry.raw[key], key, entry.raw)
    for key, model in PARTS.items():
        if key in entry.raw:
            found += _part(model, entry.raw[key], key, entry.raw)
    return found + row_faults(entry)


def row_faults(entry: ShelfEntry) -> list[Fault]:
    """Every fault of the rows of its tables, as the damage might choose each."""
    found: list[Fault] = []
    base = entry.raw.get("data")
    for i, table in enumerate(entry.typed.choose):
        for j, row in enumerate(table.row):
            if not isinstance(base, dict):
                continue
            whole = _merged(base, placed(row.data, row.place or table.place))
            at: Path = ("choose", i, "row", j, "data")
            found += [
                ((*at, *path[1:]), error)
                for path, error in _table_faults(ApprovedData, whole, "data", {"data": whole})
                if not _in(base, path[1:])
            ]
    return found


def _table_faults(model: type[Typed], value: Any, key: str, raw: dict[str, Any]) -> list[Fault]:
    try:
        model.model_validate(value)
    except ValidationError as error:
        return [plain_complaint({**e, "loc": (key, *e["loc"])}, raw) for e in error.errors(include_url=False)]
    return []


def _part(model: type[Typed], value: Any, key: str, raw: dict[str, Any]) -> list[Fault]:
    """Faults of some fields of a table; that others are missing is none."""
    if not isinstance(value, dict):
        return [fault_at((key,), "a table of fields belongs here", str(value)[:60], f"[{key}]")]
    known = list(model.model_fields)
    found = [
        fault_at(
            (key, k),
            f"unknown field '{k[:60]}'",
            k[:60],
            "one of " + ", ".join(known),
            did_you_mean(k, known),
        )
        for k in value
        if k not in known
    ]
    return found + [
        (path, error)
        for path, error in _table_faults(model, {k: v for k, v in value.items() if k in known}, key, raw)
        if len(path) > 1
    ]


def _merged(base: dict[str, Any], more: dict[str, Any]) -> dict[str, Any]:
    made = deepcopy(base)
    for key, value in more.items():
        old = made.get(key)
        made[key] = (
            _merged(old, value) if isinstance(old, dict) and isinstance(value, dict) else deepcopy(value)
        )
    return made


def _in(base: Any, path: Path) -> bool:
    """Whether a path stands in the data beside the tables, where its fault is told."""
    for part in path:
        try:
            base = base[part]
        except (KeyError, IndexError, TypeError):
            return False
    return True
