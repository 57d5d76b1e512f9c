"""Tables of the data that hold no such damage: what a request to who owns the data is drawn by."""

from __future__ import annotations

from panelmend.shelves.choose import (
    WORDED,
    Chosen,
    DamageMeasured,
    measured_words,
    ranged_of,
    row_words,
    span_of,
)
from panelmend.shelves.model import EntryFile


def furthest(entry: EntryFile, i: int, measured: DamageMeasured, view: str) -> Chosen | None:
    """Of a table that holds no such damage: its last row, to draw a request by, with what it lacks in words;
    None where the table cannot be read."""
    table = entry.choose[i]
    missing = [b for b in table.by if getattr(measured, b) in (None, "")]
    if missing and not (missing == ["zone"] and entry.zone):  # that it lies in no drawn zone is told already
        return None
    by, cells = ranged_of(table), [n for n in WORDED if n in table.by and n not in missing]
    alike = [
        j for j, row in enumerate(table.row) if all(getattr(measured, n) in getattr(row, n) for n in cells)
    ]
    row = max(alike or range(len(table.row)), key=lambda j: span_of(by, table.row[j], ())[1].end)
    ends = "; ".join(dict.fromkeys(row_words(table, r) for r in table.row))
    words = (
        f"{table.title} ({table.place}) is for {ends}; this damage: {measured_words(table, measured, view)}"
    )
    data = {k: v for k, v in table.row[row].data.items() if k != "limits"}  # it holds no limit of this damage
    return Chosen(i, row, data, words)
