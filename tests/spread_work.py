"""Functions that workers of the tests run; importable in processes of their own."""

from __future__ import annotations

import os
import signal
import threading
import time
from pathlib import Path

from panelmend.errors import InputError
from panelmend.predict import chunk


def squared(n: int) -> int:
    """Its square."""
    return n * n


def worker_of(n: int) -> int:
    """Where it ran."""
    time.sleep(0.02)
    return os.getpid()


def slow(n: int) -> int:
    """A case that takes a while."""
    time.sleep(0.02)
    return n


def refuses_seven(n: int) -> int:
    """Refuses one case."""
    if n == 7:
        raise InputError("seven is no case", expected="anything else")
    return n


def breaks_at_seven(n: int) -> float:
    """Has a fault that shows in one case."""
    return 1.0 / (n - 7)


def dies_once(case: tuple[int, str]) -> int:
    """Kills its own process at case 7 the first time; the file says whether it did."""
    n, mark = case
    if n == 7 and not Path(mark).exists():
        Path(mark).touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return n


def dies_always(n: int) -> int:
    """Kills its own process at case 7."""
    if n == 7:
        os.kill(os.getpid(), signal.SIGKILL)
    return n


def dies_while_it_looks(n: int) -> int:
    """Kills its own process at case 7 with every lock held that looking whether to stop takes."""
    if n == 7:
        for held in vars(chunk._asked).values() if hasattr(chunk._asked, "__dict__") else ():
            if hasattr(held, "acquire"):
                held.acquire()
        os.kill(os.getpid(), signal.SIGKILL)
    return n


def gives_a_lock(n: int) -> object:
    """Gives what no process can send."""
    return threading.Lock()


def another_build() -> str:
    """What a worker with other code would say."""
    return f"build {os.getpid()}"


def no_build() -> str:
    """What a worker without panelmend would raise."""
    raise ModuleNotFoundError("No module named 'panelmend'")
