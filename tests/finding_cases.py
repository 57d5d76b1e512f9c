"""The two documents of each finding code: one just inside its limit and one just outside."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from examples_here import FOLDER as EXAMPLES

FOLDER = Path(__file__).parent / "finding_documents"
Pieces = tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class FindingCase:
    """What is replaced in an example: ``both`` in both documents, ``inside`` and ``outside`` in one each.

    Only findings at a place that begins with ``place`` count, and those outside have ``said`` in their words.
    """

    code: str
    limit: str
    of: str
    file: str
    both: Pieces
    inside: Pieces
    outside: Pieces
    place: str
    said: str

    @property
    def name(self) -> str:
        """Its name in the tests."""
        return f"{self.code} {self.limit}"

    def document(self, *, within: bool) -> str:
        """One of its two documents; fails where a piece no longer stands in the example exactly once."""
        made = (EXAMPLES / self.of / self.file).read_text("utf8")
        pieces = (*self.both, *(self.inside if within else self.outside))
        return replaced(made, pieces, f"{self.name}, {self.of}/{self.file}")


def replaced(made: str, pieces: Iterable[tuple[str, ...]], name: str) -> str:
    """A text with its pieces replaced; fails where a piece does not stand in it exactly once."""
    for old, new in pieces:
        assert made.count(old) == 1, f"{name}: {old!r} stands {made.count(old)} times"
        made = made.replace(old, new)
    return made


def _case(row: dict[str, Any]) -> FindingCase:
    made = FindingCase(
        row["code"],
        row["limit"],
        row.get("of", "gear_door"),
        row.get("file", "repair.toml"),
        *(tuple(map(tuple, row.get(name, []))) for name in ("both", "inside", "outside")),
        row.get("place", ""),
        row.get("said", ""),
    )
    if row.get("host") != "shelf":
        return made
    from finding_shelves import shelf_case  # late: its cases are made of these

    return shelf_case(made, row)


def finding_cases() -> tuple[FindingCase, ...]:
    """Every case of every stage."""
    paths = sorted(FOLDER.glob("*.toml"))
    return tuple(_case(row) for path in paths for row in tomllib.loads(path.read_text("utf8"))["case"])
