"""Which copy of the records governs: a file copied elsewhere takes no entries until it is handed over.

Beside the file that governs lies a small one with a token, the machine and the file's own place on the disk.
The log knows the token's digest alone, so that a copy of the log does not carry it along.
"""

from __future__ import annotations

import contextlib
import json
import os
from pathlib import Path

from panelmend.errors import OutputError
from panelmend.files import replace_whole
from panelmend.records.canonical import sha256

_MACHINE = Path("/etc/machine-id")


def _beside(path: Path) -> Path:
    return path.with_name(path.name + ".here")


def _last(path: Path) -> Path:
    return path.with_name(path.name + ".last")


def _place(path: Path) -> list[str]:
    """The machine and the file's number on its disk: a copy has another, a file moved within a disk not."""
    with contextlib.suppress(OSError):
        return [sha256(_MACHINE.read_text("utf8").strip())[:16], str(path.stat().st_ino)]
    return ["", str(path.stat().st_ino)]


def token_beside(path: Path) -> str:
    """The token beside a file that is still where it was written; "" for none.

    Raises:
        OutputError: it is there and cannot be read.
    """
    try:
        held = json.loads(_beside(path).read_text("utf8"))
        return str(held["token"]) if held["place"] == _place(path) else ""
    except FileNotFoundError:
        return ""
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise OutputError(
            f"the file beside {path.name} that says it governs cannot be read: {error}"
        ) from error


def make_governing(path: Path, token: str) -> None:
    """Make a file the one that governs by a token. Raises OutputError."""
    held = {"token": token, "place": _place(path)}
    replace_whole(_beside(path), (json.dumps(held, sort_keys=True) + "\n").encode())


def governs(path: Path, digest: str) -> bool:
    """Whether a file is the copy that the log names by its token's digest. Raises OutputError."""
    token = token_beside(path)
    return bool(token) and sha256(token) == digest


def note_last(path: Path, number: int, head: str) -> None:
    """Note how far a file has come; a note that is lost or old harms nothing."""
    with contextlib.suppress(OSError):
        handle = os.open(_last(path), os.O_WRONLY | os.O_CREAT, 0o600)
        try:
            os.write(handle, f"{number:012d} {head}\n".encode())
        finally:
            os.close(handle)


def last_noted(path: Path) -> tuple[int, str]:
    """How far a file is known to have come; 0 where nothing is noted."""
    try:
        number, _, head = _last(path).read_text("ascii").strip().partition(" ")
        return int(number), head
    except (OSError, ValueError):
        return 0, ""
