"""Tables of the approved data from which the measured damage chooses one row: no two hold, none is left out.

An edge belongs to one row and to one only: ``over`` and ``up_to``, or ``at_least`` and ``below``. Sizes are
compared to the nanometre (areas to the square micrometre), so that 2 in and 50.8 mm are one edge.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise, product
from typing import Any, Literal

from panelmend.document.approved import ApprovedData
from panelmend.document.fault import Fault, fault_at
from panelmend.document.fields import choices, inner_model, wrapper
from panelmend.document.given import Given
from panelmend.document.panel import Damage
from panelmend.document.places import Path
from panelmend.document.wording import not_a_choice, shown
from panelmend.errors import InputError
from panelmend.shelves.model import EntryFile, Row, Table
from panelmend.units import read, show

RANGED = {"largest": "length", "area": "area", "core_depth": "length", "plies": ""}
_FINE = {"length": 1e9, "area": 1e12, "": 1.0}
_EDGES = ("over", "at_least", "up_to", "below")
WORDS = {
    "largest": "largest dimension",
    "area": "area",
    "core_depth": "depth of core damage",
    "plies": "damaged plies",
    "depth": "depth",
    "side": "side",
    "zone": "zone",
}
# What sizes are measured by: a row chosen by size cannot change it.
_MEASURES = (("limits", "resolution"), ("limits", "merge_distance"))
NO_UPPER_END = 2**62

Worded = Literal["depth", "side", "zone"]
WORDED: tuple[Worded, ...] = ("depth", "side", "zone")


@dataclass(frozen=True)
class DamageMeasured:
    """What a table may ask of a damage: words, a count, sizes [m, m2]; None where it is not known."""

    depth: str
    side: str
    zone: str = ""
    plies: int | None = None
    largest: float | None = None
    area: float | None = None
    core_depth: float | None = None


@dataclass(frozen=True)
class WholeSpan:
    """A range as whole numbers, so that edges compare exactly: a value v lies at 2v, behind it is 2v + 1."""

    first: int
    end: int

    def holds(self, at: int) -> bool:
        """Whether a value, in fine steps, lies in it."""
        return self.first <= 2 * at < self.end


@dataclass(frozen=True)
class Chosen:
    """The row a table gave: which table and row, its data, and by what, in words."""

    table: int
    row: int
    data: dict[str, Any]
    words: str


def ranged_of(table: Table) -> str:
    """The size or count a table goes by, "" for none."""
    return next((b for b in table.by if b in RANGED), "")


def steps(value: float, kind: str) -> int:
    """A value in the fine steps that edges are compared by."""
    return round(value * _FINE[kind])


def table_faults(entry: EntryFile, raw: Mapping[str, Any]) -> Iterator[Fault]:
    """Everything wrong with the tables of an entry: rows that overlap, gaps, edges that cannot be."""
    base = raw.get("data")
    given = {path for path, _ in leaves(base)} if isinstance(base, dict) else set()
    set_by: dict[Path, int] = {}
    for i, table in enumerate(entry.choose):
        yield from _table(table, i)
        for j, row in enumerate(table.row):
            for path, _ in leaves(row.data):
                at: Path = ("choose", i, "row", j, "data", *path)
                if ranged_of(table) in ("largest", "area") and path in _MEASURES:
                    yield fault_at(
                        at,
                        "a row chosen by size cannot change how sizes are measured",
                        ".".join(map(str, path)),
                        "it under [data]",
                    )
                twice = _nested_with_any(path, given)
                if twice:
                    yield fault_at(
                        at,
                        "this stands in a row and outside of it",
                        f"data.{'.'.join(map(str, path))}",
                        "it in the rows alone, or under [data] alone",
                    )
                for other, owner in set_by.items():
                    if owner != i and _nested_with_any(path, {other}):
                        yield fault_at(
                            at,
                            "two tables say this",
                            f"data.{'.'.join(map(str, path))}, also in '{entry.choose[owner].title}'",
                            "one table to say it",
                        )
                        break
            for path, _ in leaves(row.data):
                set_by.setdefault(path, i)


def _nested_with_any(path: Path, others: set[Path]) -> bool:
    return any(path[: len(o)] == o or o[: len(path)] == path for o in others)


def leaves(data: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Every value of a partial table of data: an approved value or a list is one."""
    if isinstance(data, dict) and data and not ("value" in data and path):
        for key, inner in data.items():
            yield from leaves(inner, (*path, key))
    else:
        yield path, data


