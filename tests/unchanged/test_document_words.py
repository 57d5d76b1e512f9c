"""docs/words.md is what the model says now, and leaves no field out."""

from __future__ import annotations

from pathlib import Path

from panelmend.document import Document
from panelmend.document.glossary import documented_tables, words_text
from panelmend.materials.meanings import meaning_of
from panelmend.units import KINDS

ROOT = Path(__file__).parents[2]


def test_the_committed_page_is_current() -> None:
    kept = (ROOT / "docs" / "words.md").read_text("utf8")
    assert kept == words_text(), "write it again with scripts/words"


def test_every_field_of_every_table_has_its_line_and_its_meaning() -> None:
    text, count = words_text(), 0
    for path, model in documented_tables():
        section = text.split(f"\n## {path or 'The document'}\n")[1].split("\n## ")[0]
        for name, field in model.model_fields.items():
            count += 1
            line = next(row for row in section.splitlines() if row.startswith(f"| `{name}` |"))
            assert meaning_of(model, name), f"{path}.{name} has no meaning"
            assert line.rstrip(" |").split("| ")[-1].strip(), line
            assert " value |" not in line, f"{path}.{name}: what is written is not said"
            assert ("**needed**" in line) == field.is_required()
    assert count > 300
    assert Document in [model for _, model in documented_tables()]


def test_every_unit_is_listed() -> None:
    text = words_text()
    for kind in KINDS.values():
        row = next(line for line in text.splitlines() if line.startswith(f"| {kind.name} |"))
        assert all(f"`{unit}`" in row for unit in kind.units)
