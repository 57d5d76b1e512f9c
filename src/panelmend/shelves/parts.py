"""An entry of a shelf table by table: what a second person holds against its paper and signs off."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from panelmend.document.approved import ApprovedData
from panelmend.document.bay import Bay, Stores
from panelmend.document.fields import inner_model, quantity_kind, wrapper
from panelmend.document.model import People, Repair
from panelmend.document.panel import Panel
from panelmend.document.people import same_person
from panelmend.document.typed_out import in_other_units
from panelmend.materials import MaterialSet
from panelmend.shelves.digests import whole_digest
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.model import Signed

MANUAL = "manual and repair"
HEAD = "head of the entry"
_OF_THE_HEAD = ("revision", "valid_from", "valid_until", "supersedes", "hand", "panels", "materials")
_HEAD_ALONE = ("form", "shelf", "name", "typed_by", "typed_on", "check", "signed", "table")
_MODELS: dict[str, Any] = {
    "panel": Panel,
    "bay": Bay,
    "stores": Stores,
    "materials": MaterialSet,
    "repair": Repair,
    "people": People,
}
_EDGES = ("depth", "side", "zone", "over", "at_least", "up_to", "below")


@dataclass(frozen=True)
class EntryLine:
    """One value as it was typed: its place in the manual, its name, the value, and how it is read."""

    place: str
    name: str
    typed: str
    read: str = ""


@dataclass(frozen=True)
class EntryPart:
    """One table of an entry: its name, the table it was typed as, its digest and its lines."""

    name: str
    table: str
    digest: str
    lines: tuple[EntryLine, ...]


def parts_of(entry: ShelfEntry) -> tuple[EntryPart, ...]:
    """Every table of an entry, in the order it was typed; together they are all it says."""
    return tuple(_parts(entry) if entry.head.shelf == "data" else _others(entry))


def _others(entry: ShelfEntry) -> Iterator[EntryPart]:
    """The head, then what stands alone in each section, each of its tables, and each row of a list."""
    raw, name = entry.raw, entry.head.name
    head = {k: v for k, v in raw["entry"].items() if k not in _HEAD_ALONE}
    named = EntryLine("", "name of this entry", name)
    lines = (named, *(x for k, v in head.items() for x in _lines(v, None, k, "")))
    yield EntryPart(HEAD, HEAD, whole_digest({"name": name, "head": head}), lines)
    for section, value in raw.items():
        if section == "entry":
            continue
        model = _MODELS.get(section)
        if isinstance(value, list):
            yield from _rows(name, section, value, None)
            continue
        tables = {k: v for k, v in value.items() if _holds_tables(v)} if isinstance(value, dict) else {}
        alone = {k: v for k, v in value.items() if k not in tables} if isinstance(value, dict) else {}
        if alone:
            found = tuple(x for k, v in alone.items() for x in _lines(v, _field(model, k), k, ""))
            yield EntryPart(section, section, whole_digest({"name": name, section: alone}), found)
        for key, inner in tables.items():
            field = _field(model, key)
            if isinstance(inner, list):
                yield from _rows(name, f"{section}.{key}", inner, _inside(model, key))
            else:
                found = tuple(_lines(inner, field, "", ""))
                called = f"{section}.{key}"
                yield EntryPart(called, called, whole_digest({"name": name, called: inner}), found)


def _holds_tables(value: Any) -> bool:
    return isinstance(value, dict) or (isinstance(value, list) and any(isinstance(x, dict) for x in value))


def _rows(name: str, called: str, rows: list[Any], model: Any) -> Iterator[EntryPart]:
    for i, row in enumerate(rows):
        items = row.items() if isinstance(row, dict) else [("", row)]
        found = tuple(x for k, v in items for x in _lines(v, _field(model, k), k, ""))
        digest = whole_digest({"name": name, "table": called, "i": i, "row": row})
        yield EntryPart(f"{called} {i + 1}", called, digest, found)


def _parts(entry: ShelfEntry) -> Iterator[EntryPart]:
    raw = entry.raw
    data = raw.get("data")
    data = data if isinstance(data, dict) else {}
    head = {k: v for k, v in raw["entry"].items() if k in _OF_THE_HEAD}
    about = {**head, **{k: v for k, v in data.items() if k in ("repair", "manual")}}
    of = entry.head.name  # a signature is for this entry: copied into another one it is none
    named = EntryLine("", "name of this entry", entry.head.name)
    lines = (named, *(x for k, v in about.items() for x in _lines(v, None, k, "")))
    yield EntryPart(MANUAL, MANUAL, whole_digest({"of": of, "about": about}), lines)
    for key, value in data.items():
        if key in ("repair", "manual"):
            continue
        model = _inside(ApprovedData, key)
        if key == "cure" and isinstance(value, list):
            for i, cure in enumerate(value):
                name = f"cure {i + 1}: {cure.get('name', '')}"
                place = str(cure.get("place", ""))
                found = tuple(x for k, v in cure.items() for x in _lines(v, _field(model, k), k, place))
                yield EntryPart(name, "cure", whole_digest({"of": of, "i": i, "cure": cure}), found)
        else:
            found = tuple(_lines(value, ApprovedData.model_fields.get(key), "", ""))
            yield EntryPart(key, key, whole_digest({"of": of, key: value}), found)
    for i, table in enumerate(raw.get("choose", [])):
        yield _chosen(of, i, table)


def _chosen(of: str, i: int, table: dict[str, Any]) -> EntryPart:
    lines = [EntryLine(str(table.get("place", "")), "by", ", ".join(table.get("by", [])))]
    first = ""
    for j, row in enumerate(table.get("row", [])):
        place = str(row.get("place") or table.get("place", ""))
        edges = ", ".join(f"{e.replace('_', ' ')} {_words(row[e])}" for e in _EDGES if e in row)
        lines.append(EntryLine(place, f"row {j + 1}", edges))
        for key, value in row.get("data", {}).items():
            first = first or key
            field = ApprovedData.model_fields.get(key)
            lines += [
                EntryLine(x.place or place, f"row {j + 1} {key}.{x.name}", x.typed, x.read)
                for x in _lines(value, field, "", place)
            ]
    return EntryPart(
        f"choose {i + 1}: {table.get('title', '')}",
        first,
        whole_digest({"of": of, "i": i, "t": table}),
        tuple(lines),
    )


def _inside(model: Any, key: str) -> Any:
    field = getattr(model, "model_fields", {}).get(key)
    return inner_model(field.annotation)[0] if field is not None else None


def _field(model: Any, key: str) -> Any:
    return getattr(model, "model_fields", {}).get(key)


def _lines(value: Any, field: Any, name: str, place: str) -> Iterator[EntryLine]:
    """The lines of a value: one for each single value, ply and segment."""
    if isinstance(value, dict) and "value" in value and set(value) <= {"value", "place"}:
        inside = wrapper(field.annotation) if field is not None else None
        inner = inside.model_fields["value"] if inside is not None else field
        yield from _lines(value["value"], inner, name, str(value.get("place", place)))
        return
    model = inner_model(field.annotation)[0] if field is not None else None
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _lines(inner, _field(model, key), f"{name}.{key}" if name else key, place)
    elif isinstance(value, list) and any(isinstance(x, dict) for x in value):
        for i, item in enumerate(value):
            words = "; ".join(f"{k} {_words(v)}" for k, v in item.items())
            back = "; ".join(
                f"{k} {r}" for k, v in item.items() if (r := _read(v, _field(model, k))) and r != v
            )
            yield EntryLine(place, f"{name} {i + 1}", words, back)
    else:
        yield EntryLine(place, name, _words(value), _read(value, field))


def _words(value: Any) -> str:
    if isinstance(value, list):
        return ", ".join(f"({_words(v)})" if isinstance(v, list) else _words(v) for v in value)
    if isinstance(value, dict):
        return "; ".join(f"{k} {_words(v)}" for k, v in value.items())
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def _read(value: Any, field: Any) -> str:
    """How a quantity is read, in both systems: a slip of the unit is seen beside the manual."""
    return in_other_units(value, quantity_kind(field)) if field is not None else ""


def typist_of(entry: ShelfEntry, part: EntryPart) -> str:
    """Who typed a table: who typed it since, or else who typed the entry."""
    found = [t.by for t in entry.head.table if t.table == part.table]
    return found[-1] if found else entry.head.typed_by


def typists_of(entry: ShelfEntry, part: EntryPart) -> tuple[str, ...]:
    """Everybody who typed something of a table: none of them signs it off.

    A table of approved data is typed whole, so the last typist's is all of it. On the other shelves single
    values are put right, and whoever typed the rest typed it still.
    """
    if entry.head.shelf == "data":
        return (typist_of(entry, part),)
    since = [t.by for t in entry.head.table if t.table == part.table]
    return tuple(dict.fromkeys([entry.head.typed_by, *since]))


def signed_off(entry: ShelfEntry, part: EntryPart) -> Signed | None:
    """The record that somebody else signed a table off as it is now; None where nobody did."""
    for row in entry.head.signed:
        if row.table == part.name and row.digest == part.digest:
            own = any(same_person(row.by, who) for who in typists_of(entry, part))
            return None if own else row
    return None


def open_parts(entry: ShelfEntry) -> tuple[EntryPart, ...]:
    """The tables that nobody signed off as they are now."""
    return tuple(p for p in parts_of(entry) if signed_off(entry, p) is None)
