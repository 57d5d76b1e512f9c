"""A document in one file taken apart into shelf entries and the short job that names them, text as typed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import tree_sitter_toml
from tree_sitter import Language, Node, Parser

from panelmend.document.places import key_path
from panelmend.document.reader import Loaded
from panelmend.document.written import toml_string
from panelmend.errors import InputError
from panelmend.shelves.model import Shelf
from panelmend.shelves.names import file_name

MOVED: dict[str, Shelf] = {"panel": "panels", "data": "data", "bay": "bays", "stores": "stores"}


@dataclass(frozen=True)
class Names:
    """What the entries are called, who types them, and from what."""

    panel: str
    data: str
    bay: str
    stores: str
    typed_by: str
    typed_on: date
    against: str


@dataclass
class TakenApart:
    """A document taken apart: text of each entry by shelf and name, and the text of the job."""

    entries: dict[tuple[Shelf, str], str] = field(default_factory=dict)
    job: str = ""


@dataclass(frozen=True)
class TextBlock:
    """A heading with what stands under it: its path, its lines, and its single fields with their lines."""

    path: tuple[str, ...]
    many: bool
    lines: tuple[str, ...]
    fields: tuple[tuple[str, int, int], ...]

    def without(self, name: str) -> tuple[TextBlock, tuple[str, ...]]:
        """The block without a field, and the lines of that field."""
        for key, first, last in self.fields:
            if key == name:
                kept = (*self.lines[:first], *self.lines[last + 1 :])
                return TextBlock(self.path, self.many, kept, ()), self.lines[first : last + 1]
        return self, ()


def names_for(loaded: Loaded, by: str, on: date) -> Names:
    """Usual names for the entries of a document."""
    d = loaded.document
    repair = d.data.repair.split(":")[0].strip()
    data = f"{d.data.manual.number} rev {d.data.manual.revision} / {repair}"
    bay = f"bay of {d.repair.operator}"
    return Names(
        d.panel.part_number,
        data,
        bay,
        f"stores, {d.repair.work_date}",
        by,
        on,
        f"{loaded.name}, moved as it stood",
    )


def take_apart(loaded: Loaded, names: Names, called: Callable[[str, str], str]) -> TakenApart:
    """Take a document apart.

    Args:
        loaded: the document, as it was read.
        names: what the entries are called.
        called: name of a material's entry, of its id and its text.

    Raises:
        InputError: a section is written in a way that cannot be moved line by line.
    """
    made = TakenApart()
    head, blocks = blocks_of(loaded.text, loaded.name)
    moved: dict[str, list[str]] = {}
    kept: list[str] = []
    material: tuple[str, list[str]] | None = None
    materials: list[tuple[str, list[str]]] = []
    serial, use = loaded.document.panel.serial, ["[use]"]
    for block in blocks:
        top = block.path[0]
        if top == "materials":
            if block.many and len(block.path) == 2:
                material = (_ident(block, loaded.name), [])
                materials.append(material)
            if material is None:
                raise InputError(
                    "materials in one list cannot be moved line by line",
                    where=loaded.name,
                    expected="one [[materials.cloth]] for each",
                )
            material[1].extend(block.lines)
        elif block.path[:2] == ("panel", "earlier_repair"):
            kept.extend(block.lines)
        elif top in MOVED:
            if block.path == ("panel",):
                block, _ = block.without("serial")
                again = _again(block)
                block, earlier = again.without("earlier_repair")
                if earlier:
                    kept.extend(["[panel]", *earlier, ""])
            moved.setdefault(top, []).extend(block.lines)
        else:
            kept.extend(block.lines)
    for top, name in (
        ("panel", names.panel),
        ("data", names.data),
        ("bay", names.bay),
        ("stores", names.stores),
    ):
        if top not in moved:
            continue
        shelf = MOVED[top]
        part = loaded.document.panel.part_number
        more = (f"panels = [{toml_string(part)}]",) if top == "data" else ()
        made.entries[(shelf, name)] = _head(shelf, name, names, *more) + "\n" + _text(moved[top])
        use.append(f"{top} = {toml_string(name)}")
        if top == "panel" and serial:
            use.append(f"serial = {toml_string(serial)}")
    extra = []
    for ident, lines in materials:
        text = _text(lines)
        name = called(ident, text)
        made.entries[("materials", name)] = _head("materials", name, names) + "\n" + text
        extra.append(name)
    if extra:
        use.append(f"materials = [{', '.join(map(toml_string, extra))}]")
    made.job = "\n".join([*head, "panelmend = 2", "", *use, "", _text(kept)])
    return made


def head_text(shelf: Shelf, name: str, by: str, on: date, against: str, *more: str) -> str:
    """The head of an entry as text."""
    lines = [
        "[entry]",
        "form = 1",
        f"shelf = {toml_string(shelf)}",
        f"name = {toml_string(name)}",
        f"typed_by = {toml_string(by)}",
        f"typed_on = {on.isoformat()}",
        f"against = {toml_string(against)}",
        *more,
    ]
    return "\n".join(lines) + "\n"


def _head(shelf: Shelf, name: str, names: Names, *more: str) -> str:
    return head_text(shelf, name, names.typed_by, names.typed_on, names.against, *more)


def _text(lines: list[str]) -> str:
    return "\n".join(lines).strip("\n") + "\n"


def _ident(block: TextBlock, name: str) -> str:
    for key, first, _ in block.fields:
        if key == "id":
            text = block.lines[first].split("=", 1)[1].strip()
            return text.split("#")[0].strip().strip("\"'")
    raise InputError("a material without its id", where=name)


def _again(block: TextBlock) -> TextBlock:
    """The same lines with their fields looked up anew."""
    _, made = blocks_of("\n".join(block.lines) + "\n", "")
    return made[0] if made else block


def blocks_of(text: str, name: str) -> tuple[list[str], list[TextBlock]]:
    """The comments above everything, and each heading with its lines and the comments right above it."""
    lines = text.rstrip("\n").split("\n")
    parser = Parser(Language(tree_sitter_toml.language()))
    root = parser.parse(text.encode("utf8")).root_node
    tables = [n for n in root.children if n.type in ("table", "table_array_element")]
    for node in root.children:
        if node.type == "pair" and key_path(node.children[0])[0] != "panelmend":
            raise InputError(
                "fields above the first heading cannot be moved line by line",
                where=f"{name}, line {node.start_point[0] + 1}",
                expected="each section under its own heading, as in [panel]",
            )
    starts = [_comment_line_above(lines, n.start_point[0]) for n in tables]
    first = starts[0] if starts else len(lines)
    head = [x for x in lines[:first] if x.strip().startswith("#")]
    made = []
    for node, start, end in zip(tables, starts, [*starts[1:], len(lines)], strict=True):
        path = tuple(str(p) for p in key_path(next(c for c in node.children if c.type.endswith("key"))))
        fields = tuple(
            (str(key_path(c.children[0])[0]), c.start_point[0] - start, c.end_point[0] - start)
            for c in _pairs(node)
        )
        made.append(TextBlock(path, node.type == "table_array_element", tuple(lines[start:end]), fields))
    return head, made


def _pairs(node: Node) -> Iterator[Node]:
    yield from (c for c in node.children if c.type == "pair")


def _comment_line_above(lines: list[str], at: int) -> int:
    """Where the comments begin that stand right above a heading."""
    while at > 0 and lines[at - 1].strip().startswith("#"):
        at -= 1
    return at


def entry_file(shelf: Shelf, name: str) -> str:
    """The path of an entry's file below the shelves."""
    return f"{shelf}/{file_name(name)}"


def plain_contents(raw: dict[str, Any]) -> dict[str, Any]:
    """What an entry says beside its head."""
    return {k: v for k, v in raw.items() if k != "entry"}
