"""Every word of the screen, in one catalogue for each language.

Templates and scripts ask by key; a key that is missing is a fault, so that no page shows one. Words that the
stages write (titles of steps, findings, cautions) are not here: they are the card's own.
"""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources

LANGUAGE = "en"


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


def say(key: str, language: str = LANGUAGE, **values: object) -> str:
    """Words by key, with values put in where they name them. Raises KeyError."""
    words = catalogue(language)[key]
    return words.format(**values) if values else words


def for_scripts(*rooms: str) -> dict[str, str]:
    """The words that scripts need: those under "script", and of more rooms."""
    wanted = ("script.", *(f"{r}." for r in rooms))
    return {k: v for k, v in catalogue().items() if k.startswith(wanted)}
