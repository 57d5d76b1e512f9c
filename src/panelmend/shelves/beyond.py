"""Data that holds no such damage: what a request to who owns the data is drawn by. Nobody works by it."""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from typing import Any

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


def plies_lent(raw: dict[str, Any]) -> Iterator[str]:
    """Give each damaged skin for which the data has no repair plies those of the other one, in place; the
    sides that they are lent to."""
    damage, data = raw.get("damage"), raw.get("data")
    if isinstance(damage, list) and len(damage) == 1:
        damage = damage[0]
    plies = data.get("plies") if isinstance(data, dict) else None
    if not (isinstance(damage, dict) and isinstance(plies, dict)):
        return
    both = ("outside", "inside")
    for side, other in (both, both[::-1]):
        given, there = plies.get(side), plies.get(other)
        if damage.get("depth") != "through" and damage.get("side") != side:
            continue
        if isinstance(there, dict) and "repair" in there and "repair" not in (given or {}):
            plies[side] = {**deepcopy(there), **(given or {})}
            yield side
