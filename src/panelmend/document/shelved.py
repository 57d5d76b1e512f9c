"""What a job took from shelves, frozen: the entries it used, and where each value stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

from panelmend.document.places import Path
from panelmend.errors import Finding


@dataclass(frozen=True)
class Carried:
    """A shelf entry as it was read: ``file`` is its path below the shelves, ``data`` the bytes read.

    ``digest`` is that of all it says, the record of its check included. ``taken`` is false for an entry that
    only says that another one is superseded. ``checked`` says who checked what it says now, when and
    against which paper; "" where nobody did.
    """

    shelf: str
    name: str
    revision: str
    file: str
    digest: str
    data: bytes
    taken: bool = True
    checked: str = ""


@dataclass(frozen=True)
class PackedEntry:
    """An entry that a job was packed with, as it was read then; ``file`` is its path below the shelves."""

    shelf: str
    name: str
    file: str
    data: bytes


class Stands(Protocol):
    """Knows the file and line of every value of a resolved document."""

    def at(self, path: Path) -> str:
        """File and line of the value at a path."""

    def file_of(self, path: Path) -> str:
        """The file of the value at a path, with what is to be said of it."""

    def of(self, value: object) -> str:
        """File and line of a table of the document (an approved value, a material); "" of anything else."""


@dataclass(frozen=True)
class Statement:
    """What an engineer answers for in a job: where it stands, what a second person is shown (name and value),
    who typed it, who answers for it. ``digest`` is what a check of it is bound to; ``open`` says why it does
    not stand yet, "" where it does."""

    at: Path
    lines: tuple[tuple[str, str], ...]
    typed_by: str
    by: str
    digest: str
    open: str = ""


@dataclass(frozen=True)
class Shelved:
    """A job's entries with what is to be said of them; ``root`` is the folder they were found in.

    ``practice`` holds the values, as they were typed, that a practice sheet puts in the place of usual ones,
    each with the path it stands at in the document and what is printed as its source. ``compared`` names the
    figures whose conditions were held against bay, data and materials of the job. ``statements`` are those
    that an engineer answers for; ``accepted`` holds shelf, entry and path of each value changed since the job
    was packed that the engineer accepts, and a second person has seen. ``packed`` are the entries that a job
    out of a pack says it was planned with, ``packed_repair`` the number it had then.
    """

    root: str
    entries: tuple[Carried, ...]
    stands: Stands
    findings: tuple[Finding, ...] = ()
    practice: Mapping[str, tuple[str, Path, str]] = field(default_factory=dict)
    compared: frozenset[str] = frozenset()
    statements: tuple[Statement, ...] = ()
    accepted: frozenset[tuple[str, str, str]] = frozenset()
    packed: tuple[PackedEntry, ...] = ()
    packed_repair: str = ""
