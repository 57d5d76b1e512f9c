"""Where a report may be written: under a name that says its form, never over another kind of file."""

from __future__ import annotations

import json
from pathlib import Path

from panelmend.errors import InputError

CURE_REPORT = frozenset(("verdict", "traces", "provenance"))
CURE_PLAN = frozenset(("format", "about", "operations"))
STRENGTH = frozenset(("format", "about", "figures", "parts"))
REVISION = frozenset(("old", "new", "made", "steps"))


def as_json(target: Path) -> bool:
    """Whether the name of a report asks for JSON."""
    return target.suffix.lower() == ".json"


def check_report(target: Path, keys: frozenset[str], option: str = "--report") -> None:
    """Refuse, before any work, a name of a report that says neither PDF nor JSON, or that another file has.

    An older report may be replaced; a document, a log, or what is kept beside them may not.

    Args:
        target: the report to be.
        keys: what a JSON report of this kind has at its top.
        option: the option that gave the name.

    Raises:
        InputError: it ends in neither, or the file there is no such report.
    """
    if target.suffix.lower() not in (".pdf", ".json"):
        raise InputError(
            "the report's name says neither PDF nor JSON",
            where=option,
            read=target.name,
            expected="a name that ends in .pdf or .json",
        )
    if target.is_file() and not _older_report(target, keys):
        raise InputError(
            "another file has the report's name, and no earlier report: it was left as it is",
            where=option,
            read=target.name,
            expected="a new name, or that of an earlier report",
        )


def _older_report(target: Path, keys: frozenset[str]) -> bool:
    """Whether the file is a report, or empty; one that cannot be read is none."""
    try:
        data = target.read_bytes()
        if not data or not as_json(target):
            return not data or data.startswith(b"%PDF-")
        held = json.loads(data)
    except (OSError, ValueError, RecursionError):
        return False
    return isinstance(held, dict) and keys <= held.keys()
