"""What is looked at and decides on nothing printed: who follows what a verb reads leaves it out."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

_here = threading.local()


def is_unwatched() -> bool:
    """Whether this thread is within ``unwatched``."""
    return getattr(_here, "within", False)


@contextmanager
def unwatched() -> Iterator[None]:
    """Within, what this thread opens, lists, asks for or writes is no part of an answer."""
    before, _here.within = is_unwatched(), True
    try:
        yield
    finally:
        _here.within = before
