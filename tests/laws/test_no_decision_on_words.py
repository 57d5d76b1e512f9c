"""Nothing is decided on words meant for people or on ids people chose: kinds, codes and flags decide.

An insert called "roll pin 1" once turned a stop into a caution: what falls short was read from its words.
"""

from __future__ import annotations

import ast
import re
from functools import cache

import pytest

from answers_on_words import ANSWERS_ON_WORDS
from looks_at_words import LOOKS_AT_WORDS
from ordered_by_words import ORDERED_BY_WORDS
from source_trees import SRC, trees
from word_decisions import decisions, scopes
from word_helpers import Sources, answers, handed
from word_orders import orders

Found = set[tuple[str, str]]


@cache
def found() -> tuple[Found, Found, Found]:
    """Every decision, every order and every answer of the sources, by its file."""
    sources = Sources(trees())
    decided, ordered, answered = Found(), Found(), Found()
    given = handed(sources)
    for name, tree in trees().items():
        known = sources.known(name, given)
        scoped = list(scopes(tree, known))
        decided |= {(name, said) for said in decisions(scoped)}
        ordered |= {(name, said) for said in orders(scoped)}
        answered |= {(name, said) for said in answers(sources, name, known, scoped)}
    return decided, ordered - decided, answered


def seen(source: str) -> list[tuple[str, ...]]:
    """What is found in a source that stands alone: decisions, orders, answers."""
    sources = Sources({"one.py": ast.parse(source)})
    known = sources.known("one.py", handed(sources))
    scoped = list(scopes(sources.trees["one.py"], known))
    return [tuple(decisions(scoped)), tuple(orders(scoped)), tuple(answers(sources, "one.py", known, scoped))]


def test_no_stage_judge_or_page_decides_on_words() -> None:
    assert found()[0] - set(LOOKS_AT_WORDS) == set(), (
        "decide on an enum, a code or a flag, or give the reason in looks_at_words"
    )


def test_nothing_is_put_in_order_by_words_for_what_comes_first() -> None:
    assert found()[1] - set(ORDERED_BY_WORDS) == set(), (
        "order by a number, a code or an enum, or give the reason in ordered_by_words"
    )


def test_no_answer_hangs_on_words_that_are_handed_on() -> None:
    assert found()[2] - set(ANSWERS_ON_WORDS) == set(), (
        "hand on an enum, a code or a flag, or give the reason in answers_on_words"
    )


def test_no_template_decides_on_how_words_begin_or_end() -> None:
    pages = [*(SRC / "screen/templates").rglob("*.html"), *(SRC / "render/typst").rglob("*.typ")]
    asks = re.compile(r"\b(\w+)[.](?:starts-?with|ends-?with|contains)\(")
    asked = {(p.name, m[1]) for p in pages for m in asks.finditer(p.read_text("utf8"))}
    assert len(pages) > 50
    assert asked <= {("compare.html", "key")}  # keys of figures, set by our own code


def test_no_exception_outlives_its_place() -> None:
    for table, there in zip((LOOKS_AT_WORDS, ORDERED_BY_WORDS, ANSWERS_ON_WORDS), found(), strict=True):
        assert set(table) - there == set()


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
        "if 'roll pin' in [x.name for x in fits]: pass",
        "n = [x.words for x in fits].count(y)",
        "worst = max(fits, key=lambda f: f.title)",
        "first = min(fits, key=lambda f: (f.id, f.size))",
        "worst = max(fits, key=describe)",
        "worst = max(fits, key=attrgetter('words'))",
    ],
)
def test_decisions_on_words_are_seen(source: str) -> None:
    assert seen(source)[0]


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
    assert not seen(source)[0]


@pytest.mark.parametrize(
    "source",
    [
        "first = sorted(fits, key=lambda f: f.title)[0]",
        "first, *rest = sorted(fits, key=lambda f: f.title)",
        "first = next(iter(sorted(fits, key=attrgetter('name'))))",
        "first = next(f for f in sorted(fits, key=describe) if f.light)",
        "fits.sort(key=lambda f: f.words)\nworst = fits[-1]",
        "for f in sorted(fits, key=lambda f: (f.size, f.id)):\n    if f.fits: break",
        "worst = max(fits, key=lambda f: (f.size, f.name))",
        "worst = max((f.size, f.name) for f in fits)",
        "best = max(best, (size, ident))",
        "first = min(x.title for x in fits)",
        "said = [x.title for x in fits]\nfirst = min(said)",
        "first = sorted({x.what for x in fits})[0]",
        "one = min(map_of, key=str.casefold)",
        "worst = heapq.nlargest(1, fits, key=lambda f: f.heading.lower())",
        "heappush(waiting, (x.size, x.id))",
        "for title, some in groupby(fits, lambda f: f.title): pass",
        "by = {}\nfor f in fits:\n    by.setdefault(f.title, []).append(f)",
        "by = {f.title: f.kind for f in fits}",
        "if kinds[y.title] is Kind.TAPE: pass",
        "if kinds.get(describe(y)) is Kind.TAPE: pass",
        "if f.words in told: pass",
        "told.add((f.code, f.words))",
        "many = Counter(f.title for f in fits)",
        "if x.title < y.title: pass",
        "@dataclass(frozen=True, order=True)\nclass Fit:\n    name: str\n    size: float",
        "def said(f: Fit) -> str:\n    return f.kind.value\nworst = max(fits, key=said)",
        "def f(fits, name):\n    first = sorted(name.split())[0]",
    ],
)
def test_orders_by_words_are_seen(source: str) -> None:
    assert seen(source)[1] or seen(source)[0]


