"""Nothing is decided on words meant for people or on ids people chose: kinds, codes and flags decide.

An insert called "roll pin 1" once turned a stop into a caution: what falls short was read from its words.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2] / "src" / "panelmend"
ROOMS = ("job", "plan", "render")
FIELDS = {
    "what",
    "words",
    "title",
    "name",
    "id",
    "ident",
    "label",
    "text",
    "why",
    "note",
    "notes",
    "todo",
    "change",
}
TESTS = {"startswith", "endswith", "find", "index", "count"}
SET = "the word is set by our own code in the same room, and only picks how it is drawn or written"
STEP = "the id of a step of the card, set by our own code"
ALLOWED = {
    ("job/cure/ply_inputs.py", "name == 'far skin'"): SET,
    ("job/strength/plates.py", "name == 'sound'"): SET,
    ("job/strength/plates.py", "name == 'open'"): SET,
    ("plan/again/made.py", "p.id == 'B7'"): STEP,
    ("plan/again/made.py", "p.id == 'D2'"): STEP,
    ("plan/again/steps.py", "step.id in ('B1', 'A2')"): STEP,
    ("plan/again/steps.py", "step.id in ('D1', 'B5', 'O4')"): STEP,
    ("render/card.py", "name == 'far'"): SET,
    (
        "render/card_workings.py",
        "note.place.id == 'O22'",
    ): STEP,
    ("render/cure_rows.py", "words.startswith('0.0 ')"): "takes the sign off a zero that is printed",
    ("render/pack.py", "'\\\\' not in name"): "what a file may be called",
    ("render/pack.py", "'\\x00' not in name"): "what a file may be called",
    ("render/papers.py", "words.endswith('mm')"): "the unit that was just printed, for the ticks of a scale",
    ("render/strokes.py", "name.startswith('#')"): SET,
    ("render/views/drivers.py", "words.startswith('0.0 ')"): "takes the sign off a zero that is printed",
    ("render/views/heat_traces.py", "name == 'band from'"): SET,
    ("render/views/heat_traces.py", "name == 'ceiling'"): SET,
    ("render/views/ratio.py", "name.startswith('cut-out')"): SET,
}


def _last(node: ast.expr) -> str:
    """The field or name at the end of an expression: ``what`` of ``fit.what.lower()``."""
    while isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
        node = node.func.value
    if isinstance(node, ast.Subscript):
        node = node.value
    return node.attr if isinstance(node, ast.Attribute) else node.id if isinstance(node, ast.Name) else ""


def _literal(node: ast.expr) -> bool:
    if isinstance(node, ast.Tuple | ast.Set | ast.List):
        return bool(node.elts) and all(_literal(e) for e in node.elts)
    return isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value != ""


def decisions(source: str) -> Iterator[str]:
    """Tests of a field meant for people against a literal, as they stand in the source."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Compare):
            sides = [node.left, *node.comparators]
            if any(map(_literal, sides)) and any(_last(s) in FIELDS for s in sides if not _literal(s)):
                yield ast.unparse(node)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            asks = node.func.attr in TESTS and node.args and _literal(node.args[0])
            if asks and _last(node.func.value) in FIELDS:
                yield ast.unparse(node)


FOUND = {
    (str(path.relative_to(ROOT)), decision)
    for room in ROOMS
    for path in sorted((ROOT / room).rglob("*.py"))
    for decision in decisions(path.read_text("utf8"))
}


def test_no_stage_judge_or_page_decides_on_words() -> None:
    assert FOUND - set(ALLOWED) == set(), "decide on an enum, a code or a flag, or give the reason here"


def test_no_exception_outlives_its_place() -> None:
    assert set(ALLOWED) - FOUND == set()


@pytest.mark.parametrize(
    "source",
    [
        'room = "roll" in fit.what or x',
        'light = fit.what.startswith("tape")',
        'if spot.id == "roll pin": pass',
        'if f.words.lower() in ("a", "b"): pass',
        'match = "solid" not in area.name',
    ],
)
def test_decisions_on_words_are_seen(source: str) -> None:
    assert list(decisions(source))


@pytest.mark.parametrize(
    "source", ["if fit.kind is Kind.TAPE: pass", "a = case.name == other.name", 'b = x.words == ""']
)
def test_decisions_on_kinds_are_not(source: str) -> None:
    assert not list(decisions(source))
