"""The one walk over a document for the bounds of its fields: what is refused, and what somebody is asked."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from pydantic import BaseModel

from panelmend.document.fault import Fault, fault_at
from panelmend.document.fields import plain_kind, quantity_kind, wrapper
from panelmend.document.given import Given
from panelmend.document.places import Path
from panelmend.materials import Sourced
from panelmend.materials.bounds import Bounds
from panelmend.materials.meanings import meaning_of
from panelmend.units import KINDS, read, show, to_unit

EITHER = ", either sign"
_WRAPPED = (Given, Sourced)
_PLAIN = frozenset({type(None), str, bool, int, float})
UNIT_ROUNDING = 1e-9  # of a bound: what arithmetic on units leaves


@dataclass(frozen=True)
class Bounded:
    """A value of a document with the bounds of its field, SI.

    ``low`` and ``high`` refuse, ``usual`` asks.
    """

    path: Path
    value: float
    kind: str
    what: str
    bounds: Bounds
    low: float
    high: float
    usual: tuple[float, float] | None

    @property
    def impossible(self) -> bool:
        """Whether it is refused."""
        return not _in_bounds(self.size, self.low, self.high, self.bounds.zero)

    @property
    def unusual(self) -> bool:
        """Whether somebody is asked."""
        return self.usual is not None and not _in_bounds(self.size, *self.usual, self.bounds.zero)

    @property
    def size(self) -> float:
        """The value that the bounds hold for: without its sign where they hold for either."""
        return abs(self.value) if self.bounds.either else self.value


@dataclass(frozen=True)
class _Row:
    """A field with bounds, read once for each class."""

    name: str
    kind: str
    bounds: Bounds
    low: float
    high: float
    usual: tuple[float, float] | None
    meaning: str


def bounded(model: BaseModel, path: Path = ()) -> Iterator[Bounded]:
    """Every value below ``model`` whose field has bounds.

    Args:
        model: a document, or any table of one; fields that could not be read may be missing.
        path: where it stands.
    """
    rows, inner = _rows(type(model))
    for row in rows:
        value = getattr(model, row.name, None)
        if isinstance(value, _WRAPPED):
            value = value.value
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            what = row.bounds.what.replace("{kind}", str(getattr(model, "kind", ""))) or row.meaning
            yield Bounded(
                (*path, row.name), float(value), row.kind, what, row.bounds, row.low, row.high, row.usual
            )
    for name in inner:
        value = getattr(model, name, None)
        if type(value) not in _PLAIN:  # most fields hold no table: nothing is looked for there
            yield from _bounded_inside(value, (*path, name))


def _bounded_inside(value: Any, path: Path) -> Iterator[Bounded]:
    if isinstance(value, _WRAPPED):
        if isinstance(value.value, (BaseModel, tuple)):
            yield from _bounded_inside(value.value, (*path, "value"))
    elif isinstance(value, BaseModel):
        yield from bounded(value, path)
    elif isinstance(value, tuple):
        for i, item in enumerate(value):
            if isinstance(item, BaseModel):
                yield from bounded(item, (*path, i))


@cache
def _rows(model: type[BaseModel]) -> tuple[tuple[_Row, ...], tuple[str, ...]]:
    """Fields of a class with bounds, and those that may hold tables."""
    rows, inner = [], []
    for name, field in model.model_fields.items():
        found = bounds_of(field)
        if found is None:
            inner.append(name)
            continue
        kind = kind_of(field)
        usual = None if found.usual is None else (_si(found.usual[0], kind), _si(found.usual[1], kind))
        meaning = meaning_of(model, name).rstrip(".") or name
        rows.append(
            _Row(
                name,
                kind,
                found,
                _si(found.can[0], kind),
                _si(found.can[1], kind),
                usual,
                meaning[:1].lower() + meaning[1:],
            )
        )
    return tuple(rows), tuple(inner)


def usual_of(model: type[BaseModel], name: str) -> tuple[float, float] | None:
    """The narrowest range [SI] of a field: what is usual, else what is possible; None where it has none."""
    row = next((r for r in _rows(model)[0] if r.name == name), None)
    return None if row is None else row.usual or (row.low, row.high)


def bounds_of(field: Any) -> Bounds | None:
    """The bounds in a field's annotation, None where there are none."""
    return next((m for m in field.metadata if isinstance(m, Bounds)), None)


def kind_of(field: Any) -> str:
    """The kind of quantity of a field, looked for through what wraps it; "" for a count."""
    wrapped = wrapper(field.annotation)
    inside = wrapped.model_fields["value"] if wrapped is not None else field
    kind = quantity_kind(inside)
    assert kind or plain_kind(inside.annotation) == "count", f"bounds on what is no number: {field}"
    return kind


def _si(text: str, kind: str) -> float:
    return read(text, kind) if kind else float(text)


def _in_bounds(value: float, low: float, high: float, zero: bool) -> bool:
    if zero and value == 0.0:
        return True
    return low - UNIT_ROUNDING * abs(low) <= value <= high + UNIT_ROUNDING * abs(high)


def faults_below(model: BaseModel, path: Path = (), view: str = "mm") -> Iterator[Fault]:
    """A fault for every value below ``model`` that its field's bounds refuse."""
    for b in bounded(model, path):
        if b.impossible:
            least = f"0, or {plainly(b.low, b.kind, view)}" if b.bounds.zero else plainly(b.low, b.kind, view)
            yield fault_at(
                b.path,
                b.bounds.words or f"implausible {b.what}",
                plainly(b.value, b.kind, view),
                f"{least} to {plainly(b.high, b.kind, view)}{EITHER if b.bounds.either else ''}",
                b.bounds.low_todo if b.size < b.low else b.bounds.high_todo,
            )


def _degrees(value: float, view: str) -> str:
    """A temperature [K] with up to three decimals where it is no whole degree of the view."""
    number, unit = show(value, "temperature", view, decimals=3).split(" ")
    return f"{number.rstrip('0').rstrip('.')} {unit}"


def plainly(value: float, kind: str, view: str = "mm") -> str:
    """A value with all digits that matter: rounding to the usual decimals could hide what is wrong."""
    if kind == "temperature":
        other = "in" if view == "mm" else "mm"
        return f"{_degrees(value, view)} ({show(value, kind, other)})"
    if not kind:
        return f"{value:g}"
    known = KINDS[kind]
    unit = (known.metric if view == "mm" else known.inch)[0]
    if kind == "time":
        unit = next((u for u, most in (("s", 120.0), ("min", 7200.0)) if value < most), "h")
    number = to_unit(value, kind, unit) if unit else value
    if unit == "deg" and math.isclose(number, round(number)):
        number = round(number)
    text = f"{number:,.0f}" if abs(number) >= 1000.0 else f"{number:.4g}"
    if kind == "ratio" and 0.0 < abs(number) < 1.0:
        text += f" ({100.0 * number:.4g} %)"
    return f"{text} {unit}" if unit else text
