"""The validator's complaints in plain words: what was read, what was expected, what to do."""

from __future__ import annotations

import json
from difflib import get_close_matches
from typing import Any, get_args

from panelmend.document.approved import Given
from panelmend.document.fields import choices
from panelmend.document.model import Document
from panelmend.document.places import Path
from panelmend.errors import InputError
from panelmend.materials import Sourced
from panelmend.materials.meanings import meaning_of
from panelmend.materials.quantities import Typed


def value_at(raw: Any, path: Path) -> Any:
    """The raw value at a path, None where there is none."""
    for part in path:
        try:
            raw = raw[part]
        except (KeyError, IndexError, TypeError):
            return None
    return raw


def real_path(raw: Any, loc: Path) -> Path:
    """The part of a validator's location that stands in the text (its inner steps are typed by nobody)."""
    path: Path = ()
    for part in loc:
        here = value_at(raw, path)
        if (isinstance(here, dict) and part in here) or (
            isinstance(here, list) and isinstance(part, int) and part < len(here)
        ):
            path = (*path, part)
    return path


def plain_complaint(error: Any, raw: dict[str, Any], root: Any = Document) -> tuple[Path, InputError]:
    """One complaint of the validator of ``root`` as a path and an InputError (its ``where`` still open)."""
    loc: Path = tuple(error["loc"])
    path = real_path(raw, loc)
    value = value_at(raw, path)
    cause = error.get("ctx", {}).get("error")
    if isinstance(cause, InputError):
        return path, InputError(
            cause.words, read=cause.read or shown(value), expected=cause.expected, todo=cause.todo
        )
    kind = error["type"]
    if kind == "extra_forbidden":
        return path, _unknown(loc, root)
    if kind == "missing":
        return path, _missing(loc, value, root)
    if kind == "literal_error":
        return path, not_a_choice(value, list(choices(_annotation(loc, root))))
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        return path, _no_table(loc, value, root)
    return path, _other(kind, error.get("ctx", {}), loc, path, value, root)


def shown(value: Any) -> str:
    """A raw value as it stands in a message."""
    if isinstance(value, dict):
        return "a table of " + ", ".join(str(k) for k in list(value)[:6]) if value else "an empty table"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    if isinstance(value, bool):
        return str(value).lower()
    text = json.dumps(value, ensure_ascii=False) if isinstance(value, str) else str(value)
    return text if len(text) <= 80 else text[:77] + "..."


def did_you_mean(name: str, known: list[str]) -> str:
    """A hint at the nearest known name, or nothing."""
    lowered = {k.lower(): k for k in known}
    near = get_close_matches(name.lower(), list(lowered), 1, 0.6)
    return f"did you mean '{lowered[near[0]]}'?" if near else ""


def not_a_choice(value: Any, permitted: list[str]) -> InputError:
    """A word that is not one of the permitted ones."""
    return InputError(
        "not one of the permitted words" if isinstance(value, str) else "use one of the permitted words here",
        read=shown(value),
        expected=" or ".join(shown(c) for c in permitted),
        todo=did_you_mean(value, permitted) if isinstance(value, str) else "",
    )


def _unknown(loc: Path, root: Any) -> InputError:
    name = str(loc[-1])[:60]
    fields = list(getattr(_model_at(loc, root), "model_fields", {}))
    return InputError(
        f"unknown field '{name}'",
        read=name,
        expected=f"one of {', '.join(fields)}" if fields else "another field",
        todo=did_you_mean(name, fields),
    )


def _missing(loc: Path, above: Any, root: Any) -> InputError:
    name = str(loc[-1])
    model = _model_at(loc, root)
    if name == "place" and _is_kind_of(model, Given):
        return _placeless(above.get("value") if isinstance(above, dict) else None)
    return InputError(f"'{name}' is missing", read="nothing", expected=meaning(loc, root) or "a value")


def _placeless(value: Any) -> InputError:
    text = shown(value) if isinstance(value, str | int | float | bool) else "..."
    return InputError(
        "an approved value needs its place in the approved data",
        read="no place",
        expected=f'{{ value = {text}, place = "fig 203" }}',
        todo="name the figure, table or note where it is",
    )


