"""Whatever entries, people, materials and reasons are called on shelves, the plan stays what it was."""

from __future__ import annotations

import random
import tomllib
from collections.abc import Iterator
from typing import Any

import pytest

from finding_shelves import Overlay, checked_again
from free_words import HOSTILE, PEOPLE, told
from panelmend.app.shelves import measured_damage
from panelmend.document import Loaded
from panelmend.document.crossed.grounds import says_little
from panelmend.document.places import Path
from panelmend.document.reader import open_file
from panelmend.document.typed_out import free_words
from panelmend.document.written import written
from panelmend.job.case import case_of
from panelmend.materials import Catalogue, builtin
from panelmend.plan.make import make_plan
from panelmend.shelves.names import file_name
from panelmend.shelves.resolve import resolved
from shelf_files import short

LONG = "STOP, not READY, the far skin of the core. " * 7  # 300 signs
WORDS = (*HOSTILE, "0", "x/../../y", "'single' \\ back", "panels", "practice 2026 ", "NOT CHECKED")
NAMED = {"by", "typed_by", "technician", "planner", "engineer", "inspector", "storekeeper"}
GROUNDS = {"place", "source", "reason", "conditions", "how_found"}  # texts that may be long
OWN = {"figure", "only", "stage", "values", "form", "shelf", "hand", "digest", "value"}


def _texts(raw: Any, path: Path = ()) -> Iterator[tuple[Path, str]]:
    """Every text of a head, of rows of practice and of what a job uses, but for words of our own."""
    if isinstance(raw, dict):
        for key, value in raw.items():
            if key not in OWN:
                yield from _texts(value, (*path, key))
    elif isinstance(raw, list):
        for i, value in enumerate(raw):
            yield from _texts(value, (*path, i))
    elif isinstance(raw, str):
        yield path, raw


def _free(raw: dict[str, Any]) -> list[tuple[Path, str]]:
    found = [(p, t) for p, t in free_words(raw) if p[-1] != "figure"]
    for table in ("entry", "use", "practice"):
        found += [((table, *p), t) for p, t in _texts(raw.get(table, {}))]
    for i, row in enumerate(raw.get("practice", [])):  # bays and materials that a row is for
        found += [(("practice", i, "only", *p), t) for p, t in _texts(row.get("only", {}))]
    return [(p, t) for p, t in found if t]


def _other(found: list[tuple[Path, str]], seed: int) -> dict[str, str]:
    """Another text for each: the same wherever it stood."""
    ours = set(Catalogue(builtin()).ids())
    people = {t for p, t in found if p[-1] in NAMED}
    drawn = random.Random(seed)
    made: dict[str, str] = {}
    for all_words, mine in ((PEOPLE, True), (WORDS, False)):
        words = drawn.sample(all_words, len(all_words))
        texts = [t for t in dict.fromkeys(t for _, t in found) if (t in people) is mine and t not in ours]
        for n, text in enumerate(texts):
            more = n // len(words)
            made[text] = words[n % len(words)].strip() + (f" {more}" if more else "")
    for text in {t for p, t in found if p[-1] in GROUNDS and says_little(made.get(t, "ab"))}:
        made[text] += " 1"  # a ground of a single stroke is asked about on purpose
    grounds = {t for _, t in found} - {t for p, t in found if p[-1] not in GROUNDS}
    return made | {t: f"{LONG}{n}" for n, t in enumerate(sorted(grounds & set(made))) if n % 3 == 0}


def _renamed(text: str, other: dict[str, str]) -> str:
    changes = {p: other[t] for p, t in _free(tomllib.loads(text)) if t in other}
    return written(text, changes)


def _loaded(job: str, shelves: Any) -> Loaded:
    return resolved(open_file(job.encode("utf8"), "job.toml"), shelves, measured_damage)


@pytest.mark.parametrize("seed", [2])
def test_other_words_on_shelves_change_no_severity_and_no_number(seed: int) -> None:
    job = short()
    plain = _loaded(job, Overlay({}))
    assert plain.shelved is not None
    taken = {(e.shelf, e.file.partition("/")[2]): e.data.decode("utf8") for e in plain.shelved.entries}
    found = [x for t in (job, *taken.values()) for x in _free(tomllib.loads(t))]
    other = _other(found, seed)
    assert len(other) > 120
    assert max(map(len, other.values())) >= 300
    texts: dict[tuple[str, str], str] = {}
    for (shelf, _), text in taken.items():
        made = _renamed(text, other)
        name = tomllib.loads(made)["entry"]["name"]
        texts[(shelf, file_name(name))] = checked_again(made, f"{shelf}/{name}")
    assert len(texts) == len(taken)
    hostile = _loaded(_renamed(job, other), Overlay(texts))
    assert hostile.shelved is not None
    assert [f.code for f in hostile.shelved.findings] == [f.code for f in plain.shelved.findings]
    assert told(make_plan(case_of(hostile))) == told(make_plan(case_of(plain)))
