"""One at a time: what reads or writes the records from several threads sees them whole.

Nothing slow is done under this lock: a plan is made, a page written out, before it or after it.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")
RECORDS = threading.RLock()


def alone(function: Callable[P, R]) -> Callable[P, R]:
    """The function, never run beside another that works on the records."""

    @wraps(function)
    def call(*args: P.args, **named: P.kwargs) -> R:
        with RECORDS:
            return function(*args, **named)

    return call
