"""Rows of a repair's lists taken away on the screen: each is kept beside the document, and can be put back.

A row is on the disk in the file of rows before the document is written without it, so that neither a killed
server nor a machine that stops loses it.
"""

from __future__ import annotations

import json
import os
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path as File
from typing import Any
from uuid import uuid4

from panelmend.app.inputs import row_name
from panelmend.app.opened import OpenRepair, PlanMade
from panelmend.app.prints import now_in_utc
from panelmend.document.places import Path
from panelmend.document.rows import put_row_in, rows_at, rows_of_words, taken_out
from panelmend.document.several import names_of
from panelmend.errors import InputError, OutputError

ROWS = "rows-away.jsonl"
MOST_SHOWN = 20
DAMAGE: Path = ("damage",)


@dataclass(frozen=True)
class RowAway:
    """A row that was taken away: its list, its number from 0, its words, what it is called, by whom, when."""

    path: Path
    row: int
    words: str
    name: str
    by: str
    when: str
    id: str


def tried_without(repair: OpenRepair, path: Path, i: int) -> tuple[PlanMade, str]:
    """What the plan would be without a row, and the words that would go; nothing is kept.

    Raises:
        DocumentError: the document would have faults.
        InputError: there is no such row, or it cannot be taken away here.
    """
    text = repair.made.text
    made, words = taken_out(text, path, i)
    if path == DAMAGE:
        _refuse_damage(repair, text, made, i)
        return repair.whole_of_text(made), words
    return repair.of_text(made), words


def take_row_away(repair: OpenRepair, path: Path, i: int, seen: str, by: str) -> tuple[PlanMade, str]:
    """Write the document without a row, which is kept beside it.

    Args:
        repair: whose.
        path: where the list stands.
        i: which row, from 0.
        seen: digest of the document the row was seen in.
        by: who is signed in; "" on this machine alone.

    Raises:
        ChangedMeanwhile, DocumentError, InputError: nothing is written.
        OutputError: it could not be written; the document is as it was.
    """
    gone: list[str] = []

    def rewrite(text: str) -> str:
        made, words = taken_out(text, path, i)
        if path == DAMAGE:
            _refuse_damage(repair, text, made, i)
        gone.append(words)
        return made

    def keep(before: str) -> None:
        name = row_name(rows_at(tomllib.loads(before), path)[i], i)
        row = RowAway(path, i, gone[-1], name, by, now_in_utc(), uuid4().hex)
        _append(repair.file, {**vars(row), "path": list(path)})

    return _rewritten(repair, path, rewrite, seen, keep), gone[-1]


def put_row_back(repair: OpenRepair, away: RowAway, seen: str) -> PlanMade:
    """Write a row that was taken away back where it stood; refusals as of :func:`take_row_away`."""
    made = _put_back(repair, away, seen)
    _append(repair.file, {"back": away.id, "when": now_in_utc()})
    return made


def note_standing(repair: OpenRepair) -> None:
    """Note of rows that were taken away and stand again, as after a change was taken back, that they do."""
    read = _read(repair.file)
    raw = tomllib.loads(repair.made.text) if read else {}
    for row in read:
        if _stands(raw, row):
            _append(repair.file, {"back": row.id, "when": now_in_utc()})


def _put_back(repair: OpenRepair, away: RowAway, seen: str) -> PlanMade:
    def rewrite(text: str) -> str:
        made = put_row_in(text, away.path, away.row, away.words)
        if away.path == DAMAGE:
            _refuse_other_names(text, made)
            given = names_of(rows_at(tomllib.loads(made), DAMAGE))
            if len(given) == 2:
                _refuse_kept(repair.file, ("",), "the one damage that is left")
        return made

    return _rewritten(repair, away.path, rewrite, seen, lambda before: None)


def rows_away(repair: OpenRepair) -> tuple[RowAway, ...]:
    """The rows that were taken away and stand in their lists no longer, the last first."""
    raw = tomllib.loads(repair.made.text)
    return tuple(row for row in reversed(_read(repair.file)) if not _stands(raw, row))[:MOST_SHOWN]


def _stands(raw: dict[str, Any], row: RowAway) -> bool:
    words = rows_of_words(row.words, row.path)
    return not words or words[0] in rows_at(raw, row.path)


def _rewritten(
    repair: OpenRepair, path: Path, rewrite: Callable[[str], str], seen: str, keep: Callable[[str], None]
) -> PlanMade:
    return repair.rewrite(rewrite, seen, keep, whole=path == DAMAGE)


def _refuse_damage(repair: OpenRepair, before: str, after: str, i: int) -> None:
    """One of several damages: the others keep their names, and nothing kept of one is left behind."""
    names = names_of(rows_at(tomllib.loads(before), DAMAGE))
    left = rows_at(tomllib.loads(after), DAMAGE)
    if not left:
        raise InputError(
            "a repair has at least one damage", where="damage", todo="change it, or start another repair"
        )
    _refuse_other_names(after, before)
    kept = (names[i], *(n for k, n in enumerate(names) if k != i and len(left) == 1))
    _refuse_kept(repair.file, kept, f"damage {' or '.join(kept)}")


def _refuse_other_names(fewer: str, more: str) -> None:
    few, many = (rows_at(tomllib.loads(t), DAMAGE) for t in (fewer, more))
    named = dict(zip(map(repr, many), names_of(many), strict=True))
    if len(few) > 1 and any(named.get(repr(d)) != n for d, n in zip(few, names_of(few), strict=True)):
        raise InputError(
            "the other damages would take other names, and with them each other's taps and prints",
            where="damage",
            todo="type the id of each damage first",
        )


def _refuse_kept(file: File, letters: tuple[str, ...], words: str) -> None:
    """Refuse where taps, prints or a pack of a damage are kept: another would be taken to have them."""
    own = {"taps.jsonl", "prints.jsonl", "pack"}
    for path in sorted(file.parent.iterdir()):
        stem, _, letter = path.name.partition(".")[0].rpartition("-")
        if (letter in letters and stem) or ("" in letters and path.name in own):
            raise InputError(
                "what is kept of this damage would be another's, or nobody's",
                where=path.name,
                read=f"{words}: {path.name}",
                todo="put this file away by hand first, or leave the damage and say in its notes what it is",
            )


def _append(document: File, row: dict[str, Any]) -> None:
    line = "\n" + json.dumps(row, ensure_ascii=False)  # after half a line of a machine that stopped too
    try:
        with document.with_name(ROWS).open("a", encoding="utf8", newline="") as out:
            out.write(line)
            out.flush()
            os.fsync(out.fileno())
    except OSError as error:
        raise OutputError(f"{ROWS} could not be written: {error.strerror}") from None


def _read(document: File) -> list[RowAway]:
    """The rows that were taken away and not put back."""
    path = document.with_name(ROWS)
    made: dict[str, RowAway] = {}
    try:
        lines = path.read_text("utf8").splitlines() if path.exists() else []
    except (OSError, ValueError):
        return []
    for line in lines:
        try:
            row = json.loads(line)
            if "back" in row:
                made.pop(row["back"], None)
            else:
                made[row["id"]] = RowAway(**{**row, "path": tuple(row["path"])})
        except (ValueError, TypeError, KeyError):
            continue
    return list(made.values())
