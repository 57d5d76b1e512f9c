"""Reading a repair document: apart from the service, because it needs none of what plans it."""

from __future__ import annotations

from pathlib import Path

from panelmend.document import Loaded, open_file, parsed
from panelmend.document.reader import Opened
from panelmend.errors import InputError


def load(path: Path) -> Loaded:
    """Read a repair document.

    Raises:
        InputError: the file is not there or cannot be read.
        DocumentError: with every fault of the document.
    """
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise InputError(
            "there is no such file",
            where=str(path),
            expected="a repair document (.toml)",
            todo="check the name",
        ) from None
    except OSError as error:
        raise InputError(f"the file cannot be read: {error.strerror}", where=str(path)) from None
    return read_text(data, path)


def read_text(data: bytes, path: Path) -> Loaded:
    """Read the text of a repair document that stands, or will stand, at a path.

    Raises:
        DocumentError: with every fault of the document, or of a shelf entry that it uses.
    """
    return read_opened(open_file(data, path.name), path)


def read_opened(opened: Opened, path: Path) -> Loaded:
    """The same of a file that was opened before."""
    if opened.version == 2 and not isinstance(opened.version, bool):
        from panelmend.app.shelves import read_job  # late: most documents use no shelves

        return read_job(opened, path)
    return parsed(opened)
