"""What is handed out of a pack on disk: bytes that were each held against one manifest, or nothing.

Another program may replace the pack while it is read, and anybody may change a file in it. Pages of two plans
in one hand, or a page that nobody planned, are worse than none.
"""

from __future__ import annotations

import hashlib
import time
from collections.abc import Sequence
from pathlib import Path

from panelmend.errors import MissingError, OutputError, PanelmendError
from panelmend.render.pack import MANIFEST, fault_of_name, parsed_manifest

TRIES = 6
PAUSE = 0.05  # s between two tries


class NotAsPackedError(PanelmendError):
    """A file of a pack is not the one that its manifest names, so that it is not handed out."""


class _NoManifest(MissingError):
    """No pack, or one whose manifest cannot be read at this moment."""


def held_files(
    folder: Path, only: Sequence[str] | None = None, *, tries: int = TRIES, pause: float = PAUSE
) -> dict[str, bytes]:
    """Files of a pack by name, each the one of the same manifest, which is among them.

    Args:
        folder: the pack.
        only: the files that are wanted; None for all of them.
        tries: how often it is read where something does not agree: the pack may be replaced meanwhile.
        pause: time between two tries [s].

    Raises:
        MissingError: there is no pack there, or it has no such file.
        NotAsPackedError: a file that is wanted is not the one of the manifest, at the last try too.
    """
    for left in reversed(range(tries)):
        try:
            return _read_once(folder, only)
        except (NotAsPackedError, _NoManifest):
            if not left or not folder.is_dir():  # none was made
                raise
        time.sleep(pause)
    raise AssertionError("no try was made")


def _read_once(folder: Path, only: Sequence[str] | None) -> dict[str, bytes]:
    try:
        manifest = (folder / MANIFEST).read_bytes()
        rows = {row.file: row for row in parsed_manifest(manifest, folder)[1]}
    except (OSError, OutputError):
        raise _NoManifest("no pack was made yet, or its manifest cannot be read") from None
    made = {MANIFEST: manifest}
    for name in rows if only is None else only:
        if name not in rows:
            raise MissingError("the pack has no such file")
        made[name] = _held(folder, name, rows[name].sha256)
    return made


def _held(folder: Path, name: str, sha256: str) -> bytes:
    if fault_of_name(name):
        raise NotAsPackedError(
            f"the manifest of the pack names {name!r}, which is no file of a pack; {_AGAIN}"
        )
    try:
        data = (folder / name).read_bytes()
    except OSError as error:
        raise NotAsPackedError(
            f"{name} is in the manifest of the pack and cannot be read ({error.strerror or error}); {_AGAIN}"
        ) from None
    if hashlib.sha256(data).hexdigest() != sha256:
        raise NotAsPackedError(
            f"{name} is not the file that was packed: it was changed, or the pack is being replaced; {_AGAIN}"
        )
    return data


_AGAIN = "nothing of it is handed out. Try again in a moment; if it stays so, make the pack again"
