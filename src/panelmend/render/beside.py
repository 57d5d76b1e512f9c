"""Work beside other work: in a process of its own where the system can divide one, else where it is asked."""

from __future__ import annotations

import os
import pickle
import select
import signal
import sys
import threading
import time
import warnings
from collections.abc import Callable
from typing import Generic, TypeVar

from panelmend.long_work import Tell, silent
from panelmend.machine import cores
from panelmend.unwatched import unwatched

T = TypeVar("T")
_SIZE = 8  # bytes that say how many follow
_WAIT = 0.1  # s between two looks whether the work is to end
LONGEST = 600.0  # s of no answer after which the work is done here: a copy may wait for a lock nobody frees


class Beside(Generic[T]):
    """A piece of work whose result is wanted later, and is the same wherever it was done.

    A process is divided only while it has one thread, since no other thread lives on in the copy. Whatever
    goes wrong there, also that no answer comes, the work is done again here, and fails here if it must.

    Args:
        work: gives something that can be sent to another process; its arguments stay as they are meanwhile.
    """

    def __init__(self, work: Callable[[], T]) -> None:
        self._work = work
        self._pid, self._pipe = _begun(work) if _divides() else (0, -1)

    def result(self, tell: Tell = silent, words: str = "") -> T:
        """What the work gives.

        Args:
            tell: told ``words`` again and again; what it raises ends the waiting.
            words: what is being done.
        """
        if self._pid:
            made, until = bytearray(), time.monotonic() + LONGEST
            while time.monotonic() < until:
                tell(words)
                if select.select([self._pipe], [], [], _WAIT)[0]:
                    part = os.read(self._pipe, 1 << 20)
                    made += part
                    if not part:
                        break
            self.close()
            whole, size = bytes(made[_SIZE:]), int.from_bytes(made[:_SIZE], "big")
            if len(made) > _SIZE and len(whole) == size:
                done: T = pickle.loads(whole)  # written by a copy of this very process
                return done
        return self._work()

    def close(self) -> None:
        """End it; what is not asked for is not waited for."""
        if self._pid:
            pid, self._pid = self._pid, 0
            with unwatched():
                os.close(self._pipe)
                os.kill(pid, signal.SIGKILL)
                os.waitpid(pid, 0)


def _divides() -> bool:
    if sys.platform != "linux" or not hasattr(os, "fork") or threading.active_count() > 1:
        return False
    return cores() > 1


def _begun(work: Callable[[], T]) -> tuple[int, int]:
    """The process that does the work, and where its result can be read."""
    with unwatched(), warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # threads of libraries start anew in the copy
        reads, writes = os.pipe()
        pid = os.fork()
    if pid:
        os.close(writes)
        return pid, reads
    try:
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever asked for the work ends it
        os.close(reads)
        data = pickle.dumps(work(), protocol=5)
        with os.fdopen(writes, "wb") as pipe:
            pipe.write(len(data).to_bytes(_SIZE, "big") + data)
    finally:
        os._exit(0)  # nothing of what the other process has begun is ended twice
