"""Panels, materials, bays and practice typed by form: every field of an entry, and what it would say.

An entry that stands is changed value by value and keeps every other byte of its text; a new one is written
whole. Who typed stands with each table that was changed, so that nobody signs off what they typed.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, get_origin

from panelmend.app.inputs import OUTLINES, Group, Input, every, field_group, typed_value
from panelmend.app.shelf_typing import FieldRefused
from panelmend.document.fields import inner_model, wrapper
from panelmend.document.model import Document
from panelmend.document.people import is_name
from panelmend.document.places import Path
from panelmend.document.wording import value_at
from panelmend.document.written import literal, written
from panelmend.errors import InputError
from panelmend.materials.quantities import Typed
from panelmend.shelves.contents import refuse_contents
from panelmend.shelves.differ import Differing, differing
from panelmend.shelves.entry import CONTENTS, HEAD_FOR, OWN, ShelfEntry, read_entry
from panelmend.shelves.model import EntryFile, Shelf
from panelmend.shelves.parts import parts_of
from panelmend.shelves.split import entry_file, head_text

BY_FORM: tuple[Shelf, ...] = ("panels", "materials", "bays", "practice")
MOST_ROOM = 12  # empty rows at the end of each list
HEAD = "entry"
_HEAD_FIELDS = ("revision", "valid_from", "valid_until", "supersedes")
_DEEP = 3  # absent tables are offered down to here
PAIRS = "pairs"  # a field of keys with values: "key = value" in each line


@dataclass(frozen=True)
class Would:
    """An entry as it would be, what differs from before, and how typed quantities are read, by field."""

    entry: ShelfEntry
    differs: tuple[Differing, ...]
    read_as: dict[str, str]


def fields_of(shelf: Shelf, raw: Mapping[str, Any], room: int) -> tuple[Group, ...]:
    """Every table of an entry with its fields, each list with empty rows at its end.

    Args:
        shelf: which shelf it stands on; one of BY_FORM.
        raw: the entry as it stands; {} for a new one.
        room: how many empty rows.

    Raises:
        InputError: entries of this shelf are not typed in this way.
    """
    if shelf not in BY_FORM:
        raise InputError(
            "entries of this shelf are not typed in this way", read=shelf, expected=", ".join(BY_FORM)
        )
    made = []
    for name in (HEAD, *CONTENTS[shelf]):
        carrier: type[Typed] = EntryFile if name in (HEAD, "practice") else Document
        model, many = inner_model(carrier.model_fields[name].annotation)
        assert model is not None, "every section is a table"
        at = raw.get(name)
        if many:
            at = [*(_roomy(model, r, room, 1) for r in at or ()), *(_empty(model) for _ in range(room))]
        else:
            at = _roomy(model, at, room, 1) if name != HEAD else at
        group = field_group(lambda above, field: (), carrier, {name: at}, (), name, 0)
        made.append(_of_the_shelf(shelf, name, _with_pairs(group, {name: at})))
    return tuple(made)


def typed_entry(
    entry: ShelfEntry, typed: Mapping[str, str], room: int, by: str, on: date, place: str
) -> Would:
    """The entry with fields as they were typed; nothing is written.

    Args:
        entry: as it was shown.
        typed: words by field; "" takes one out. What is not there stays as it is.
        room: how many empty rows the form had.
        by: who typed them.
        on: the day.
        place: from which paper, and where in it.

    Raises:
        FieldRefused: words that are no value, with their field.
        InputError: who or what paper is not named; a field that cannot be written where it stands.
        DocumentError: the entry would have faults.
    """
    _refuse_nobody(by, place)
    values, read_as = _values(fields_of(entry.head.shelf, entry.raw, room), typed)
    changes = {
        p: v for p, v in _changes(entry.raw, values).items() if v is not None or _has_value(entry.raw, p)
    }
    text = written(entry.text, changes)
    between = read_entry(text.encode("utf8"), entry.file, entry.head.shelf)
    before = {(p.name, p.digest) for p in parts_of(entry)}
    for table in dict.fromkeys(p.table for p in parts_of(between) if (p.name, p.digest) not in before):
        text = _with_record(text, table, by, on, place)
    made = read_entry(text.encode("utf8"), entry.file, entry.head.shelf)
    refuse_contents(made)
    return Would(made, _differing(entry.raw, made.raw), read_as)


def new_entry(
    shelf: Shelf, name: str, typed: Mapping[str, str], room: int, by: str, on: date, against: str
) -> Would:
    """A new entry of fields as they were typed; nothing is written. Raises as :func:`typed_entry`."""
    _refuse_nobody(by, against)
    values, read_as = _values(fields_of(shelf, {}, room), typed)
    raw = _nested({p: v for p, v in values.items() if v is not None})
    head = raw.pop(HEAD, {})
    lines = [f"{k} = {literal(v)}" for k, v in head.items()]
    text = head_text(shelf, name, by, on, against, *lines)
    for section, value in raw.items():
        text += "\n" + "\n".join(_section(section, value)) + "\n"
    made = read_entry(text.encode("utf8"), entry_file(shelf, name), shelf)
    refuse_contents(made)
    return Would(made, _differing({}, made.raw), read_as)


def _refuse_nobody(by: str, place: str) -> None:
    if not is_name(by):
        raise InputError("this is not a name", where="by", read=by[:60], expected="who types it")
    if not place.strip():
        raise InputError(
            "what is typed names its paper", where="place", expected="drawing D-1 issue A, note 3"
        )


def _differing(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[Differing, ...]:
    """What differs beside the records of who typed."""
    plain = [
        {**raw, HEAD: {k: v for k, v in raw.get(HEAD, {}).items() if k != "table"}} for raw in (before, after)
    ]
    return differing(plain[0], plain[1])


def _roomy(model: type[Typed], raw: Any, room: int, deep: int) -> Any:
    """A table with empty rows at the end of each of its lists, and absent tables that hold lists."""
    if not isinstance(raw, Mapping) and raw is not None:
        return raw
    made = dict(raw or {})
    for name, f in model.model_fields.items():
        inner, many = inner_model(f.annotation)
        if inner is None or name in OUTLINES or wrapper(f.annotation) is not None:
            continue
        at = made.get(name)
        if many and (at is None or isinstance(at, list)):
            rows = [_roomy(inner, r, room, deep + 1) for r in at or ()]
            made[name] = [*rows, *(_empty(inner) for _ in range(room))]
        elif isinstance(at, Mapping) or (at is None and deep < _DEEP and _holds_lists(inner)):
            made[name] = _roomy(inner, at, room, deep + 1)
    return made


def _empty(model: type[Typed]) -> dict[str, Any]:
    """An empty row with the tables that a row of its kind needs, so that their fields are shown."""
    found = ((n, inner_model(f.annotation)) for n, f in model.model_fields.items() if f.is_required())
    return {name: {} for name, (inner, many) in found if inner is not None and not many}


def _holds_lists(model: type[Typed]) -> bool:
    return any(
        many and m is not None for m, many in (inner_model(f.annotation) for f in model.model_fields.values())
    )


def _of_the_shelf(shelf: Shelf, name: str, group: Group) -> Group:
    """Without what the tool writes, what belongs to another shelf, and what one repair has of its own."""
    if name == HEAD:
        kept = {*_HEAD_FIELDS, *(k for k, shelves in HEAD_FOR.items() if shelf in shelves)} - {
            "table",
            "signed",
        }
    else:
        every_one = [str(f.path[-1]) for f in group.inputs] + [str(g.path[1]) for g in group.groups]
        kept = set(every_one) - {k for t, k in OWN if t == name}
    return replace(
        group,
        inputs=tuple(f for f in group.inputs if f.path[1] in kept),
        groups=tuple(g for g in group.groups if not isinstance(g.path[1], str) or g.path[1] in kept),
    )


def _with_pairs(group: Group, raw: Mapping[str, Any]) -> Group:
    """The fields of keys and values as lines of "key = value"."""
    inputs = []
    for f in group.inputs:
        at = value_at(raw, f.path)
        if isinstance(at, Mapping) or _is_pairs(f):
            words = "\n".join(f"{k} = {_listed(v)}" for k, v in (at or {}).items())
            f = replace(f, kind=PAIRS, typed=words, value=at)
        inputs.append(f)
    return replace(group, inputs=tuple(inputs), groups=tuple(_with_pairs(g, raw) for g in group.groups))


def _is_pairs(f: Input) -> bool:
    return f.path[0] == "practice" and f.path[-1] in _PAIRS


def _pairs_in(model: Any) -> Iterator[str]:
    for name, f in model.model_fields.items():
        inner, _ = inner_model(f.annotation)
        if inner is not None:
            yield from _pairs_in(inner)
        elif get_origin(f.annotation) is dict:
            yield name


_PAIRS = frozenset(_pairs_in(inner_model(EntryFile.model_fields["practice"].annotation)[0]))


def _listed(value: Any) -> str:
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def _pairs(f: Input, words: str) -> dict[str, Any] | None:
    made: dict[str, Any] = {}
    for line in filter(None, map(str.strip, words.splitlines())):
        key, sign, value = (x.strip() for x in line.partition("="))
        if not (key and sign and value) or key in made:
            raise InputError(
                "each line is one key with its value", where=f.key, read=line[:60], expected="key = value"
            )
        made[key] = [x.strip() for x in value.split(",") if x.strip()] if f.path[-1] == "materials" else value
    return made or None


def _values(groups: tuple[Group, ...], typed: Mapping[str, str]) -> tuple[dict[Path, Any], dict[str, str]]:
    """Values by path, and how quantities are read."""
    from panelmend.app.changing import read_as

    known = {f.key: f for top in groups for g in every(top) for f in g.inputs}
    made: dict[Path, Any] = {}
    for key, words in typed.items():
        f, words = known.get(key), words.strip()
        if f is None:
            raise InputError("the entry has no such field", where=key[:80])
        if words == f.typed:
            continue
        try:
            made[f.path] = (
                _pairs(f, words) if f.kind == PAIRS else typed_value(replace(f, needed=False), words, key)
            )
        except InputError as error:
            raise FieldRefused(error.words, where=key, read=error.read, expected=error.expected) from None
    said = {k: read_as(w.strip(), known[k].kind) for k, w in typed.items()}
    return made, {k: v for k, v in said.items() if v}


def _has_value(raw: Any, path: Path) -> bool:
    return value_at(raw, path) is not None


def _changes(raw: Mapping[str, Any], values: Mapping[Path, Any]) -> dict[Path, Any]:
    """Changes as they can be written: what goes into a table or row not there yet goes in with it."""
    changes: dict[Path, Any] = {}
    new: dict[Path, dict[Path, Any]] = {}
    for path, value in values.items():
        depth = next((i for i in range(1, len(path)) if not _has_value(raw, path[:i])), len(path))
        if depth == len(path):
            changes[path] = value
        elif value is not None:
            new.setdefault(path[:depth], {})[path[depth:]] = value
    counts: dict[Path, int] = {}
    for root in sorted(new, key=lambda p: [str(x).zfill(4) for x in p]):
        value = _nested(new[root])
        if isinstance(root[-1], int):  # a row: behind those that are there
            above = root[:-1]
            at = counts.setdefault(above, len(value_at(raw, above)))
            counts[above] += 1
            changes[(*above, at)] = value
        elif isinstance(value, list) and not any(isinstance(p, int) for p in root):
            changes |= {(*root, i): row for i, row in enumerate(value)}
        elif len(root) == 1:
            changes |= {(*root, k): v for k, v in value.items()}
        else:
            changes[root] = value
    return changes


def _nested(values: Mapping[Path, Any]) -> Any:
    """Values by path as tables in tables; rows in their order, without the empty ones between."""
    tree: dict[Any, Any] = {}
    for path, value in values.items():
        at = tree
        for part in path[:-1]:
            at = at.setdefault(part, {})
        at[path[-1]] = value
    return _closed(tree)


def _closed(tree: Any) -> Any:
    if not isinstance(tree, dict):
        return tree
    if tree and all(isinstance(k, int) for k in tree):
        return [_closed(tree[k]) for k in sorted(tree)]
    return {k: _closed(v) for k, v in tree.items()}


def _section(name: str, value: Any) -> Iterator[str]:
    if isinstance(value, list):
        for row in value:
            yield f"[[{name}]]"
            yield from (f"{k} = {literal(v)}" for k, v in row.items())
            yield ""
        return
    lists = {k: v for k, v in value.items() if isinstance(v, list) and v and isinstance(v[0], dict)}
    if len(lists) < len(value):
        yield f"[{name}]"
        yield from (f"{k} = {literal(v)}" for k, v in value.items() if k not in lists)
        yield ""
    for key, rows in lists.items():
        yield from _section(f"{name}.{key}", rows)


def _with_record(text: str, table: str, by: str, on: date, place: str) -> str:
    """The text with who typed something of a table; an earlier record by another stays, the same once."""
    rows = tomllib.loads(text)[HEAD].get("table", [])
    mine = {"table": table, "by": by, "place": place, "on": on}
    if mine in rows:
        return text
    lines = [f"{k} = {json.dumps(v, ensure_ascii=False)}" for k, v in mine.items() if k != "on"]
    return "\n".join([text.rstrip(), "", "[[entry.table]]", *lines, f"on = {on.isoformat()}", ""])
