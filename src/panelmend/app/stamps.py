"""Whether files are still those that were read: by what the system says of each; none is read again."""

from __future__ import annotations

import os
from pathlib import Path

from panelmend.shelves.folder import find_shelves
from panelmend.shelves.model import SHELVES

Stamp = tuple[int, ...]  # times of content and of entry [ns], size [bytes], number and kind of the file


def stamp(path: Path) -> Stamp | None:
    """What the system says of a file; None where there is none.

    An edit that keeps size and date (a copy that keeps dates, a clock set back) is told by the time of the
    file's entry or its number, which no program sets.

    Raises:
        OSError: the system does not say.
    """
    try:
        return _said(path.stat())
    except (FileNotFoundError, NotADirectoryError):
        return None


def shelf_stamps(document: Path) -> tuple[str, tuple[tuple[str, Stamp], ...]] | None:
    """Where the shelves of a document are, and every file on them; None where there are none.

    Raises:
        InputError: the setting names no folder.
        OSError: a shelf cannot be listed.
    """
    root = find_shelves(document)
    if root is None:
        return None
    rows: list[tuple[str, Stamp]] = []
    for shelf in SHELVES:
        try:
            with os.scandir(root / shelf) as found:
                entries = list(found)
        except (FileNotFoundError, NotADirectoryError):
            continue
        for e in entries:
            try:
                rows.append((e.path, _said(e.stat(follow_symlinks=False))))
            except FileNotFoundError:
                continue  # taken away while it was looked at
    return str(root), tuple(sorted(rows))


def _said(s: os.stat_result) -> Stamp:
    return s.st_mtime_ns, s.st_ctime_ns, s.st_size, s.st_ino, s.st_mode
