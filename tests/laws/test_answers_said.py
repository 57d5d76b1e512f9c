"""What is said of each answer of the engineering authority, on both sides of every question asked of it."""

from __future__ import annotations

import datetime
from types import SimpleNamespace as Made
from typing import Any, cast

import pytest

from panelmend.derive import Ledger
from panelmend.document.answer_check import answer_digest
from panelmend.document.model import Answer
from panelmend.job.case import Case
from panelmend.job.limits import LimitsPart, check
from panelmend.job.limits.answers import check_answers

DAY = datetime.date(2026, 11, 24)
WHOLE = {
    "of": "data.limits.repairable",
    "value": "200 mm",
    "reference": "E-2026-113",
    "by": "S. Brand",
    "on": DAY,
    "typed_by": "P. Lund",
    "checked_by": "Q. Moe",
    "checked_on": DAY,
    "checked_against": "letter E-2026-113",
    "was": "150 mm",
}
VALUE = 'data.limits.repairable = "200 mm" instead of 150 mm'
PEOPLE = {"technician": "T. Ask", "planner": "P. Lund", "inspector": "I. Dahl", "engineer": "S. Brand"}


def holding(answer: Answer, people: dict[str, str] | None = None) -> Any:
    """As much of a document as an answer is held against."""
    return Made(
        people=Made(**(PEOPLE | (people or {}))),
        answer=(answer,),
        repair=Made(base="R-1"),
        damage=Made(id=""),
        panel=Made(serial="7"),
    )


@pytest.mark.parametrize(
    "changed",
    [
        {"checked_digest": ""},
        {"checked_digest": "0" * 64},
        {"checked_against": " "},
        {"checked_on": None},
        {"checked_on": DAY - datetime.timedelta(1)},
    ],
)
def test_names_typed_as_a_check_are_none(changed: dict[str, Any]) -> None:
    """A looser limit was READY by an answer whose checker was typed beside it."""
    assert set(said(**changed)) == {"L221", "X584"}


@pytest.mark.parametrize(
    "changed", [{"value": "201 mm"}, {"was": "140 mm"}, {"reference": "E-8"}, {"conditions": "dry"}]
)
def test_an_answer_that_was_changed_after_its_check_does_not_stand(changed: dict[str, Any]) -> None:
    before = Answer.model_construct(**WHOLE)
    digest = answer_digest(holding(before), before)
    assert set(said(checked_digest=digest)) == {"L221"}
    assert "X584" in said(**changed, checked_digest=digest)


def said(people: dict[str, str] | None = None, **answer: Any) -> dict[str, str]:
    """Words of each code found of one answer, with its place."""
    document = holding(Answer.model_construct(**(WHOLE | answer)), people)
    if "checked_digest" not in answer:
        (one,) = document.answer
        signed = one.model_copy(update={"checked_digest": answer_digest(document, one)})
        document = holding(signed, people)
    found = check_answers(cast(Case, Made(document=document)))
    assert all(f.place == "answer[1]" for f in found)
    assert len({f.code for f in found}) == len(found)
    return {f.code: f.words for f in found}


def test_an_answer_with_everything_is_a_caution_and_no_more() -> None:
    words = f"{VALUE}: E-2026-113, S. Brand, 2026-11-24"
    assert said() == {"L221": words}
    assert said(conditions="until the next check") == {"L221": f"{words}; until the next check"}


@pytest.mark.parametrize(
    ("engineer", "other"),
    [("S. Brand", False), ("Brand, S.", False), ("D. Aune", True), ("", False)],
)
def test_who_is_not_the_engineer_is_said_and_nobody_else(engineer: str, other: bool) -> None:
    words = said({"engineer": engineer})["L221"]
    assert ("who is not the engineer named under people (D. Aune)" in words) == other
    assert ("not the engineer" in words) == other


@pytest.mark.parametrize(
    ("missing", "named"),
    [
        ({"reference": ""}, "no reference"),
        ({"reference": "  "}, "no reference"),
        ({"by": ""}, "no by"),
        ({"on": None}, "no on"),
        ({"reference": "", "on": None}, "no reference, no on"),
        ({"reference": "", "by": "", "on": None}, "no reference, no by, no on"),
    ],
)
def test_an_answer_waits_for_exactly_what_it_lacks(missing: dict[str, Any], named: str) -> None:
    assert said(**missing) == {"L220": f"{VALUE}: {named}"}


@pytest.mark.parametrize("role", ["technician", "planner", "inspector"])
def test_nobody_who_works_on_the_repair_answers(role: str) -> None:
    assert set(said({role: "S. Brand", "engineer": ""})) == {"L221", "L222"}
    assert set(said({role: "S. Brandt", "engineer": ""})) == {"L221"}
    assert set(said({role: "", "engineer": ""})) == ({"L221", "L390"} if role == "technician" else {"L221"})


@pytest.mark.parametrize(
    ("typed", "checked", "technician", "words"),
    [
        ("", "Q. Moe", "T. Ask", "nobody is named who typed it"),
        ("P. Lund", "", "T. Ask", "typed by P. Lund, and checked by nobody"),
        ("P. Lund", "Lund, P.", "T. Ask", "P. Lund typed it and checked it"),
        ("P. Lund", "Q. Moe", "", "people.technician is not named, who may neither type nor check it"),
        ("T. Ask", "Q. Moe", "T. Ask", "T. Ask, who does the work, typed it"),
        ("P. Lund", "Ask, T.", "T. Ask", "Ask, T., who does the work, checked it"),
        (
            "P. Lund",
            "S. Brand",
            "T. Ask",
            "S. Brand answered, and S. Brand checked it: that may be one person",
        ),
        ("P. Lund", "Q. Moe", "T. Ask", ""),
    ],
)
def test_a_second_person_has_seen_it(typed: str, checked: str, technician: str, words: str) -> None:
    found = said({"technician": technician}, typed_by=typed, checked_by=checked)
    assert found.get("L390", "") == (f"data.limits.repairable, E-2026-113: {words}" if words else "")


def test_each_of_several_answers_has_its_own_place() -> None:
    one, two = (Answer.model_construct(**(WHOLE | {"of": of})) for of in ("data.limits.a", "data.limits.b"))
    document = Made(**vars(holding(one)) | {"answer": (one, two)})
    found = check_answers(cast(Case, Made(document=document)))
    assert [(f.place, f.words.split()[0]) for f in found if f.code == "L221"] == [
        ("answer[1]", "data.limits.a"),
        ("answer[2]", "data.limits.b"),
    ]


def test_what_may_stay_is_told_by_the_limit_that_lets_it_stay() -> None:
    """Sizes within the allowable damage alone: no size past it, and no distance that holds."""

    def reason(kind: str, words: str, holds: bool | None) -> Any:
        return Made(kind=kind, words=words, holds=holds, what="-", limit=None, figure=Made(key="-"))

    damage = Made(depth="skin", moisture="none found", far_shape=None)
    document = Made(damage=damage, confirm=(), answer=(), people=Made(**PEOPLE), survey=None)
    geometry = Made(damage=None, far_damage=None, outline=None, earlier=())
    reasons = (
        reason("allowable size", "20 mm within 25 mm", True),
        reason("allowable size", "past 15 mm", False),
        reason("distance to an edge", "90 mm off", True),
    )
    part = Made(reasons=reasons, disposition="no structural repair", elsewhere=False, largest=0.02, far=None)
    case = Made(document=document, geometry=geometry, view="mm")
    (told,) = check(cast(Case, case), Ledger(), cast(LimitsPart, part))
    assert (told.code, told.words) == ("L105", "20 mm within 25 mm")
