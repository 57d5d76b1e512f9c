"""Files that hold rows of cells rather than lines of text: workbooks, and the other formats listed here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from panelmend.curelog.cells import open_unbuffered, sheet_names, sheet_rows

HEAD = 4096  # bytes that a format is known by


@dataclass(frozen=True)
class RowFormat:
    """One format. ``known`` says by a file's first bytes whether it is one; ``sheets`` names its tables, the
    first tried first; ``rows`` reads one: its heading and samples, each cell text, a number or a date."""

    known: Callable[[bytes], bool]
    sheets: Callable[[Path], tuple[str, ...]]
    rows: Callable[[Path, str], list[list[Any]]]


def _workbook(head: bytes) -> bool:
    return head[:4] == b"PK\x03\x04" or head[:8] == b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


ROW_FORMATS = (RowFormat(_workbook, sheet_names, sheet_rows),)


def row_format(path: Path) -> RowFormat | None:
    """The format of a file of rows; None for a text file. Raises MissingError, ReadingError."""
    with open_unbuffered(path) as file:
        head = file.read(HEAD) or b""
    return next((f for f in ROW_FORMATS if f.known(head)), None)


def log_rows(path: Path, sheet: str) -> list[list[Any]]:
    """The rows of a table of a file; those of a workbook where the file is none of the formats any more."""
    return (row_format(path) or ROW_FORMATS[0]).rows(path, sheet)
