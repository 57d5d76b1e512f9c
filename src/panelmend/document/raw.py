"""Faults of the bare TOML values: numbers nobody can use, hidden characters, bottomless nesting."""

from __future__ import annotations

import math
import re
from typing import Any

from panelmend.document.places import Path
from panelmend.errors import InputError

DEEPEST_NESTING = 24  # the document's own form needs less than half of it
_LARGEST_WHOLE = 2**63
# Control characters but line feed and tab, and those that turn the direction of text.
_HIDDEN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


class UnusableValue(InputError):
    """A bare value that nobody can use: what else is said of it says nothing more."""


def clean(raw: Any) -> tuple[Any, list[tuple[Path, InputError]]]:
    """The values with the unusable ones taken out (None in their place), and a fault for each.

    Raises:
        InputError: nested too deeply to look at.
    """
    faults: list[tuple[Path, InputError]] = []

    def walk(value: Any, path: Path) -> Any:
        if len(path) > DEEPEST_NESTING:
            raise InputError(
                "nested too deeply", read=f"{len(path)} levels", expected=f"at most {DEEPEST_NESTING} levels"
            )
        if isinstance(value, dict):
            for key in value:
                if _hidden(key):
                    faults.append((path, _hidden_fault(key)))
            return {key: walk(inner, (*path, key)) for key, inner in value.items()}
        if isinstance(value, list):
            return [walk(inner, (*path, i)) for i, inner in enumerate(value)]
        fault = _fault(value)
        if fault is None:
            return value
        faults.append((path, fault))
        return None

    return walk(raw, ()), faults


def _fault(value: Any) -> InputError | None:
    if isinstance(value, float) and not math.isfinite(value):
        return UnusableValue("not a finite number", read=str(value), expected="a number")
    if isinstance(value, int) and abs(value) > _LARGEST_WHOLE:
        digits = int(value.bit_length() * 0.30103) + 1
        return UnusableValue("too large a number", read=f"about {digits} digits", expected="a usable number")
    if isinstance(value, str) and _hidden(value):
        return _hidden_fault(value)
    return None


def _hidden(text: str) -> str:
    found = _HIDDEN.search(text)
    return found[0] if found else ""


def _hidden_fault(text: str) -> InputError:
    return UnusableValue(
        "a hidden character in the text",
        read=f"character U+{ord(_hidden(text)):04X} in {text[:40]!r}",
        expected="visible text",
        todo="delete it and type the text again",
    )
