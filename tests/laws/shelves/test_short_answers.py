"""Answers as people shorten them: letters for several choices, and "same" for what was typed before."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest

from panelmend.app.dialogue import Dialogue
from panelmend.document.interview import Question, accept, questions
from panelmend.errors import InputError
from panelmend.shelves.one_line import beside

POINTS = "412.0, 377.0; 437.25, 352.0; 478.0, 341.0"
FORMS = Question("data.cutout.forms.value", "Forms", "words", "circle, oval", ("circle", "oval", "rectangle"))


class _Forms:
    """A script of one question."""

    asked = FORMS

    def questions(self, answers: dict[str, str]) -> Iterator[Question]:
        yield FORMS

    def accept(self, question: Question, text: str, answers: dict[str, str]) -> str:
        if not {w.strip() for w in text.split(",")} <= {*FORMS.choices}:
            raise InputError("not one of these", read=text, expected="one that is listed")
        return text

    def draft(self, answers: dict[str, str]) -> str:
        return str(answers)


def _answered(*typed: str) -> tuple[dict[str, str], int]:
    lines: Any = iter(typed)
    made = Dialogue(_Forms(), lambda label: next(lines), lambda words: None, lambda answers: None)
    return made.run(), made.refused


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("a", "circle"),
        ("a, c", "circle, rectangle"),
        ("oval, a", "oval, circle"),
        ("rect", "rectangle"),
        ("circle, oval", "circle, oval"),
    ],
)
def test_a_letter_of_the_list_means_what_it_stands_beside(typed: str, kept: str) -> None:
    assert _answered(typed) == ({FORMS.path: kept}, 0)


@pytest.mark.parametrize("typed", ["d", "a, d", "square", "a,, b"])
def test_what_the_list_does_not_hold_is_refused(typed: str) -> None:
    assert _answered(typed, "oval") == ({FORMS.path: "oval"}, 1)


def test_same_repeats_the_place_before_and_is_none_itself() -> None:
    """Asked seven times for a place, a person typed "same": every page printed that as the place."""
    answers = {"data.limits.repairable.value": "200 mm", "data.limits.repairable.place": "table 101"}
    given = {"damage.depth": "skin", "damage.side": "outside", **answers}
    given["data.limits.edge_distance.value"] = "50 mm"
    place = next(q for q in questions(given) if q.path == "data.limits.edge_distance.place")
    assert place.before == "table 101"
    first = next(q for q in questions(given) if q.path == "data.limits.repairable.place")
    assert first.before == ""

    class Script(_Forms):
        def questions(self, answers: dict[str, str]) -> Iterator[Question]:
            yield self.asked

        def accept(self, question: Question, text: str, answers: dict[str, str]) -> str:
            return accept(question, text)

    for asked, typed, kept, refused in (
        (place, ("Same",), "table 101", 0),
        (place, ("fig 2",), "fig 2", 0),
        (first, ("same", "fig 3"), "fig 3", 1),
    ):
        script, lines, labels = Script(), iter(typed), list[str]()
        script.asked = asked
        made = Dialogue(script, _read(lines, labels), lambda words: None, lambda answers: None)
        assert made.run() == {asked.path: kept}
        assert made.refused == refused
        assert ("same: table 101" in labels[0]) == bool(asked.before)


def _read(lines: Iterator[str], labels: list[str]) -> Callable[[str], str]:
    def read(label: str) -> str:
        labels.append(label)
        return next(lines)

    return read


def test_help_says_nothing_empty() -> None:
    said: list[str] = []
    lines: Any = iter(("?", "oval"))
    bare = Question("panel.name", "Name", "text", "")

    class Script(_Forms):
        def questions(self, answers: dict[str, str]) -> Iterator[Question]:
            yield bare

        def accept(self, question: Question, text: str, answers: dict[str, str]) -> str:
            return text

    Dialogue(Script(), lambda label: next(lines), said.append, lambda answers: None).run()
    assert "  text." in said


SHAPE = Question("panel.outline.form", "Form", "one word", "", ("circle", "ellipse", "rectangle", "outline"))


@pytest.mark.parametrize(
    ("typed", "form", "more"),
    [
        ("circle 60 mm at 310, 190 mm", "circle", {"centre": "310; 190 mm", "diameter": "60 mm"}),
        (
            "rectangle 600 x 400 mm at 300, 200 mm",
            "rectangle",
            {"centre": "300; 200 mm", "length": "600 mm", "width": "400 mm", "angle": ""},
        ),
        (
            "Rectangle 24 x 16 in at 12, 8 in turned 20 deg",
            "rectangle",
            {"centre": "12; 8 in", "length": "24 in", "width": "16 in", "angle": "20 deg"},
        ),
        ("outline mm: 412 377; 437.25 352; 478 341", "outline", {"unit": "mm", "points": POINTS}),
        ("circle", "circle", {}),
        ("round thing", "round thing", {}),
    ],
)
def test_a_form_with_its_size_and_place_in_a_line(typed: str, form: str, more: dict[str, str]) -> None:
    """Nine questions of an own panel were of its edge and its damage, one number each."""
    path = f"panel.outline.{form}"
    assert beside(SHAPE, typed) == (form, {f"{path}.{name}": text for name, text in more.items()})


@pytest.mark.parametrize("typed", ["circle 60 mm", "circle 60 at 310, 190 mm", "rectangle 600 mm at 3, 2 mm"])
def test_a_line_that_lacks_something_is_told_and_asked_again(typed: str) -> None:
    with pytest.raises(InputError):
        beside(SHAPE, typed)
    lines: Any = iter((typed, "circle"))

    class Script(_Forms):
        def questions(self, answers: dict[str, str]) -> Iterator[Question]:
            yield SHAPE

        def accept(self, question: Question, text: str, answers: dict[str, str]) -> str:
            return accept(question, text)

    made = Dialogue(
        Script(), lambda label: next(lines), lambda words: None, lambda answers: None, None, beside
    )
    assert (made.run(), made.refused) == ({SHAPE.path: "circle"}, 1)
