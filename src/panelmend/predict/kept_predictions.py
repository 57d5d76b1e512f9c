"""Predictions kept in a file beside the document, so that a plan and a pack need not run them again.

The file is JSON: predictions by the digest of their problem, each with a digest of its own content. A
prediction is not used when its problem has changed, its content was changed by hand, or a model with other
sources made it. Those that a document no longer asks for stay for a while: who changes a figure and takes
that back finds them, and one who works on another damage of the same document does not lose them.
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
FORMER = 12  # for each damage: predictions no longer asked for; some hundred kilobytes each with their cases


def heat_path(document: Path) -> Path:
    """Where the predictions of a document are kept: beside it, its name ending in ``.heat.json``."""
    return document.with_suffix(".heat.json")


def read_predictions(path: Path) -> dict[str, Prediction]:
    """Every kept prediction that may be used, by the digest of its problem.

    Args:
        path: the file; one that is not there holds none.

    Returns:
        problem digest to prediction; those that the document no longer asks for come last, the latest first.

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
    for digest, row in sorted(data["predictions"].items(), key=lambda item: _age(item[1])):
        made = _sound(row)
        if made is not None and made.problem == digest:
            # a change that was tried with the likely values alone may hold in fewer cases: it is no advice
            found[digest] = replace(made, advice=tuple(a for a in made.advice if a.tried is not None))
    return found


def _age(row: Any) -> int:
    """How long ago the document asked for a prediction, in order; 0 for one it asks for."""
    age = row.get("former", 0) if isinstance(row, dict) else 0
    return age if isinstance(age, int) else FORMER


def write_predictions(
    path: Path,
    made: Iterable[Prediction],
    keep: Mapping[str, Prediction],
    former: Iterable[Prediction] = (),
    *,
    damages: int = 1,
) -> None:
    """Keep predictions, with those of ``keep`` that are not among them.

    Args:
        path: the file.
        made: new ones.
        keep: others of the same document, by the digest of their problem.
        former: those that are no longer asked for, or by another damage of the document, the latest first;
            the first ``FORMER`` for each damage are kept.
        damages: how many damages the document has.

    Raises:
        OutputError: the file could not be written; the old one is untouched.
    """
    replace_whole(path, predictions_bytes((*keep.values(), *made), former, damages=damages))


def predictions_bytes(
    made: Iterable[Prediction], former: Iterable[Prediction] = (), *, damages: int = 1
) -> bytes:
    """The file of predictions by the digest of their problem; of two for one problem the last. ``former`` and
    ``damages`` as above."""
    now = {p.problem: p for p in made}
    before = list({p.problem: p for p in former if p.problem not in now}.values())
    before = before[: FORMER * damages]
    rows = {digest: _row(p) for digest, p in now.items()}
    rows |= {p.problem: _row(p) | {"former": n} for n, p in enumerate(before, 1)}
    whole = {"version": VERSION, "edition": edition(), "predictions": rows}
    text = json.dumps(whole, sort_keys=True, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return (text + "\n").encode("utf8")


def _row(made: Prediction) -> dict[str, Any]:
    data = asdict(made)
    return {"digest": content_digest(data), "prediction": data}


def content_digest(data: Any) -> str:
    """Digest of everything a prediction says, given as plain data."""
    return hashlib.sha256(_content(data)).hexdigest()


def _content(data: Any) -> bytes:
    return json.dumps(data, sort_keys=True, ensure_ascii=False, separators=(",", ":")).encode("utf8")


def _sound(row: Any) -> Prediction | None:
    """The prediction of a row, or None where its content is not what was written."""
    try:
        content = _content(row["prediction"])
        if hashlib.sha256(content).hexdigest() != row["digest"]:
            return None
        return _written().validate_json(content, strict=True)
    except (KeyError, TypeError, ValueError):
        return None


@cache
def _written() -> TypeAdapter[Prediction]:
    """Predictions as they are written: by the annotations of their frozen classes, nothing converted."""
    return TypeAdapter(Prediction)
