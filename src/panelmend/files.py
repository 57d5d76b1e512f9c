"""Files kept beside a document: read with words for what is wrong, written whole or not at all."""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from panelmend.errors import MissingError, OutputError, ReadingError

_PART = ".part"  # ends the name of a file that is still being written
_FOLDERS_OPEN = os.name == "posix"
_LARGEST = 64 * 2**20  # bytes


def read_kept(path: Path, what: str, version: int, again: str) -> dict[str, Any]:
    """Read a JSON object that was kept beside a document.

    Args:
        path: the file.
        what: the key of what it holds, which is an object too.
        version: the version it must have.
        again: what would write it anew, as in "search again".

    Returns:
        the whole object; empty for a file that is not there.

    Raises:
        ReadingError: it cannot be read, or is no such file.
    """
    text = kept_text(path, what, again)
    return parsed_kept(text, path.name, what, version, again) if text else {}


def kept_text(path: Path, what: str, again: str) -> str:
    """The text of a file kept beside a document; "" where there is none. Raises ReadingError."""
    try:
        if path.stat().st_size > _LARGEST:
            raise ReadingError(f"the file is too large to hold {what}", where=path.name)
        return path.read_text("utf8") or " "
    except FileNotFoundError:
        return ""
    except (OSError, ValueError) as error:
        raise _unread(path.name, what, again, error) from error


def parsed_kept(text: str, name: str, what: str, version: int, again: str) -> dict[str, Any]:
    """The JSON object of a kept file's text, as ``read_kept`` gives it. Raises ReadingError."""
    todo = f"move the file away and {again}"
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise _unread(name, what, again, error) from error
    if not (isinstance(data, dict) and isinstance(data.get(what), dict) and data.get("version") == version):
        raise ReadingError(
            f"no file of {what}",
            where=name,
            expected=f'an object with "version": {version} and "{what}"',
            todo=todo,
        )
    return data


def _unread(name: str, what: str, again: str, error: Exception) -> ReadingError:
    return ReadingError(
        f"the kept {what} cannot be read",
        where=name,
        read=str(error)[:120],
        expected="the JSON file that panelmend wrote",
        todo=f"move the file away and {again}",
    )


def read_bytes(path: Path) -> bytes:
    """The bytes of a file.

    Raises:
        ReadingError: it is not there or cannot be read.
    """
    try:
        return path.read_bytes()
    except OSError as error:
        raise ReadingError(f"the file cannot be read: {error.strerror}", where=str(path)) from None


@contextmanager
def opening(path: Path) -> Iterator[None]:
    """A file that somebody named is opened and read in here.

    Raises:
        MissingError: no such file.
        ReadingError: it cannot be opened.
    """
    try:
        yield
    except FileNotFoundError:
        raise MissingError(f"no file {path.name}") from None
    except OSError as error:
        raise ReadingError("cannot be opened", where=path.name, read=error.strerror or "") from None


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
        handle, name = tempfile.mkstemp(prefix=path.name, suffix=_PART, dir=path.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, 0o644)
        os.replace(name, path)
        sync_folder(path.parent)
    except OSError as error:
        raise OutputError(f"{path} could not be written: {error.strerror or error}") from error
    finally:
        if name and os.path.exists(name):
            os.unlink(name)


def remove_whole(path: Path) -> None:
    """Remove a file, where it is there, and what a killed writer of it left. Only its one writer calls this.

    Args:
        path: the file.

    Raises:
        OSError: the folder refuses.
    """
    path.unlink(missing_ok=True)
    for left in path.parent.iterdir():
        if left.name.startswith(path.name) and left.name.endswith(_PART):
            left.unlink(missing_ok=True)


def sync_folder(folder: Path) -> None:
    """Bring the names in a folder to the disk. Windows has no such call; NTFS keeps names in a journal.

    Raises:
        OSError: the disk refuses.
    """
    if not _FOLDERS_OPEN:
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def sync_file(path: Path) -> None:
    """Bring a file that another program wrote to the disk. Raises OSError."""
    with path.open("r+b") as file:  # Windows syncs only what may be written
        os.fsync(file.fileno())


@contextmanager
def folder_alone(folder: Path) -> Iterator[None]:
    """Nobody else writes into a folder that asks in this way too; nothing is left there.

    Raises:
        OutputError: another holds it (Windows, which waits ten seconds; elsewhere it waits).
        OSError: the folder cannot be opened.
    """
    import portalocker

    handle = _lockable(folder)
    try:
        try:
            portalocker.lock(handle, portalocker.LOCK_EX)
        except portalocker.LockException as error:
            raise OutputError(f"another writes into {folder}; nothing was written") from error
        try:
            yield
        finally:
            portalocker.unlock(handle)
    finally:
        os.close(handle)


def _lockable(folder: Path) -> int:
    """What is locked for a folder: itself, and on Windows, which opens none, a file kept for it elsewhere."""
    if _FOLDERS_OPEN:
        return os.open(folder, os.O_RDONLY)
    name = hashlib.sha256(os.path.normcase(os.path.realpath(folder)).encode("utf8")).hexdigest()[:16]
    return os.open(Path(tempfile.gettempdir()) / f"panelmend-{name}.lock", os.O_RDWR | os.O_CREAT)


def ensure_writable(path: Path) -> None:
    """See, before long work, that a file can be written; nothing is left there.

    Raises:
        OutputError: it could not be.
    """
    if path.is_dir():
        raise OutputError(f"{path} could not be written: a folder has this name")
    try:
        handle, name = tempfile.mkstemp(prefix=path.name, suffix=_PART, dir=path.parent)
        os.close(handle)
        os.unlink(name)
    except OSError as error:
        raise OutputError(f"{path} could not be written: {error.strerror or error}") from error
