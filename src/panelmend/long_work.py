"""What long work is given: somebody to tell how far it is, and something that says when to stop."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

Tell = Callable[[str], None]


class Stop(Protocol):
    """Something that says whether the user wants to stop."""

    def is_set(self) -> bool: ...


def silent(words: str) -> None:
    """Tell nobody."""
