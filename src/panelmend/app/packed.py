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
    if in_pack(document):
        return
    folder = document.parent
    pages = [n for n in PAGES if (folder / n).is_file()]
    if document.name.partition("#")[0] != PACKED:
        _refuse_among_pages(document, pages)
        return
    beside = next(iter(pages), "")
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


def _refuse_among_pages(document: Path, pages: list[str]) -> None:
    """Refuse a document of another name in the folder of a pack: the packed job renamed, or one put there."""
    folder = document.parent
    if (folder / MANIFEST).is_file() and (folder / PACKED).is_file():
        beside = f"{MANIFEST} and {PACKED} beside it"
    elif (folder / MANIFEST).is_file() or len(pages) > 1:
        beside = f"{MANIFEST if (folder / MANIFEST).is_file() else ' and '.join(pages[:2])} beside it"
    else:
        return
    raise InputError(
        "this document stands in the folder of a pack and is not the job as it was packed: renamed, nothing "
        "would hold it to the pack",
        where=f"{folder.name}/{document.name}",
        read=beside,
        expected=f"{folder.name}/{PACKED}, as it was packed",
        todo="get the pack as it was made; a job of your own stands outside of it",
    )


def refuse_pack_shelves(document: Path, root: Path) -> None:
    """Refuse shelves that are those of a pack to a job that is not the packed one.

    Raises:
        InputError: they are.
    """
    folder = root.parent
    if (folder / MANIFEST).is_file() or sum((folder / n).is_file() for n in PAGES) > 1:
        raise InputError(
            "the shelves that were found are those that a pack carries, as they were when it was made",
            where=document.name,
            read=f"{folder.name}/{ENTRIES}",
            expected="the shelves of today, beside the job or above it, or the setting PANELMEND_SHELVES",
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
            todo="do it beside that job, then pack it again",
        )
