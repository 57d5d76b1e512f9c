"""A table of the manual typed or pasted as CSV, and the same table as text of an entry."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from panelmend.document.approved import ApprovedData, Cure, Segment
from panelmend.document.fields import choices, inner_model, is_list, plain_kind, quantity_kind, wrapper
from panelmend.document.ply_kinds import PLY_KIND
from panelmend.document.wording import did_you_mean, not_a_choice, shown
from panelmend.document.written import toml_string
from panelmend.errors import InputError
from panelmend.units import read

LARGEST_TABLE = 1_000_000
MOST_ROWS = 2000
FLAT = (
    "limits",
    "cutout",
    "core",
    "resin",
    "surface",
    "bag",
    "drying",
    "preparation",
    "inspection",
    "finishing",
    "interruption",
)
TABLES = (*FLAT, "plies", "cure")
ROLES = tuple(PLY_KIND)
EDGES = ("over", "at_least", "up_to", "below")
CURE_FIELDS = (
    "lays",
    "place",
    "ceiling",
    "control",
    "release_below",
    "thermocouples_least",
    "spread_most",
    "vacuum",
    "heated_by",
)
# Where a decimal comma parted a number: what stands before it, and what then stands as the place.
_CUT = (re.compile(r"[+-]?\d+"), re.compile(r'\d+\s*[A-Za-z%°/"]{0,6}'))
_PLAIN = re.compile(r"[+-]?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?")
SEGMENT_FIELDS = ("kind", "to", "rate_least", "rate_most", "rate", "low", "high", "least", "most")


@dataclass(frozen=True)
class Cells:
    """One row of a CSV: its line in the file and its cells by column."""

    line: int
    cells: dict[str, str]
    name: str
    heading: int = 1

    def wrong(
        self, words: str, read_: str, expected: str, todo: str = "", *, heading: bool = False
    ) -> InputError:
        """A refusal at this line, or at that of the heading."""
        where = f"{self.name}, line {self.heading if heading else self.line}"
        return InputError(words, where=where, read=read_, expected=expected, todo=todo)

    def get(self, column: str) -> str:
        """The cell of a column, "" where there is none."""
        return self.cells.get(column, "")


def csv_rows(data: bytes, name: str) -> tuple[Cells, ...]:
    """The rows of a CSV with a heading; columns apart by comma, semicolon or TAB.

    Raises:
        InputError: no text, no heading, a row with more cells than the heading, or too many of them.
    """
    if len(data) > LARGEST_TABLE:
        raise InputError(
            "the file is too large", where=name, read=f"{len(data):,} bytes", expected="one table"
        )
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise InputError(
            "the file is not UTF-8 text", where=f"{name}, line {line}", todo="save it as UTF-8"
        ) from None
    if "\0" in text:
        raise InputError("a hidden character in the text", where=name, todo="save it as plain CSV")
    first = next((x for x in text.splitlines() if x.strip()), "")
    apart = max("\t;,", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=apart, strict=True)
    made: list[Cells] = []
    heading, at = list[str](), 1
    try:
        for cells in reader:
            cells = [c.strip() for c in cells]
            if not any(cells):
                continue
            if not heading:
                heading, at = [c.casefold().replace(" ", "_") for c in cells], reader.line_num
                continue
            if len(cells) > len(heading) and any(cells[len(heading) :]):
                raise InputError(
                    "more cells than columns",
                    where=f"{name}, line {reader.line_num}",
                    read=f"{len(cells)}",
                    expected=f"{len(heading)}: {', '.join(heading)}",
                    todo="put a cell with a comma in quotation marks",
                )
            row = {h: c for h, c in zip(heading, cells, strict=False) if h and c}
            made.append(Cells(reader.line_num, row, name, at))
    except csv.Error as error:
        raise InputError(f"not CSV: {error}", where=f"{name}, line {reader.line_num}") from None
    twice = sorted({h for h in heading if h and heading.count(h) > 1})
    if twice:
        raise InputError("two columns have one name", where=f"{name}, line {at}", read=", ".join(twice))
    if not made:
        raise InputError("no rows below the heading", where=name, read=", ".join(heading) or "nothing")
    if len(made) > MOST_ROWS:
        raise InputError(
            "too many rows", where=name, read=f"{len(made):,}", expected=f"at most {MOST_ROWS:,}"
        )
    return tuple(made)


def table_text(table: str, rows: tuple[Cells, ...], place: str) -> str:
    """A table of the data as text of an entry.

    Args:
        table: which one, of :data:`TABLES`.
        rows: its rows.
        place: its place in the manual, for every row that gives none.

    Raises:
        InputError: a column or value that has no place in this table, with its line.
    """
    if table == "plies":
        return _plies(rows, place)
    if table == "cure":
        return _cures(rows, place)
    return _flat(table, rows, place)


def _columns(rows: tuple[Cells, ...], known: tuple[str, ...], needed: tuple[str, ...]) -> None:
    for row in rows:
        for column in row.cells:
            if column not in known:
                near = did_you_mean(column, list(known))
                raise row.wrong("unknown column", column, ", ".join(known), near, heading=True)
        for column in needed:
            if not row.get(column):
                raise row.wrong(f"no {column} in this row", "an empty cell", f"a {column}")


def _flat(table: str, rows: tuple[Cells, ...], place: str) -> str:
    model = ApprovedData.model_fields[table].annotation
    fields = {
        n: f for n, f in getattr(model, "model_fields", {}).items() if wrapper(f.annotation) is not None
    }
    _columns(rows, ("field", "value", "place"), ("field", "value"))
    lines, seen = [f"[data.{table}]"], set()
    for row in rows:
        name = row.get("field").replace(" ", "_")
        if name not in fields:
            raise row.wrong(
                f"the table '{table}' has no such field",
                shown(name),
                ", ".join(fields),
                did_you_mean(name, list(fields)),
            )
        if name in seen:
            raise row.wrong("this field is given twice", shown(name), "each once")
        seen.add(name)
        given = wrapper(fields[name].annotation)
        if _CUT[0].fullmatch(row.get("value")) and _CUT[1].fullmatch(row.get("place")):
            raise row.wrong(
                "this reads like one number with a decimal comma, cut in two",
                f"value {row.get('value')}, place {row.get('place')}",
                "a cell with a comma in quotation marks, or ; between the columns",
                "where it is the place, say what it is: page 5",
            )
        value = _value(row, "value", given.model_fields["value"])
        lines.append(f"{name} = {{ value = {value}, place = {toml_string(row.get('place') or place)} }}")
    return "\n".join(lines) + "\n"


def _value(row: Cells, column: str, field: Any) -> str:
    """A cell as TOML, by the kind of its field."""
    cell, annotation = row.get(column), field.annotation
    kind, permitted = quantity_kind(field), choices(annotation)
    if inner_model(annotation)[0] is not None:
        raise row.wrong("this is typed in the entry itself: it is a table", cell, "a field with one value")
    if kind and kind not in ("point", "day"):
        try:
            read(cell, kind) if kind != "ratio" or not _bare(cell) else read(float(cell), kind)
        except InputError as error:
            raise row.wrong(error.words, error.read, error.expected, error.todo) from None
        return cell if kind == "ratio" and _bare(cell) else toml_string(cell)
    if permitted:
        words = [w.strip() for w in cell.replace(";", ",").split(",")] if is_list(annotation) else [cell]
        for word in words:
            if word not in permitted:
                no = not_a_choice(word, list(permitted))
                raise row.wrong(no.words, no.read, no.expected, no.todo)
        quoted = ", ".join(map(toml_string, words))
        return f"[{quoted}]" if is_list(annotation) else quoted
    return _plain(row, column, plain_kind(annotation))


def _plain(row: Cells, column: str, kind: str) -> str:
    cell = row.get(column)
    if kind == "count":
        if not cell.isascii() or not cell.isdigit():
            raise row.wrong("not a whole number", shown(cell), "a whole number")
        return str(int(cell))
    if kind == "yes or no":
        said = {"true": "true", "yes": "true", "false": "false", "no": "false"}.get(cell.casefold())
        if said is None:
            raise row.wrong("neither yes nor no", shown(cell), "yes or no")
        return said
    return toml_string(cell)


def _bare(cell: str) -> bool:
    """Whether it is a number as the text of an entry has them: .9 and 05 are not."""
    return bool(_PLAIN.fullmatch(cell))


def _plies(rows: tuple[Cells, ...], place: str) -> str:
    """Plies in the order of the manual; with columns for size, depth or zone a table that is chosen from."""
    words = ("depth", "zone")
    _columns(
        rows,
        ("side", "role", "cloth", "warp", "place", *words, "by", *EDGES),
        ("side", "role", "cloth", "warp"),
    )
    for row in rows:
        for column, permitted in (("side", ("outside", "inside")), ("role", ROLES)):
            if row.get(column) not in permitted:
                error = not_a_choice(row.get(column), list(permitted))
                raise row.wrong(error.words, error.read, error.expected, error.todo)
        try:
            read(row.get("warp"), "angle")
        except InputError as error:
            raise row.wrong(error.words, error.read, error.expected, error.todo) from None
    by = [w for w in words if any(r.get(w) for r in rows)]
    ranged = {r.get("by") for r in rows if r.get("by")}
    edged = any(r.get(e) for r in rows for e in EDGES)
    if len(ranged) > 1 or (edged and len(ranged) != 1) or (ranged and not edged):
        raise rows[0].wrong(
            "a table goes by one size or count",
            ", ".join(sorted(ranged)) or "nothing",
            "a column 'by' with largest, area, core_depth or plies, and edges: over, at_least, up_to, below",
        )
    by += sorted(ranged)
    if not by:
        return _sides(rows, place, lambda side: f"[data.plies.{side}]\n")
    groups: dict[tuple[str, ...], list[Cells]] = {}
    for row in rows:
        groups.setdefault(tuple(row.get(c) for c in (*words, *EDGES)), []).append(row)
    title = f"Plies by {' and '.join(by)}"
    lines = [
        "[[choose]]",
        f"title = {toml_string(title)}",
        f"place = {toml_string(place)}",
        f"by = [{', '.join(map(toml_string, by))}]",
    ]
    for group in groups.values():
        lines += ["", "[[choose.row]]"]
        first = group[0]
        for word in words:
            if first.get(word):
                several = [w.strip() for w in first.get(word).replace(";", ",").split(",")]
                lines.append(f"{word} = [{', '.join(map(toml_string, several))}]")
        for edge in EDGES:
            if first.get(edge):
                cell = first.get(edge)
                lines.append(
                    f"{edge} = {_plain(first, edge, 'count') if 'plies' in ranged else toml_string(cell)}"
                )
        lines.append(_sides(tuple(group), place, lambda side: "", "data.plies.{side}.").rstrip("\n"))
    return "\n".join(lines) + "\n"


def _sides(rows: tuple[Cells, ...], place: str, heading: Callable[[str], str], prefix: str = "") -> str:
    made = []
    for side in ("outside", "inside"):
        lines = []
        for role in ROLES:
            mine = [r for r in rows if r.get("side") == side and r.get("role") == role]
            if not mine:
                continue
            places = {r.get("place") or place for r in mine}
            if len(places) > 1:
                raise mine[1].wrong(
                    "plies of one role have one place", ", ".join(sorted(places)), "one place"
                )
            plies = [
                f"{{ cloth = {toml_string(r.get('cloth'))}, warp = {toml_string(r.get('warp'))} }}"
                for r in mine
            ]
            if not PLY_KIND[role].many:
                if len(plies) > 1:
                    raise mine[1].wrong(f"there is one {role} ply", f"{len(plies)}", "one")
                value = plies[0]
            else:
                value = f"[ {', '.join(plies)} ]"
            name = prefix.format(side=side) + role
            lines.append(f"{name} = {{ place = {toml_string(places.pop())}, value = {value} }}")
        if lines:
            made.append(heading(side) + "\n".join(lines) + "\n")
    return "\n".join(made)


def _cures(rows: tuple[Cells, ...], place: str) -> str:
    _columns(rows, ("cure", *CURE_FIELDS, *SEGMENT_FIELDS), ("cure", "kind"))
    made: list[str] = []
    done: list[str] = []
    for row in rows:
        name = row.get("cure")
        if name in done:
            if done[-1] != name:
                raise row.wrong(
                    "the segments of a cure stand together", shown(name), "its rows one below the other"
                )
            continue
        done.append(name)
        mine = [r for r in rows if r.get("cure") == name]
        lines = ["[[data.cure]]", f"name = {toml_string(name)}"]
        for column in CURE_FIELDS:
            cell = next((r for r in mine if r.get(column)), None)
            differing = {r.get(column) for r in mine if r.get(column)}
            if len(differing) > 1:
                raise mine[1].wrong(
                    f"two values of {column} for one cure", ", ".join(sorted(differing)), "one"
                )
            if column == "place":
                lines.append(f"place = {toml_string(cell.get('place') if cell is not None else place)}")
            elif cell is not None:
                lines.append(f"{column} = {_value(cell, column, Cure.model_fields[column])}")
        lines.append("segment = [")
        for r in mine:
            cells = [f"{c} = {_value(r, c, Segment.model_fields[c])}" for c in SEGMENT_FIELDS if r.get(c)]
            lines.append(f"  {{ {', '.join(cells)} }},")
        made.append("\n".join([*lines, "]"]) + "\n")
    return "\n".join(made)
