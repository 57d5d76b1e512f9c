"""Every ground for refusing stands on the method page, and some test here sees it refuse, and beside it the
same act taken."""

from __future__ import annotations

import ast
import re
from pathlib import Path

from panelmend.records.refusals import all_grounds

ROOT = Path(__file__).parents[3]


def test_the_method_page_lists_every_ground_as_it_is() -> None:
    page = (ROOT / "docs" / "method" / "records.md").read_text("utf8")
    shown = re.findall(r"(?m)^\| (R\d+) \| (.+) \| (.+) \|$", page)
    assert shown == [(g.code, g.title, g.todo) for g in all_grounds()]


def test_every_ground_is_seen_to_refuse() -> None:
    tests = "".join(p.read_text("utf8") for p in sorted((ROOT / "tests").rglob("*.py")) if "record" in str(p))
    for g in all_grounds():
        assert re.search(rf'(?:refused\(\s*|== )"{g.code}"', tests), f"no test sees {g.code} {g.title}"


def _name(call: ast.Call) -> str:
    return str(getattr(call.func, "attr", getattr(call.func, "id", "")))


def _called(tree: ast.AST) -> set[str]:
    """Names of the functions and methods that are called."""
    return {_name(x) for x in ast.walk(tree) if isinstance(x, ast.Call)}


def _both_ways(source: str) -> set[str]:
    """Codes of which one test sees an act refused and an act of the same name taken."""
    found: set[str] = set()
    tree = ast.parse(source)
    helpers = {f.name: _called(f) for f in tree.body if isinstance(f, ast.FunctionDef)}
    for test in tree.body:
        if not isinstance(test, ast.FunctionDef):
            continue
        calls = [x for x in ast.walk(test) if isinstance(x, ast.Call)]
        refusing = [x for x in calls if getattr(x.func, "id", "") == "refused"]
        within = {id(x) for r in refusing for x in ast.walk(r)}
        taken = {_name(x) for x in calls if id(x) not in within}
        taken |= {n for t in taken & helpers.keys() for n in helpers[t]}
        for r in refusing:
            code, *acts = r.args
            named = {x.id for x in acts if isinstance(x, ast.Name)}
            named |= {x.attr for x in acts if isinstance(x, ast.Attribute)}
            if isinstance(code, ast.Constant) and (named | {n for x in acts for n in _called(x)}) & taken:
                found.add(str(code.value))
    return found


def test_every_ground_is_seen_from_both_sides() -> None:
    """Each ground in one test beside the same act that is taken."""
    paths = [p for p in sorted((ROOT / "tests").rglob("*.py")) if "record" in str(p)]
    both = set[str]().union(*(_both_ways(p.read_text("utf8")) for p in paths))
    assert {g.code for g in all_grounds()} - both == set()


def test_a_ground_that_is_only_refused_is_seen() -> None:
    one = 'def test() -> None:\n    made = shop()\n    refused("R101", lambda: made.fill(1))\n'
    assert _both_ways(one) == set()
    assert _both_ways(one + "    made.fill(2)\n") == {"R101"}
    assert _both_ways(one + "    made.sign(2)\n") == set()
