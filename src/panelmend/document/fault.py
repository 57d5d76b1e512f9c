"""A fault of a document: the path it stands at and what is wrong there."""

from __future__ import annotations

from panelmend.document.places import Path
from panelmend.errors import InputError

Fault = tuple[Path, InputError]


def fault_at(path: Path, words: str, read: str = "nothing", expected: str = "", todo: str = "") -> Fault:
    """A fault at ``path``; its file and line are put in by the reader."""
    return path, InputError(words, read=read, expected=expected, todo=todo)
