"""A process that stands by: it has everything in its memory, so that check, plan and pack answer at once.

For every question it makes a copy of itself (a fork) that has the asker's folder, settings, input and
outputs, does the verb as any other process would, and ends. It works on nothing itself, so that no question
leaves anything behind for the next. It answers its own user alone, and only whoever runs the same code,
Python and settings; it ends when a source changes, when it is told to, and some time after the last question.
"""

from __future__ import annotations

import contextlib
import gc
import io
import json
import os
import select
import signal
import socket
import struct
import sys
import time
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any, NoReturn

from panelmend import _BEGAN
from panelmend.app.entry import is_private_folder, socket_place
from panelmend.app.page_setters import PageSetters, same_user
from panelmend.app.source_state import changed_since, program_state, sources_now
from panelmend.app.standing_ask import started_as

LARGEST_TYPED = 4 * 2**20  # bytes of a question: the words typed and the settings of a shell
TYPED_TIME = 2.0  # s a question may take to come
READY = b"standing by\n"
_LENGTH = struct.Struct("<Q")
_PACKAGE = Path(__file__).parents[1]


def read_in() -> None:
    """Read in all that the verbs need, and plan the demonstration once so that it is warm."""
    import ezdxf  # noqa: F401
    import portalocker  # noqa: F401
    import segno  # noqa: F401
    import xlsxwriter  # noqa: F401

    from panelmend.app import cli, kept_answers, pack_beside, service, telling  # noqa: F401
    from panelmend.document.reader import parse
    from panelmend.job.case import case_of
    from panelmend.plan.make import make_plan
    from panelmend.render import files, pack, typesetting  # noqa: F401

    typesetting.read_templates()
    demo = _PACKAGE / "screen" / "demo" / "repair.toml"
    telling.summaries((make_plan(case_of(parse(demo.read_bytes(), demo.name))),))


def whole_read_in(
    read: Callable[[], object], began: float = _BEGAN
) -> tuple[list[tuple[str, int, int, int, int]], str]:
    """Read in, and the state of the program's files that was read in: every one, and all in one word.

    Exits where a file changed after the process ``began`` [s]: old code would go on beside new pages.
    """
    sources, state = sources_now(), program_state()
    read()
    if changed_since(sources, began):
        sys.exit("the program was changed while it started: start it again")
    return sources, state


class StandBy:
    """The process that stands by.

    Args:
        place: where its socket stands.
        idle: how long it stays after the last question [s].
        sources: the program's files before any was read in, as they still are.
        state: the same in one word.
    """

    def __init__(
        self, place: str, idle: float, sources: list[tuple[str, int, int, int, int]], state: str
    ) -> None:
        self.place, self.idle = place, idle
        self.sources, self.as_started = sources, json.loads(json.dumps(started_as()))
        self.answering = set[int]()
        self.setters = PageSetters(place, state)

    def listen(self) -> socket.socket:
        """The socket, in a folder of one's own; one that a dead process left is taken over.

        Raises:
            OSError: another stands by already, or the folder is not the user's own.
        """
        folder = os.path.dirname(self.place)
        with contextlib.suppress(FileExistsError):
            os.makedirs(folder, mode=0o700)
        if not is_private_folder(folder):
            raise PermissionError(f"{folder} is open to others, or is not yours")
        if os.path.lexists(self.place):
            if ask_standing(self.place, "there") is not None:
                raise FileExistsError("one stands by already")
            os.unlink(self.place)
        listener = socket.socket(socket.AF_UNIX)
        before = os.umask(0o077)
        try:
            listener.bind(self.place)
        finally:
            os.umask(before)
        listener.listen(16)
        return listener

    def serve(self, listener: socket.socket) -> None:
        """Answer until it is told to end, nobody asks any more, or a source changed."""
        mine = os.stat(self.place).st_ino
        until = time.monotonic() + self.idle
        while time.monotonic() < until:
            self._reap()
            ready, _, _ = select.select([listener], [], [], 1.0 if self.answering else self.idle)
            if not ready:
                continue
            line, _ = listener.accept()
            with line:
                if not self._answer(listener, line):
                    break
            until = time.monotonic() + self.idle
        with contextlib.suppress(OSError):
            if os.stat(self.place).st_ino == mine:  # not another's that came after
                os.unlink(self.place)

    def _reap(self) -> None:
        for pid in list(self.answering):
            with contextlib.suppress(ChildProcessError):
                if os.waitpid(pid, os.WNOHANG)[0] == 0:
                    continue
            self.answering.discard(pid)

    def _answer(self, listener: socket.socket, line: socket.socket) -> bool:
        """Whether it stands by after this question."""
        handed: list[int] = []
        try:
            if not same_user(line):
                return True
            line.settimeout(TYPED_TIME)
            asked, handed = _question(line)
            if asked == {"end": True} or sources_now() != self.sources:
                line.sendall(b"no\n")
                return False
            if asked.get("as") != self.as_started or len(handed) != 3:
                line.sendall(b"no\n")
                return True
            line.settimeout(None)
            self.setters.stand_up()
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", DeprecationWarning)  # the threads of BLAS know of forks
                pid = os.fork()
            if pid == 0:
                listener.close()
                self.setters.ask_them()
                _as_asked(line, asked, handed)
            self.answering.add(pid)
        except (OSError, ValueError, KeyError):
            return True
        finally:
            for number in handed:
                with contextlib.suppress(OSError):
                    os.close(number)
        return True


