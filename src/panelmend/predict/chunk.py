"""What a worker does: run a few cases in turn. Everything here is imported by workers on other machines."""

from __future__ import annotations

import hashlib
import platform
import traceback
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

from threadpoolctl import threadpool_limits

from panelmend.errors import PanelmendError

_asked: Any = None  # a shared byte: not nought where the work is to stop
_calm = False


@dataclass(frozen=True)
class Failure:
    """A case that raised: its number, the words, the traceback where it was no refusal of ours, and what
    was raised where that is known (not across processes: not every error can be sent)."""

    case: int
    words: str
    trace: str
    error: Exception | None


@dataclass(frozen=True)
class Done:
    """Results of the cases from ``first`` on. ``failure`` is the case at which it ended; fewer results than
    cases and no failure: it was asked to stop."""

    first: int
    results: list[Any]
    failure: Failure | None = None


def run_chunk(function: Callable[[Any], Any], first: int, cases: Sequence[Any], keep: bool = False) -> Done:
    """Run cases in turn until one raises or the work is stopped.

    Args:
        function: what is run.
        first: number of the first of these cases.
        cases: the cases.
        keep: keep the error itself; only within a process.
    """
    if not keep:
        calm()
    results: list[Any] = []
    for n, case in enumerate(cases):
        if _asked is not None and _asked.value:
            break
        try:
            results.append(function(case))
        except Exception as error:
            trace = "" if isinstance(error, PanelmendError) else traceback.format_exc()
            words = str(error) or type(error).__name__
            return Done(first, results, Failure(first + n, words, trace, error if keep else None))
    return Done(first, results)


def calm() -> None:
    """One thread for numerical libraries: their sums depend on how many they use. For good, in a worker."""
    global _calm
    if not _calm:
        import numpy as np

        np.linalg.inv(np.eye(2))  # its library must be loaded before it can be told
        threadpool_limits(limits=1)
        _calm = True


def start_worker(asked: Any) -> None:
    """Begin a worker process that stops between cases when ``asked`` (a shared byte) is not nought."""
    import signal

    global _asked
    _asked = asked
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the process that started it decides
    calm()


@cache
def build() -> str:
    """What must be the same on every worker for results to be the same: our code, numpy and numba.

    Processors of another kind may still differ in the last digits.
    """
    root = Path(__file__).parents[1]
    code = hashlib.sha256()
    for path in sorted(root.rglob("*.py")):
        code.update(path.relative_to(root).as_posix().encode())
        code.update(path.read_bytes())
    python = ".".join(platform.python_version_tuple()[:2])
    parts = [f"{name} {version(name)}" for name in ("numpy", "numba", "scipy")]
    return f"panelmend {code.hexdigest()[:12]}, Python {python}, {', '.join(parts)}"
