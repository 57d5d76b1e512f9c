"""Jobs by their number, of which those that are closed may lie elsewhere until somebody asks for one."""

from __future__ import annotations

from collections.abc import Iterator, MutableMapping
from typing import Protocol

from panelmend.records.state.held import Job

Place = tuple[int, int, str]
"""Where a closed job lies: from which byte, how many, and their SHA-256."""


class ShelfReader(Protocol):
    """Reads closed jobs from where they lie."""

    def raw(self, place: Place) -> bytes:
        """The bytes of a job."""

    def __call__(self, place: Place) -> Job:
        """A job."""


class JobShelf(MutableMapping[str, Job]):
    """Jobs in the order in which they began. Reading one that lies elsewhere brings it here."""

    def __init__(self, held: dict[str, Job | Place] | None = None, read: ShelfReader | None = None) -> None:
        self.held: dict[str, Job | Place] = {} if held is None else held
        self._read = read

    def raw(self, place: Place) -> bytes:
        """The bytes of a job that lies elsewhere."""
        assert self._read is not None
        return self._read.raw(place)

    def __getitem__(self, name: str) -> Job:
        found = self.held[name]
        if isinstance(found, tuple):
            assert self._read is not None
            found = self.held[name] = self._read(found)
        return found

    def __setitem__(self, name: str, job: Job) -> None:
        self.held[name] = job

    def __delitem__(self, name: str) -> None:
        del self.held[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.held)

    def __len__(self) -> int:
        return len(self.held)

    def __contains__(self, name: object) -> bool:
        return name in self.held

    def in_work(self) -> list[tuple[str, Job]]:
        """Jobs that are not closed; no closed one is read for it."""
        return [(n, j) for n, j in self.held.items() if not isinstance(j, tuple) and not j.closed]
