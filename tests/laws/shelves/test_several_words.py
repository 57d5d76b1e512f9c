"""A question that takes several of its choices, answered by letter, by name, or both."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from panelmend.app.dialogue import Dialogue
from panelmend.document.interview import Question
from panelmend.errors import InputError

FORMS = Question("data.cutout.forms.value", "Forms", "words", "circle, oval", ("circle", "oval", "rectangle"))


class _Forms:
    """A script of one question."""

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
