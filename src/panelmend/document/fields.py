"""What the model says of a field: its kind of quantity, permitted words, wrapping and inner table."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal, get_args, get_origin

from panelmend.document.approved import Given
from panelmend.materials import Sourced
from panelmend.materials.quantities import Typed

KINDS_OF_WORDS = {"str": "text", "bool": "yes or no", "int": "count"}


def inner_model(annotation: Any, many: bool = False) -> tuple[type[Typed] | None, bool]:
    """The table inside a field's type, looked for through lists and approved values; whether it is a list."""
    if isinstance(annotation, type) and issubclass(annotation, Given | Sourced):
        return inner_model(annotation.model_fields["value"].annotation, many)
    if isinstance(annotation, type) and issubclass(annotation, Typed):
        return annotation, many
    for part in get_args(annotation):
        found, more = inner_model(part, many or get_origin(annotation) is tuple)
        if found is not None:
            return found, more
    return None, many


def wrapper(annotation: Any) -> Any:
    """``Given[...]`` or ``Sourced[...]`` where the field is one, else None."""
    if isinstance(annotation, type) and issubclass(annotation, Given | Sourced):
        return annotation
    return next((w for part in get_args(annotation) if (w := wrapper(part)) is not None), None)


def quantity_kind(field: Any) -> str:
    """The kind of quantity of a field ("length", "point", "day", ...), "" where it is none."""
    for found in (*field.metadata, *_metadata(field.annotation)):
        extra = getattr(found, "json_schema", None)
        if isinstance(extra, dict) and "kind" in extra:
            return str(extra["kind"])
    return ""


def choices(annotation: Any) -> tuple[str, ...]:
    """The permitted words of a field, () where any will do."""

    def every(part: Any) -> Iterator[str]:
        if get_origin(part) is Literal:
            yield from (str(c) for c in get_args(part) if c != "")
        for inner in get_args(part):
            if not isinstance(inner, str):
                yield from every(inner)

    return tuple(dict.fromkeys(every(annotation)))


def is_list(annotation: Any) -> bool:
    """Whether a field holds several values."""
    return get_origin(annotation) is tuple or any(is_list(part) for part in get_args(annotation))


def plain_kind(annotation: Any) -> str:
    """text, yes or no, or count."""
    found = [annotation, *get_args(annotation), *(a for p in get_args(annotation) for a in get_args(p))]
    return next((KINDS_OF_WORDS[k.__name__] for k in (bool, int, str) if k in found), "")


def _metadata(annotation: Any) -> Iterator[Any]:
    yield from getattr(annotation, "__metadata__", ())
    for part in get_args(annotation):
        yield from _metadata(part)
