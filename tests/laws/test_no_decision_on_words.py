"""Nothing is decided on words meant for people or on ids people chose: kinds, codes and flags decide.

An insert called "roll pin 1" once turned a stop into a caution: what falls short was read from its words.
"""

from __future__ import annotations

import ast
import re
from functools import cache

import pytest

from looks_at_words import LOOKS_AT_WORDS
from source_trees import SRC, trees
from word_decisions import decisions

ROOMS = (
    "app",
    "curelog",
    "document",
    "job",
    "photo",
    "plan",
    "predict",
    "records",
    "render",
    "screen",
    "shelves",
    "survey",
)


@cache
def found() -> set[tuple[str, str]]:
    """Every decision of the rooms, by its file; read by whoever runs these tests."""
    return {
        (name, decision)
        for name, tree in trees().items()
        if name.startswith(tuple(f"{room}/" for room in ROOMS))
        for decision in decisions(tree)
    }


def test_no_stage_judge_or_page_decides_on_words() -> None:
    assert found() - set(LOOKS_AT_WORDS) == set(), (
        "decide on an enum, a code or a flag, or give the reason in looks_at_words"
    )


def test_no_template_decides_on_how_words_begin_or_end() -> None:
    pages = [*(SRC / "screen/templates").rglob("*.html"), *(SRC / "render/typst").rglob("*.typ")]
    asks = re.compile(r"\b(\w+)[.](?:starts-?with|ends-?with|contains)\(")
    asked = {(p.name, m[1]) for p in pages for m in asks.finditer(p.read_text("utf8"))}
    assert len(pages) > 50
    assert asked <= {("compare.html", "key")}  # keys of figures, set by our own code


def test_no_exception_outlives_its_place() -> None:
    assert set(LOOKS_AT_WORDS) - found() == set()


@pytest.mark.parametrize(
    "source",
    [
        'room = "roll" in fit.what or x',
        'light = fit.what.startswith("tape")',
        'if spot.id == "roll pin": pass',
        'if "foam" in core.material: pass',
        'if fault.channel.startswith("X"): pass',
        'if roll.store == "A": pass',
        'if f.words.lower() in ("a", "b"): pass',
        'match = "solid" not in area.name',
        "said = x.words.startswith(y.rule)",
        'near = name.startswith(f"{P} ")',
        "same = ident.startswith(kind)",
        "below = place.startswith(f.place)",
        "if x.words.partition(':')[0] == 'a': pass",
        "if re.search('pin', x.words): pass",
        "if PIN.fullmatch(x.title.strip()): pass",
        "match x.words:\n    case 'roll pin' | 'pin':\n        y = 1",
        "size = {'roll pin': 1}.get(x.name)",
        "size = {'roll pin': 1}[x.id]",
        "size = TABLE.get(x.name, 0)",
        "if x.words in TABLE: pass",
        "if x.words in kinds.TABLE: pass",
        "size = TABLE[x.title]",
        "if x.words == ROLL_PIN: pass",
        "if x.id != P: pass",
        "if x.words.split()[0].endswith(end): pass",
        "if x.name.find(y) >= 0: pass",
        "n = ORDER.index(x.name)",
        "n = x.words.count(y)",
        "if x.words.removeprefix('a ') == 'roll pin': pass",
        "if x.words.casefold() == 'roll pin': pass",
        "if any(w in x.words for w in ('roll', 'pin')): pass",
        "for w in ('roll', 'pin'):\n    if w in x.words: pass",
        "for w in x.words.split():\n    if w == 'roll': pass",
        "def f(x):\n    said = x.words\n    low = said.lower()\n    return low == 'roll pin'",
        "def f(x):\n    kinds = {'roll pin': 1}\n    return kinds[x.name]",
        "def f(x):\n    first, _, rest = x.title.partition(' ')\n    return first == 'roll'",
        "def f(x):\n    said = x.words\n    return lambda y: y and said == 'roll pin'",
        "if (said := x.words) and said == 'roll pin': pass",
        "if f'{x.name} {y}' == 'roll pin': pass",
        "if (x.words or '') == 'roll pin': pass",
        "if str(x.name) in {'roll pin'}: pass",
        "if describe(fit) == 'roll pin': pass",
        "if 'tape' in x.words(): pass",
        "if describe(fit).startswith('tape'): pass",
        "if x.heading == 'roll pin': pass",
        "if x.said.startswith('roll'): pass",
        "if 'roll' in x.summary: pass",
        "if x.summary('mm') == 'roll': pass",
        "if x.id in ('A', 'B'): pass",
        "if x.id < 'M': pass",
        "if 'A' <= x.name <= 'M': pass",
        "if len(x.words) > 20: pass",
        "if len(x.title) == 1: pass",
        "if getattr(x, 'words') == 'roll': pass",
        "if getattr(x, 'id', '').startswith('R'): pass",
        "worst = max(fits, key=lambda f: f.title)",
        "first = min(fits, key=lambda f: (f.id, f.size))",
        "worst = max(fits, key=describe)",
        "worst = max(fits, key=attrgetter('words'))",
    ],
)
def test_decisions_on_words_are_seen(source: str) -> None:
    assert list(decisions(ast.parse(source)))


@pytest.mark.parametrize(
    "source",
    [
        "if fit.kind is Kind.TAPE: pass",
        "if fit.what == Compared.STRAIN: pass",
        "a = case.name == other.name",
        'b = x.words == ""',
        "thing = things[x.id]",
        "thing = next(t for t in things if t.id == x.id)",
        "if change > COUNTED: pass",
        'words = x.words.removesuffix(".") + ";"',
        "match x.kind:\n    case 'pin':\n        y = 1",
        "if x.id in ids: pass",
        "if x.id < y.id: pass",
        "if len(x.words) > 0: pass",
        "if len(x.plies) > 3: pass",
        "worst = max(fits, key=lambda f: f.size)",
        "shown = sorted(fits, key=lambda f: f.title)",
        "if getattr(x, 'kind') == 'pin': pass",
    ],
)
def test_decisions_on_kinds_and_lookups_are_not(source: str) -> None:
    assert not list(decisions(ast.parse(source)))
