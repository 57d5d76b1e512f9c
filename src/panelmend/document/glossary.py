"""The words of the repair document, made from the model: every table, every field, its unit and meaning."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from panelmend.document.approved import Given
from panelmend.document.fields import choices, inner_model, is_list, plain_kind, quantity_kind, wrapper
from panelmend.document.model import Document
from panelmend.materials.meanings import meaning_of
from panelmend.materials.quantities import Typed
from panelmend.trade import table
from panelmend.units import KINDS

HEAD = """# Words of the repair document

Made by `scripts/words` from the model: do not edit. Every table of the document with its fields.
**needed** must be given; *approved* is written `{ value = ..., place = "where the approved data has it" }`;
*sourced* may be written plain or as `{ value = ..., source = "..." }`.
"""


def words_text() -> str:
    """The text of docs/words.md."""
    parts = [HEAD]
    for path, model in documented_tables():
        parts.append(f"## {path or 'The document'}\n\n{_summary(model)}\n")
        parts.append(
            "| field | what is written | meaning |\n| --- | --- | --- |\n" + "\n".join(_rows(model)) + "\n"
        )
    parts.append(_units())
    parts.append(table())
    return "\n".join(parts)


def documented_tables() -> Iterator[tuple[str, type[Typed]]]:
    """Every model once, with the place where it is first met."""
    seen: set[type] = set()

    def walk(path: str, model: type[Typed]) -> Iterator[tuple[str, type[Typed]]]:
        if model in seen:
            return
        seen.add(model)
        yield path, model
        for name, field in model.model_fields.items():
            inner, many = inner_model(field.annotation)
            if inner is not None:
                here = f"{path}.{name}" if path else name
                yield from walk(f"{here}[]" if many else here, inner)

    yield from walk("", Document)


def _rows(model: type[Typed]) -> Iterator[str]:
    for name, field in model.model_fields.items():
        written = _written(field)
        need = "**needed**, " if field.is_required() else ""
        yield f"| `{name}` | {need}{written} | {_cell(meaning_of(model, name))} |"


def _written(field: Any) -> str:
    annotation = field.annotation
    wrapped = wrapper(annotation)
    if wrapped is not None:
        word = "approved" if issubclass(wrapped, Given) else "sourced"
        return f"*{word}* " + _written(wrapped.model_fields["value"])
    inner, many = inner_model(annotation)
    if inner is not None:
        return "list of tables" if many else "table"
    kind = quantity_kind(field)
    if kind:
        return _quantity(kind)
    permitted = choices(annotation)
    if permitted:
        several = "one or more of " if is_list(annotation) else ""
        return several + ", ".join(f"`{c}`" for c in permitted)
    plain = {"text": "text", "yes or no": "true or false", "count": "whole number"}
    found = plain_kind(annotation)
    return plain[found] if found else "list of `[x, y]` or `[x, y, bulge]`"


def _quantity(kind: str) -> str:
    if kind not in KINDS:
        return "point, such as `420 mm, 310 mm`" if kind == "point" else "day, such as `2026-03-02`"
    return f"{kind}, such as `{KINDS[kind].example.split(' or ')[0].removesuffix(' (a difference)')}`"


def _summary(model: type[Typed]) -> str:
    return _cell((model.__doc__ or "").strip().splitlines()[0])


def _cell(text: str) -> str:
    return " ".join(text.split()).replace("|", "\\|")


def _units() -> str:
    rows = [f"| {k.name} | {', '.join(f'`{u}`' for u in k.units)} | {k.example} |" for k in KINDS.values()]
    return (
        "## Units\n\nEvery quantity is text with its unit; a ratio may be a bare number.\n\n"
        "| kind | units that are read | example |\n| --- | --- | --- |\n" + "\n".join(rows) + "\n"
    )
