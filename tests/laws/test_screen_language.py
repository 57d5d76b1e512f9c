"""The second language of the screen: complete, with the same values put in, cautions in English beside it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from typing import get_args

import pytest

from panelmend.job.kit.part import Group
from panelmend.records.rules.named import NONE_USED
from panelmend.screen.guard import cookie_name
from panelmend.screen.words import CAUTIONS, LANGUAGES, catalogue, say, speak
from panelmend.screen.workshop import DEMO
from screen_made import PORT, Desk, desk

HOLDER = re.compile(r"\{\w+\}")


@pytest.fixture(scope="module")
def at() -> Iterator[Desk]:
    """A desk with the demonstration."""
    with desk() as made:
        yield made


@pytest.mark.parametrize("language", [x for x in LANGUAGES if x != "en"])
def test_every_word_of_the_screen_is_there_in_each_language(language: str) -> None:
    english, other = catalogue(), catalogue(language)
    assert [k for k in english if k not in other] == [], f"languages/{language}.toml lacks these"
    assert [k for k in other if k not in english] == []
    for key, words in english.items():
        assert sorted(HOLDER.findall(words)) == sorted(HOLDER.findall(other[key])), key
        assert bool(words.strip()) <= bool(other[key].strip()), key
    same = [k for k, v in english.items() if v == other[k] and len(v) > 24 and not v.isupper()]
    assert same == [], "left in English"


def test_each_group_of_a_kit_has_its_word() -> None:
    """Words that a page puts together from a member's name are looked up by nobody else."""
    assert {f"kit.group_{group}" for group in get_args(Group)} <= set(catalogue())


def test_cautions_stand_in_english_too_until_somebody_competent_signed_them() -> None:
    english = catalogue()
    assert set(english) >= CAUTIONS
    for key in CAUTIONS:
        values = {h[1:-1]: "x" for h in HOLDER.findall(english[key])}
        assert say(key, **values) in say(key, "de", **values), key
    hazards = [k for k, v in english.items() if "DO NOT" in v or "Never" in v or "Do not work" in v]
    for key in hazards:
        assert key in CAUTIONS or english[key] == catalogue("de")[key], key


@pytest.mark.parametrize("language", LANGUAGES)
def test_where_no_instrument_was_used_the_word_is_asked_that_the_records_take(language: str) -> None:
    """A blank left empty is not filled in, and its step cannot be signed."""
    assert f" {NONE_USED} " in say("card.instruments", language, words="VG-03")


def test_a_page_is_in_the_language_that_was_chosen_and_the_next_one_too(at: Desk) -> None:
    token = f"{cookie_name(PORT)}={at.token}"
    german = unescape(at.get(f"/repairs/{DEMO}/pack", cookie=f"{token}; panelmend-language=de").body.decode())
    assert '<html lang="de"' in german
    assert "Schablone" in german
    assert "Do not use a template" not in german  # no pack yet, so nothing of squares
    assert catalogue("de")["page.language_means"] in german
    strength = at.get(f"/repairs/{DEMO}/strength", cookie=f"{token}; panelmend-language=de").body.decode()
    assert catalogue()["strength.means"] in unescape(strength)
    english = at.get(f"/repairs/{DEMO}/pack", cookie=token).body.decode()
    assert '<html lang="en"' in english
    assert "Schablone" not in english
    odd = at.get(f"/repairs/{DEMO}/pack", cookie=f"{token}; panelmend-language=../../x")
    assert '<html lang="en"' in odd.body.decode()


def test_an_unknown_language_is_english() -> None:
    speak("xx")
    assert say("page.shop") == "Shop"