def _no_table(loc: Path, value: Any, root: Any) -> InputError:
    model = _inner(_annotation(loc, root))
    if _is_kind_of(model, Given) and not isinstance(value, dict | list):
        return _placeless(value)
    fields = getattr(model, "model_fields", {})
    needed = [n for n, f in fields.items() if f.is_required()] or list(fields)[:4]
    inside = ", ".join(f"{n} = ..." for n in needed)
    if isinstance(value, list):
        return InputError("type one table here, not a list", read=shown(value), expected=f"{{ {inside} }}")
    return InputError("a table of fields belongs here", read=shown(value), expected=f"{{ {inside} }}")


def _other(kind: str, ctx: dict[str, Any], loc: Path, path: Path, value: Any, root: Any) -> InputError:
    read = shown(value)
    if kind in ("tuple_type", "list_type"):
        of_tables = _inner(_annotation(loc, root)) is not None
        name = ".".join(str(p) for p in path if isinstance(p, str))
        return InputError(
            "a list belongs here",
            read=read,
            expected=f"[ {{ ... }}, {{ ... }} ] or one [[{name}]] for each" if of_tables else "[ ..., ... ]",
        )
    if kind == "too_long":
        most = ctx.get("max_length")
        return InputError(
            "too many entries", read=f"{ctx.get('actual_length') or 'more'}", expected=f"at most {most}"
        )
    if kind == "too_short":
        return InputError(
            "too few entries",
            read=str(ctx.get("actual_length")),
            expected=f"at least {ctx.get('min_length')}",
        )
    if kind == "string_type":
        todo = "put it in quotation marks" if isinstance(value, int | float) else ""
        return InputError("text belongs here", read=read, expected=meaning(loc, root) or "text", todo=todo)
    if kind == "string_too_short":
        return InputError("the text is empty", read=read, expected=meaning(loc, root) or "text")
    if kind == "string_too_long":
        return InputError(
            "the text is too long",
            read=f"{len(str(value)):,} characters",
            expected=f"at most {ctx.get('max_length'):,} characters",
        )
    if kind in ("greater_than_equal", "greater_than", "less_than_equal", "less_than"):
        bound = next(iter(v for k, v in ctx.items() if k in ("ge", "gt", "le", "lt")), "")
        side = "at least" if kind.startswith("greater") else "at most"
        return InputError("outside the possible range", read=read, expected=f"{side} {bound}")
    return InputError("this value cannot be used", read=read, expected=meaning(loc, root) or "another value")


def meaning(loc: Path, root: Any = Document) -> str:
    """What the field at a validator's location is, from its description; its owner's for a bare value."""
    while len(loc) > 1 and loc[-1] == "value" and _is_kind_of(_model_at(loc, root), Given, Sourced):
        loc = loc[:-1]
    while len(loc) > 1 and isinstance(loc[-1], int):
        loc = loc[:-1]
    owner: Any = _model_at(loc, root) if loc else None
    text = meaning_of(owner, str(loc[-1])).rstrip(".") if _is_kind_of(owner, Typed) else ""
    return text[:1].lower() + text[1:] if text[1:2].islower() else text


def _model_at(loc: Path, root: Any) -> Any:
    """The model class that holds the last part of ``loc``."""
    model: Any = root
    for part in loc[:-1]:
        if isinstance(part, int) or part not in getattr(model, "model_fields", {}):
            continue
        model = _inner(model.model_fields[part].annotation)
    return model


def _annotation(loc: Path, root: Any) -> Any:
    while loc and isinstance(loc[-1], int):
        loc = loc[:-1]
    field = getattr(_model_at(loc, root), "model_fields", {}).get(loc[-1]) if loc else None
    return field.annotation if field is not None else None


def _inner(annotation: Any) -> Any:
    if hasattr(annotation, "model_fields"):
        return annotation
    return next((m for part in get_args(annotation) if (m := _inner(part)) is not None), None)


def _is_kind_of(model: Any, *kinds: type) -> bool:
    return isinstance(model, type) and issubclass(model, kinds)
