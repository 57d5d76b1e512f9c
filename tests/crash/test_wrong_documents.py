"""Wrong documents, as data: refused with file and line, asked about, or found; none passes in silence."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from examples_here import case_from, names, text
from panelmend.derive import Ledger
from panelmend.document import parse
from panelmend.document.asked import asked_values
from panelmend.errors import DocumentError
from panelmend.plan.asked import check_asked
from staged import staged

HERE = Path(__file__).parent
EXAMPLES = {"D": "gear_door", "F": "root_fairing", "C": "cowling", "P": "flap_rib_bay"}
EDGES = tomllib.loads((HERE / "asked_edges.toml").read_text("utf8"))["edges"]
TABLES = tomllib.loads((HERE / "wrong_documents.toml").read_text("utf8"))
INNER = re.compile(r"traceback|pydantic|input should|not in this ledger|\w+Error|\bNone\b")


def plain(typed: str) -> str:
    """A text of the table with its line ends and strange characters."""
    return re.sub(r"\\u([0-9a-f]{4})", lambda m: chr(int(m[1], 16)), typed.replace("\\n", "\n"))


def spoiled(of: str, old: str, new: str) -> str:
    sound, old, new = text(EXAMPLES[of]), plain(old), plain(new)
    assert old in sound, f"{EXAMPLES[of]} does not have {old!r}"
    assert old != new
    return sound.replace(old, new, 1)


def wrong(of: str, old: str, new: str, expected: str) -> str:
    """What is wrong with the answer to a wrong document; "" where it is as expected."""
    document = spoiled(of, old, new)
    if expected.startswith("asked: "):
        try:
            told = {f.place for f in check_asked(case_from(document), Ledger()) if f.code != "J350"}
        except DocumentError as error:
            return f"said {error}"
        key = expected.removeprefix("asked: ")
        return "" if key in told or (key, told) == ("nothing", set()) else f"asked about {told or 'nothing'}"
    if expected.startswith("found: "):
        told = {f.code for f in staged(document).findings("L")}
        return "" if expected.removeprefix("found: ") in told else f"found {told}"
    try:
        parse(document.encode(), "repair.toml")
    except DocumentError as error:
        said = [f.sentence() for f in error.faults]
        inner = [s for s in said if INNER.search(s)]
        hits = [s for s in said if all(w in s for w in expected.split("; "))]
        placed = [s for s in hits if re.match(r"repair\.toml, line \d+", s)]
        return "" if placed and not inner else f"said {said}"
    return "accepted in silence"


def test_there_are_many_and_no_two_are_the_same() -> None:
    rows = [tuple(row) for table in TABLES.values() for row in table]
    assert len(set(rows)) == len(rows) >= 150


@pytest.mark.parametrize("table", TABLES)
def test_no_wrong_document_passes_in_silence(table: str) -> None:
    wrongs = {
        f"{old} -> {new}": said for of, old, new, want in TABLES[table] if (said := wrong(of, old, new, want))
    }
    assert wrongs == {}


def asked(document: str) -> set[str]:
    """What a document is asked about, by the documents' own checks."""
    read = parse(document.encode(), "repair.toml")
    return {q.key for q in (*asked_values(read.document), *read.odd)}


def test_no_example_is_asked_about_anything() -> None:
    """What asks about values that are right is confirmed unread."""
    assert {name: asked(text(name)) for name in names() if asked(text(name))} == {}


@pytest.mark.parametrize("part", range(4))
def test_a_value_is_asked_about_just_outside_what_is_usual_and_not_just_inside(part: int) -> None:
    wrongs = []
    for of, old, inside, outside, key in EDGES[part::4]:
        told = key in asked(spoiled(of, old, inside)), key in asked(spoiled(of, old, outside))
        if told != (False, True):
            wrongs.append((key, inside, outside))
    assert wrongs == []
