"""Predictions kept in a file beside the document, so that a plan and a pack need not run them again.

The file is JSON: predictions by the digest of their problem, each with a digest of its own content. A
prediction is not used when its problem has changed, its content was changed by hand, or another edition of
the model made it.
"""

from __future__ import annotations

import hashlib
import json
import types
import typing
from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, fields, is_dataclass
from enum import Enum
from functools import cache, partial
from pathlib import Path
from typing import Any

from panelmend.files import read_kept, replace_whole
from panelmend.job.cure.prediction import Prediction

VERSION = 1
EDITION = 9  # of the model: raised when the same problem would give other numbers


def heat_path(document: Path) -> Path:
    """Where the predictions of a document are kept: beside it, its name ending in ``.heat.json``."""
    return document.with_suffix(".heat.json")


def read_predictions(path: Path) -> dict[str, Prediction]:
    """Every kept prediction that may be used, by the digest of its problem.

    Args:
        path: the file; one that is not there holds none.

    Returns:
        problem digest to prediction.

    Raises:
        ReadingError: the file cannot be read or is no file of predictions.
    """
    data = read_kept(path, "predictions", VERSION, "predict again")
    if data.get("edition") != EDITION:
        return {}
    found = {}
    for digest, row in data["predictions"].items():
        made = _sound(row)
        if made is not None and made.problem == digest:
            found[digest] = made
    return found


def write_predictions(path: Path, made: Iterable[Prediction], keep: Mapping[str, Prediction]) -> None:
    """Keep predictions, with those of ``keep`` that are not among them.

    Raises:
        OutputError: the file could not be written; the old one is untouched.
    """
    replace_whole(path, predictions_bytes((*keep.values(), *made)))


def predictions_bytes(made: Iterable[Prediction]) -> bytes:
    """The file of predictions by the digest of their problem; of two for one problem the last."""
    rows = {p.problem: asdict(p) for p in made}
    whole = {
        "version": VERSION,
        "edition": EDITION,
        "predictions": {
            digest: {"digest": content_digest(data), "prediction": data} for digest, data in rows.items()
        },
    }
    text = json.dumps(whole, sort_keys=True, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return (text + "\n").encode("utf8")


def content_digest(data: Any) -> str:
    """Digest of everything a prediction says, given as plain data."""
    text = json.dumps(data, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf8")).hexdigest()


def _sound(row: Any) -> Prediction | None:
    """The prediction of a row, or None where its content is not what was written."""
    try:
        if content_digest(row["prediction"]) != row["digest"]:
            return None
        return typing.cast(Prediction, _made(Prediction, row["prediction"]))
    except (KeyError, TypeError, ValueError, AttributeError):
        return None


def _made(kind: Any, data: Any) -> Any:
    """Plain data back into the frozen classes, by their annotations."""
    return _maker(kind)(data)


@cache
def _maker(kind: Any) -> Callable[[Any], Any]:
    """What makes values of a kind from plain data; annotations are read once."""
    origin, parts = typing.get_origin(kind), typing.get_args(kind)
    if origin in (typing.Union, types.UnionType):
        some = _maker(next(p for p in parts if p is not type(None)))
        return lambda data: None if data is None else some(data)
    if origin is tuple:
        if len(parts) == 2 and parts[1] is ...:
            return _row_maker(parts[0])
        each = [_maker(p) for p in parts]
        return lambda data: tuple(make(v) for make, v in zip(each, data, strict=True))
    if is_dataclass(kind):
        hints, build = typing.get_type_hints(kind), typing.cast(Any, kind)
        fields_of = [(f.name, _maker(hints[f.name])) for f in fields(kind)]
        return lambda data: build(**{name: make(data[name]) for name, make in fields_of})
    if isinstance(kind, type) and issubclass(kind, Enum):
        return kind
    return _number if kind is float else partial(_plain, kind)


def _row_maker(kind: Any) -> Callable[[Any], Any]:
    one = _maker(kind)
    parts = set(typing.get_args(kind)) or {kind}
    numbers = parts if float in parts and parts <= {float, types.NoneType} else set[Any]()

    def row(data: Any) -> tuple[Any, ...]:
        if numbers and set(map(type, data)) <= numbers:
            return tuple(data)  # most of a prediction, so not one by one
        return tuple(one(v) for v in data)

    return row


def _number(data: Any) -> float:
    if isinstance(data, bool) or not isinstance(data, int | float):
        raise TypeError(f"not a number: {data!r}")
    return float(data)


def _plain(kind: Any, data: Any) -> Any:
    if not isinstance(data, kind):
        raise TypeError(f"not of the kind it was written as: {data!r}")
    return data
