"""What a file must be that is kept with a step: whole, and what its name says by its first bytes."""

from __future__ import annotations

import re

from panelmend.errors import InputError, PanelmendError
from panelmend.records.canonical import sha256

PICTURES = {".jpg": "image/jpeg", ".jpeg": "image/jpeg", ".png": "image/png"}
_TEXT = re.compile(rb"[^\0]{0,511}\Z|[^\0]{512}", re.DOTALL)
KINDS: dict[str, re.Pattern[bytes]] = {  # what a file begins with, by how its name ends
    ".jpg": re.compile(rb"\xff\xd8\xff"),
    ".jpeg": re.compile(rb"\xff\xd8\xff"),
    ".png": re.compile(rb"\x89PNG\r\n\x1a\n"),
    ".pdf": re.compile(rb"%PDF-\d"),
    ".csv": _TEXT,
    ".txt": _TEXT,
}


class NotWhole(PanelmendError):
    """A file that came damaged or cut off on its way: nothing of it was kept, and it is sent again."""


def checked(file: str, data: bytes, digest: str) -> None:
    """See that a file came whole and is what its name says.

    Args:
        file: its name.
        data: what came.
        digest: SHA-256 of what was sent, made on the device.

    Raises:
        NotWhole: another digest came.
        InputError: it is of no kind that is kept, or of another than its name says.
    """
    if sha256(data) != digest:
        raise NotWhole(f"{file}: {len(data)} bytes came, and not as they were sent; nothing of it was kept")
    end = next((x for x in KINDS if file.lower().endswith(x)), None)
    if end is None or KINDS[end].match(data) is None:
        raise InputError(
            "no photograph or file of a kind that is kept here",
            read=file[-40:],
            expected=f"a name that ends in {', '.join(KINDS)}, and what it says in the file",
        )


def picture_kind(file: str) -> str | None:
    """The media type of a picture by its name; None for all else, which no browser shows by itself."""
    return next((kind for end, kind in PICTURES.items() if file.lower().endswith(end)), None)
