"""The limits at which each finding code is tried from both sides, for docs/findings.md."""

from __future__ import annotations

import judge_lost  # noqa: F401  # its cases stand in the table too
from finding_cases import finding_cases
from finding_parts import PARTS
from judge_cases import JUDGED


def tried() -> dict[str, list[str]]:
    """By code, in words."""
    found: dict[str, list[str]] = {}
    for case in finding_cases():
        found.setdefault(case.code, []).append(case.limit)
    for code, cases in (*PARTS.items(), *JUDGED.items()):
        found.setdefault(code, []).extend(c.limit for c in cases)
    return found
