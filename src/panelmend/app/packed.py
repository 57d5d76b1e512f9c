"""A document in its pack: it is read and planned there, and nothing is ever kept beside it."""

from __future__ import annotations

from pathlib import Path

from panelmend.errors import InputError

PACKED = "document.toml"  # the job in its pack


def in_pack(document: Path) -> bool:
    """Whether a document is the one in a pack."""
    return document.name.partition("#")[0] == PACKED and (document.parent / "manifest.json").is_file()


def refuse_in_pack(document: Path, what: str) -> None:
    """Refuse to keep something beside the document of a pack.

    Raises:
        InputError: it stands in a pack.
    """
    if in_pack(document):
        raise InputError(
            f"{what} cannot be kept in a pack: it stays as it was made",
            where=f"{document.parent.name}/{document.name}",
            expected="the job that the pack was made from",
            todo="do it beside that job, then pack it anew",
        )