def _table(table: Table, i: int) -> Iterator[Fault]:
    at: Path = ("choose", i)
    ranged = [b for b in table.by if b in RANGED]
    if len(set(table.by)) != len(table.by) or len(ranged) > 1:
        yield fault_at(
            (*at, "by"),
            "a table is chosen by each thing once, and by one size or count at most",
            ", ".join(table.by),
            "such as depth and largest",
        )
        return
    found: list[Fault] = []
    spans: list[WholeSpan] = []
    for j, row in enumerate(table.row):
        found += _words(table, row, (*at, "row", j))
        faults, span = span_of(ranged_of(table), row, (*at, "row", j))
        found += faults
        spans.append(span)
    yield from found or _joined(table, spans, at)


def _words(table: Table, row: Row, at: Path) -> Iterator[Fault]:
    """What is wrong with the words that a row is chosen by."""
    for name in WORDED:
        words = getattr(row, name)
        if bool(words) != (name in table.by):
            yield fault_at(
                at,
                f"the table is chosen by {', '.join(table.by)}",
                f"{'a' if words else 'no'} {name} in this row",
                f"{'no ' if words else ''}{name} in each row",
            )
        permitted = () if name == "zone" else choices(Damage.model_fields[name].annotation)
        for k, word in enumerate(words if permitted else ()):
            if word not in permitted:
                yield (*at, name, k), not_a_choice(word, list(permitted))
        if len(set(words)) != len(words):
            yield fault_at((*at, name), "a word is given twice", ", ".join(words), "each once")


def span_of(by: str, row: Row, at: Path) -> tuple[list[Fault], WholeSpan]:
    """What is wrong with the edges of a row, and the range that they hold."""
    given = [e for e in _EDGES if getattr(row, e) is not None]
    if not by:
        if given:
            return [
                fault_at((*at, given[0]), "this table is chosen by no size", given[0], "no edge")
            ], WholeSpan(0, NO_UPPER_END)
        return [], WholeSpan(0, NO_UPPER_END)
    if {"over", "at_least"} <= set(given) or {"up_to", "below"} <= set(given):
        return [
            fault_at(at, "an edge is given twice", ", ".join(given), "one lower and one upper edge")
        ], WholeSpan(0, 0)
    if not {"up_to", "below"} & set(given):
        return [
            fault_at(
                at,
                "the row has no upper edge",
                "nothing",
                'up_to = "..." (with the edge) or below = "..." (without it)',
                "what lies beyond the table is beyond the data",
            )
        ], WholeSpan(0, 0)
    kind = RANGED[by]
    ends = {}
    for edge in given:
        try:
            ends[edge] = _edge(getattr(row, edge), kind)
        except InputError as error:
            return [((*at, edge), error)], WholeSpan(0, 0)
    whole = not kind  # of counts the next one follows: over 2 is at least 3
    first = 2 * ends["at_least"] if "at_least" in ends else 0
    if "over" in ends:
        first = 2 * (ends["over"] + 1) if whole else 2 * ends["over"] + 1
    end = 2 * ends["up_to"] + (2 if whole else 1) if "up_to" in ends else 2 * ends["below"]
    if first >= end:
        return [fault_at(at, "the row holds nothing", _range(row), "the smaller edge first")], WholeSpan(0, 0)
    return [], WholeSpan(first, end)


def _edge(value: Any, kind: str) -> int:
    if not kind:
        if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= 1000:
            raise InputError("not a count of plies", read=shown(value), expected="a whole number from 0")
        return value
    number = read(value, kind)
    if number < 0:
        raise InputError("must not be negative", read=shown(value), expected="zero or more")
    if not math.isfinite(number) or number > 1000.0:
        raise InputError("no panel is as large as this", read=shown(value), expected="at most 1000 m")
    return steps(number, kind)


def _range(row: Row) -> str:
    words = {"over": "over", "at_least": "at least", "up_to": "up to", "below": "below"}
    return " ".join(f"{words[e]} {getattr(row, e)}" for e in _EDGES if getattr(row, e) is not None)


def _cells(table: Table, row: Row) -> set[tuple[str, ...]]:
    return set(product(*(getattr(row, name) for name in WORDED if name in table.by)))