@pytest.mark.parametrize(
    "source",
    [
        "first = sorted(fits, key=lambda f: f.size)[0]",
        "worst = max(fits, key=lambda f: (f.size, f.number))",
        "worst = max(f.size for f in fits)",
        "first = min(numbers)",
        "by = {f.id: f for f in fits}",
        "by = {f.code: f for f in fits}",
        "thing = things[x.id]",
        "told.add(f.code)",
        "if f.code in told: pass",
        "if x.id < y.id: pass",  # each pair once
        "for kind, some in groupby(fits, lambda f: f.kind): pass",
        "@dataclass(frozen=True, order=True)\nclass Fit:\n    size: float\n    number: int",
        "def size(f: Fit) -> float:\n    return f.size\nworst = max(fits, key=size)",
    ],
)
def test_orders_by_numbers_codes_and_kinds_are_not(source: str) -> None:
    assert seen(source)[1] == ()


PIN = "def pin(w: str) -> bool:\n    "


@pytest.mark.parametrize(
    "source",
    [
        PIN + "return 'roll' in w\nif pin(fit.name): pass",
        PIN + "return w == ROLL\nif pin(fit.name): pass",
        PIN + "return w in own\nif pin(w=fit.what): pass",
        PIN + "low = w.lower()\n    return hash(low) % 2 == 0\nif pin(fit.name): pass",
        PIN
        + "for x in w.split():\n        if x in known:\n            return True\n    return False\npin(f.id)",
        PIN + "match w:\n        case 'roll pin': return True\n    return False\npin(f.title)",
        PIN + "return any(map(known, w))\nif any(map(pin, [f.name for f in fits])): pass",
        PIN + "return w[0] > 'M'\nlight = list(filter(pin, (f.name for f in fits)))",
        PIN + "return deep(w)\ndef deep(v: str) -> bool:\n    return v in own\nif pin(fit.name): pass",
        "def kind(w: str) -> Kind | None:\n    return TABLES[0].get(w)\n"
        "class Kind(StrEnum):\n    A = 'a'\nif kind(fit.what) is Kind.A: pass",
        "def side(w: str) -> Literal['a', 'b']:\n    return 'a' if w in own else 'b'\n"
        "if side(x.name) == 'a': pass",
        "def rank(w: str) -> int:\n    return len(w)\nworst = max(fits, key=lambda f: rank(f.title))",
        "def rank(w: str) -> tuple[int, str]:\n    return len(w), w\n"
        "worst = max(fits, key=lambda f: rank(f.title))",
        "def rank(w):\n    return known[w]\nif rank(f.words) > 3: pass",
        "class A:\n    def pin(self, w: str) -> bool:\n        return w in self.own\nif a.pin(f.name): pass",
        "class A:\n    def pin(self, w: str) -> bool:\n        return w in self.own\n"
        "class B:\n    def pin(self, w: str) -> bool:\n        return False\nif a.pin(f.name): pass",
        "def clean(w: str) -> str:\n    return w.strip()\nif clean(f.name) == 'roll pin': pass",
        "def clean(w: str) -> str:\n    return w.strip()\nmatch clean(f.name):\n    case 'roll pin': pass",
        "def g(f):\n    said = f.words\n    return lambda: pin(said)\n" + PIN + "return w in own",
        "if f.name.isdigit(): pass",
        "if hash(f.name) % 2: pass",
        "import zlib\nif zlib.crc32(f.name.encode()) > 7: pass",
        "from difflib import get_close_matches\nif get_close_matches(f.title, known): pass",
        "if int(f.name) > 3: pass",
    ],
)
def test_what_a_helper_makes_of_words_is_seen(source: str) -> None:
    decided, _, answered = seen(source)
    assert decided or answered


@pytest.mark.parametrize(
    "source",
    [
        PIN + "return 'roll' in w\nif pin(fit.kind): pass",
        "def said(w: str) -> str:\n    return w.strip() + '.'\nline = said(fit.name)",
        "def thing(w: str) -> Fit:\n    return things[w]\nif thing(x.id).light: pass",
        "def positive(value: float, w: str) -> float:\n    if value < 0:\n        raise E(w)\n"
        "    return value\nif positive(x.size, x.name) > 3: pass",
        "def size(fit: Fit) -> float:\n    return fit.size\nif size(x) > 3: pass",
        "if len(f.plies) > 3: pass",
        "if isinstance(f.what, Tape): pass",
        "if ready(f.kind): pass",
    ],
)
def test_what_a_helper_makes_of_kinds_and_numbers_is_not(source: str) -> None:
    decided, _, answered = seen(source)
    assert not decided
    assert not answered
