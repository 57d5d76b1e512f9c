"""The document that answers make: TOML with remarks on what was left out and what may be added."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from panelmend.document.interview import Answers, Question, answer_value, next_question, questions
from panelmend.document.model import VERSION
from panelmend.errors import InputError
from panelmend.materials import MaterialSet

TABLES = {
    "repair": "Which repair this is.",
    "people": "Who does what; nobody inspects their own work.",
    "panel": "The panel: coordinates and angles as seen from the side named below.",
    "damage": "The damage after clean-up.",
    "data": "The approved data that is used: each value with its place in it.",
}
LEFT = """\
# Not given. Where the trade has a usual value it stands in, marked, until somebody confirms it under
# [[confirm]]; a limit that is not given is not checked.
"""
AFTER = """
# May be added (docs/document.md explains, docs/words.md lists every field):
#   [[panel.fastener]], [[panel.insert]], [[panel.earlier_repair]]: what a repair must keep clear of
#   [[panel.structure]]: ribs, spars and fittings behind, which draw heat
#   metal of a skin, fastener, insert, solid area, panel.edge_metal: carbon corrodes aluminium and plain steel
#   [[data.put_back]]: how an insert, a fastener, a solid area or the edge band that is cut away is put back
#   [data.surface], [data.drying], [data.bag], [[data.cure]]: the rest of the approved data
#   [bay]: air, blankets, circuits and instruments; [stores]: rolls and lots
"""


def draft(answers: Answers) -> str:
    """The same text, not yet checked as a whole.

    Raises:
        InputError: a question that has no answer yet.
    """
    open_question = next_question(answers)
    if open_question is not None:
        raise InputError(
            "a question has no answer yet", read=open_question.path, expected=open_question.words
        )
    raw, left = raw_of(questions(answers), answers)
    lines = [f"panelmend = {VERSION}"]
    for name, words in TABLES.items():
        lines += ["", f"# {words}", *table_lines(name, raw.get(name, {}))]
        if name == "data" and left:
            lines += ["", *LEFT.splitlines(), *(f"#   {path}" for path in left)]
    lines += [*AFTER.splitlines(), *material_lines(raw)]
    return "\n".join(lines) + "\n"


def material_lines(raw: dict[str, Any]) -> list[str]:
    """The materials of answers as lines of TOML."""
    lines: list[str] = []
    for kind in MaterialSet.model_fields:
        for ident, fields in raw.get("materials", {}).get(kind, {}).items():
            lines += ["", f"[[materials.{kind}]]", f"id = {toml_value(ident)}"]
            lines += [f"{name} = {toml_value(value)}" for name, value in fields.items()]
    return lines


def raw_of(asked: Iterable[Question], answers: Answers) -> tuple[dict[str, Any], list[str]]:
    """The answers of questions as nested tables, and the approved values that were left out."""
    raw: dict[str, Any] = {}
    left: list[str] = []
    for question in asked:
        text = answers[question.path]
        if question.path in ("panel.outline.form", "damage.shape.form"):
            continue
        if not text:
            if question.path.startswith("data.") and question.path.endswith(".value"):
                left.append(question.path.removesuffix(".value"))
            continue
        *above, last = _split(question.path)
        here = raw
        for part in above:
            here = here.setdefault(part, {})
        here[last] = answer_value(question, text) if question.kind != "day" else Day(text)
    return raw, left


def _split(path: str) -> list[str]:
    """The parts of a path; a material's id may itself hold dots."""
    if not path.startswith("materials."):
        return path.split(".")
    head, kind, rest = path.split(".", 2)
    ident, _, name = rest.rpartition(".")
    return [head, kind, ident, name]


class Day(str):
    """A date, written without quotation marks."""


def table_lines(name: str, fields: dict[str, Any]) -> list[str]:
    """A heading with its fields; tables of approved values become headings of their own."""
    plain = {k: v for k, v in fields.items() if not _is_heading(name, k, v)}
    lines = [f"[{name}]", *(f"{k} = {toml_value(v)}" for k, v in plain.items())]
    for key, value in fields.items():
        if key not in plain:
            lines += ["", *table_lines(f"{name}.{key}", value)]
    return lines


def _is_heading(name: str, key: str, value: Any) -> bool:
    return name.startswith("data") and isinstance(value, dict) and key != "manual" and "place" not in value


def toml_value(value: Any) -> str:
    """A value as TOML."""
    if isinstance(value, Day):
        return str(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"{value:g}" if value == int(value) and abs(value) < 1e6 else repr(value)
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {toml_value(v)}" for k, v in value.items()) + " }"
    inside = [toml_value(v) for v in value]
    one_line = f"[{', '.join(inside)}]"
    if len(one_line) <= 90:
        return one_line
    if inside[0].startswith("["):  # points: several on a line
        inside = [", ".join(inside[i : i + 6]) for i in range(0, len(inside), 6)]
    return "[\n  " + ",\n  ".join(inside) + ",\n]"
