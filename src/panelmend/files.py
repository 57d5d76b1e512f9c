"""Files that are written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from panelmend.errors import OutputError


def replace_whole(path: Path, data: bytes) -> None:
    """Write a file so that it holds all of the new content, or what it held before.

    Args:
        path: the file.
        data: its new content.

    Raises:
        OutputError: it could not be written; the old one is untouched.
    """
    name = ""
    try:
        handle, name = tempfile.mkstemp(prefix=path.name, suffix=".part", dir=path.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, 0o644)
        os.replace(name, path)
    except OSError as error:
        raise OutputError(f"{path} could not be written: {error.strerror or error}") from error
    finally:
        if name and os.path.exists(name):
            os.unlink(name)


def ensure_writable(path: Path) -> None:
    """See, before long work, that a file can be written; nothing is left there.

    Raises:
        OutputError: it could not be.
    """
    if path.is_dir():
        raise OutputError(f"{path} could not be written: a folder has this name")
    try:
        handle, name = tempfile.mkstemp(prefix=path.name, suffix=".part", dir=path.parent)
        os.close(handle)
        os.unlink(name)
    except OSError as error:
        raise OutputError(f"{path} could not be written: {error.strerror or error}") from error
