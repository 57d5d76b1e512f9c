"""One line that answers more than its question: a panel with its serial number, a depth with its side, who
does the work with who accepts it.

Only what stands behind a comma or a semicolon is taken apart, or behind the words of a serial number; and
only where the whole line is no choice of its own. Two people stand with a semicolon, a stroke or "and"
between them: a comma may stand inside of one name ("Osk, R.").
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from panelmend.document.interview import Answers, Question
from panelmend.document.people import is_plain_name, same_person
from panelmend.errors import InputError
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.outlines import outline_value

# Sections that a plan takes from the data and `new` does not ask for.
TAKEN = ("surface", "bag", "drying", "cure", "preparation", "inspection", "finishing", "interruption")
_SERIAL = re.compile(
    r"(?i)^(?P<panel>.+?)(?:\s*[,;]\s*(?:s/n|serial(?: number)?)?|\s+s/n|\s+serial(?: number)?)"
    r"\s*(?P<serial>\S*\d\S*)$"
)
_DEPTH = re.compile(
    r"(?i)^(?P<depth>.+?)\s*[,;]\s*(?:(?P<plies>\d+)(?:\s*pl(?:y|ies))?\s*[,;]\s*)?(?P<side>outside|inside)$"
)

_PEOPLE = re.compile(r"(?i)^(?P<does>[^;/&]+?)\s*(?:[;/&]|\s+and\s+)\s*(?P<accepts>[^;/&]+)$")


_SIZED = re.compile(r"[a-z]+\b.*\d", re.IGNORECASE)  # a word and a number somewhere behind it


def check_person(question: Question, name: str, answers: Answers) -> None:
    """Whether this names one person, and for who accepts the work another one.

    Raises:
        InputError: it does not.
    """
    if not is_plain_name(name):
        raise InputError("this is not a name", read=repr(name), expected="such as R. Osk")
    if any(c in name for c in ";/&") or _two_names(name):
        raise InputError(
            "this reads like more than one person",
            read=repr(name),
            expected="one name, such as R. Osk"
            + ("; or two with ; between them" if question.path == "people.technician" else ""),
        )
    if question.path == "people.inspector" and same_person(name, answers.get("people.technician", "")):
        raise InputError("nobody inspects their own work", read=name, expected="another person")


def _two_names(text: str) -> bool:
    """Whether a comma in it may stand between two people: on either side two words, one of them whole."""
    parts = [p.split() for p in text.split(",")]
    return len(parts) > 1 and all(len(p) > 1 and any(len(w.strip(".")) > 1 for w in p) for p in parts)


def lacking(data: ShelfEntry) -> tuple[str, ...]:
    """Sections that an entry of data gives nothing of, neither itself nor by a table."""
    groups = [data.raw.get("data"), *(row.data for table in data.typed.choose for row in table.row)]
    given = {key for group in groups if isinstance(group, dict) for key in group}
    own = data.raw.get("data")
    rows = own.get("nothing_of", ()) if isinstance(own, dict) else ()
    none = {r.get("part") for r in rows if isinstance(r, dict)} if isinstance(rows, list) else set()
    return tuple(s for s in TAKEN if s not in given | none)


def left_to_choose(data: ShelfEntry | None) -> Iterator[Question]:
    """What the data leaves to the planner: shown with what the plan takes, and chosen by a correction.

    Of surface, drying and cures an entry holds one each; where a manual has two, each is an entry of its own.
    """
    cutout = (data.raw.get("data") or {}).get("cutout") if data is not None else None
    given = cutout.get("forms") if isinstance(cutout, dict) else None
    forms = given.get("value") if isinstance(given, dict) else None
    if isinstance(forms, list) and len(forms) > 1 and all(isinstance(f, str) for f in forms):
        words = (
            "Form of the cut-out, of those that the data permits; none: the smallest that covers the damage"
        )
        yield Question("choice.form", words, "choice", "", tuple(forms), needed=False, quiet=True)


def beside(question: Question, typed: str) -> tuple[str, dict[str, str]]:
    """The answer to a question, and those to later ones that the same line gives, by their path.

    Raises:
        InputError: a form with its size and place that cannot be read.
    """
    here, _, name = question.path.rpartition(".")
    if name == "form" and "outline" in question.choices and _SIZED.match(typed):
        return _shape(here, outline_value(typed))
    if question.path == "use.panel" and (m := _SERIAL.match(typed)):
        return m["panel"], {"use.serial": m["serial"]}
    if name == "depth" and (m := _DEPTH.match(typed)):
        more = {f"{here}.plies": m["plies"]} if m["plies"] else {}
        return m["depth"], {**more, f"{here}.side": m["side"].casefold()}
    if question.path == "people.technician" and (m := _PEOPLE.match(typed)):
        return m["does"], {"people.inspector": m["accepts"]}
    return typed, {}


def _shape(here: str, outline: dict[str, Any]) -> tuple[str, dict[str, str]]:
    """A form, and the answers that its size and place are; what it does not say of its turn is no turn."""
    ((form, given),) = outline.items()
    more = {f"{here}.{form}.{name}": _words(value) for name, value in given.items()}
    if form in ("rectangle", "ellipse", "oval"):
        more.setdefault(f"{here}.{form}.angle", "")
    return form, more


def _words(value: Any) -> str:
    if isinstance(value, str):
        return value
    return "; ".join(", ".join(repr(n) for n in point) for point in value)
