"""Sources, places and grounds of one stroke: their length is read and how many characters differ, no word."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel

from panelmend.document.given import Given
from panelmend.document.model import Document
from panelmend.document.places import Path, dotted
from panelmend.document.question import PRACTICE, Asked, Weighed

# Fields that say where something stands, on what ground it is so, or how it was found.
GROUNDS = frozenset(
    {"place", "source", "reference", "reason", "conditions", "how", "method", "how_found", "zero"}
)
# Orders of the data in words; a material's id may be short, an order is not.
ORDERS = frozenset(
    {"power", "pump", "blanket", "oven", "leak", "seal", "isolate", "coating", "standard", "squeeze_out"}
    | {"coating_removal", "conductive_layer", "metal_treatment", "pot_core_edge", "form_core", "dry_reading"}
)
LEAST_LETTERS = 2  # different letters or digits
MANY_FIELDS = 8  # fields named in one question


def says_little(text: str) -> bool:
    """Whether a text that was typed has fewer than two different letters or digits; an empty one is none."""
    return bool(text.strip()) and len({c for c in text.casefold() if c.isalnum()}) < LEAST_LETTERS


def _grounds(document: Document) -> Weighed:
    found = [
        f'{dotted(path)} "{text}"'
        for name in Document.model_fields
        for path, text in _bare(getattr(document, name), (name,))
    ]
    if found:
        rest = f" and {len(found) - MANY_FIELDS} more" if len(found) > MANY_FIELDS else ""
        words = (
            f"nobody finds again what a single stroke names: {', '.join(found[:MANY_FIELDS])}{rest}; usual "
        )
        words += (
            f"is {LEAST_LETTERS} different letters or digits at least ({PRACTICE}); their number is what is "
        )
        words += "confirmed"
        yield Asked("document.grounds", "document", words, float(len(found)), "")


def _bare(value: Any, path: Path) -> Iterator[tuple[Path, str]]:
    if isinstance(value, BaseModel):
        for name in type(value).model_fields:
            inner = getattr(value, name)
            if isinstance(inner, str):
                if name in GROUNDS and says_little(inner):
                    yield (*path, name), inner
            elif isinstance(inner, Given) and name in ORDERS and says_little(str(inner.value)):
                yield (*path, name), str(inner.value)
            elif isinstance(inner, BaseModel | tuple):
                yield from _bare(inner, (*path, name))
    elif isinstance(value, tuple):
        for i, item in enumerate(value):
            yield from _bare(item, (*path, i))


CHECKS = (_grounds,)
