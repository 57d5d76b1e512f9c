"""Every word of the screen, in one catalogue for each language.

Templates and scripts ask by key; a key that is missing is a fault, so that no page shows one. Words that the
stages write (titles of steps, findings, cautions) are not here: they are the card's own.
"""

from __future__ import annotations

import tomllib
from contextvars import ContextVar
from functools import cache
from importlib import resources

LANGUAGE = "en"
LANGUAGES = ("en", "de")
# Until a competent speaker has signed them, cautions stand in English too, beside what they were turned into.
CAUTIONS = frozenset(
    {
        "card.other_plan",
        "cure.begin_means",
        "cure.blind_todo",
        "cure.not_begun_todo",
        "cure.sound_off",
        "cure.switches_nothing",
        "heat.means",
        "heat.tried_means",
        "history.means",
        "nest.templates",
        "pack.old_files",
        "pack.other_means",
        "pack.squares_mean",
        "script.sound_off",
        "shelves.check_means",
        "shelves.draft_means",
        "strength.means",
        "strength.one",
        "survey.mic_means",
    }
)
_spoken: ContextVar[str] = ContextVar("language", default=LANGUAGE)


@cache
def catalogue(language: str = LANGUAGE) -> dict[str, str]:
    """All words of a language by key."""
    text = resources.files("panelmend.screen").joinpath(f"languages/{language}.toml").read_text("utf8")
    made: dict[str, str] = {}

    def walk(table: dict[str, object], above: str) -> None:
        for key, value in table.items():
            if isinstance(value, dict):
                walk(value, f"{above}{key}.")
            else:
                made[f"{above}{key}".removesuffix(".self")] = str(value)

    walk(tomllib.loads(text), "")
    return made


def speak(language: str) -> None:
    """Answer what follows of this request in a language; one that is not there is English."""
    _spoken.set(language if language in LANGUAGES else LANGUAGE)


def spoken_language() -> str:
    """The language of this request."""
    return _spoken.get()


def say(key: str, language: str = "", **values: object) -> str:
    """Words by key, with values put in where they name them. Raises KeyError."""
    words = _words(key, language or _spoken.get())
    return words.format(**values) if values else words


def _words(key: str, language: str) -> str:
    english = catalogue()[key]
    words = catalogue(language).get(key, english)  # a page is never without a word
    if language != LANGUAGE and key in CAUTIONS:
        return f"{words} (English: {english})"
    return words


def for_scripts(*rooms: str) -> dict[str, str]:
    """The words that scripts need: those under "script", and of more rooms."""
    wanted = ("script.", *(f"{r}." for r in rooms))
    return {k: _words(k, _spoken.get()) for k in catalogue() if k.startswith(wanted)}
