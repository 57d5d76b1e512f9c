"""Faults that change nothing anybody can see, each with its reason: ``kept.toml``."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sites import Site

KEPT = Path(__file__).parent / "kept.toml"


@dataclass(frozen=True)
class Kept:
    """A change that is kept out of the count: the file, its line without its indent, and the change.

    File and line are empty where the change may stand anywhere; ``at``: the column in that line, where the
    same change of another place of it can be seen.
    """

    file: str
    line: str
    was: str
    becomes: str
    at: int | None = None

    def anywhere(self) -> Kept:
        """The change alone."""
        return Kept("", "", self.was, self.becomes)


def column_of(site: Site, text: str) -> int:
    """Where a place stands in its line without the indent, in the text of its file."""
    row = text.splitlines()[site.line - 1]
    return site.start - text.rfind("\n", 0, site.start) - 1 - (len(row) - len(row.lstrip()))


def change_of(site: Site, text: str, root: Path) -> Kept:
    """The change of a place in the text of its file, which lies below a root."""
    row = text.splitlines()[site.line - 1].strip()
    path = str(site.path.relative_to(root))
    return Kept(path, row, site.was.strip(), site.becomes, column_of(site, text))


def kept() -> dict[Kept, str]:
    """Every change of the list with the reason why nobody can see it.

    Each entry names a file, the text of a line and changes written "was -> becomes" ("nothing" for ""); with
    ``at`` only the one in that column.
    """
    found: dict[Kept, str] = {}
    read = tomllib.loads(KEPT.read_text("utf8"))
    for row in (*read["anywhere"], *read["same"]):
        for change in row["changes"]:
            was, becomes = change.split(" -> ")
            becomes = "" if becomes == "nothing" else becomes
            change_at = Kept(row.get("file", ""), row.get("line", ""), was, becomes, row.get("at"))
            found[change_at] = row["why"]
    return found


def reason_for(change: Kept, reasons: dict[Kept, str]) -> str:
    """Why nobody can see a change, or nothing."""
    ways = (change, replace(change, at=None), change.anywhere())
    return next((reasons[way] for way in ways if way in reasons), "")
