"""Nothing is decided on words meant for people or on ids people chose: kinds, codes and flags decide.

An insert called "roll pin 1" once turned a stop into a caution: what falls short was read from its words.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache

import pytest

from source_trees import SRC, trees

ROOMS = ("app", "document", "job", "plan", "predict", "records", "render", "screen", "shelves")
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
FIELD = "the name of a field of our own types"
FORM = "how a text is written, not what it says"
MEMBER = "the members of its type; any other is refused when the document is read"
UNKNOWN = "one of UNKNOWNS of our own code"
LAYER = "a layer of the heat model, of our own naming"
FILE = "how the name of a file ends or begins, not what it says"
SYSTEM = "which system the program runs on"
KEPT = "the program beside a package stands alone and reads entries as they are kept: their kinds are codes"
ALLOWED = {
    ("app/changing.py", "move.what == 'cutout'"): MEMBER,
    ("app/changing.py", "move.what in ('blanket', 'thermocouple')"): MEMBER,
    ("app/cli_stand_by.py", "os.name != 'posix'"): SYSTEM,
    ("app/entry.py", "os.name == 'posix'"): SYSTEM,
    ("app/heat_words.py", "words.count(' ')"): FORM,
    ("app/inputs.py", "name == 'blanket'"): FIELD,
    ("app/inputs.py", "name == 'material'"): FIELD,
    ("app/inputs.py", "name == 'value'"): FIELD,
    ("app/kept_answers.py", "e.name != '__pycache__'"): FILE,
    ("app/kept_answers.py", "os.name == 'posix'"): SYSTEM,
    ("app/loading.py", "'#' in path.name"): FILE,
    ("app/log_watch.py", "':' in text"): FORM,
    ("app/records_labels.py", "'/' in name"): "a number in a code has its own stroke spelled out",
    ("app/shelf_verbs.py", "name.endswith('.toml')"): FILE,
    ("app/source_state.py", "e.name != '__pycache__'"): FILE,
    ("shelves/choose.py", "name == 'zone'"): FIELD,
    ("shelves/csv_table.py", "'\\x00' in text"): FORM,
    ("shelves/one_line.py", "name == 'depth'"): FIELD,
    ("shelves/one_line.py", "name == 'form'"): FIELD,
    ("shelves/outlines.py", "',' not in text"): FORM,
    ("shelves/outlines.py", "';' in text"): FORM,
    ("shelves/writing.py", "text.startswith('[[choose]]')"): "the heading of TOML that our own code wrote",
    ("document/crossed/cloths.py", "name[0] == 'x'"): FIELD,
    ("document/crossed/panel.py", "name == 'sanding'"): FIELD,
    ("document/faults/curvature.py", "name == 'radius'"): FIELD,
    ("document/interview.py", "k.name != 'repair'"): FIELD,
    ("document/interview.py", "kind.name == 'repair'"): FIELD,
    ("document/interview.py", "name in ('forms',)"): FIELD,
    ("document/interview.py", "name in ('source', 'dated')"): FIELD,
    ("document/interview.py", "text.lower() in ('yes', 'true')"): FORM,
    ("document/interview_text.py", "name == 'data'"): FIELD,
    ("document/interview_text.py", "name.startswith('data')"): FIELD,
    ("document/model.py", "self.what in ('bled aside', 'bled kept', 'blanket rim')"): MEMBER,
    ("document/model.py", "self.what in ('uneven along', 'uneven across')"): MEMBER,
    ("document/model.py", "self.what == 'splice cells'"): MEMBER,
    ("document/odd_units.py", "',' in text"): FORM,
    ("document/odd_units.py", "'.' in text"): FORM,
    ("document/places.py", 'text[:1] == "\'"'): FORM,
    ("document/places.py", "text[:1] == '\"'"): FORM,
    ("document/schema.py", "'Given_' in name"): "the name of one of our own classes, in the schema",
    ("document/schema.py", "'Sourced_' in name"): "the name of one of our own classes, in the schema",
    ("document/schema.py", "'such as' in words"): "leaves a repeated example out of the description",
    ("document/wording.py", "name == 'place'"): FIELD,
    ("document/written.py", "'\\r\\n' in text"): FORM,
    ("job/cure/ply_inputs.py", "name == 'far skin'"): SET,
    ("job/strength/plates.py", "name == 'sound'"): SET,
    ("job/strength/plates.py", "name == 'open'"): SET,
    ("plan/again/made.py", "p.id == 'B7'"): STEP,
    ("plan/again/made.py", "p.id == 'D2'"): STEP,
    ("plan/again/steps.py", "step.id in ('B1', 'A2')"): STEP,
    ("plan/again/steps.py", "step.id in ('D1', 'B5', 'O4')"): STEP,
    ("predict/changes.py", "step.name == 'dwell'"): "one of NAMES: anything else is refused",
    ("predict/changes.py", "step.name == 'ramp'"): "one of NAMES: anything else is refused",
    ("predict/changes.py", "step.name == 'set point'"): "one of NAMES: anything else is refused",
    ("predict/ensemble.py", "unknown.name == 'emissivity'"): UNKNOWN,
    ("predict/ensemble.py", "unknown.name.startswith('draught')"): UNKNOWN,
    ("predict/ensemble.py", "unknown.name.startswith('uneven')"): UNKNOWN,
    ("predict/model.py", "name == 'bleeder'"): LAYER,
    ("predict/model.py", "name == 'core'"): LAYER,
    ("predict/model.py", "name == 'far skin'"): LAYER,
    ("predict/model.py", "name == 'structure near'"): LAYER,
    ("predict/model.py", "name in ('bag', 'under blanket', 'bleeder', 'bag behind')"): LAYER,
    ("predict/problem_grid.py", "name == 'core'"): LAYER,
    ("predict/problem_grid.py", "name != 'core'"): LAYER,
    ("records/canonical.py", "'.' in text"): FORM,
    ("records/canonical.py", "text in ('-0',)"): FORM,
    ("records/doing/sheet.py", "f.name != 'number'"): FIELD,
    ("records/doing/sheet.py", "step.id != 'O24'"): STEP,
    ("records/doing/sheet.py", "step.id == 'O18'"): STEP,
    ("records/doing/sheet.py", "step.id not in ('O17', 'O18')"): STEP,
    ("records/events/entry.py", "'\\\\u' not in text"): FORM,
    ("records/events/entry.py", "text[-1:] != '}'"): FORM,
    ("records/package/check_package.py", "'signature' not in what"): KEPT,
    ("records/package/check_package.py", "what['kind'] == 'code issued'"): KEPT,
    ("records/package/check_package.py", "what['kind'] in ('records begun', 'person enrolled')"): KEPT,
    ("records/package/check_package.py", "what['standing'] != 'READY'"): KEPT,
    ("records/package/check_package.py", "what['standing'] == 'READY'"): KEPT,
    ("records/package/check_signed.py", "what['kind'] == 'deviation decided'"): KEPT,
    ("records/package/check_signed.py", "what['decision'] == 'do again'"): KEPT,
    ("records/package/check_signed.py", "what['kind'] in ('job opened', 'job revised')"): KEPT,
    ("records/package/check_signed.py", "what['kind'] != 'released'"): KEPT,
    ("records/package/check_signed.py", "'signature' in what"): KEPT,
    ("records/package/check_signed.py", "what['kind'] == 'rules taken on'"): KEPT,
    ("records/package/make.py", "name.startswith('entries/')"): "a folder of the package, of our own naming",
    (
        "records/store/opening.py",
        "name.startswith(('SQLITE_IOERR', 'SQLITE_CORRUPT', 'SQLITE_NOTADB', 'SQLITE_PROTOCOL'))",
    ): "the names of a database's error codes",
    (
        "records/store/moves/versions/m0001_log.py",
        "op.get_bind().dialect.name == 'sqlite'",
    ): "which database it is",
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
    ("screen/access.py", "name in ('begin_errand', 'stop_errand')"): "the name of one of our own calls",
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


def decisions(tree: ast.AST) -> Iterator[str]:
    """Tests of a field meant for people against a literal, as they stand in the source."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Compare):
            sides = [node.left, *node.comparators]
            if any(map(_literal, sides)) and any(_last(s) in FIELDS for s in sides if not _literal(s)):
                yield ast.unparse(node)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            asks = node.func.attr in TESTS and node.args and _literal(node.args[0])
            if asks and _last(node.func.value) in FIELDS:
                yield ast.unparse(node)


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
    assert found() - set(ALLOWED) == set(), "decide on an enum, a code or a flag, or give the reason here"


def test_no_template_decides_on_how_words_begin_or_end() -> None:
    pages = [*(SRC / "screen/templates").rglob("*.html"), *(SRC / "render/typst").rglob("*.typ")]
    asks = re.compile(r"\b(\w+)[.](?:starts-?with|ends-?with|contains)\(")
    asked = {(p.name, m[1]) for p in pages for m in asks.finditer(p.read_text("utf8"))}
    assert len(pages) > 50
    assert asked <= {("compare.html", "key")}  # keys of figures, set by our own code


def test_no_exception_outlives_its_place() -> None:
    assert set(ALLOWED) - found() == set()


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
    assert list(decisions(ast.parse(source)))


@pytest.mark.parametrize(
    "source", ["if fit.kind is Kind.TAPE: pass", "a = case.name == other.name", 'b = x.words == ""']
)
def test_decisions_on_kinds_are_not(source: str) -> None:
    assert not list(decisions(ast.parse(source)))