def _joined(table: Table, spans: list[WholeSpan], at: Path) -> Iterator[Fault]:
    """Rows that overlap and rows with a gap between them, for each combination of words."""
    said: set[tuple[int, int]] = set()
    cells = [_cells(table, row) for row in table.row]
    for cell in sorted(set().union(*cells)):
        inside = sorted(
            (i for i, c in enumerate(cells) if cell in c), key=lambda i: (spans[i].first, spans[i].end)
        )
        for a, b in pairwise(inside):
            pair = (min(a, b), max(a, b))
            if pair in said or spans[b].first == spans[a].end:
                continue
            said.add(pair)
            how = "overlap" if spans[b].first < spans[a].end else "leave a gap between them"
            for_words = f" for {', '.join(cell)}" if cell else ""
            yield fault_at(
                (*at, "row", b),
                f"rows {a + 1} and {b + 1} {how}{for_words}",
                f"{_range(table.row[a]) or 'all'}; {_range(table.row[b]) or 'all'}",
                "every size in one row: an edge with up_to in the one and over in the other, "
                "or below and at_least",
            )
        # a long row may overlap more than its neighbour
        furthest = 0
        for i in inside:
            if spans[i].first < furthest and not any(i in p for p in said):
                yield fault_at(
                    (*at, "row", i), f"row {i + 1} overlaps another", _range(table.row[i]), "one row"
                )
            furthest = max(furthest, spans[i].end)


def choose_rows(
    entry: EntryFile, measured: DamageMeasured, view: str, tables: tuple[int, ...]
) -> tuple[list[Chosen], list[Fault]]:
    """The row of each table that holds the damage, and a fault for each table where none does."""
    made: list[Chosen] = []
    found: list[Fault] = []
    for i in tables:
        table = entry.choose[i]
        words = measured_words(table, measured, view)
        missing = [b for b in table.by if getattr(measured, b) in (None, "")]
        if missing:
            found.append(
                fault_at(
                    ("choose", i),
                    f"'{table.title}' cannot be read: the {WORDS[missing[0]]} is not known",
                    "nothing",
                    _wanted(missing[0], table),
                )
            )
            continue
        held = [j for j, row in enumerate(table.row) if _row_fits(table, row, measured)]
        if len(held) != 1:
            ends = "; ".join(dict.fromkeys(row_words(table, r) for r in table.row))
            found.append(
                fault_at(
                    ("choose", i),
                    f"no row of '{table.title}' holds this damage: it is beyond the approved data",
                    words,
                    f"one of: {ends}",
                    "stop, and ask the engineer responsible for what the approved data does not cover",
                )
            )
            continue
        row = table.row[held[0]]
        where = row.place or table.place
        made.append(
            Chosen(
                i,
                held[0],
                row.data,
                f"{table.title}: row {held[0] + 1} ({row_words(table, row)}; {where}) by {words}",
            )
        )
    return made, found


def _wanted(name: str, table: Table) -> str:
    if name == "zone":
        zones = sorted({z for row in table.row for z in row.zone})
        return f"zone under [use]: {' or '.join(map(shown, zones))}"
    return {"plies": "damage.plies", "core_depth": "damage.core_depth"}.get(name, "damage.shape or a survey")


def row_words(table: Table, row: Row) -> str:
    """What a row is for, in words."""
    words = [", ".join(getattr(row, name)) for name in WORDED if name in table.by]
    by = ranged_of(table)
    return "; ".join([*words, *([f"{WORDS[by]} {_range(row)}"] if by else [])])


def measured_words(table: Table, measured: DamageMeasured, view: str) -> str:
    """What a table goes by, of a damage, in words; sizes in the units of the reader."""
    words = []
    for by in table.by:
        value = getattr(measured, by)
        kind = RANGED.get(by, "")
        words.append(f"{WORDS[by]} {show(value, kind, view) if kind and value is not None else value}")
    return ", ".join(words)


def _row_fits(table: Table, row: Row, measured: DamageMeasured) -> bool:
    if any(getattr(measured, name) not in getattr(row, name) for name in WORDED if name in table.by):
        return False
    by = ranged_of(table)
    if not by:
        return True
    _, span = span_of(by, row, ())
    return span.holds(steps(getattr(measured, by), RANGED[by]))


def placed(data: dict[str, Any], place: str) -> dict[str, Any]:
    """The data of a row with the table's place at each approved value that gives none of its own."""

    def walk(value: Any, model: Any) -> Any:
        if not isinstance(value, dict):
            return value
        made = {}
        for key, inner in value.items():
            field = getattr(model, "model_fields", {}).get(key)
            annotation = field.annotation if field is not None else None
            given = wrapper(annotation) if annotation is not None else None
            if given is not None and issubclass(given, Given):
                if not (isinstance(inner, dict) and "value" in inner):
                    inner = {"value": inner, "place": place}
                elif "place" not in inner:
                    inner = {**inner, "place": place}
                made[key] = inner
            else:
                made[key] = walk(inner, _table_of(annotation))
        return made

    return dict(walk(data, ApprovedData))


def _table_of(annotation: Any) -> Any:
    return inner_model(annotation)[0] if annotation is not None else None
