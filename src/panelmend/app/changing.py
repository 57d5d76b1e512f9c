"""What of a repair can be changed beside its drawing: fields, and outlines that are moved.

A field keeps what was typed; how it was read stands beside it in both systems of units. An outline is moved
in standard axes (seen from the outside) and written in the document's own.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Literal, assert_never

from panelmend.app.changing_heat import LEAST_STEP, hand_places, moved_by_hand, point_words
from panelmend.document.places import Path as Field
from panelmend.document.rows import dotted_key
from panelmend.document.several import names_of
from panelmend.document.shape import Shape
from panelmend.errors import InputError, UnitError
from panelmend.job.case import Case
from panelmend.plan.plan import Plan
from panelmend.units import KINDS, read, show

What = Literal["damage", "cutout", "blanket", "thermocouple"]
_SIZES = {
    "circle": ("diameter",),
    "ellipse": ("length", "width", "angle"),
    "oval": ("length", "width", "angle"),
    "rectangle": ("length", "width", "angle", "corner_radius"),
}


@dataclass(frozen=True)
class ShownField:
    """A field as the screen shows it.

    ``typed`` is what stands in the document, "" for nothing; ``kind`` a kind of quantity, "point" or
    "choice"; ``read_as`` how it was read, in both systems; ``meaning`` the document's own words for it;
    ``name`` which of several, such as a thermocouple.
    """

    path: Field
    key: str
    group: str
    typed: str
    kind: str
    read_as: str
    meaning: str
    choices: tuple[str, ...] = ()
    needed: bool = False
    name: str = ""


def entries(plan: Plan, text: str) -> tuple[ShownField, ...]:
    """The fields that can be changed, in the order they are shown."""
    return tuple(_entries(plan, _raw(text)))


@lru_cache(maxsize=8)
def _raw(text: str) -> dict[str, Any]:
    """The bare values of a text, read once while it is worked on; nobody changes them."""
    return tomllib.loads(text)


def _damage(raw: dict[str, Any], case: Case) -> Field | None:
    """Where the damage stands: in a table or in a list; None for several that are planned as one."""
    given = raw.get("damage")
    if not isinstance(given, list):
        return ("damage",)
    names, own = names_of(given), case.document.damage.id
    return ("damage", names.index(own) if own in names else 0) if len(given) == 1 or own in names else None


def _entries(plan: Plan, raw: dict[str, Any]) -> Iterator[ShownField]:
    case, hurt = plan.case, _damage(raw, plan.case)
    if hurt is not None:
        yield from _shape(raw, (*hurt, "shape"), "damage", case.document.damage.shape)
        if case.document.damage.cored:
            yield _entry(raw, (*hurt, "core_depth"), "damage", "length")
        if case.document.damage.moisture == "found":
            yield _entry(raw, (*hurt, "wet_area"), "damage", "area")
    pinned = case.document.choice.cutout
    if pinned is not None:
        yield from _shape(raw, ("choice", "cutout"), "cutout", pinned)
    elif plan.work is not None:
        forms = case.document.data.cutout.forms
        if forms is not None and len(forms.value) > 1:
            yield _entry(raw, ("choice", "form"), "cutout", "choice", tuple(forms.value))
    blankets = tuple(b.id for b in case.document.bay.blanket)
    for i, heat in enumerate(case.document.choice.heat):
        if case.shelved is None and blankets:
            yield _entry(raw, ("choice", "heat", i, "blanket"), f"heat {heat.cure}", "choice", blankets)
        yield _entry(raw, ("choice", "heat", i, "set_point"), f"heat {heat.cure}", "temperature")
        yield _entry(raw, ("choice", "heat", i, "rate"), f"heat {heat.cure}", "temperature rate")
        for path, name in hand_places(plan, i, heat):
            made = _entry(raw, path, f"heat {heat.cure}", "point", needed=bool(name))
            yield replace(made, key="thermocouple", name=name) if name else made
    if case.shelved is None:
        if blankets and not case.document.choice.heat:
            yield _entry(raw, ("choice", "blanket"), "bay", "choice", blankets)
        yield _entry(raw, ("bay", "air_temperature"), "bay", "temperature")
        yield _entry(raw, ("bay", "humidity"), "bay", "ratio")
        yield _entry(raw, ("bay", "barometer"), "bay", "pressure")


def _shape(raw: dict[str, Any], path: Field, group: str, shape: Shape | None) -> Iterator[ShownField]:
    if shape is None or shape.form == "outline":
        return
    above = (*path, shape.form)
    yield _entry(raw, (*above, "centre"), group, "point", needed=True)
    for size in _SIZES[shape.form]:
        kind = "angle" if size == "angle" else "length"
        yield _entry(raw, (*above, size), group, kind, needed=size in ("diameter", "length", "width"))


def _entry(
    raw: dict[str, Any],
    path: Field,
    group: str,
    kind: str,
    choices: tuple[str, ...] = (),
    *,
    needed: bool = False,
) -> ShownField:
    typed = _typed(raw, path)
    meaning = _meaning(path)
    return ShownField(path, str(path[-1]), group, typed, kind, read_as(typed, kind), meaning, choices, needed)


def _typed(raw: dict[str, Any], path: Field) -> str:
    at: Any = raw
    for part in path:
        try:
            at = at[part]
        except (KeyError, IndexError, TypeError):
            return ""
    return str(at)


def _meaning(path: Field) -> str:
    """The document's own words for a field."""
    from panelmend.document.fields import inner_model
    from panelmend.document.model import Document
    from panelmend.materials.meanings import meaning_of

    model: Any = Document
    names = [p for p in path if isinstance(p, str)]
    for name in names[:-1]:
        model, _ = inner_model(model.model_fields[name].annotation)
        if model is None:
            return ""
    return meaning_of(model, names[-1])


