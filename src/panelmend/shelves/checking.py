"""Recording that a second person checked an entry: bound to what it says, so that a later edit voids it."""

from __future__ import annotations

import json
import re
from datetime import date

from panelmend.errors import InputError
from panelmend.shelves.entry import Entry, read_entry

_HEADING = re.compile(r"^\s*\[\s*entry\s*\.\s*check\s*\]")
_NEXT = re.compile(r"^\s*\[")


def checked_text(entry: Entry, by: str, on: date, against: str) -> str:
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
