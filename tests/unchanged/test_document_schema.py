"""The exported JSON Schema: unchanged since it was last written, valid itself, and true of the examples."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from panelmend.document.schema import schema, schema_text
from panelmend.units import KINDS, read

ROOT = Path(__file__).parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*/repair.toml"))


def validator() -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(schema())


def plain(node: Any) -> Any:
    """TOML values as JSON has them: days as text."""
    if isinstance(node, dict):
        return {k: plain(v) for k, v in node.items()}
    if isinstance(node, list):
        return [plain(v) for v in node]
    return node.isoformat() if isinstance(node, date) else node


def nodes(node: Any) -> Iterator[dict[str, Any]]:
    if isinstance(node, dict):
        yield node
        for value in node.values():
            yield from nodes(value)
    elif isinstance(node, list):
        for value in node:
            yield from nodes(value)


def test_the_committed_copy_is_current() -> None:
    kept = (ROOT / "docs" / "repair-document.schema.json").read_text("utf8")
    assert kept == schema_text(), "write it again with scripts/words"


def test_the_schema_is_a_schema_in_a_stable_order() -> None:
    jsonschema.Draft202012Validator.check_schema(schema())
    assert schema_text() == schema_text()
    assert list(schema()["$defs"]) == sorted(schema()["$defs"])
    assert json.loads(schema_text())["$schema"].endswith("2020-12/schema")


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.parent.name)
def test_the_examples_are_valid(path: Path) -> None:
    errors = list(validator().iter_errors(plain(tomllib.loads(path.read_text("utf8")))))
    assert errors == []


def test_there_are_examples() -> None:
    assert "gear_door" in [p.parent.name for p in EXAMPLES]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('edge_band = "35 mm"', "edge_band = 35"),
        ('serial = "0088"', 'seriel = "0088"'),
        ('margin = { value = "6 mm", place = "52-10-17 fig 203 note 1" }', 'margin = "6 mm"'),
        ('depth = "skin and core"', 'depth = "skin & core"'),
        (
            "shape = { rectangle =",
            "shape = { circle = { centre = '1, 1 mm', diameter = '2 mm' }, rectangle =",
        ),
    ],
)
def test_the_schema_refuses(old: str, new: str) -> None:
    text = EXAMPLES[[p.parent.name for p in EXAMPLES].index("gear_door")].read_text("utf8")
    assert old in text
    assert list(validator().iter_errors(plain(tomllib.loads(text.replace(old, new, 1)))))


def test_every_quantity_says_its_kind_and_an_example_that_can_be_read() -> None:
    found = [n for n in nodes(schema()) if isinstance(n.get("kind"), str)]
    assert len(found) > 150
    for node in found:
        assert "such as" in node["description"]
        if node["kind"] in KINDS:
            read(node["examples"][0], node["kind"])
    assert {n["kind"] for n in found} - set(KINDS) == {"point", "day"}


def test_no_python_name_shows() -> None:
    text = schema_text()
    assert "Annotated" not in text
    assert "Validator" not in text
    assert '"null"' not in text
