"""The limits at which each finding code is tried from both sides, for docs/findings.md."""

from __future__ import annotations

import re

import judge_lost  # noqa: F401  # its cases stand in the table too
from finding_cases import FindingCase, finding_cases
from finding_parts import PARTS
from judge_cases import JUDGED

FIELD = re.compile(r'([\w.]+) = (?:\{ value = )?("[^"]*"|-?[\d.]+|true|false)')
NUMBER = re.compile(r"-?\d")


def tried() -> dict[str, list[str]]:
    """By code, in words: the limit, and what was typed on either side of it where one number says so."""
    found: dict[str, list[str]] = {}
    for case in finding_cases():
        found.setdefault(case.code, []).append(case.limit + two_sides(case))
    for code, cases in (*PARTS.items(), *JUDGED.items()):
        found.setdefault(code, []).extend(c.limit for c in cases)
    return found


def two_sides(case: FindingCase) -> str:
    """ " (thickness: no finding at 20 mm; a finding at 21 mm)"; "" where the two differ by more than "
    "two numbers."""
    inside, outside = ({p[0]: p[1] for p in pieces} for pieces in (case.inside, case.outside))
    near: list[tuple[str, str]] = []
    far: list[tuple[str, str]] = []
    for old in dict.fromkeys((*inside, *outside)):
        near += FIELD.findall(inside.get(old, old))
        far += FIELD.findall(outside.get(old, old))
    if [k for k, _ in near] != [k for k, _ in far]:
        return ""
    differ = [(k, a.strip('"'), b.strip('"')) for (k, a), (_, b) in zip(near, far, strict=True) if a != b]
    if not 0 < len(differ) <= 2 or not all(NUMBER.search(a) and NUMBER.search(b) for _, a, b in differ):
        return ""
    name, at, past = (" and ".join(dict.fromkeys(x)) for x in zip(*differ, strict=True))
    return f" ({name.replace('_', ' ')}: no finding at {at}; a finding at {past})"
