"""The plan as one JSON file: every figure and how it was reached, every part, every finding."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from typing import Any

from pydantic_core import to_json

from panelmend.derive import Figure, Formula, all_formulas, is_thing
from panelmend.derive.ledger import words_of
from panelmend.errors import Finding, RangeError
from panelmend.shapes import Outline
from panelmend.units import KINDS

FORMAT = "panelmend plan 1"
_fields_of: dict[type[Any], tuple[str, ...]] = {}


def plan_json(
    *,
    about: Mapping[str, Any],
    figures: Iterable[Figure],
    parts: Mapping[str, object],
    findings: Iterable[Finding],
    view: str = "mm",
) -> bytes:
    """A plan as JSON, UTF-8, keys in a fixed order.

    Args:
        about: plain facts: repair number, digests, whether it is a draft.
        figures: every figure of the ledger, in order.
        parts: the parts of each stage by stage name; any frozen dataclasses. A figure in a part stands as
            ``{"figure": key}``, an outline as its vertices.
        findings: what the plan found.
        view: units of the words beside each value, "mm" or "in".

    Raises:
        RangeError: a value that JSON cannot hold.
    """
    listed = list(figures)
    known = {f.key for f in listed}
    used = sorted({f.formula for f in listed if f.formula})
    formulas = all_formulas()
    whole = {
        "format": FORMAT,
        "units": "SI; lengths in m, angles in rad; each figure names its unit",
        "about": plain(about, known),
        "figures": {f.key: _figure(f, known, view) for f in listed},
        "formulas": {name: _formula(formulas[name]) for name in used if name in formulas},
        "parts": {name: plain(part, known) for name, part in parts.items()},
        "findings": [plain(f, known) for f in findings],
    }
    return to_json(whole, indent=1) + b"\n"


def _figure(f: Figure, known: set[str], view: str) -> dict[str, Any]:
    return {
        "value": _value(f, known, view),
        "unit": KINDS[f.kind].si if f.kind else "",
        "kind": f.kind,
        "words": words_of(f, view),
        "origin": f.origin.value,
        "source": {"title": f.source.title, "place": f.source.place},
        "formula": f.formula,
        "inputs": dict(f.inputs),
        "flags": list(f.flags),
        "limit": f.limit,
        **({"stands": f.stands} if f.stands else {}),
    }


def _value(f: Figure, known: set[str], view: str) -> Any:
    if is_thing(f.value):
        made: dict[str, Any] = {"digest": f.value.digest(), "summary": f.value.summary(view)}
        if isinstance(f.value, Outline):
            made |= f.value.to_json()
        return made
    return plain(f.value, known)


def _formula(f: Formula) -> dict[str, Any]:
    return {
        "text": f.text,
        "source": {"title": f.source.title, "place": f.source.place},
        "arguments": {n: {"meaning": f.words[n], "unit": f.units[n]} for n in f.units},
        "holds": {n: list(r) for n, r in f.within.items()},
    }


def plain(value: Any, known: set[str]) -> Any:
    """Any part as plain data; figures of the ledger as references.

    Raises:
        RangeError: a value that JSON cannot hold.
    """
    kind = type(value)
    if kind is float:  # most of a plan
        return _finite(value)
    if kind is tuple or kind is list:
        return [v if type(v) is float and v - v == 0.0 else plain(v, known) for v in value]
    if value is None or isinstance(value, bool | str):
        return value.value if isinstance(value, Enum) else value
    if isinstance(value, Figure):
        return (
            {"figure": value.key} if value.key in known else _figure(value, known, "mm") | {"key": value.key}
        )
    if isinstance(value, Outline):
        return value.to_json()
    if isinstance(value, Enum):
        return plain(value.value, known)
    if isinstance(value, int | float):
        return _finite(value)
    if isinstance(value, date):
        return value.isoformat()
    if is_dataclass(value) and not isinstance(value, type):
        return {name: plain(getattr(value, name), known) for name in _names(kind)}
    if isinstance(value, Mapping):
        return {str(k): plain(v, known) for k, v in value.items()}
    if isinstance(value, set | frozenset):
        return [plain(v, known) for v in sorted(value)]
    if isinstance(value, list | tuple):
        return [plain(v, known) for v in value]
    return _foreign(value, known)


def _names(kind: type[Any]) -> tuple[str, ...]:
    """The fields of a data class, looked up once."""
    found = _fields_of.get(kind)
    if found is None:
        found = _fields_of[kind] = tuple(f.name for f in fields(kind))
    return found


def _finite(value: float) -> float:
    if isinstance(value, float) and not math.isfinite(value):
        raise RangeError(f"a part holds {value}: not a number anyone can use")
    return value


def _foreign(value: Any, known: set[str]) -> Any:
    """Typed document models, arrays and array numbers."""
    if hasattr(type(value), "model_fields"):
        return {name: plain(getattr(value, name), known) for name in type(value).model_fields}
    if hasattr(value, "tolist"):
        return plain(_holes(value.tolist()), known)
    raise RangeError(f"a part holds a {type(value).__name__}, which has no place in the plan's file")


def _holes(values: Any) -> Any:
    """An array's values with None where a field has none (NaN)."""
    if isinstance(values, list):
        return [_holes(v) for v in values]
    return None if isinstance(values, float) and math.isnan(values) else values