def _question(line: socket.socket) -> tuple[dict[str, Any], list[int]]:
    """What is asked, and the input and outputs that came with it. Raises ValueError, OSError."""
    head, handed, _, _ = socket.recv_fds(line, _LENGTH.size, 3)
    try:
        while len(head) < _LENGTH.size:
            head += line.recv(_LENGTH.size - len(head)) or _gone()
        (size,) = _LENGTH.unpack(head)
        if size > LARGEST_TYPED:
            raise ValueError("too long a question")
        body = bytearray()
        while len(body) < size:
            body += line.recv(size - len(body)) or _gone()
        asked = json.loads(body.decode("utf8", "surrogatepass"))
        if not isinstance(asked, dict):
            raise ValueError("no question")
    except BaseException:
        for number in handed:
            os.close(number)
        raise
    return asked, handed


def _gone() -> NoReturn:
    raise ValueError("the asker is gone")


def _as_asked(line: socket.socket, asked: dict[str, Any], handed: list[int]) -> NoReturn:
    """In the copy: take the asker's place, do the verb, say how it ended, and end."""
    code = 70
    try:
        os.umask(asked["umask"])
        os.environ.clear()
        os.environ.update(asked["settings"])
        time.tzset()
        for number, name in enumerate(handed):
            os.dup2(name, number)
            os.close(name)
        sys.stdin = io.TextIOWrapper(io.FileIO(0, closefd=False))
        sys.stdout = _out(1)
        sys.stderr = _out(2)
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGQUIT):
            signal.signal(number, signal.default_int_handler if number == signal.SIGINT else signal.SIG_DFL)
        os.chdir(asked["folder"])
        sys.argv, sys.path[:] = ["panelmend", *asked["words"]], asked["path"]
        line.sendall(f"pid {os.getpid()}\n".encode())
        code = _done(asked["words"])
    finally:
        for stream in (sys.stdout, sys.stderr):
            with contextlib.suppress(OSError, ValueError):
                stream.flush()
        with contextlib.suppress(OSError):
            line.sendall(f"code {code}\n".encode())
        os._exit(code)


def _done(words: list[str]) -> int:
    import traceback

    from panelmend.app.cli import main

    try:
        main(words, prog_name="panelmend")
    except SystemExit as ended:
        if ended.code is None or isinstance(ended.code, int):
            return ended.code or 0
        print(ended.code, file=sys.stderr)
        return 1
    except BaseException:
        traceback.print_exc()
        return 1
    return 0


def _out(number: int) -> io.TextIOWrapper:
    """An output as Python opens it when a process starts."""
    old = sys.__stdout__ if number == 1 else sys.__stderr__
    return io.TextIOWrapper(
        open(number, "wb", closefd=False),
        encoding=getattr(old, "encoding", None),
        errors="backslashreplace" if number == 2 else getattr(old, "errors", None),
        line_buffering=number == 2 or os.isatty(number),
    )


def ask_standing(place: str, what: str) -> str | None:
    """Ask a process that stands by to "end", or whether it is "there"; None where none answers."""
    with socket.socket(socket.AF_UNIX) as line:
        line.settimeout(TYPED_TIME)
        try:
            line.connect(place)
            body = json.dumps({what: True}).encode()
            line.sendall(_LENGTH.pack(len(body)) + body)
            return line.recv(16).decode("ascii", "replace")
        except OSError:
            return None


def main() -> None:
    """``python -m panelmend.app.stand_by MINUTES``: stand by, after a line that says so."""
    place = socket_place()
    if place is None:
        sys.exit("there is no place for its socket")
    gc.disable()
    sources, state = whole_read_in(read_in)
    standing = StandBy(place, 60.0 * float(sys.argv[1]), sources, state)
    try:
        listener = standing.listen()
    except OSError as error:
        sys.exit(str(error))
    gc.collect()
    gc.freeze()
    gc.enable()
    sys.stdout.buffer.write(READY)
    sys.stdout.flush()
    silence = os.open(os.devnull, os.O_RDWR)
    for number in (0, 1, 2):
        os.dup2(silence, number)
    standing.setters.stand_up()
    standing.serve(listener)


if __name__ == "__main__":
    main()
