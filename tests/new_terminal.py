"""`panelmend new` in a terminal of its own, typed into key by key, and counted."""

from __future__ import annotations

import os
import pty
import re
import resource
import select
import signal
import sys
import time
import traceback
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from shelf_files import SHELVES

AT_ONCE = 120.0  # s until a prompt must have come; no measurement
PROMPT = re.compile(r"(?:\n  [a-z]+\d*\.[a-z_.\d]+(?: \([^\n]*\))?: |q stops, all is kept: )$")


@dataclass(frozen=True)
class Counted:
    """What it took: questions as it counts them, lines typed, answers refused, processor time [s]."""

    questions: int
    typed: int
    refused: int
    seconds: float
    said: str
    code: int


def typed_at_a_terminal(target: Path, lines: Sequence[str]) -> Counted:
    """Type lines at `panelmend new`, each when it is asked for, key by key.

    The terminal is a child of this process that was forked, so that nothing is loaded twice.
    """
    child, ours = pty.fork()
    if child == 0:
        _run(target)
    said, refused = "", 0
    try:
        for line in lines:
            said += _until_prompt(ours)
            for key in f"{line}\n":
                os.write(ours, key.encode("utf8"))
        said += _rest(ours)
    finally:
        os.close(ours)
        status, used = _ended(child)
    refused = said.count("; expected ")
    found = re.search(r"after (\d+) questions", said)
    seconds = used.ru_utime + used.ru_stime
    code = os.waitstatus_to_exitcode(status)
    return Counted(int(found[1]) if found else -1, len(lines), refused, seconds, said, code)


def _ended(child: int) -> tuple[int, resource.struct_rusage]:
    """How it ended and what it used; one that does not end without its terminal is killed."""
    until = time.monotonic() + AT_ONCE
    while True:
        pid, status, used = os.wait4(child, os.WNOHANG)
        if pid:
            return status, used
        if time.monotonic() >= until:
            os.kill(child, signal.SIGKILL)
            os.wait4(child, 0)
            raise AssertionError(f"the verb had not ended {AT_ONCE:g} s after its terminal was closed")
        time.sleep(0.002)


def _run(target: Path) -> None:
    """The child: its own streams, the verb, and nothing of the test's on the way out."""
    code = 70
    try:
        sys.stdin, sys.stdout, sys.stderr = open(0), open(1, "w"), open(2, "w")  # noqa: SIM115
        os.environ |= {"PANELMEND_SHELVES": str(SHELVES), "TERM": "dumb"}
        from panelmend.app.cli import main

        main(["new", str(target)])
        code = 0
    except SystemExit as error:
        code = int(error.code or 0)
    except BaseException:  # whatever it is, the test reads it
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        os._exit(code)


def _read(ours: int) -> str:
    ready, _, _ = select.select([ours], [], [], AT_ONCE)
    assert ready, "nothing came"
    try:
        return os.read(ours, 65536).decode("utf8", "replace").replace("\r", "")
    except OSError:  # the other end closed
        return ""


def _until_prompt(ours: int) -> str:
    said, end = "", time.monotonic() + AT_ONCE
    while not PROMPT.search(said):
        assert time.monotonic() < end, f"no question came: {said[-1500:]}"
        data = _read(ours)
        assert data, f"it ended before a question: {said[-1500:]}"
        said += data
    return said


def _rest(ours: int) -> str:
    parts: Iterable[str] = iter(lambda: _read(ours), "")
    return "".join(parts)
