"""Who holds the device: a person's secret, tried once and kept in memory while they work, for readings alone.

A signature always asks for the secret anew. Nothing of it is written down; it goes when nobody works for a
while, when it is handed over, and when the server ends.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from panelmend.errors import PanelmendError
from panelmend.records.book import Who
from panelmend.screen.gate import digest

LAPSE = 15 * 60.0  # [s] without work


class NobodyHolds(PanelmendError):
    """Nobody said who holds the device, or too long ago."""


class AnotherHolds(PanelmendError):
    """What was typed is another person's than who holds the device now: it waits for them."""


@dataclass
class _Held:
    who: Who
    name: str
    last: float


@dataclass
class Holding:
    """Who holds which device, by its session."""

    clock: Callable[[], float] = time.monotonic
    _held: dict[str, _Held] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def take(self, token: str, who: Who, name: str) -> None:
        """A person takes the device, whose secret was right."""
        with self._lock:
            self._held[digest(token)] = _Held(who, name, self.clock())

    def put_down(self, token: str) -> None:
        """Nobody holds it any more."""
        with self._lock:
            self._held.pop(digest(token), None)

    def person(self, token: str) -> tuple[str, str]:
        """Staff number and name of who holds it, "" for nobody."""
        with self._lock:
            held = self._there(token)
            return (held.who.person, held.name) if held is not None else ("", "")

    def who(self, token: str, typed_by: str) -> Who:
        """Who holds it; they work on.

        Args:
            token: of the session.
            typed_by: staff number of who typed it, as the page had it: a page that was left open, or what was
                kept while there was no connection, is never written down as another's.

        Raises:
            NobodyHolds: nobody does.
            AnotherHolds: somebody else does.
        """
        with self._lock:
            held = self._there(token)
            if held is None:
                raise NobodyHolds("nobody holds this device: say who you are, then go on")
            if held.who.person != typed_by:
                raise AnotherHolds(
                    f"{typed_by} typed this and {held.name} holds the device: {typed_by} takes it"
                )
            held.last = self.clock()
            return held.who

    def _there(self, token: str) -> _Held | None:
        held = self._held.get(digest(token))
        if held is not None and self.clock() - held.last > LAPSE:
            del self._held[digest(token)]
            return None
        return held
