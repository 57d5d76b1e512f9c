"""Reading a repair document: bytes in, a checked Document out, or every fault with its line."""

from __future__ import annotations

import hashlib
import re
import tomllib
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from pydantic import ValidationError

from panelmend.document.faults import faults_of
from panelmend.document.model import VERSION, Document
from panelmend.document.places import Path, Places
from panelmend.errors import DocumentError, InputError

LARGEST = 4_000_000  # bytes; a traced outline of 20,000 points is under 1 MB


@dataclass(frozen=True)
class Loaded:
    """A document as it was read: its name, its text, the digest of its bytes and the typed document."""

    name: str
    text: str
    digest: str
    document: Document


def parse(data: bytes, name: str = "document") -> Loaded:
    """Read a repair document.

    Args:
        data: the bytes of the TOML file.
        name: what to call it in messages.

    Raises:
        DocumentError: with every fault found, each with file, line, what was read and what was expected.
    """
    text = _decode(data, name)
    raw = _toml(text, name)
    places = Places(text)

    def at(path: Path) -> str:
        return f"{name}, line {places.line(path)}, {dotted(path)}" if path else f"{name}, line 1"

    version = raw.get("panelmend")
    if version != VERSION:
        raise DocumentError(
            [
                InputError(
                    "this version of the document's form is not known"
                    if version
                    else "the form's version is missing",
                    where=at(("panelmend",) if version else ()),
                    read=repr(version) if version is not None else "nothing",
                    expected=f"panelmend = {VERSION} in the first line",
                )
            ]
        )
    try:
        document = Document.model_validate(raw)
    except ValidationError as error:
        raise DocumentError(
            _sorted([_fault(e, at, raw) for e in error.errors(include_url=False)], places)
        ) from None
    found = [
        InputError(f.words, where=at(p), read=f.read, expected=f.expected, todo=f.todo)
        for p, f in faults_of(document)
    ]
    if found:
        raise DocumentError(found)
    return Loaded(name, text, hashlib.sha256(data).hexdigest(), document)


def _decode(data: bytes, name: str) -> str:
    if len(data) > LARGEST:
        raise DocumentError(
            [
                InputError(
                    "the file is too large",
                    where=name,
                    read=f"{len(data):,} bytes",
                    expected=f"at most {LARGEST:,} bytes",
                )
            ]
        )
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise DocumentError(
            [
                InputError(
                    "the file is not UTF-8 text",
                    where=f"{name}, line {line}",
                    read=f"byte 0x{data[error.start]:02x}",
                    expected="UTF-8",
                    todo="save it as UTF-8",
                )
            ]
        ) from None


def _toml(text: str, name: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        where = re.search(r"\(at line (\d+), column (\d+)\)", str(error))
        words = re.sub(r"\s*\(at .*\)", "", str(error))
        if where:
            line, column = int(where[1]), int(where[2])
            read = text.splitlines()[line - 1][:80] if line <= len(text.splitlines()) else ""
            place = f"{name}, line {line}, column {column}"
        else:
            read, place = "", f"{name}, last line"
        raise DocumentError(
            [InputError(f"not TOML: {words}", where=place, read=repr(read), expected="name = value")]
        ) from None
    except RecursionError:
        raise DocumentError(
            [InputError("nested too deeply", where=name, expected="a repair document")]
        ) from None


def dotted(path: Path) -> str:
    """A path as it is written in messages: data.cure[0].segment[2].to."""
    text = ""
    for part in path:
        text += f"[{part + 1}]" if isinstance(part, int) else (f".{part}" if text else part)
    return text


def _sorted(faults: list[InputError], places: Places) -> list[InputError]:
    def line(fault: InputError) -> int:
        found = re.search(r"line (\d+)", fault.where)
        return int(found[1]) if found else 0

    return sorted(faults, key=line)


def _value_at(raw: Any, path: Path) -> Any:
    for part in path:
        try:
            raw = raw[part]
        except (KeyError, IndexError, TypeError):
            return None
    return raw


def _real_path(raw: Any, loc: Path) -> Path:
    """The part of a validator's location that exists in the text (union branches are not typed by anyone)."""
    path: Path = ()
    for part in loc:
        here = _value_at(raw, path)
        if (isinstance(here, dict) and part in here) or (
            isinstance(here, list) and isinstance(part, int) and part < len(here)
        ):
            path = (*path, part)
    return path


def _fault(error: Any, at: Any, raw: dict[str, Any]) -> InputError:
    loc: Path = tuple(error["loc"])
    path = _real_path(raw, loc)
    cause = error.get("ctx", {}).get("error")
    if isinstance(cause, InputError):
        return InputError(
            cause.words, where=at(path), read=cause.read, expected=cause.expected, todo=cause.todo
        )
    kind = error["type"]
    if kind == "extra_forbidden":
        name = str(loc[-1])
        near = get_close_matches(name, _fields_near(loc), 1)
        known = ", ".join(_fields_near(loc)[:30])
        return InputError(
            f"unknown field '{name}'",
            where=at(path),
            read=name,
            expected=f"one of {known}" if known else "another field",
            todo=f"did you mean '{near[0]}'?" if near else "",
        )
    if kind == "missing":
        return InputError(f"'{loc[-1]}' is missing", where=at(path), read="nothing", expected=_meaning(loc))
    value = _value_at(raw, path)
    return InputError(
        error["msg"].rstrip(".").lower(), where=at(path), read=repr(value)[:80], expected=_meaning(loc)
    )


def _model_at(loc: Path) -> Any:
    """The model class that holds the last part of ``loc``."""
    model: Any = Document
    for part in loc[:-1]:
        if isinstance(part, int) or not hasattr(model, "model_fields") or part not in model.model_fields:
            continue
        model = _inner(model.model_fields[part].annotation)
    return model


def _inner(annotation: Any) -> Any:
    if hasattr(annotation, "model_fields"):
        return annotation
    for part in getattr(annotation, "__args__", ()):
        found = _inner(part)
        if found is not None:
            return found
    return None


def _fields_near(loc: Path) -> list[str]:
    model = _model_at(loc)
    return list(model.model_fields) if hasattr(model, "model_fields") else []


def _meaning(loc: Path) -> str:
    model = _model_at(loc)
    field = getattr(model, "model_fields", {}).get(loc[-1])
    if field is None or not field.description:
        return ""
    return str(field.description).rstrip(".").lower()
