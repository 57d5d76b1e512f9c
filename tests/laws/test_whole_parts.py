"""A whole part of the approved data that nobody typed is a draft, until somebody says that there is none."""

from __future__ import annotations

import pytest

from examples_here import case_from, text
from panelmend.errors import DocumentError, Finding, Severity
from panelmend.plan.checks import check_defaults
from panelmend.plan.left_open import check_left_open
from panelmend.plan.make import make_plan
from panelmend.plan.standing import Standing
from panelmend.plan.whole_parts import PARTS

SOUND = text("gear_door")
CONFIRM = '\n[[confirm]]\nfigure = "data.%s"\nby = "D. Aune"\non = 2026-11-24\nvalue = "%s"\n'
NOTHING = '[[data.nothing_of]]\npart = "%s"\nplace = "52-10-17, list of contents: no such paragraph"\n\n'


def without(part: str, instead: str = "") -> str:
    """The door without a part, and something else where it stood."""
    start = SOUND.index(f"[data.{part}]\n")
    return SOUND[:start] + instead + SOUND[SOUND.index("\n[", start) + 1 :]


def found(document: str, part: str) -> list[Finding]:
    return [f for f in check_left_open(case_from(document)) if f.place == f"data.{part}"]


@pytest.mark.parametrize("part", PARTS)
def test_an_absent_part_waits_for_somebody(part: str) -> None:
    """J393 without the part; of a part of which one line is left it is J391, a caution."""
    (told,) = found(without(part), part)
    assert (told.code, told.severity) == ("J393", Severity.CONFIRM)
    assert "nothing of this part is typed" in told.words
    first = SOUND[SOUND.index(f"[data.{part}]\n") :].splitlines()[1]
    (line,) = found(without(part, f"[data.{part}]\n{first}\n\n"), part)
    assert (line.code, line.severity) == ("J391", Severity.CAUTION)


def test_a_plan_without_it_is_no_longer_ready() -> None:
    made = make_plan(case_from(without("inspection")))
    assert made.standing is Standing.DRAFT
    assert "J393" in {f.code for f in made.draft_reasons}


def test_empty_words_are_nothing_typed() -> None:
    (told,) = found(without("inspection", '[data.inspection]\nnotes = ""\n\n'), "inspection")
    assert told.code == "J393"


@pytest.mark.parametrize("part", PARTS)
def test_the_data_has_nothing_of_it_with_its_place(part: str) -> None:
    """J394 says where that was seen."""
    (told,) = found(without(part, NOTHING % part), part)
    assert (told.code, told.severity) == ("J394", Severity.NOTE)
    assert "list of contents" in told.words


@pytest.mark.parametrize(("value", "code"), [("nothing", "J394"), ("none", "J393"), ("", "J393")])
def test_a_named_person_confirms_nothing_and_nothing_else(value: str, code: str) -> None:
    document = without("finishing") + CONFIRM % ("finishing", value)
    (told,) = found(document, "finishing")
    assert told.code == code
    assert ("D. Aune" in told.words) == (code == "J394")
    case = case_from(document)
    assert "J003" not in {f.code for f in check_defaults(case, make_plan(case).ledger)}


def test_a_confirmation_of_a_part_that_is_typed_is_told() -> None:
    """J003: it names what nobody asks about; and it does not hide that a line is missing."""
    case = case_from(SOUND + CONFIRM % ("finishing", "nothing"))
    assert "J003" in {f.code for f in check_defaults(case, make_plan(case).ledger)}


def test_examples_that_have_none_of_them_wait_for_all() -> None:
    for example in ("cowling", "flap_rib_bay", "access_door_no_fit"):
        codes = {f.place for f in check_left_open(case_from(text(example))) if f.code == "J393"}
        assert codes == {f"data.{part}" for part in PARTS}, example


def test_nothing_beside_something_or_twice_is_refused() -> None:
    row = NOTHING % "finishing"
    beside = SOUND.replace("[data.finishing]\n", f"{row}[data.finishing]\n")
    with pytest.raises(DocumentError, match="something of it is typed"):
        case_from(beside)
    with pytest.raises(DocumentError, match="is there twice"):
        case_from(without("finishing", row * 2))


def test_nothing_needs_its_place() -> None:
    for place in ("", "-"):
        row = NOTHING.replace("52-10-17, list of contents: no such paragraph", place)
        document = without("finishing", row % "finishing")
        try:
            codes = {
                f.code for f in make_plan(case_from(document)).findings if f.severity is Severity.CONFIRM
            }
        except DocumentError:
            continue
        assert codes & {"J150", "X580"}, place
