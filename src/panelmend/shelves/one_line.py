"""One line that answers more than its question: a panel with its serial number, a depth with its side.

Only what stands behind a comma or a semicolon is taken apart, or behind the words of a serial number; and
only where the whole line is no choice of its own.
"""

from __future__ import annotations

import re

from panelmend.document.interview import Question
from panelmend.shelves.entry import Entry

# Sections that a plan takes from the data and `new` does not ask for.
TAKEN = ("surface", "bag", "drying", "cure", "preparation", "inspection", "finishing", "interruption")
_SERIAL = re.compile(
    r"(?i)^(?P<panel>.+?)(?:\s*[,;]\s*(?:s/n|serial(?: number)?)?|\s+s/n|\s+serial(?: number)?)"
    r"\s*(?P<serial>\S*\d\S*)$"
)
_DEPTH = re.compile(
    r"(?i)^(?P<depth>.+?)\s*[,;]\s*(?:(?P<plies>\d+)(?:\s*pl(?:y|ies))?\s*[,;]\s*)?(?P<side>outside|inside)$"
)


def lacking(data: Entry) -> tuple[str, ...]:
    """Sections that an entry of data gives nothing of, neither itself nor by a table."""
    groups = [data.raw.get("data"), *(row.data for table in data.typed.choose for row in table.row)]
    given = {key for group in groups if isinstance(group, dict) for key in group}
    return tuple(s for s in TAKEN if s not in given)


def beside(question: Question, typed: str) -> tuple[str, dict[str, str]]:
    """The answer to a question, and those to later ones that the same line gives, by their path."""
    here, _, name = question.path.rpartition(".")
    if question.path == "use.panel" and (m := _SERIAL.match(typed)):
        return m["panel"], {"use.serial": m["serial"]}
    if name == "depth" and (m := _DEPTH.match(typed)):
        more = {f"{here}.plies": m["plies"]} if m["plies"] else {}
        return m["depth"], {**more, f"{here}.side": m["side"].casefold()}
    return typed, {}
