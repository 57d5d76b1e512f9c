"""Every figure, word, mark and day of a document as it was typed, so that a second person can hold it
against the paper: what nothing can check is on one list."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from panelmend.document.doubted import DOUBTED
from panelmend.document.fields import choices, inner_model, plain_kind, quantity_kind, wrapper
from panelmend.document.model import Document
from panelmend.document.places import Path
from panelmend.errors import InputError
from panelmend.units import KINDS, read, to_unit, unit_for

# What is typed from a paper, a label or a measurement; the rest is the job's own paperwork.
SECTIONS = ("panel", "damage", "data", "materials", "bay", "stores", "choice")
# What names a thing or says where its values come from: it heads the paper, or no work hangs on it.
NAMES = frozenset({"id", "name", "title", "place", "source", "dated", "invented", "repair"})
WORDS = "words"  # kind of what is no figure: a word, a mark, a day
MANY_CORNERS = 24  # corners of an outline in words; more are compared on the drawing


@dataclass(frozen=True)
class TypedFigure:
    """A figure as it was typed: its path, the field without the places in lists, kind and place in the data.

    Words, marks (yes or no) and days are such, too, of the kind :data:`WORDS`: FWD typed for AFT, a
    thermocouple of type K for T, a remnant that is a roll pass every other check.

    ``place`` is "" where it is no approved value.
    """

    path: Path
    field: str
    words: str
    kind: str
    place: str

    @property
    def is_doubted(self) -> bool:
        """Whether every slip that was tried in this field was found; a digit read for another one is not."""
        return self.field in DOUBTED

    @property
    def read(self) -> str:
        """How it is read, in the units it was not typed in; "" where there are none."""
        return in_other_units(self.words, self.kind)


def typed_out(raw: dict[str, Any]) -> tuple[TypedFigure, ...]:
    """Every figure of a document, in the order it was typed.

    Args:
        raw: the values of a sound document as they were typed.
    """
    found: list[TypedFigure] = []
    for name in raw:
        if name in SECTIONS:
            found += _typed_inside(raw[name], Document.model_fields.get(name), (name,), "")
    return tuple(found)


def free_words(raw: Mapping[str, Any]) -> Iterator[tuple[Path, str]]:
    """Path and text of each field that takes any words at all: no quantity, none of a few permitted words.

    Nothing may hang on what they say: a fastener that somebody called 25.4 mm is no value in millimetres.

    Args:
        raw: the values of a document as they were typed.
    """
    for name, value in raw.items():
        yield from _free(value, Document.model_fields.get(name), (name,))


def _free(value: Any, field: Any, path: Path) -> Iterator[tuple[Path, str]]:
    if field is None:
        return
    known = _known(field)
    if isinstance(value, dict):
        fields = known.given_fields if known.given is not None and "value" in value else known.fields
        for key, inner in value.items():
            yield from _free(inner, fields.get(key), (*path, key))
    elif isinstance(value, list):
        for i, item in enumerate(value):
            yield from _free(item, field, (*path, i))
    elif isinstance(value, str) and known.text and not known.kind and not known.named:
        yield path, value


def in_other_units(text: object, kind: str) -> str:
    """A quantity in the units it was not typed in: beside the paper, a slip of the unit is seen."""
    if kind not in KINDS or kind == "ratio" or not isinstance(text, str):
        return ""
    try:
        number = read(text, kind)
    except InputError:
        return ""
    known, typed_in = KINDS[kind].units, text.split()[-1]
    units = dict.fromkeys(unit_for(kind, view) for view in ("mm", "in"))
    said = [
        f"{_digits(to_unit(number, kind, u))} {u}" if u in known else _digits(number)
        for u in units
        if u != typed_in
    ]
    return " = ".join(said)


def _digits(value: float) -> str:
    return f"{value:,.0f}" if 1000.0 <= abs(value) < 1e7 else f"{value:.4g}"


def _typed_inside(value: Any, field: Any, path: Path, place: str) -> Iterator[TypedFigure]:
    if field is None:
        return
    known = _known(field)
    if known.inside is not None and isinstance(value, dict) and "value" in value:
        yield from _typed_inside(
            value["value"], known.inside, (*path, "value"), str(value.get("place", place))
        )
        return
    if isinstance(value, dict):
        here = str(value.get("place", place))
        if isinstance(value.get("points"), list):
            yield _figure(path, _corners(value), "outline", here)
            return
        if {"cloth", "warp"} <= value.keys():  # a ply is read as one line of its table
            yield _figure((*path, "warp"), f"{value['cloth']}, {value['warp']}", "angle", here)
            value = {k: v for k, v in value.items() if k not in ("cloth", "warp")}
        for key, inner in value.items():
            yield from _typed_inside(inner, known.fields.get(key), (*path, key), here)
    elif isinstance(value, list) and any(isinstance(x, dict) for x in value):
        for i, item in enumerate(value):
            yield from _typed_inside(item, field, (*path, i), place)
    elif _is_number(value, known):
        words = ", ".join(map(str, value)) if isinstance(value, list) else str(value)
        yield _figure(path, words, known.kind, place)
    elif not NAMES & {p for p in path[-2:] if p != "value"}:
        yield _figure(path, _said(value), WORDS, place)


def _figure(path: Path, words: str, kind: str, place: str) -> TypedFigure:
    field = ".".join(str(p) for p in path if not isinstance(p, int) and p != "value")
    return TypedFigure(path, field, " ".join(words.split()), kind, place)


def _said(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(_said(v) for v in value)
    return value.isoformat() if isinstance(value, date) else str(value)


def _is_number(value: Any, known: _Known) -> bool:
    if isinstance(value, bool) or not isinstance(value, str | int | float | list):
        return False
    return known.kind not in ("", "day") or (not isinstance(value, str | list) and not known.text)


@dataclass(frozen=True)
class _Known:
    """What a field's type says, worked out once: a plan is made anew while something is dragged."""

    field: Any
    inside: Any  # the field of an approved or published value's own value; None where it is none
    kind: str
    text: bool
    given: Any = None  # the wrapping of an approved or published value; None where it is none
    named: bool = False  # only a few permitted words may stand there
    fields: Mapping[str, Any] = field(default_factory=dict)  # of the model, where it is one
    given_fields: Mapping[str, Any] = field(default_factory=dict)  # of the wrapping


_FIELDS: dict[int, _Known] = {}


def _known(field: Any) -> _Known:
    found = _FIELDS.get(id(field))
    if found is None:
        given = wrapper(field.annotation)
        inside = given.model_fields["value"] if given is not None else None
        model = inner_model(field.annotation)[0]
        found = _FIELDS[id(field)] = _Known(
            field,  # held, so that its id stays its own
            inside,
            quantity_kind(inside if inside is not None else field),
            plain_kind(field.annotation) == "text",
            given,
            bool(choices(field.annotation)),
            getattr(model, "model_fields", {}),
            given.model_fields if given is not None else {},
        )
    return found


def _corners(outline: dict[str, Any]) -> str:
    points = outline["points"]
    said = f"{len(points)} points, {outline.get('unit', '')}"
    if len(points) > MANY_CORNERS:
        return f"{said}: compare the drawing"
    return f"{said}: " + "; ".join(" ".join(map(str, p)) for p in points if isinstance(p, list))
