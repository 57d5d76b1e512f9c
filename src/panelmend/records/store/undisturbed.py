"""Without looks for cycles in memory."""

from __future__ import annotations

import contextlib
import gc
from collections.abc import Iterator


@contextlib.contextmanager
def undisturbed() -> Iterator[None]:
    """Without looks for cycles in memory: a log makes none, and looking at all of it again and again takes a
    third of the time."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()
