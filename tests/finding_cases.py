"""The two documents of each finding code: one just inside its limit and one just outside."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path

from examples_here import FOLDER as EXAMPLES

FOLDER = Path(__file__).parent / "finding_documents"
Pieces = tuple[tuple[str, str], ...]


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
        for old, new in (*self.both, *(self.inside if within else self.outside)):
            assert made.count(old) == 1, (
                f"{self.name}: {old!r} stands {made.count(old)} times in {self.of}/{self.file}"
            )
            made = made.replace(old, new)
        return made


def _pieces(rows: list[list[str]]) -> Pieces:
    return tuple((old, new) for old, new in rows)


def finding_cases() -> tuple[FindingCase, ...]:
    """Every case of every stage."""
    return tuple(
        FindingCase(
            row["code"],
            row["limit"],
            row.get("of", "gear_door"),
            row.get("file", "repair.toml"),
            _pieces(row.get("both", [])),
            _pieces(row.get("inside", [])),
            _pieces(row.get("outside", [])),
            row.get("place", ""),
            row.get("said", ""),
        )
        for path in sorted(FOLDER.glob("*.toml"))
        for row in tomllib.loads(path.read_text("utf8"))["case"]
    )
