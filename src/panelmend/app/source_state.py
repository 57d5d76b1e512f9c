"""The files of this program and its libraries as they lie there now: whether a process still runs them."""

from __future__ import annotations

import hashlib
import os
import sys
from pathlib import Path

from panelmend.keeping import version

_PACKAGE = Path(__file__).parents[1]
_TICK = 20_000_000  # ns: times on a disk lag behind the clock by less


def sources_now() -> list[tuple[str, int, int, int, int]]:
    """Every file of this program and every folder of libraries: name, size, times and number."""
    made, waiting = list[tuple[str, int, int, int, int]](), [str(_PACKAGE)]
    for folder in filter(os.path.isdir, sys.path[1:]):  # where a library comes or goes, its folder changes
        at = os.stat(folder)
        made.append((folder, 0, at.st_mtime_ns, 0, at.st_ino))
    while waiting:
        for e in os.scandir(waiting.pop()):
            if e.is_dir():
                if e.name != "__pycache__":
                    waiting.append(e.path)
            else:
                at = e.stat()
                made.append((e.path, at.st_size, at.st_mtime_ns, at.st_ctime_ns, at.st_ino))
    return sorted(made)


def program_state() -> str:
    """The files of this program and the version of the typesetting library in one word, SHA-256 (hex): two
    processes with the same one set the same pages."""
    own = [row for row in sources_now() if row[0].startswith(f"{_PACKAGE}{os.sep}")]
    return hashlib.sha256(repr([version("typst"), own]).encode("utf8", "surrogatepass")).hexdigest()


def changed_since(state: list[tuple[str, int, int, int, int]], began: float) -> bool:
    """Whether a file changed since a state was taken, or was put there after this process began.

    A process that asks before and after it read in its code knows by this that it runs what lies there.

    Args:
        state: as :func:`sources_now` gave it before anything was read in.
        began: when the process began [s].
    """
    now = sources_now()
    return now != state or any(changed > began * 1e9 - _TICK for _, _, _, changed, _ in now)