def read_as(typed: str, kind: str) -> str:
    """How a quantity is read, in both systems of units; "" for what is none or is empty.

    Raises:
        UnitError: it is no quantity of this kind.
    """
    if not typed or kind not in KINDS or kind == "ratio":
        return ""
    try:
        value = read(typed, kind)
    except UnitError:
        return ""
    both = [show(value, kind, view) for view in ("mm", "in")]
    return " = ".join(dict.fromkeys(both))


def changes_typed(plan: Plan, text: str, typed: dict[str, str | None]) -> dict[Field, Any]:
    """Values by path of fields that were typed.

    Raises:
        InputError: a field that is not one of :func:`entries`.
    """
    known = {dotted_key(e.path): e for e in entries(plan, text)}
    made: dict[Field, Any] = {}
    for key, value in typed.items():
        entry = known.get(key)
        if entry is None:
            raise InputError("this field is not changed here", where=key[:80])
        words = (value or "").strip()
        if not words and entry.needed:
            raise InputError("this field may not be empty", where=key, expected=entry.meaning)
        made[entry.path] = words or None
    return made


@dataclass(frozen=True)
class Move:
    """A move in standard axes: ``dx`` and ``dy`` [m], ``turn`` [rad] about its centre.

    ``operation`` is the number of the cure whose blanket or thermocouple (``sensor``) is moved.
    """

    what: What
    dx: float = 0.0
    dy: float = 0.0
    turn: float = 0.0
    operation: int = 0
    sensor: str = ""


def changes_moved(plan: Plan, text: str, move: Move) -> dict[Field, Any]:
    """What a move writes: a cut-out that was chosen is pinned where it is put.

    Raises:
        InputError: there is nothing to move, or it must be typed.
    """
    case = plan.case
    if case.geometry_of_surface() is not None:
        raise InputError(
            "coordinates of this panel are projected: a move along its surface is not one in them",
            todo="type the place instead",
        )
    sign = 1.0 if case.document.panel.seen_from == "outside" else -1.0
    match move.what:
        case "blanket" | "thermocouple":
            return moved_by_hand(plan, move.operation, move.sensor, (move.dx, move.dy))
        case "cutout":
            return _cutout(plan, move, sign)
        case "damage":
            return _damage_moved(plan, text, move, sign)
        case _:
            assert_never(move.what)


def _damage_moved(plan: Plan, text: str, move: Move, sign: float) -> dict[Field, Any]:
    case = plan.case
    shape = case.document.damage.shape
    if shape is None:
        raise InputError("the damage comes from the survey: its taps move it", todo="tap again")
    raw = _raw(text)
    hurt = _damage(raw, case)
    if hurt is None:
        raise InputError(
            "these damages are planned as one, and the outline round them follows theirs",
            todo="change one of them in the inputs",
        )
    path: Field = (*hurt, "shape", shape.form)
    if shape.outline is not None:
        return _traced(raw, path, shape.outline.unit, move, sign)
    made = getattr(shape, shape.form)
    x, y = made.centre
    changes: dict[Field, Any] = {(*path, "centre"): point_words(case, (x + move.dx, y + sign * move.dy))}
    if move.turn and shape.form != "circle":
        changes[(*path, "angle")] = _angle(made.angle + sign * move.turn)
    return changes


def _cutout(plan: Plan, move: Move, sign: float) -> dict[Field, Any]:
    if plan.work is None:
        raise InputError("this repair has no cut-out")
    o, case = plan.work.cutout.opening, plan.case
    form = re.sub(r"\W.*", "", o.form) if o.form not in _SIZES else o.form
    if form not in _SIZES:
        raise InputError(f"a cut-out of this form cannot be moved: {o.form}")
    x, y = o.centre
    made: dict[str, Any] = {"centre": point_words(case, (x + move.dx, sign * (y + move.dy)))}
    values = {
        "diameter": float(o.length),
        "length": float(o.length),
        "width": float(o.width),
        "corner_radius": float(o.corner_radius),
    }
    for size in _SIZES[form]:
        if size == "angle":
            made[size] = _angle(sign * (float(o.angle) + move.turn))
        else:
            made[size] = _length_words(case, values[size])
    return {("choice", "cutout"): {form: made}}


def _traced(raw: dict[str, Any], path: Field, unit: str, move: Move, sign: float) -> dict[Field, Any]:
    scale = KINDS["length"].units[unit][0]
    at: Any = raw
    for part in path:
        at = at[part]
    points = at["points"]
    c, s = math.cos(sign * move.turn), math.sin(sign * move.turn)
    mx = sum(p[0] for p in points) / len(points)
    my = sum(p[1] for p in points) / len(points)
    digits = {"mm": 2, "cm": 3, "m": 5, "in": 4, "ft": 5}[unit]

    def put(p: list[float]) -> list[float]:
        x, y = p[0] - mx, p[1] - my
        u = mx + c * x - s * y + move.dx / scale
        v = my + s * x + c * y + sign * move.dy / scale
        return [round(u, digits), round(v, digits), *p[2:]]

    return {(*path, "points"): [put(p) for p in points]}


def _length_words(case: Case, value: float) -> str:
    unit = case.view
    return f"{value / KINDS['length'].units[unit][0]:.{LEAST_STEP[unit]}f} {unit}"


def _angle(value: float) -> str:
    degrees = math.degrees(math.remainder(value, math.pi))
    return f"{degrees + 0.0:.1f} deg".replace("-0.0 ", "0.0 ")
