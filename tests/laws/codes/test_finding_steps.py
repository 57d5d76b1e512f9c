"""The two documents of a code stand one printed step apart, so that a limit moved by a step is noticed.

Inside, the value stands at its limit or less than a step before it; outside it is the next that can be typed.
Moved by one step either way the limit leaves one of them on the wrong side.
"""

from __future__ import annotations

import re
from dataclasses import replace

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
