"""The document's form as a JSON Schema (draft 2020-12), for editors that complete and check as one types."""

from __future__ import annotations

import json
from typing import Any

from panelmend.document.model import VERSION, Document
from panelmend.materials.meanings import WithMeanings
from panelmend.units import KINDS

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schema() -> dict[str, Any]:
    """The schema of a repair document, in a stable order.

    A quantity carries ``kind`` (a name of :data:`panelmend.units.KINDS`, or "point" or "day") and examples.
    Rules that need more than one field (ids used twice, shapes that leave the panel, ...) are not in it.
    """
    raw = Document.model_json_schema(schema_generator=WithMeanings)
    defs = raw.pop("$defs")
    inlined = {name: body for name, body in defs.items() if "Given_" in name or "Sourced_" in name}
    done = {name: _tidy(body, inlined) for name, body in sorted(defs.items()) if name not in inlined}
    done["Shape"] |= {"minProperties": 1, "maxProperties": 1}
    top = _tidy(raw, inlined)
    top["properties"]["damage"] = _or_several(top["properties"]["damage"])
    return {
        "$schema": DIALECT,
        "title": f"panelmend repair document, version {VERSION}",
        "description": "Everything people type about one repair. Dates are TOML dates (year-month-day).",
        **{k: v for k, v in top.items() if k not in ("title", "description")},
        "$defs": done,
    }


def schema_text() -> str:
    """The schema as the text of its file."""
    return json.dumps(schema(), indent=1, ensure_ascii=False) + "\n"


def _or_several(one: dict[str, Any]) -> dict[str, Any]:
    """A damage, or a list of them ([[damage]])."""
    words = {k: v for k, v in one.items() if k == "description"}
    bare = {k: v for k, v in one.items() if k != "description"}
    return {**words, "anyOf": [bare, {"type": "array", "items": bare, "minItems": 1, "maxItems": 8}]}


def _tidy(node: Any, inlined: dict[str, Any]) -> Any:
    if isinstance(node, list):
        return [_tidy(item, inlined) for item in node]
    if not isinstance(node, dict):
        return node
    name = str(node.get("$ref", "")).removeprefix("#/$defs/")
    if name in inlined:
        words = {k: v for k, v in node.items() if k == "description"}
        return _wrapped(name, {**inlined[name], **words}, inlined)
    made = {k: _tidy(v, inlined) for k, v in node.items() if k not in ("title", "default")}
    if "properties" in node:  # field names are data: one may be called title
        made["properties"] = {k: _tidy(v, inlined) for k, v in node["properties"].items()}
    options = made.get("anyOf")
    if isinstance(options, list) and {"type": "null"} in options:  # left out in TOML, never null
        rest = [o for o in options if o != {"type": "null"}]
        words = {k: v for k, v in made.items() if k != "anyOf"}
        made = {**rest[0], **words} if len(rest) == 1 else {**words, "anyOf": rest}
    kind = made.get("kind")
    if isinstance(kind, str):
        made = _quantity(made, kind)
    return made


def _wrapped(name: str, body: dict[str, Any], inlined: dict[str, Any]) -> dict[str, Any]:
    """An approved value with its place, or a material's value that may be written plain."""
    made: dict[str, Any] = _tidy(body, inlined)
    if "Given_" in name:
        return made
    plain = dict(made["properties"]["value"])
    plain["description"] = plain["description"].removeprefix("The value. ")
    words = {k: made.pop(k) for k in ("description",) if k in made}
    return {**words, "anyOf": [plain, made]}


def _quantity(made: dict[str, Any], kind: str) -> dict[str, Any]:
    known = KINDS.get(kind)
    example = known.example.split(" or ")[0].removesuffix(" (a difference)") if known is not None else ""
    examples = {"point": "420 mm, 310 mm", "day": "2026-03-02"}
    said = "A" + ("n" if kind[0] in "aeiou" else "")
    unit = "" if kind in ("ratio", "day") else " with its unit"
    hint = f"{said} {kind}{unit}, such as {known.example if known is not None else examples[kind]}."
    words = str(made.get("description", ""))
    if kind in words and "such as" in words:
        words = ""
    return {**made, "description": f"{words} {hint}".strip(), "examples": [example or examples[kind]]}
