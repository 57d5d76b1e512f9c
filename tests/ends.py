"""Ends for what a test waits for: one that never comes holds up every test behind it."""

from __future__ import annotations

import os
import signal
import subprocess
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

LONG = 300.0  # s: more than a machine takes that does much else besides; no measurement


def ended(child: int, what: str, seconds: float = LONG) -> int:
    """The status with which a copy of this process ended.

    Raises:
        AssertionError: it had not ended after so many seconds; it is killed.
    """
    until = time.monotonic() + seconds
    while True:
        pid, status = os.waitpid(child, os.WNOHANG)
        if pid:
            return status
        if time.monotonic() >= until:
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            raise AssertionError(f"{what} had not ended after {seconds:g} s")
        time.sleep(0.002)


@contextmanager
def at_most(
    process: subprocess.Popen[bytes] | subprocess.Popen[str], what: str, seconds: float = LONG
) -> Iterator[None]:
    """Inside, words of a process are waited for; it is killed after so many seconds, so that they end.

    Raises:
        AssertionError: it was killed.
    """
    late = threading.Event()

    def end() -> None:
        late.set()
        process.kill()

    timer = threading.Timer(seconds, end)
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
        if late.is_set():
            raise AssertionError(f"{what}: nothing came within {seconds:g} s")


def all_ended(threads: list[threading.Thread], what: str, seconds: float = LONG) -> None:
    """Wait for threads.

    Raises:
        AssertionError: one still runs after so many seconds.
    """
    until = time.monotonic() + seconds
    for thread in threads:
        thread.join(max(0.0, until - time.monotonic()))
    still = sum(thread.is_alive() for thread in threads)
    assert not still, f"{what}: {still} of {len(threads)} still ran after {seconds:g} s"
