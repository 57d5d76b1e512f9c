"""The two documents of a code stand one printed step apart, so that a limit moved by a step is noticed.

Inside, the value stands at its limit or less than a step before it; outside it is the next that can be typed.
Moved by one step either way the limit leaves one of them on the wrong side.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from finding_cases import FindingCase, finding_cases

CASES = finding_cases()
NUMBER = re.compile(r"\d+(?:\.\d+)?")


def steps(case: FindingCase) -> list[int] | None:
    """How far its documents stand apart, for each number in steps of its last printed digit.

    None where they differ in more than numbers: something is said in one of them and not in the other.
    """
    both = [case.document(within=w) for w in (True, False)]
    if NUMBER.sub("0", both[0]) != NUMBER.sub("0", both[1]):
        return None
    found = []
    for a, b in zip(*(NUMBER.findall(d) for d in both), strict=True):
        digits = max(len(x.partition(".")[2]) for x in (a, b))
        found += [abs(round((float(a) - float(b)) * 10**digits))] if a != b else []
    return found


NUMBERS = [c for c in CASES if steps(c) is not None]


@pytest.mark.parametrize("case", NUMBERS, ids=[c.name for c in NUMBERS])
def test_a_number_outside_is_the_next_that_can_be_typed(case: FindingCase) -> None:
    """Of a blanket, a circuit or a line given by two points the same number stands twice and moves as one."""
    apart = steps(case)
    assert apart
    assert set(apart) == {1}


def test_a_number_two_steps_off_is_seen() -> None:
    case = next(c for c in NUMBERS if c.limit == "tape to the panel's edge")
    ((old, new),) = case.outside
    assert steps(replace(case, outside=((old, new.replace("116.6", "116.7")),))) == [2]
    assert steps(replace(case, outside=((old, new.replace("116.6 mm", "nothing")),))) is None


BUILT = ("finding_heat.py", "finding_hosts.py", "finding_parts.py")
# Numbers of which neither is a limit: steps of the card.
NO_LIMIT = {"('O16', 1) | ('O27', 1)"}
WRITTEN = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?(?:e-?\d+)?(?!\w)")


def both_sides(source: str) -> Iterator[tuple[str, str]]:
    """What a built part is given inside and outside, as written: ``a if within else b``, rows of limits."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.IfExp):
            yield ast.unparse(node.body), ast.unparse(node.orelse)
        elif isinstance(node, ast.Call) and ast.unparse(node.func) == "rows":
            yield ast.unparse(node.args[2]), ast.unparse(node.args[3])


def written_apart(inside: str, outside: str) -> list[int] | None:
    """How far two sides stand apart in steps of the last digit written; None where these are no numbers."""
    if WRITTEN.sub("0", inside) != WRITTEN.sub("0", outside):
        return None
    found = []
    for pair in zip(WRITTEN.findall(inside), WRITTEN.findall(outside), strict=True):
        a, b = (Decimal(x).normalize() if "e" in x else Decimal(x) for x in pair)
        step = Decimal(1).scaleb(min(int(x.as_tuple().exponent) for x in (a, b) if x or a == b))
        found += [abs(int((a - b) / step))] if a != b else []
    return found


def far_apart(source: str) -> list[str]:
    sides = [(a, b) for a, b in both_sides(source) if f"{a} | {b}" not in NO_LIMIT]
    return [f"{a} | {b}" for a, b in sides if set(written_apart(a, b) or ()) - {1}]


@pytest.mark.parametrize("name", BUILT)
def test_built_parts_stand_one_step_apart(name: str) -> None:
    source = (Path(__file__).parents[2] / name).read_text("utf8")
    assert sum(bool(written_apart(a, b)) for a, b in both_sides(source)) > 3
    assert far_apart(source) == []


@pytest.mark.parametrize(
    ("source", "steps"),
    [
        ("x(1.0 if w else 0.999)", [1]),
        ("x(0.0 if w else -1e-4)", [1]),
        ("x(165e3 if w else 155e3)", [100000]),
        ("x(0.001 if w else -0.001)", [2]),
        ("x(200 if w else 199)", [1]),
        ("x('175.0 mm' if w else '174.0 mm')", [10]),
        ("x('a' if w else None)", None),
        ("rows(c, 'x', row(C.A, -5.0), row(C.A, -5.2))", [2]),
    ],
)
def test_sides_as_they_are_written(source: str, steps: list[int] | None) -> None:
    ((a, b),) = both_sides(source)
    assert written_apart(a, b) == steps
