"""The JSON Schema of repair documents."""

from __future__ import annotations

from typing import Any

from panelmend.document.model import Document

DRAFT = "https://json-schema.org/draft/2020-12/schema"


def schema() -> dict[str, Any]:
    """The schema (draft 2020-12) of a repair document; quantities are text with kind and example."""
    made = Document.model_json_schema()
    return {
        "$schema": DRAFT,
        "title": "panelmend repair document, version 1",
        **{k: made[k] for k in made if k != "title"},
    }
