"""A table of approved data typed field by field or pasted, and one table signed off: what a form needs.

The command line asks the same questions one after another (``shelf_authoring``); here they stand together.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from panelmend.app.shelf_authoring import APART, TableScript, write_over
from panelmend.app.shelf_verbs import import_table
from panelmend.errors import InputError
from panelmend.shelves.checking import checked_text, signed_text
from panelmend.shelves.contents import refuse_contents
from panelmend.shelves.csv_table import CURE_FIELDS, FLAT, SEGMENT_FIELDS, Cells, csv_rows
from panelmend.shelves.differ import Differing
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.folder import Folder
from panelmend.shelves.parts import EntryPart, open_parts, parts_of, signed_off
from panelmend.shelves.practice import refuse_rows_after

PASTED = "what was pasted"


class FieldRefused(InputError):
    """A field of a form that cannot be read; ``where`` is its key."""


@dataclass(frozen=True)
class TableField:
    """One field of a table: key, meaning, kind, example, and what the entry has there with its place."""

    key: str
    words: str
    kind: str
    example: str
    typed: str
    place: str


@dataclass(frozen=True)
class TableForm:
    """A table to type: its place in the manual and fields, or ``pasted`` as rows with their heading."""

    table: str
    there: bool
    place: str
    fields: tuple[TableField, ...]
    pasted: str
    columns: str


def form_of(entry: ShelfEntry, table: str) -> TableForm:
    """The form of one table of an entry of data, with what stands there."""
    data = entry.raw.get("data", {})
    value = data.get(table) if isinstance(data, dict) else None
    known = next((t.place for t in entry.head.table if t.table == table), "")
    if table not in FLAT and table != "plies":
        pasted, place = _cures(value if isinstance(value, list) else [])
        return TableForm(
            table, bool(value), known or place, (), pasted, "; ".join(("cure", *CURE_FIELDS, *SEGMENT_FIELDS))
        )
    there = _plies(value) if table == "plies" else _flat(value)
    places = [p for _, p in there.values() if p]
    place = known or (max(places, key=places.count) if places else "")
    fields = tuple(
        TableField(
            q.path, q.words, q.kind, q.example, there.get(q.path, ("", ""))[0],
            p if (p := there.get(q.path, ("", ""))[1]) != place else "",
        )
        for q in TableScript(table, place).questions({})
    )  # fmt: skip
    columns = "side; role; cloth; warp; place; depth; zone; by; over; at_least; up_to; below"
    return TableForm(table, bool(there), place, fields, "", columns if table == "plies" else "")


def typed_table(
    shelves: Folder,
    entry: ShelfEntry,
    table: str,
    place: str,
    by: str,
    on: date,
    typed: Mapping[str, tuple[str, str]],
    pasted: str,
) -> tuple[ShelfEntry, tuple[Differing, ...]]:
    """The entry with a table as it was typed, and what differs; nothing is written.

    Args:
        shelves: where it stands.
        entry: the entry as it was shown.
        table: which table.
        place: its place in the manual.
        by: who typed it.
        on: the day.
        typed: value and a place of its own by field; "" where the table has none.
        pasted: rows with their heading instead of fields; "" for none.

    Raises:
        InputError: what cannot be read, with its field; or a value would go that is not typed here.
        DocumentError: the entry would have faults.
    """
    if not place.strip():
        raise InputError("a table needs its place in the manual", where="place", expected="fig 204 table")
    if pasted.strip():
        rows = csv_rows(pasted.encode("utf8"), PASTED)
    else:
        rows = _rows(table, place.strip(), typed)
    made, changed = import_table(shelves, entry.head.name, table, rows, place, by, on, replace=True)
    known = {q.path for q in TableScript(table, place).questions({})} if table in FLAT else set()
    lost = [d for d in changed if known and d.before and not d.after and d.path.split(".")[2:3] != []]
    lost = [d for d in lost if d.path.split(".")[2] not in known]
    if lost:
        raise InputError(
            "the table has values that are not typed here, and they would go",
            where=table,
            read="; ".join(d.path for d in lost[:5]),
            todo="change this table in the entry's text",
        )
    return made, changed


def _rows(table: str, place: str, typed: Mapping[str, tuple[str, str]]) -> tuple[Cells, ...]:
    if table not in FLAT and table != "plies":
        raise InputError(
            "this table is pasted with its heading", where="pasted", expected="rows below a heading"
        )
    script = TableScript(table, place)
    questions = {q.path: q for q in script.questions({})}
    answers: dict[str, str] = {}
    for key, (value, own) in typed.items():
        if key not in questions:
            raise FieldRefused("the table has no such field", where=key[:80])
        if not value.strip():
            continue
        if APART in value or APART in own:
            raise FieldRefused(f"no {APART} in a value or a place", where=key, read=value[:60])
        text = f"{value.strip()} {APART} {own.strip()}" if own.strip() else value.strip()
        try:
            answers[key] = script.accept(questions[key], text, answers)
        except InputError as error:
            raise FieldRefused(
                error.words, where=key, read=error.read, expected=error.expected, todo=error.todo
            ) from None
    return script.rows(answers)


def _flat(value: Any) -> dict[str, tuple[str, str]]:
    """Value and place of each field that has one value."""
    made = {}
    for key, given in (value if isinstance(value, dict) else {}).items():
        inner, place = (
            (given.get("value"), str(given.get("place", ""))) if isinstance(given, dict) else (given, "")
        )
        if isinstance(inner, list) and not any(isinstance(x, dict | list) for x in inner):
            made[key] = (", ".join(map(str, inner)), place)
        elif inner is not None and not isinstance(inner, dict | list):
            made[key] = (("yes" if inner else "no") if isinstance(inner, bool) else str(inner), place)
    return made


def _plies(value: Any) -> dict[str, tuple[str, str]]:
    made = {}
    for side in ("outside", "inside"):
        roles = value.get(side) if isinstance(value, dict) else None
        for role, given in (roles if isinstance(roles, dict) else {}).items():
            rows = given.get("value") if isinstance(given, dict) else given
            rows = rows if isinstance(rows, list) else [rows]
            if all(isinstance(r, dict) and set(r) == {"cloth", "warp"} for r in rows):
                place = str(given.get("place", "")) if isinstance(given, dict) else ""
                made[f"{side} {role}"] = ("; ".join(f"{r['cloth']}: {r['warp']}" for r in rows), place)
    return made


def _cures(cures: list[Any]) -> tuple[str, str]:
    """The cures that are there as they are pasted, and the place of the first."""
    out = io.StringIO()
    columns = ("cure", *CURE_FIELDS, *SEGMENT_FIELDS)
    writer = csv.writer(out, delimiter=";", lineterminator="\n")
    writer.writerow(columns)
    for cure in cures:
        for i, segment in enumerate(cure.get("segment", [])):
            head = {k: v for k, v in cure.items() if k in CURE_FIELDS and i == 0}
            row = {"cure": cure.get("name", ""), **head, **segment}
            writer.writerow([_cell(row.get(c, "")) for c in columns])
    place = str(cures[0].get("place", "")) if cures else ""
    return (out.getvalue() if cures else ""), place


def _cell(value: Any) -> str:
    if isinstance(value, list):
        return ", ".join(map(str, value))
    return ("yes" if value else "no") if isinstance(value, bool) else str(value)


def sign_part(
    root: Folder, entry: ShelfEntry, part: EntryPart, by: str, against: str, on: date
) -> ShelfEntry:
    """Record that somebody else than who typed it signed a table off; with the last one all of it is checked.

    Raises:
        InputError: who typed it would sign, no paper is named, stores, or the file is another by now.
        DocumentError: the entry has faults.
    """
    refuse_contents(entry)
    if entry.head.shelf == "stores":
        raise InputError("stores are counted, not checked", where=entry.file)
    refuse_rows_after(entry.typed, entry.file, on)
    if not against.strip():
        raise InputError("a check names the paper it was made against", where="against")
    made = write_over(root, entry, signed_text(entry, part, by, on, against.strip()))
    if open_parts(made):
        return made
    rows = [s for p in parts_of(made) if (s := signed_off(made, p)) is not None]
    people = " and ".join(dict.fromkeys([by, *(s.by for s in rows)]))
    return write_over(root, made, checked_text(made, people, on, against.strip()))
