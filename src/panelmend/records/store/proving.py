"""Seals and spelling proved beside: by child processes, while the rules are looked at here."""

from __future__ import annotations

import contextlib
import pickle
import queue
import struct
import subprocess
import sys
import threading
import time
from types import TracebackType
from typing import IO, Self

from panelmend.machine import cores
from panelmend.records import seals
from panelmend.records.events.entry import spelled

Asked = tuple[str, ...]
"""Of a seal: whose key (its public half), what was sealed, the seal. Of an entry: its text alone."""
AT_ONCE = 500  # that are handed over together: about 20 ms of work
MOST_CHILDREN = 7  # children; beyond it the rules here are what is waited for
LONGEST = 60.0  # s a child that hangs is waited for at the end: what it had is proved here
LENGTH = struct.Struct(">I")
CHILD = "panelmend.records.store.proving_child"


def prove(asked: list[Asked]) -> list[bool]:
    """Prove some seals and spellings here."""
    return [spelled(*one) if len(one) == 1 else seals.sealed(*one) for one in asked]


class Proving:
    """Takes seals and texts one by one; at the end every one of them was proved, by a child or here.

    A few are proved here. A child that ends, hangs or answers wrongly is left, and what it had is proved
    here.

    Args:
        children: how many at most; as many as there are other cores unless told.
    """

    def __init__(self, children: int | None = None) -> None:
        self.children = min(MOST_CHILDREN, cores() - 1) if children is None else children
        self.false: list[int] = []
        """Numbers of entries whose seal does not hold; whole after :meth:`end`."""
        self.spelled_otherwise: list[int] = []
        """Numbers of entries to be looked at closely for their spelling; whole after :meth:`end`."""
        self._asked: list[tuple[int, Asked]] = []
        self._waiting: queue.SimpleQueue[list[tuple[int, Asked]] | None] = queue.SimpleQueue()
        self._handed, self._proved, self._lock = 0, 0, threading.Lock()
        self._threads: list[threading.Thread] = []
        self._pipes: list[subprocess.Popen[bytes]] = []

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None
    ) -> None:
        for child in self._pipes:
            child.kill()  # one that was waited for already is left alone by it
        for _ in self._threads:
            self._waiting.put(None)
        for thread in self._threads:
            thread.join()

    def ask(self, number: int, *asked: str) -> bool:
        """Take one; true, as it is told at the end whether it holds."""
        self._asked.append((number, asked))
        if len(self._asked) == AT_ONCE:
            self._hand_over()
        return True

    def end(self) -> None:
        """Prove what is left."""
        self._hand_over()
        while True:  # what no child has begun on is proved here
            try:
                some = self._waiting.get_nowait()
            except queue.Empty:
                break
            if some is not None:
                self._found(some, prove([a for _, a in some]))
        for _ in self._threads:
            self._waiting.put(None)
        until = time.monotonic() + LONGEST
        for thread in self._threads:
            thread.join(max(0.0, until - time.monotonic()))
        for thread in self._threads:
            while thread.is_alive():
                for child in self._pipes:
                    child.kill()
                thread.join(0.1)
        if self._proved != self._handed:
            raise AssertionError(f"{self._handed} to prove, {self._proved} proved")
        self.false.sort()
        self.spelled_otherwise.sort()

    def _hand_over(self) -> None:
        some, self._asked = self._asked, []
        self._handed += len(some)
        self._waiting.put(some)
        if len(self._threads) < self.children and self._handed > AT_ONCE:
            thread = threading.Thread(target=self._by_child, daemon=True)
            self._threads.append(thread)
            thread.start()

    def _found(self, some: list[tuple[int, Asked]], held: list[bool]) -> None:
        with self._lock:
            self._proved += len(some)
            for (n, asked), good in zip(some, held, strict=True):
                if not good:
                    (self.spelled_otherwise if len(asked) == 1 else self.false).append(n)

    def _by_child(self) -> None:
        child: subprocess.Popen[bytes] | None = None
        try:
            command = [sys.executable, "-P", "-m", CHILD]
            child = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
            self._pipes.append(child)
        except OSError:
            pass  # no child can be had: proved here, by this thread
        try:
            while (some := self._waiting.get()) is not None:
                asked = [a for _, a in some]
                held = proofs_told(child, asked) if child is not None else None
                if held is None:
                    end_child(child)
                    child, held = None, prove(asked)
                self._found(some, held)
        finally:
            end_child(child)


def proofs_told(child: subprocess.Popen[bytes], asked: list[Asked]) -> list[bool] | None:
    """What a child says of them; None where it does not answer, or to something else."""
    assert child.stdin is not None
    assert child.stdout is not None
    try:
        send(child.stdin, pickle.dumps(asked))
        held = receive(child.stdout)
    except (OSError, ValueError):
        return None
    if held is None or len(held) != len(asked) or not set(held) <= set(b"01"):
        return None
    return [x == ord("1") for x in held]


def end_child(child: subprocess.Popen[bytes] | None) -> None:
    """End a child and let go of its pipes."""
    if child is None:
        return
    child.kill()
    for pipe in (child.stdin, child.stdout):
        with contextlib.suppress(OSError):
            if pipe is not None:
                pipe.close()
    child.wait()


def send(stream: IO[bytes], data: bytes) -> None:
    """Write some bytes, their length before them."""
    stream.write(LENGTH.pack(len(data)) + data)
    stream.flush()


def receive(stream: IO[bytes]) -> bytes | None:
    """Read what was sent; None at the end."""
    head = stream.read(LENGTH.size)
    if len(head) < LENGTH.size:
        return None
    data = stream.read(LENGTH.unpack(head)[0])
    return data if len(data) == LENGTH.unpack(head)[0] else None
