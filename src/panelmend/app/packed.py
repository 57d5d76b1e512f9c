"""A document in its pack: it is read and planned there, and nothing is ever kept beside it."""

from __future__ import annotations

from pathlib import Path

from panelmend.errors import InputError

PACKED = "document.toml"  # the job in its pack
MANIFEST = "manifest.json"
ENTRIES = "shelves"  # the folder of the entries it carries
# What stands beside a job in its pack and beside no other: pages that a pack is printed on.
PAGES = ("plan.json", "damages.json", "job-card.pdf", "workings.pdf", "cure-plan.pdf", "labels.pdf")


def in_pack(document: Path) -> bool:
    """Whether a document is the one in a pack."""
    return document.name.partition("#")[0] == PACKED and (document.parent / MANIFEST).is_file()


def refuse_lost_manifest(document: Path, *, shelved: bool) -> None:
    """Refuse a job in a pack of which the manifest is gone: nothing says that it is what was packed.

    Args:
        document: where the job stands.
        shelved: whether it names shelf entries; those of a pack stand in a folder beside it.

    Raises:
        InputError: it has the name of a job in its pack, and pages of a pack or shelves stand beside it.
    """
    if document.name.partition("#")[0] != PACKED or in_pack(document):
        return
    folder = document.parent
    beside = next((n for n in PAGES if (folder / n).is_file()), "")
    if not beside and shelved and (folder / ENTRIES).is_dir():
        beside = ENTRIES
    if beside:
        raise InputError(
            "this is a job in its pack, and the manifest of the pack is gone: nothing says any longer that "
            "job, entries and pages are what was packed",
            where=f"{folder.name}/{PACKED}",
            read=f"{beside} beside it, no {MANIFEST}",
            expected=f"the whole pack, with its {MANIFEST}",
            todo="get the pack as it was made; a job of your own has another name than that",
        )


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
