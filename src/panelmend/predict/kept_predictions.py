"""Predictions kept in a file beside the document, so that a plan and a pack need not run them again.

The file is JSON: predictions by the digest of their problem, each with a digest of its own content. A
prediction is not used when its problem has changed, its content was changed by hand, or a model with other
sources made it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, replace
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter

from panelmend.files import kept_text, parsed_kept, replace_whole
from panelmend.job.cure.prediction import Prediction
from panelmend.predict.edition import edition

VERSION = 1
WHAT, AGAIN = "predictions", "predict again"


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
    text = kept_text(path, WHAT, AGAIN)
    return dict(_usable(text, path.name)) if text else {}


@lru_cache(maxsize=4)  # a screen plans the same document again and again
def _usable(text: str, name: str) -> Mapping[str, Prediction]:
    data = parsed_kept(text, name, WHAT, VERSION, AGAIN)
    if data.get("edition") != edition():
        return {}
    found = {}
    for digest, row in data["predictions"].items():
        made = _sound(row)
        if made is not None and made.problem == digest:
            # a change that was tried with the likely values alone may hold in fewer cases: it is no advice
            found[digest] = replace(made, advice=tuple(a for a in made.advice if a.tried is not None))
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
        "edition": edition(),
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
        return _written().validate_json(json.dumps(row["prediction"]), strict=True)
    except (KeyError, TypeError, ValueError):
        return None


@cache
def _written() -> TypeAdapter[Prediction]:
    """Predictions as they are written: by the annotations of their frozen classes, nothing converted."""
    return TypeAdapter(Prediction)
