"""One table of words: the card says what it says, and the docs hold it."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from card_plans import KINDS, planned
from panelmend.render.card import card_data
from panelmend.trade import TERMS, say

ROOT = Path(__file__).parents[3]
NEVER = (
    "pressure aid",
    "perforated film",
    "parting sheet",
    "recipe",
    "ceiling",
    "far face",
    "mouth",
    "floor adhesive",
    "soak",
    "nipple",
    "usual value",
    "shelves",
)


def _texts(value: Any) -> list[str]:
    if isinstance(value, str):
        return [value]
    if isinstance(value, dict):
        return [t for v in value.values() for t in _texts(v)]
    if isinstance(value, list | tuple):
        return [t for v in value for t in _texts(v)]
    return []


@pytest.mark.parametrize("kind", [k for k in KINDS if k != "access_door_no_fit"])
def test_steps_and_bench_say_the_words_of_the_table(kind: str) -> None:
    data = card_data(planned(kind))
    for text in _texts([data["steps"], data["bench"]]):
        for word in NEVER:
            assert not re.search(rf"\b{word}\b", text, re.IGNORECASE), f"{word!r} in {text!r}"


def test_no_word_is_both_said_and_not_said_and_each_has_its_source() -> None:
    says = {t.say for t in TERMS}
    for term in TERMS:
        assert term.source
        assert term.means
        assert not says & set(term.instead_of)
        assert all(say(old) == term.say for old in term.instead_of)
    listed = [old for t in TERMS for old in t.instead_of]
    assert len(listed) == len(set(listed))
    assert say("peel ply") == "peel ply"


def test_the_docs_hold_the_table() -> None:
    page = (ROOT / "docs" / "words.md").read_text("utf8")
    for term in TERMS:
        assert f"| {term.say} |" in page
