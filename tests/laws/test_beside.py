"""Work beside other work: the same result wherever it is done, and nothing left running."""

from __future__ import annotations

import os
import pickle
import signal
import sys
import threading

import pytest

from panelmend.errors import Cancelled, InputError
from panelmend.render import beside
from panelmend.render.beside import Beside

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="processes are divided on Linux alone")


@pytest.fixture(autouse=True)
def divides(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(beside, "_divides", lambda: True)  # whatever threads those who run tests have


def test_it_is_done_in_a_process_of_its_own_and_comes_back_whole() -> None:
    work = Beside(lambda: (os.getpid(), b"x" * 3_000_000, 0.1 + 0.2))
    pid, data, number = work.result()
    assert pid != os.getpid()
    assert data == b"x" * 3_000_000
    assert number == 0.1 + 0.2
    with pytest.raises(ChildProcessError):
        os.waitpid(pid, os.WNOHANG)  # it is gone


def test_what_fails_there_is_done_here_and_fails_here() -> None:
    where: list[int] = []

    def work() -> None:
        where.append(os.getpid())
        raise InputError("nothing to compare")

    with pytest.raises(InputError, match="nothing to compare"):
        Beside(work).result()
    assert where == [os.getpid()]


@pytest.mark.parametrize("sent", [0, 3, 8, 12])
def test_what_is_cut_off_is_done_here(sent: int, monkeypatch: pytest.MonkeyPatch) -> None:
    here = os.getpid()

    def cut(thing: object, protocol: int) -> bytes:
        os.write(
            max(int(n) for n in os.listdir("/proc/self/fd") if _is_pipe(n)), b"\0\0\0\0\0\0\0\x09abcd"[:sent]
        )
        os.kill(os.getpid(), signal.SIGKILL)
        return b""

    monkeypatch.setattr(pickle, "dumps", cut)
    assert Beside(os.getpid).result() == here


def _is_pipe(number: str) -> bool:
    try:
        return os.readlink(f"/proc/self/fd/{number}").startswith("pipe:")
    except OSError:
        return False


def test_a_copy_that_hangs_is_ended_and_the_work_is_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """As where it waits for a lock that was held when it was copied: nobody frees that one."""
    monkeypatch.setattr(beside, "LONGEST", 0.3)
    here = os.getpid()

    def work() -> int:
        if os.getpid() != here:
            signal.pause()
        return os.getpid()

    made = Beside(work)
    pid = made._pid
    assert made.result() == here
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)


def test_whoever_stops_ends_it() -> None:
    def stopped(words: str) -> None:
        assert words == "strength report"
        raise Cancelled("stopped")

    work = Beside(signal.pause)
    pid = work._pid
    with pytest.raises(Cancelled):
        work.result(stopped, "strength report")
    work.close()
    work.close()
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)


def test_with_another_thread_it_is_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1})
    held = threading.Event()
    other = threading.Thread(target=held.wait)
    other.start()
    try:
        assert Beside(os.getpid).result() == os.getpid()
    finally:
        held.set()
        other.join(60.0)


@pytest.mark.parametrize(("cores", "apart"), [({0}, False), ({0, 1}, True)])
def test_one_core_divides_nothing(cores: set[int], apart: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: cores)
    monkeypatch.setattr(threading, "active_count", lambda: 1)
    assert (Beside(os.getpid).result() != os.getpid()) is apart
