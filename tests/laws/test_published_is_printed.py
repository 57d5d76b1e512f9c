"""Published is a number that the test names by itself, with its source, place and how it was seen."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from printed_values import COMPARED, Comparison, Seen, Source, asked, heading, page, printed, rows

ROOT = Path(__file__).parents[2]
FILES = sorted((ROOT / "tests" / "published").glob("*.py"))
PAGE = (ROOT / "docs" / "validation.md").read_text("utf8")
COMPUTED = (ast.BinOp, ast.Call, ast.Attribute, ast.Subscript, ast.BoolOp, ast.Compare, ast.IfExp)
BOOK = Source("A book", Seen.MEMORY)


def _tests(tree: ast.Module) -> list[ast.FunctionDef]:
    return [n for n in tree.body if isinstance(n, ast.FunctionDef) and n.name.startswith("test_")]


def _calls(node: ast.AST, name: str) -> list[ast.Call]:
    return [n for n in ast.walk(node) if isinstance(n, ast.Call) and ast.unparse(n.func) == name]


def faults(text: str) -> list[str]:
    """What in a file of published values is not a number that somebody printed."""
    tree, found = ast.parse(text), []
    if re.search(r"\b(approx|isclose|allclose|assert_allclose)\b", text):
        found.append("compares otherwise than with `printed`")
    found += [f"{t.name} names no printed number" for t in _tests(tree) if not _calls(t, "printed")]
    for test in _tests(tree):
        given = {a.arg for a in test.args.args}
        for loop in (n for n in ast.walk(test) if isinstance(n, ast.For)):
            given |= {n.id for n in ast.walk(loop.target) if isinstance(n, ast.Name)}
        for call in _calls(test, "printed"):
            named = {k.arg for k in call.keywords}
            if not {"source", "place"} <= named:
                found.append(f"{test.name}: a printed number without source or place")
            inside = list(ast.walk(call.args[0]))
            if any(isinstance(n, COMPUTED) for n in inside):
                found.append(f"{test.name}: the printed number is computed: {ast.unparse(call.args[0])}")
            if not {n.id for n in inside if isinstance(n, ast.Name)} <= given:
                found.append(f"{test.name}: {ast.unparse(call.args[0])} is not given with the test")
        for cases in (d.args[1] for d in test.decorator_list if isinstance(d, ast.Call)):
            if any(isinstance(n, COMPUTED) for n in ast.walk(cases)):
                found.append(f"{test.name}: a case is computed")
    return found


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_published_tests_compare_with_what_was_printed_and_nothing_else(file: Path) -> None:
    assert faults(file.read_text("utf8")) == []


@pytest.mark.parametrize(
    ("body", "fault"),
    [
        ("assert f() == pytest.approx(3.0)", "otherwise"),
        ("assert f() == 3.0", "names no printed number"),
        ("assert f() == printed(3.0, source=A)", "without source or place"),
        ("assert f() == printed(2 * 1.5, source=A, place='1')", "is computed"),
        ("assert f() == printed(g(1), source=A, place='1')", "is computed"),
        ("x = g()\n    assert f() == printed(x, source=A, place='1')", "not given with the test"),
    ],
)
def test_what_was_not_printed_is_found(body: str, fault: str) -> None:
    assert any(fault in f for f in faults(f"def test_it():\n    {body}\n"))
    assert faults("def test_it():\n    assert f() == printed(-3.0, source=A, place='1')\n") == []


def test_the_page_counts_its_rows_and_how_each_was_seen() -> None:
    ways = [line.split(" | ")[-1].rstrip(" |") for line in PAGE.splitlines() if re.match(r"\| .* \|$", line)]
    told = re.search(
        r"(\d+) rows in (\d+) files: (\d+) read, (\d+) read as others quote it, (\d+) from memory", PAGE
    )
    assert told is not None, "run scripts/validation"
    counted = [sum(w == seen for w in ways) for seen in Seen]
    assert [int(n) for n in told.groups()] == [sum(counted), len(FILES), *counted]
    assert f"{sum(counted)} rows, {counted[2]} of them from memory" in (
        ROOT / "docs" / "method" / "checks-check.md"
    ).read_text("utf8")


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_every_published_test_has_its_rows_in_the_page(file: Path) -> None:
    part = PAGE.split(f"## {heading(file.name)}\n")
    assert len(part) == 2, "run scripts/validation"
    here = part[1].split("\n## ")[0]
    for test in _tests(ast.parse(file.read_text("utf8"))):
        assert f"| {asked(test.name)} |" in here, f"{test.name}: run scripts/validation"


def test_a_comparison_keeps_both_sides_and_repeats_once() -> None:
    before = len(COMPARED)
    assert printed((1.0, 2.0), source=BOOK, place="table 1", within=0.05) == [1.04, 2.0]
    assert printed(1.0, source=BOOK, place="table 1", within=0.05) != 1.06
    assert printed((1.0, 1.0), source=BOOK, place="table 1") != [1.0], "another number of values"
    mine = COMPARED[before:]
    del COMPARED[before:]
    assert [(c.printed, c.ours, c.held) for c in mine] == [
        (1.0, 1.04, True),
        (2.0, 2.0, True),
        (1.0, 1.06, False),
    ]
    assert len(rows([*mine, *mine])) == 3


def test_the_page_gives_source_place_both_numbers_and_the_difference() -> None:
    made = page(
        [Comparison("tests/published/test_a_b.py::test_c_d[1.0]", BOOK, "table 1 [m]", 2.5, 2.55, True)],
        "## Looked for and not found",
    )
    assert "## A b\n\nA book: from memory.\n" in made
    assert "| c d | table 1 [m] | 2.5 | 2.55 | +2 % | from memory |" in made
    assert "1 rows in 1 files: 0 read, 0 read as others quote it, 1 from memory." in made
