"""Any optional line of a document may be left out: a plan comes of it, or words, never an inner message."""

from __future__ import annotations

import re

import pytest

from examples_here import case_from, sound
from panelmend.errors import DocumentError, InputError, PanelmendError
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from strength_made import rough

# A circle is covered at once: what is tried here is not the search for a cut-out.
START = sound().index("shape = { outline = { unit")
END = sound().index("depth =", START)
DOOR = (
    sound()[:START] + 'shape = { circle = { centre = "480, 385 mm", diameter = "90 mm" } }\n' + sound()[END:]
)
INNER = re.compile(r"already has a value|no figure is called|not in this ledger|Traceback|'\w+' object")


def lines_of(section: str) -> list[str]:
    """The single lines of a section that give one field each."""
    part = DOOR[DOOR.index(f"\n[{section}]") :].split("\n\n")[0]
    return [x for x in part.splitlines()[2:] if re.match(r"\w+ = .*[^\[{,]$", x)]


SECTIONS = (
    "data.limits",
    "data.cutout",
    "data.plies",
    "data.core",
    "data.resin",
    "data.surface",
    "data.bag",
    "data.drying",
    "bay",
    "stores",
)
LINES = [(s, x) for s in SECTIONS for x in lines_of(s)]


def tried(document: str) -> Plan | None:
    """The plan, or None where it is refused in words."""
    try:
        return make_plan(case_from(document))
    except (DocumentError, InputError) as error:
        said = str(error)
    assert not INNER.search(said), said
    return None


def test_there_are_many_lines() -> None:
    assert len(LINES) > 55


@pytest.mark.parametrize("section", SECTIONS)
def test_one_line_left_out(section: str) -> None:
    made = 0
    for line in lines_of(section):
        plan = tried(DOOR.replace(line + "\n", "", 1))
        made += plan is not None
    assert made >= len(lines_of(section)) - 2


@pytest.mark.parametrize("section", SECTIONS)
def test_all_optional_lines_of_a_section_left_out(section: str) -> None:
    document = DOOR
    for line in lines_of(section):
        document = document.replace(line + "\n", "", 1)
    tried(document)


def test_the_strength_of_a_plan_on_open_defaults() -> None:
    """What was refused: the pack of a document that says nothing of resin to cloth."""
    try:
        assert rough(re.sub(r"resin_to_cloth = .*\n", "", DOOR)).part is not None
    except PanelmendError as error:
        pytest.fail(str(error))
