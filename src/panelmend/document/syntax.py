"""What is wrong with a text that is no TOML, in words for people who do not know TOML."""

from __future__ import annotations

import re

from panelmend.errors import InputError

# The TOML reader's messages (its beginnings) with plain words and what to do.
_WORDS: tuple[tuple[str, str, str], ...] = (
    ("Cannot overwrite a value", "this name already has a value above", "give each name one value"),
    (
        "Cannot declare",
        "this table is opened twice",
        "put its fields under one heading, or write [[...]] for a list",
    ),
    ("Cannot mutate immutable", "this table was closed above", "add the field where the table was written"),
    ("Expected '=' after a key", "a name without '='", 'write name = value, such as width = "76 mm"'),
    (
        "Expected newline or end of document",
        "something stands behind the value",
        'a quantity stands in quotation marks: "76 mm"',
    ),
    ("Invalid value", "not a value", 'text and quantities stand in quotation marks: "76 mm"'),
    ("Invalid date or datetime", "no such day", "write a day as 2026-03-02"),
    ("Unterminated string", "a text without its closing quotation mark", 'close it with "'),
    ("Illegal character", "a character that may not stand here", 'close the text with " on the same line'),
    ("Unclosed array", "a list without its closing bracket", "close it with ]"),
    ("Unclosed inline table", "a table without its closing brace", "close it with }"),
    (
        "Expected ']'",
        "a heading without its closing bracket",
        "write [panel], or [[panel.fastener]] for a list",
    ),
    ("Invalid initial character", "no name begins like this", "a name is letters, digits, - and _"),
    ("Unescaped '\\'", "a backslash in a text", "write \\\\ for a backslash, or put the text in ' '"),
    ("Invalid statement", "neither a name nor a heading", "write name = value, or a [heading]"),
    ("Duplicate inline table key", "this name is given twice in one table", "give each name one value"),
    ("Invalid hex value", "a broken \\u escape in a text", "write \\\\ for a backslash"),
    ("Exceeds the limit", "a number of thousands of digits", "write a usable number"),
)

_DAY = re.compile(r"=\s*\d{1,4}[-./]\d{1,2}[-./]\d{1,4}\s*(#.*)?$")


def not_toml(error: Exception, text: str, name: str) -> InputError:
    """The TOML reader's refusal as an InputError with its line."""
    message = str(error)
    where = re.search(r"\(at line (\d+), column (\d+)\)", message)
    lines = text.split("\n")
    if where is not None:
        line, column = int(where[1]), int(where[2])
        place = f"{name}, line {line}, column {column}"
        read = lines[line - 1].strip()[:80] if line <= len(lines) else ""
    else:
        place, read = f"{name}, line {len(lines)} (the end)", lines[-1].strip()[:80]
    if _DAY.search(read):
        return InputError(
            "not TOML: no such day",
            where=place,
            read=repr(read),
            expected="a day as year-month-day, such as 2026-03-02",
            todo="year first, then the month, without quotation marks",
        )
    known = [(w, t) for start, w, t in _WORDS if message.startswith(start)]
    words, todo = known[0] if known else (re.sub(r"\s*\(at .*\)", "", message).lower(), "")
    return InputError(f"not TOML: {words}", where=place, read=repr(read), expected="name = value", todo=todo)
