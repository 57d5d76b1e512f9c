"""One at a time: what reads or writes the records from several threads sees them whole."""

from __future__ import annotations

import threading
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")
_LOCK = threading.RLock()


def alone(function: Callable[P, R]) -> Callable[P, R]:
    """The function, never run beside another of these."""

    @wraps(function)
    def call(*args: P.args, **named: P.kwargs) -> R:
        with _LOCK:
            return function(*args, **named)

    return call
