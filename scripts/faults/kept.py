"""Faults that change nothing anybody can see, each with its reason: ``kept.toml``."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path

KEPT = Path(__file__).parent / "kept.toml"


@dataclass(frozen=True)
class Kept:
    """A change that is kept out of the count: the file, its line without its indent, and the change.

    File and line are empty where the change may stand anywhere.
    """

    file: str
    line: str
    was: str
    becomes: str

    def anywhere(self) -> Kept:
        """The change alone."""
        return Kept("", "", self.was, self.becomes)


def kept() -> dict[Kept, str]:
    """Every change of the list with the reason why nobody can see it.

    Each entry names a file, the text of a line and changes written "was -> becomes" ("nothing" for "").
    """
    found: dict[Kept, str] = {}
    read = tomllib.loads(KEPT.read_text("utf8"))
    for row in (*read["anywhere"], *read["same"]):
        for change in row["changes"]:
            was, becomes = change.split(" -> ")
            becomes = "" if becomes == "nothing" else becomes
            found[Kept(row.get("file", ""), row.get("line", ""), was, becomes)] = row["why"]
    return found


def reason_for(change: Kept, reasons: dict[Kept, str]) -> str:
    """Why nobody can see a change, or nothing."""
    return reasons.get(change) or reasons.get(change.anywhere(), "")
