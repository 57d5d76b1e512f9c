"""What was refused, noted in a file beside the records: when, how it was tried, by whom, on which ground.

The note is no part of the log and proves nothing: nobody signs it, and whoever has the disk can change it. It
tells a keeper that somebody tried. Secrets, codes and what was typed never stand in it.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from panelmend.errors import InputError, PanelmendError
from panelmend.records.refusals import Refused
from panelmend.records.secrets import SHORTEST_SECRET

MOST_NOTED = 2**20  # [bytes] of the file before it becomes the one before, and a new one begins: two are kept

_NEW_LINES = os.O_WRONLY | os.O_CREAT | os.O_APPEND | getattr(os, "O_NOFOLLOW", 0)


def _beside(records: Path) -> Path:
    return Path(f"{records}.refused")


def note_refused(records: Path, how: str, by: str, why: str) -> None:
    """Note one refusal in a line of its own; a note that cannot be written keeps nothing else from going on.

    Args:
        records: the file of the records; where there is none, nothing is noted.
        how: the verb, or the method and path.
        by: staff number as it was given, "" for nobody.
        why: the ground.
    """
    at = datetime.now(UTC).isoformat(timespec="seconds")
    who = by if len(by) < SHORTEST_SECRET else f"{by[:3]}..."  # a secret typed in the wrong place is not kept
    line = " | ".join(_plain(x) for x in (at, how, who or "nobody", why))
    with contextlib.suppress(OSError):
        if not records.is_file():
            return
        path = _beside(records)
        with contextlib.suppress(FileNotFoundError):
            if path.stat().st_size + len(line) >= MOST_NOTED:
                path.replace(path.with_name(path.name + ".before"))
        handle = os.open(path, _NEW_LINES, 0o600)
        try:
            os.write(handle, (line + "\n").encode("ascii"))
        finally:
            os.close(handle)


def _plain(text: str) -> str:
    """In signs that make no second line and no second column."""
    return "".join(c if c.isascii() and c.isprintable() and c != "|" else "?" for c in text)[:200]


def ground_of(error: PanelmendError) -> str:
    """On which ground something was refused, without what was typed."""
    if isinstance(error, Refused):
        return f"{error.code} {error.ground.title}"
    return error.words if isinstance(error, InputError) else type(error).__name__


@contextlib.contextmanager
def noted(records: str, how: str, by: str) -> Iterator[None]:
    """Note what is refused within; on a server there is no file to note it beside."""
    try:
        yield
    except PanelmendError as error:
        if "://" not in records:
            note_refused(Path(records), how, by, ground_of(error))
        raise


def refused_lately(records: Path, most: int = 50) -> list[str]:
    """The last lines that were noted, oldest first; none where nothing was, or where it cannot be read."""
    lines: list[str] = []
    before = _beside(records)
    for path in (before.with_name(before.name + ".before"), before):
        with contextlib.suppress(OSError):
            lines += path.read_text("ascii", errors="replace").splitlines()
    return lines[-most:]
