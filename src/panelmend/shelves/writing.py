"""Changing the text of an entry table by table; everything else stays as it was typed."""

from __future__ import annotations

import json
import tomllib
from datetime import date

from panelmend.errors import InputError
from panelmend.shelves.entry import ShelfEntry, read_entry
from panelmend.shelves.split import TextBlock, blocks_of


def with_table(entry: ShelfEntry, table: str, text: str, *, replace: bool) -> str:
    """The text of an entry of data with a table put in.

    Args:
        entry: the entry.
        table: "limits", "plies", "cure", ...
        text: the table as text, with its headings.
        replace: whether a table that is there may be replaced.

    Raises:
        InputError: the table is there and may not be replaced, or is not written under headings of its own.
        DocumentError: the entry would have faults.
    """
    chosen = text.startswith("[[choose]]")
    head, blocks = blocks_of(entry.text, entry.file)
    mine = (
        _of_title(entry, blocks, text) if chosen else [b for b in blocks if _is_replaced(b.path, table, text)]
    )
    data = entry.raw.get("data")
    there = bool(mine)
    if not mine and not chosen and isinstance(data, dict) and table in data and table != "plies":
        raise InputError(
            f"'{table}' is not written under a heading of its own",
            where=entry.file,
            expected=f"[data.{table}]",
            todo="write it so, then import",
        )
    if there and not replace:
        raise InputError(
            f"the entry has this table of {table}",
            where=entry.file,
            todo="look at it, then import with --replace; what differs is shown",
        )
    # the record of the check stays: it no longer fits, which is told until somebody checks again
    kept = ["\n".join(b.lines).strip("\n") for b in blocks if b not in mine]
    at = next(
        (i for i, b in enumerate(b for b in blocks if b not in mine) if b.path == ("entry", "check")),
        len(kept),
    )
    parts = ["\n".join(head), *kept[:at], text.strip("\n"), *kept[at:]]
    made = "\n\n".join(p for p in parts if p) + "\n"
    read_entry(made.encode("utf8"), entry.file, entry.head.shelf)
    return made


def with_typist(text: str, table: str, by: str, on: date, place: str) -> str:
    """The text of an entry with who typed a table of it; an earlier record of that table goes."""
    head, blocks = blocks_of(text, "")
    rows = tomllib.loads(text)["entry"].get("table", [])
    kept, count = [], -1
    for block in blocks:
        count += block.path == ("entry", "table")
        if block.path == ("entry", "table") and rows[count].get("table") == table:
            continue
        kept.append("\n".join(block.lines).strip("\n"))
    record = [
        "[[entry.table]]",
        *(
            f"{k} = {json.dumps(v, ensure_ascii=False)}"
            for k, v in (("table", table), ("by", by), ("place", place))
        ),
        f"on = {on.isoformat()}",
    ]
    return "\n\n".join(p for p in ("\n".join(head), *kept, "\n".join(record)) if p) + "\n"


def _is_replaced(path: tuple[str, ...], table: str, text: str) -> bool:
    """Of plies only the sides that the new text gives; margins and the rest of the table stay."""
    if path[:2] != ("data", table):
        return False
    return table != "plies" or (len(path) > 2 and f"[data.plies.{path[2]}]" in text)


def _of_title(entry: ShelfEntry, blocks: list[TextBlock], text: str) -> list[TextBlock]:
    """The blocks of the table that has the new one's title; other tables stay."""
    title = tomllib.loads(text)["choose"][0]["title"]
    made, count = [], -1
    for block in blocks:
        count += block.path == ("choose",)
        if block.path[:1] == ("choose",) and entry.typed.choose[count].title == title:
            made.append(block)
    return made
