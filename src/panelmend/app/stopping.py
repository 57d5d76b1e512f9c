"""The user's wish to stop: asked for by long work, or breaking off at once what may be."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from panelmend.errors import Cancelled
from panelmend.long_work import Stop, Tell


class Stopper(threading.Event):
    """Set when the user stops.

    ``at_once`` while the work at hand may be broken off anywhere, ``unbroken`` while it may be nowhere.
    """

    def __init__(self) -> None:
        super().__init__()
        self.at_once = False
        self.unbroken = False

    def pressed(self) -> None:
        """The user asks to stop. Raises KeyboardInterrupt at once where that is safe, or asked twice."""
        twice = self.is_set()
        self.set()
        if (twice or self.at_once) and not self.unbroken:
            raise KeyboardInterrupt


def told_unless_stopped(tell: Tell, stop: Stop | None, kept: str) -> Tell:
    """How far work is, said as long as nobody stops it; ``kept`` says what is lost. It raises Cancelled."""

    def told(words: str) -> None:
        if stop is not None and stop.is_set():
            raise Cancelled(f"stopped; {kept}")
        tell(words)

    return told


@contextmanager
def at_once(stop: Stop | None) -> Iterator[None]:
    """Work that writes nothing and starts no process: a wish to stop breaks it off wherever it is."""
    if not isinstance(stop, Stopper):
        yield
        return
    before, stop.at_once = stop.at_once, True
    try:
        yield
    finally:
        stop.at_once = before


@contextmanager
def unbroken(stop: Stop | None) -> Iterator[None]:
    """The moment in which finished files take their place: broken off, they could be neither old nor new."""
    if not isinstance(stop, Stopper):
        yield
        return
    stop.unbroken = True
    try:
        yield
    finally:
        stop.unbroken = False
