"""One question to the process that stands by: the words typed, the folder, the settings and the terminal.

The answer is worked out by a process of its own that has this one's input and outputs, so that everything is
printed where it would be. Signals to this process go on to that one.
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import socket
import struct
import sys
from collections.abc import Iterator, Sequence
from types import FrameType
from typing import Any

from panelmend.app.entry import is_private_folder

_LENGTH = struct.Struct("<Q")
PATIENCE = 5.0  # s until the process says who works on it; then it is done here
# What is decided when a process starts: one that stands by answers only whoever was started alike.
_BEGINNINGS = ("PYTHON", "OMP_", "MKL_", "OPENBLAS_", "NUMBA_", "LD_", "LC_", "LANG", "NPY_")


def started_as() -> list[Any]:
    """What a process was started with, as far as it decides how it reckons and writes."""
    settings = sorted([k, v] for k, v in os.environ.items() if k.startswith(_BEGINNINGS))
    return [sys.executable, sys.prefix, sys.version, list(sys.flags), sys.path[1:], os.getuid(), settings]


def ask(place: str, words: Sequence[str]) -> int | None:
    """The exit code of the verb; None where it was not done, and is to be done here.

    Args:
        place: where the socket stands.
        words: what was typed after the command's name.
    """
    if not is_private_folder(os.path.dirname(place)):
        return None
    with socket.socket(socket.AF_UNIX) as line:
        try:
            line.settimeout(PATIENCE)
            line.connect(place)
            pid = _began(line, words)
        except (OSError, ValueError):
            return None
        if pid is None:
            return None
        line.settimeout(None)
        with _passed_on(pid) as passed:
            said = _line(line)
        if said[:1] == ["code"]:
            return int(said[1])
        if passed:  # it was ended by what this process was told: so is this one
            signal.signal(passed[-1], signal.SIG_DFL)
            os.kill(os.getpid(), passed[-1])
        # Nothing is half written by any of these verbs, so that it can be done again.
        print("What stood by ended without an answer; it is done again here.", file=sys.stderr)
        return None


def _began(line: socket.socket, words: Sequence[str]) -> int | None:
    umask = os.umask(0o077)
    os.umask(umask)
    asked = {
        "as": started_as(),
        "words": list(words),
        "folder": os.getcwd(),
        "settings": dict(os.environ),
        "umask": umask,
        "path": sys.path,
    }
    body = json.dumps(asked).encode("utf8", "surrogatepass")
    sys.stdout.flush()
    sys.stderr.flush()
    socket.send_fds(line, [_LENGTH.pack(len(body))], [0, 1, 2])
    line.sendall(body)
    said = _line(line)
    return int(said[1]) if said[:1] == ["pid"] else None


def _line(line: socket.socket) -> list[str]:
    """The next line, in words; none where the other end is gone."""
    got = b""
    while not got.endswith(b"\n"):
        with contextlib.suppress(ConnectionError):
            more = line.recv(1)
            if more:
                got += more
                continue
        return []
    return got.decode("ascii").split()


@contextlib.contextmanager
def _passed_on(pid: int) -> Iterator[list[int]]:
    """Within, signals to stop go on to the process that does the work; which ones did."""
    passed: list[int] = []

    def on(number: int, frame: FrameType | None) -> None:
        passed.append(number)
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, number)

    told = [signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGQUIT]
    before = [signal.signal(number, on) for number in told]
    try:
        yield passed
    finally:
        for number, old in zip(told, before, strict=True):
            signal.signal(number, old)
