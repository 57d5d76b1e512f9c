"""Recording that a second person checked an entry: bound to what it says, so that a later edit voids it."""

from __future__ import annotations

import json
import re
from datetime import date

from panelmend.document.people import is_name, same_person
from panelmend.errors import InputError
from panelmend.shelves.entry import ShelfEntry, read_entry
from panelmend.shelves.model import Signed
from panelmend.shelves.parts import EntryPart, parts_of, signed_off, typists_of

_HEADING = re.compile(r"^\s*\[\s*entry\s*\.\s*check\s*\]")
_SIGNED = re.compile(r"^\s*\[\[\s*entry\s*\.\s*signed\s*\]\]")
_NEXT = re.compile(r"^\s*\[")


def checked_text(entry: ShelfEntry, by: str, on: date, against: str) -> str:
    """The text of an entry with the record that it was checked; everything else stays as it was typed.

    Raises:
        InputError: the record stands in the head's own lines, where it cannot be replaced.
        DocumentError: the check cannot be: by who typed it, before it was typed, by nobody.
    """
    lines = entry.text.rstrip("\n").split("\n")
    start = next((i for i, line in enumerate(lines) if _HEADING.match(line)), None)
    if start is None and entry.head.check is not None:
        raise InputError(
            "the record of the last check stands within the head",
            where=entry.file,
            expected="it under a heading of its own, [entry.check]",
            todo="take it out, then check again",
        )
    if start is not None:
        end = next((i for i in range(start + 1, len(lines)) if _NEXT.match(lines[i])), len(lines))
        lines = [*lines[:start], *lines[end:]]
    record = [
        "[entry.check]",
        f"by = {json.dumps(by, ensure_ascii=False)}",
        f"on = {on.isoformat()}",
        f"against = {json.dumps(against, ensure_ascii=False)}",
        f'digest = "{entry.checked_digest}"',
    ]
    text = "\n".join(lines).rstrip("\n") + "\n\n" + "\n".join(record) + "\n"
    again = read_entry(text.encode("utf8"), entry.file, entry.head.shelf)
    if not again.is_checked:  # a heading within a text of several lines, or the like
        raise InputError("the record could not be written line by line", where=entry.file)
    return text


def signed_text(entry: ShelfEntry, part: EntryPart, by: str, on: date, against: str) -> str:
    """The text of an entry with the record that one table was signed off; what is void is left out.

    Raises:
        InputError: whoever typed the table signs it, nobody does, or before the entry was typed.
    """
    typists = typists_of(entry, part)
    if not is_name(by):
        raise InputError("this is not a name", read=by, expected="who signs the table off")
    if any(same_person(by, who) for who in typists):
        raise InputError(
            "nobody checks what they typed themselves",
            where=f"{entry.file}, {part.name}",
            read=f"typed by {' and '.join(typists)}, signed by {by}",
            expected="two different people",
        )
    if on < entry.head.typed_on:
        raise InputError(
            "it was signed before it was typed",
            where=f"{entry.file}, {part.name}",
            read=f"typed {entry.head.typed_on}, signed {on}",
        )
    kept = [s for p in parts_of(entry) if p.name != part.name and (s := signed_off(entry, p)) is not None]
    mine = Signed(table=part.name, by=by, on=on, against=against, digest=part.digest)
    lines = _without_signed(entry.text.rstrip("\n").split("\n"))
    for row in (*kept, mine):
        lines += ["", "[[entry.signed]]"]
        for name in ("table", "by", "against", "digest"):
            lines.append(f"{name} = {json.dumps(getattr(row, name), ensure_ascii=False)}")
        lines.append(f"on = {row.on.isoformat()}")
    text = "\n".join(lines) + "\n"
    again = read_entry(text.encode("utf8"), entry.file, entry.head.shelf)
    found = next((p for p in parts_of(again) if p.name == part.name), None)
    if found is None or signed_off(again, found) is None:
        raise InputError("the record could not be written line by line", where=entry.file)
    return text


def _without_signed(lines: list[str]) -> list[str]:
    made: list[str] = []
    inside = False
    for line in lines:
        if _NEXT.match(line):
            inside = bool(_SIGNED.match(line))
        if not inside:
            made.append(line)
    while made and not made[-1].strip():
        made.pop()
    return made
