"""One table of words: the card says what it says, and the docs hold it."""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import Any

import pytest

from card_plans import KINDS, planned
from made_curelog import made_cure
from panelmend.plan.judge import judge, make_report
from panelmend.render.card import card_data
from panelmend.render.cure_report import cure_data
from panelmend.trade import NEVER as NEVER_SAID
from panelmend.trade import TERMS, reworded, trade_word
from recipe_curelog import RECIPE
from source_trees import SRC, trees

ROOT = Path(__file__).parents[3]
NEVER = (
    "pressure aid",
    "perforated film",
    "parting sheet",
    "recipe",
    "ceiling",
    "far face",
    "mouth",
    "floor adhesive",
    "soak",
    "nipple",
    "usual value",
    "shelves",
)


def _texts(value: Any) -> list[str]:
    if isinstance(value, str):
        return [value]
    if isinstance(value, dict):
        return [t for v in value.values() for t in _texts(v)]
    if isinstance(value, list | tuple):
        return [t for v in value for t in _texts(v)]
    return []


@pytest.mark.parametrize("kind", [k for k in KINDS if k != "access_door_no_fit"])
def test_steps_and_bench_say_the_words_of_the_table(kind: str) -> None:
    data = card_data(planned(kind))
    for text in _texts([data["steps"], data["bench"]]):
        for word in NEVER:
            assert not re.search(rf"\b{word}\b", text, re.IGNORECASE), f"{word!r} in {text!r}"


def test_no_word_is_both_said_and_not_said_and_each_has_its_source() -> None:
    says = {t.say for t in TERMS}
    for term in TERMS:
        assert term.source
        assert term.means
        assert not says & set(term.instead_of)
        assert all(trade_word(old) == term.say for old in term.instead_of)
    listed = [old for t in TERMS for old in t.instead_of]
    assert len(listed) == len(set(listed))
    assert trade_word("peel ply") == "peel ply"


def test_the_docs_hold_the_table() -> None:
    page = (ROOT / "docs" / "words.md").read_text("utf8")
    for term in TERMS:
        assert f"| {term.say} |" in page


# What predictions keep on disk in older words and show through ``reworded``, and the table itself.
APART = ("predict", "trade.py", "job/cure/unknowns.py")
# A field of the document stands in brackets after what it is.
FIELD = r"\((?:ceiling|pressure_aid)\)"


def _strings(tree: ast.Module) -> list[str]:
    """Every text of a module that is no docstring and no code by itself."""
    docs = {
        id(n.body[0].value)
        for n in ast.walk(tree)
        if isinstance(n, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
        and n.body
        and isinstance(n.body[0], ast.Expr)
    }
    found = [(id(n), n.value) for n in ast.walk(tree) if isinstance(n, ast.Constant)]
    return [v for i, v in found if isinstance(v, str) and i not in docs and v not in NEVER_SAID]


def test_findings_verdicts_cure_plan_and_command_line_say_the_words_of_the_table() -> None:
    pages = {name: _strings(tree) for name, tree in trees().items() if not name.startswith(APART)}
    for path in sorted(SRC.rglob("*.typ")):
        lines = path.read_text("utf8").splitlines()
        pages[path.name] = [re.sub(r"[\w.]+\.recipe\b", "", x) for x in lines if not x.startswith("//")]
    assert len(pages) > 150
    never = re.compile(rf"\b(?:{'|'.join(NEVER_SAID)})s?\b")
    said = [(name, t) for name, texts in pages.items() for t in texts if never.search(re.sub(FIELD, "", t))]
    assert said == []


def test_readme_and_methods_say_the_words_of_the_table() -> None:
    """Outside what stands as code."""
    for path in (ROOT / "README.md", *sorted((ROOT / "docs" / "method").glob("*.md"))):
        words = re.sub(r"```.*?```|`[^`]*`", "", path.read_text("utf8"), flags=re.DOTALL)
        said = [w for w in NEVER_SAID if re.search(rf"\b{w}s?\b", words, re.IGNORECASE)]
        assert said == [], path.name


def test_texts_that_were_kept_are_shown_in_the_words_of_the_table() -> None:
    assert reworded("far face behind the hottest") == "opposite side behind the hottest"
    assert reworded("recipes of the ceiling") == "cure cycles of the maximum temperature"
    assert all(trade_word(w) != w for w in NEVER_SAID)


def test_a_verdict_names_its_rules_in_the_words_of_the_table() -> None:
    """The rule on the maximum temperature is called so on the report, whether it was met or not."""
    made = made_cure(4, step=5.0)
    made.temps[700, 1] = 400.0
    log = made.log()
    report = make_report(RECIPE, log, judge(RECIPE, log))
    shown = cure_data(report, planned("gear_door").case.document)
    rules = [r["rule"] for r in (*shown["against"], *shown["reasons"])]
    assert "maximum temperature" in rules
    for text in _texts({k: v for k, v in shown.items() if k != "chart"}):
        assert not re.search(r"\b(recipe|ceiling|usual value)s?\b", text), text
    assert shown["rests"] == [], "nothing that people state where it does not conform"


def test_whose_statement_a_verdict_rests_on_stands_before_the_rules() -> None:
    page = (ROOT / "src/panelmend/render/typst/cure.typ").read_text("utf8")
    assert 0 < page.index("for r in data.rests") < page.index("for r in data.against")
