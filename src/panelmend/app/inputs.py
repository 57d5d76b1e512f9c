"""Every input of a document: what each field means, what was typed, how it was read, what may be typed.

The model of the document says all of it: meaning, kind of quantity, permitted words, bounds. A field keeps
what was typed; what is written is text, a number, yes or no, a day or a list as the document wants it.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from panelmend.app.changing import read_as
from panelmend.app.shelf_verbs import listed
from panelmend.document.fields import choices, inner_model, is_list, plain_kind, quantity_kind, wrapper
from panelmend.document.model import Document
from panelmend.document.places import Path
from panelmend.document.rows import dotted_key
from panelmend.errors import InputError
from panelmend.materials.bounds import Bounds
from panelmend.materials.meanings import meaning_of
from panelmend.materials.model import Adhesive, Cloth, Core, Resin, Sourced
from panelmend.materials.quantities import Typed
from panelmend.plan.plan import Plan
from panelmend.shelves.folder import Folder
from panelmend.shelves.job import JOB_VERSION
from panelmend.shelves.model import JobHead
from panelmend.units import KINDS

Offers = Callable[[Path, str], tuple[str, ...]]
DEEPEST = 8  # tables within tables
OUTLINES = ("points",)  # rows of plain numbers: drawn, tapped or typed into the text
OWN = ("panelmend", "packed_with")  # written by the tool
KIND_OF = {  # the kind of material a field names
    "cloth": "cloth",
    "system": "resin",
    "core": "core",
    "film_adhesive": "adhesive",
    "adhesive": "adhesive",
}
USE = {  # the shelf of each thing a job uses
    "panel": "panels",
    "data": "data",
    "bay": "bays",
    "stores": "stores",
    "practice": "practice",
    "materials": "materials",
}


@dataclass(frozen=True)
class Input:
    """One field: ``kind`` is a kind of quantity, "text", "list", "count", "yes or no", "day" or "choice"."""

    path: Path
    label: str
    meaning: str
    kind: str
    typed: str
    read_as: str
    example: str
    choices: tuple[str, ...]
    needed: bool
    offered: tuple[str, ...] = ()
    bounds: str = ""
    value: Any = None  # as it stands in the document

    @property
    def key(self) -> str:
        """The path as scripts send it."""
        return dotted_key(self.path)


@dataclass(frozen=True)
class Group:
    """A table of the document: its fields, the tables in it, and whether it stands in the text."""

    path: Path
    label: str
    meaning: str
    there: bool
    inputs: tuple[Input, ...] = ()
    groups: tuple[Group, ...] = ()
    rows: bool = False
    new: tuple[Input, ...] = ()
    outlines: tuple[str, ...] = field(default=())

    @property
    def key(self) -> str:
        """The path as scripts send it."""
        return dotted_key(self.path)


def document_tables(raw: Mapping[str, Any]) -> list[tuple[str, str, bool]]:
    """The tables at the top of a document: name, meaning, whether it has it."""
    models = (JobHead, Document) if raw.get("panelmend") == JOB_VERSION else (Document,)
    return [(n, meaning_of(m, n), n in raw) for m in models for n in m.model_fields if n not in OWN]


def section(plan: Plan, text: str, name: str, shelves: Folder | None = None) -> Group:
    """One table of the top with everything in it.

    Args:
        plan: the document's plan.
        text: the document.
        name: which table.
        shelves: what entries are offered from.

    Raises:
        InputError: no such table.
    """
    raw = tomllib.loads(text)
    if name not in {n for n, _, _ in document_tables(raw)}:
        raise InputError("the document has no such table", where=name[:60])
    model = JobHead if name in JobHead.model_fields else Document
    made = field_group(_Offers(plan, shelves), model, raw, (), name, 0)
    return made


class _Offers:
    """What fields may be picked from: materials by id, things of the bay, entries of the shelves."""

    def __init__(self, plan: Plan, shelves: Folder | None) -> None:
        self.plan, self.shelves = plan, shelves
        catalogue = plan.case.catalogue
        found = [catalogue.get(i) for i in catalogue.ids()]
        self.of_kind = {
            kind: tuple(m.id for m in found if isinstance(m, cls))
            for kind, cls in (("cloth", Cloth), ("resin", Resin), ("adhesive", Adhesive), ("core", Core))
        }
        self.all = catalogue.ids()

    def __call__(self, above: Path, name: str) -> tuple[str, ...]:
        """The names that are there for a field; () where anything may be typed."""
        kind = KIND_OF.get(name)
        if above[:1] == ("use",):
            return self._entries(USE.get(name, ""))
        if kind is not None:
            return self.of_kind[kind]
        if name == "material":
            return self.all
        return tuple(b.id for b in self.plan.case.document.bay.blanket) if name == "blanket" else ()

    def _entries(self, shelf: str) -> tuple[str, ...]:
        if self.shelves is None or not shelf:
            return ()
        return tuple(row.name for row in listed(self.shelves, only=shelf) if not row.faulty)


def field_group(offers: Offers, model: type[Typed], raw: Any, above: Path, name: str, deep: int) -> Group:
    """The table, or the list of tables, of a field that holds one."""
    annotation = model.model_fields[name].annotation
    inner, many = inner_model(annotation)
    assert inner is not None, "a field without a table"
    given = wrapper(annotation) is not None
    path: Path = (*above, name)
    at = _at(raw, name)
    words = meaning_of(model, name)
    inputs: list[Input] = []
    if given:
        inputs = [
            _input(offers, wrapper(annotation), at, path, n)
            for n in wrapper(annotation).model_fields
            if n != "value"
        ]
        path, there, at = (*path, "value"), at is not None, _at(at, "value")
    else:
        there = at is not None
    if (many and not isinstance(at, dict)) or isinstance(at, list):  # several damages: a list of one table
        rows = at if isinstance(at, list) else []
        groups = tuple(
            _table(offers, inner, row, (*path, i), row_name(row, i), "", True, deep + 1)
            for i, row in enumerate(rows)
        )
        new = _table(offers, inner, None, (*path, len(rows)), "", "", False, DEEPEST).inputs
        return Group(path, name, words, there, tuple(inputs), groups, True, new)
    made = _table(offers, inner, at, path, name, words, there, deep + 1)
    return Group(path, name, words, there, (*inputs, *made.inputs), made.groups, outlines=made.outlines)


def _table(
    offers: Offers, model: type[Typed], raw: Any, path: Path, label: str, meaning: str, there: bool, deep: int
) -> Group:
    inputs: list[Input] = []
    groups: list[Group] = []
    outlines: list[str] = []
    for name, f in model.model_fields.items():
        inner, _ = inner_model(f.annotation)
        if name in OUTLINES:
            outlines.append(name)
        elif inner is None:
            inputs += _leaf(offers, model, raw, path, name)
        elif deep < DEEPEST and (there or deep < 3):
            groups.append(field_group(offers, model, raw, path, name, deep))
    return Group(path, label, meaning, there, tuple(inputs), tuple(groups), outlines=tuple(outlines))


def _leaf(offers: Offers, model: type[Typed], raw: Any, path: Path, name: str) -> Iterator[Input]:
    """A field without a table: itself, or the value and the place of an approved one."""
    given = wrapper(model.model_fields[name].annotation)
    if given is None:
        yield _input(offers, model, raw, path, name)
        return
    words, at = meaning_of(model, name), _at(raw, name)
    if not isinstance(at, Mapping) and (at is not None or issubclass(given, Sourced)):
        # written plain: it takes the source of its material
        yield _input(offers, given, {"value": at}, path, "value", name, words, model.model_fields[name], name)
        return
    for part in given.model_fields:
        label = name if part == "value" else f"{name}: {part}"
        meaning = words if part == "value" else ""
        yield _input(offers, given, at, (*path, name), part, label, meaning, model.model_fields[name])


def _input(
    offers: Offers,
    model: type[Typed],
    raw: Any,
    path: Path,
    name: str,
    label: str = "",
    meaning: str = "",
    outer: Any = None,
    plain: str = "",
) -> Input:
    f = model.model_fields[name]
    kind = quantity_kind(f) or (quantity_kind(outer) if outer is not None and name == "value" else "")
    words = choices(f.annotation)
    many = is_list(f.annotation) and kind != "point"
    kind = kind or ("choice" if words and not many else plain_kind(f.annotation) or "text")
    kind = "list" if many else kind
    typed = _words(_at(raw, name))
    return Input(
        (*path, plain or name),
        (label or name).replace("_", " "),
        meaning or meaning_of(model, name),
        kind,
        typed,
        read_as(typed, kind),
        KINDS[kind].example if kind in KINDS else "",
        words,
        f.is_required(),
        offers(path, plain or str(path[-1] if name == "value" else name)),
        _bounds(f) or (_bounds(outer) if outer is not None and name == "value" else ""),
        _at(raw, name),
    )


def changes_of(plan: Plan, text: str, typed: Mapping[str, str]) -> dict[Path, Any]:
    """Values by path of fields that were typed.

    Raises:
        InputError: a field that is none, or words that are no value of its kind.
    """
    made: dict[Path, Any] = {}
    fields = _fields(plan, text, typed)
    for key, words in typed.items():
        if key not in fields:
            raise InputError("the document has no such field", where=key[:80])
        made[fields[key].path] = typed_value(fields[key], words.strip(), key)
    return made


def typed_read(plan: Plan, text: str, typed: Mapping[str, str]) -> dict[str, str]:
    """How typed fields are read, in both systems of units, by key; what is no quantity is left out."""
    fields = _fields(plan, text, typed)  # a field of a row that is not there yet is none of them
    found = {k: read_as(words.strip(), fields[k].kind) for k, words in typed.items() if k in fields}
    return {k: v for k, v in found.items() if v}


def _fields(plan: Plan, text: str, typed: Mapping[str, str]) -> dict[str, Input]:
    """Every field by key of the tables that are typed into, each table walked once."""
    there = {n for n, _, _ in document_tables(tomllib.loads(text))}
    tables = {key.split(".", 1)[0] for key in typed} & there
    return {f.key: f for t in sorted(tables) for g in every(section(plan, text, t)) for f in g.inputs}


def typed_value(of: Input, words: str, key: str) -> Any:
    """What is written for typed words; None takes the field out. Raises InputError: no value of its kind."""
    if words and words == of.typed:
        return of.value
    if not words:
        if of.needed:
            raise InputError("this field may not be empty", where=key, expected=of.meaning)
        return None
    if of.kind == "yes or no":
        found = {"true": True, "yes": True, "false": False, "no": False}.get(words.casefold())
        if found is None:
            raise InputError("neither yes nor no", where=key, read=words[:60], expected="yes or no")
        return found
    if of.kind == "count":
        if not words.removeprefix("-").isdecimal():
            raise InputError("not a whole number", where=key, read=words[:60], expected="a whole number")
        return int(words)
    if of.kind == "day":
        try:
            return date.fromisoformat(words)
        except ValueError:
            return words  # the document says what is wrong with it
    if of.kind == "list":
        return [line.strip() for line in words.splitlines() if line.strip()]
    return words


def new_row(plan: Plan, text: str, table: str, typed: Mapping[str, str]) -> tuple[Path, dict[str, Any]]:
    """A new row of a list of tables: where the list stands, and the row's values.

    Raises:
        InputError: no such list, a field that is none, or words that are no value of its kind.
    """
    path = list_path(plan, text, table)
    group = next(g for g in every(section(plan, text, str(path[0]))) if g.path == path)
    depth = len(group.path) + 1
    known = {dotted_key(f.path[depth:]): f for f in group.new}
    row: dict[str, Any] = {}
    for key in typed:
        if key not in known:
            raise InputError("a row of this list has no such field", where=key[:80])
    for key, f in known.items():
        value = typed_value(f, typed.get(key, "").strip(), key)
        if value is not None:
            at = row
            for part in f.path[depth:-1]:
                at = at.setdefault(str(part), {})
            at[str(f.path[-1])] = value
    return group.path, row


def list_path(plan: Plan, text: str, table: str) -> Path:
    """Where a list of tables stands, by its key. Raises InputError where the document has no such list."""
    name = table.split(".", 1)[0]
    group = next((g for g in every(section(plan, text, name)) if g.key == table and g.rows), None)
    if group is None:
        raise InputError("the document has no such list", where=table[:80])
    return group.path


def every(group: Group) -> Iterator[Group]:
    """A table and all within it."""
    yield group
    for inner in group.groups:
        yield from every(inner)


def _bounds(f: Any) -> str:
    """Between what a value must lie, and where it usually does."""
    found = next((m for m in f.metadata if isinstance(m, Bounds)), None)
    if found is None:
        return ""
    usual = f", usually {found.usual[0]} to {found.usual[1]}" if found.usual else ""
    return f"{found.can[0]} to {found.can[1]}{usual}"


def _at(raw: Any, name: str) -> Any:
    return raw.get(name) if isinstance(raw, Mapping) else None


def _words(value: Any) -> str:
    """A value as it is shown in its field."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, list):
        return "\n".join(_words(v) for v in value)
    if isinstance(value, Mapping):
        return ""
    return str(value)


def row_name(row: Any, i: int) -> str:
    """What a row of a list is called: by its own id or name, else by its number."""
    for name in ("id", "name", "figure", "of", "kind", "cure"):
        if isinstance(row, Mapping) and isinstance(row.get(name), str):
            return f"{i + 1}. {row[name]}"
    return f"{i + 1}."
