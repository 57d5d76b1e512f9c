"""Answers of the engineering authority: each takes the place of one value of the data, and says so."""

from __future__ import annotations

import re
from copy import deepcopy
from typing import Any

from panelmend.document.approved import ApprovedData
from panelmend.document.fault import Fault, fault_at
from panelmend.document.fields import inner_model, wrapper
from panelmend.document.people import is_name
from panelmend.document.places import Path
from panelmend.document.wording import shown

_PATH = re.compile(r"data(\.[a-z_]+){2,4}")


def with_answers(raw: dict[str, Any]) -> tuple[dict[str, Any], list[Fault]]:
    """Raw values with every answer in its place, and what is wrong with the answers.

    Args:
        raw: raw values of a document, or of a job with what its shelves gave.

    Returns:
        A copy where there are answers; ``was`` of each says what the data has.
    """
    given = raw.get("answer")
    if not isinstance(given, list) or not given:
        return raw, []
    made = deepcopy(raw)
    found: list[Fault] = []
    seen: set[str] = set()
    for i, answer in enumerate(made["answer"]):
        if not isinstance(answer, dict) or not isinstance(answer.get("of"), str) or "value" not in answer:
            continue  # said where the table is read
        of = answer["of"]
        if not _PATH.fullmatch(of) or not is_given(tuple(of.split("."))):
            found.append(
                fault_at(
                    ("answer", i, "of"),
                    "this names no value of the data with a place of its own",
                    shown(of),
                    "a path such as data.limits.repairable or data.plies.first_margin",
                    "what changes plies, cure cycles or tables is data of its own: type it with its place",
                )
            )
            continue
        if of in seen:
            found.append(fault_at(("answer", i, "of"), "two answers to one question", shown(of), "one"))
            continue
        seen.add(of)
        *above, name = of.split(".")
        here: Any = made
        for part in above:
            here = here.setdefault(part, {}) if isinstance(here, dict) else {}
        old = here.get(name)
        was = "nothing"
        if isinstance(old, dict) and "value" in old:
            was = f"{shown(old['value'])} ({old.get('place', 'no place')})"
        answer["was"] = was
        here[name] = {"value": answer["value"], "place": _place(answer, was)}
    return made, found


def paths_answered(raw: dict[str, Any]) -> dict[Path, Path]:
    """Of raw values with their answers in place: where each stands, and where its answer was typed."""
    rows = raw.get("answer")
    made: dict[Path, Path] = {}
    for i, a in enumerate(rows if isinstance(rows, list) else ()):
        if isinstance(a, dict) and a.get("was") and isinstance(a.get("of"), str):
            made[tuple(a["of"].split("."))] = ("answer", i, "value")
    return made


def _place(answer: dict[str, Any], was: str) -> str:
    reference, by, on = (str(answer.get(k) or "").strip() for k in ("reference", "by", "on"))
    if reference and is_name(by) and on:
        return f"engineering's answer {reference}, {by}, {on}; the data has {was}"[:400]
    return f"NOT APPROVED: engineering's answer is awaited; the data has {was}"[:400]


def is_given(path: Path) -> bool:
    """Whether a path of the data is an approved value with a place of its own."""
    model: Any = ApprovedData
    annotation: Any = None
    for part in path[1:]:
        if isinstance(part, int):
            continue
        field = getattr(model, "model_fields", {}).get(part)
        if field is None:
            return False
        annotation = field.annotation
        model = inner_model(annotation)[0]
    return wrapper(annotation) is not None
