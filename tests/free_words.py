"""A document with other words in every field that takes any words: a planner in a hurry, or an attacker."""

from __future__ import annotations

import random
import tomllib
from collections import Counter

from panelmend.document.places import Path
from panelmend.document.typed_out import free_words
from panelmend.document.written import written
from panelmend.materials import Catalogue, builtin
from panelmend.plan.plan import Plan

# What means something to a program that reads words. Each text typed gets one of its own.
HOSTILE = (
    "roll pin 1",
    "none",
    "unknown",
    "STOP",
    "yes",
    "READY",
    "n/a",
    "10",  # a place of one stroke is asked about on purpose
    "approved",
    "outside",
    "far skin",
    "potting",
    "core",
    "bag",
    "tape",
    "solid area, blanket side",
    'a "quoted" name',
    "[damage]",
    "#let x = 1; $x$ *bold* _it_ @ref",
    "<b>bold</b> & <script>",
    "{% if x %} {{ y }}",
    "Größe 7 mm",
    "ребро 2 STOP",
    "隔框 七",
    "خط ٣",
    "-1.5",
    "25.4 mm",
    "120 C",
    "ramp",
    "dwell",
    "cure.2.holds",
    "D. Aune, engineer",
    "so long that no line takes it and no column does either",
)
# A person is asked for where no name stands ("none", "n/a"): those here are names.
PEOPLE = ("Stop Ready", "Core", '"Roll" [Pin]', "Хейл Й.", "李 四", "#Tape *Bag*")
NAMED = {"technician", "planner", "engineer", "inspector", "storekeeper", "by", "typed_by", "checked_by"}
OWN = {"figure"}  # names a number of the plan, and is refused where it names none


def renamed(document: str, seed: int) -> tuple[str, dict[str, str]]:
    """The document with another text wherever words are free, and which stands for which.

    The same text becomes the same wherever it stood. Ids of the tables that come with panelmend stay.
    """
    ours = set(Catalogue(builtin()).ids())
    found = [(p, t) for p, t in free_words(tomllib.loads(document)) if t and t not in ours]
    found = [(p, t) for p, t in found if p[-1] not in OWN]
    people = {t for p, t in found if p[-1] in NAMED}
    drawn = random.Random(seed)
    other: dict[str, str] = {}
    for all_words, mine in ((PEOPLE, True), (HOSTILE, False)):
        words = drawn.sample(all_words, len(all_words))
        texts = dict.fromkeys(t for _, t in found if (t in people) is mine)
        for n, text in enumerate(texts):
            more = n // len(words)
            other[text] = words[n % len(words)] + (f" {more}" if more else "")
    changes: dict[Path, str] = {p: other[t] for p, t in found}
    return written(document, changes), other


def told(plan: Plan) -> Counter[str]:
    """Every finding with its severity, and every number of the ledger with its kind, however it is keyed."""
    of_findings = (f"{f.code} {f.severity.value}" for f in plan.findings)
    numbers = (f"{f.kind} {f.value!r}" for f in plan.ledger if not isinstance(f.value, str))
    return Counter((plan.standing.value, *of_findings, *(n for n in numbers if n[-1].isdigit())))
