"""Processes beside the one that stands by, which set its pages and remember what they set.

Of pages that were set before, the typesetting library sets again only what changed. A copy of a process takes
none of that memory back with it, and its threads don't live on in a copy; so pages are set in processes that
are never copied, one page after another, and always the same pages by the same process. What comes out is
the same wherever it is set: whoever gets no answer sets the page as ever. Each question says which state of
the program's files it comes from; a process that was started from another one gives no answer.
"""

from __future__ import annotations

import contextlib
import json
import os
import select
import socket
import struct
import subprocess
import sys
from collections import OrderedDict
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import Any

from panelmend.app.source_state import program_state
from panelmend.errors import OutputError
from panelmend.render import typesetting
from panelmend.render.typesetting import Sheets, compile_pdf, template
from panelmend.unwatched import unwatched

# Half of the work each; a process forgets what it did not set again within ten runs, and a pack has nine.
SHARES = (("card", "templates", "labels"), ("workings", "cure_plan", "strength"))
LARGEST_QUESTION = 64 * 2**20  # bytes of a question: the data of a card are a quarter of a megabyte
MOST_MEGABYTES = 500.0  # MB of memory from which a process begins afresh: after the packs of several repairs
LATELY = 12  # files kept as they were set
SETTING_TIME = 60.0  # s without a byte until a page is set by whoever asked
QUESTION_TIME = 2.0  # s a question may take to come
FETCH_TIME = 10.0  # s an answer may take to be fetched: one that stopped in the middle holds nobody else up
PDF = b"%PDF-"
_LENGTH = struct.Struct("<Q")
_BODY = 1 << 20


def place_of(standing: str, share: int) -> str:
    """Where the socket of the process for a share of the pages stands, beside the one that stands by."""
    return os.path.join(os.path.dirname(standing), f"pages-{share}")


class PageSetters:
    """The processes that set pages for one that stands by.

    Args:
        standing: where the socket of the one that stands by is.
        state: of the program's files, as :func:`panelmend.app.source_state.program_state` says it.
    """

    def __init__(self, standing: str, state: str) -> None:
        self._state = state
        self._places = [place_of(standing, i) for i in range(len(SHARES))]
        self._running: list[subprocess.Popen[bytes] | None] = [None for _ in SHARES]

    def stand_up(self) -> None:
        """Start those that do not run. They end by themselves as soon as this process is gone."""
        for i, place in enumerate(self._places):
            one = self._running[i]
            if one is not None and one.poll() is None:
                continue
            if one is not None and one.stdin is not None:
                one.stdin.close()
            self._running[i] = None
            with contextlib.suppress(OSError):  # no room for another process: pages are set without
                self._running[i] = subprocess.Popen(
                    [sys.executable, "-m", "panelmend.app.page_setters", place, self._state],
                    stdin=subprocess.PIPE,
                    stdout=subprocess.DEVNULL,
                    stderr=subprocess.DEVNULL,
                )

    def end(self) -> None:
        """End them, and wait until they are gone; one that hangs over its page is killed."""
        for one in filter(None, self._running):
            if one.stdin is not None:
                one.stdin.close()
            try:
                one.wait(SETTING_TIME)
            except subprocess.TimeoutExpired:
                one.kill()
                one.wait()

    def ask_them(self) -> None:
        """From now on pages of this process are set by them."""
        typesetting.set_elsewhere(self.asked)

    def asked(self, sheets: Sheets) -> bytes | None:
        """The pages as PDF, from the process whose share they are; None where it does not answer."""
        share = next((i for i, names in enumerate(SHARES) if sheets.template in names), None)
        if share is None:
            return None
        dated = None if sheets.dated is None else sheets.dated.isoformat()
        try:
            asked = json.dumps([self._state, sheets.template, dated, typesetting.data_text(sheets.data)])
        except (TypeError, ValueError):
            return None
        body = asked.encode("ascii")
        # whoever follows what a verb reads need not follow this: the pages are the same wherever they are set
        with unwatched(), socket.socket(socket.AF_UNIX) as line:
            try:
                line.settimeout(SETTING_TIME)
                line.connect(self._places[share])
                line.sendall(_LENGTH.pack(len(body)) + body)
                made = _received(line)
                return made if made.startswith(PDF) else None
            except (OSError, ValueError):  # none runs, it ended in between, or it hangs
                return None


def same_user(line: socket.socket) -> bool:
    """Whether the other end is a process of this user; where the system cannot tell, the folder decides."""
    known = getattr(socket, "SO_PEERCRED", None)
    if known is None:
        return True
    _, user, _ = struct.unpack("3i", line.getsockopt(socket.SOL_SOCKET, known, struct.calcsize("3i")))
    return bool(user == os.getuid())


def _received(line: socket.socket) -> bytes:
    """One message. Raises ValueError where it is cut off or too long, OSError where the line breaks."""
    (size,) = _LENGTH.unpack(_exactly(line, _LENGTH.size))
    if size > LARGEST_QUESTION:
        raise ValueError("too long a message")
    return _exactly(line, size)


def _exactly(line: socket.socket, size: int) -> bytes:
    got = bytearray()
    while len(got) < size:
        more = line.recv(min(_BODY, size - len(got)))
        if not more:
            raise ValueError("the other end is gone")
        got += more
    return bytes(got)


def _answer(line: socket.socket, lately: OrderedDict[bytes, bytes], state: str) -> None:
    """Set the pages that are asked for and send them; nothing is sent where they cannot be set.

    What was set ``lately`` is sent again: a run that finds all as it was would make the library forget the
    parts, which it did not have to look at.
    """
    made = b""
    with contextlib.suppress(OSError, ValueError, TypeError, OutputError, RecursionError):
        if same_user(line):
            line.settimeout(QUESTION_TIME)
            asked = _received(line)
            line.settimeout(None)
            key = sha256(asked).digest()
            made = lately.pop(key, b"") or _set(asked, state)
            lately[key] = made
            if len(lately) > LATELY:
                lately.popitem(last=False)
    with contextlib.suppress(OSError):
        line.settimeout(FETCH_TIME)
        line.sendall(_LENGTH.pack(len(made)) + made)


def _set(asked: bytes, state: str) -> bytes:
    of, name, dated, text = json.loads(asked.decode("ascii"))
    if of != state or not any(name in names for names in SHARES):
        return b""
    day = None if dated is None else date.fromisoformat(dated)
    return compile_pdf(template(name), json.loads(text), dated=day)


def _memory() -> float:
    """What this process has in memory now [MB]; 0 where the system does not say."""
    try:
        pages = int(Path("/proc/self/statm").read_text("ascii").split()[1])
    except (OSError, ValueError, IndexError):
        return 0.0
    return pages * os.sysconf("SC_PAGE_SIZE") / 2**20


def serve(place: str, until: Any, state: str) -> bool:
    """Set pages for whoever asks at ``place``, until ``until`` (a file) is closed by its other end,
    for those who run the same ``state`` of the program's files.

    Returns:
        Whether it ended because it has too much in memory.
    """
    with contextlib.suppress(FileNotFoundError):
        os.unlink(place)
    with socket.socket(socket.AF_UNIX) as listener:
        before = os.umask(0o077)
        try:
            listener.bind(place)
        finally:
            os.umask(before)
        mine = os.stat(place).st_ino
        listener.listen(16)
        lately, ended = OrderedDict[bytes, bytes](), False
        while _memory() < MOST_MEGABYTES:
            ready, _, _ = select.select([listener, until], [], [])
            if until in ready:
                ended = True
                break
            line, _ = listener.accept()
            with line:
                _answer(line, lately, state)
        with contextlib.suppress(OSError):
            if os.stat(place).st_ino == mine:  # not another's that came after
                os.unlink(place)
    return not ended


def main() -> None:
    """``python -m panelmend.app.page_setters PLACE STATE``: set pages until the standard input is closed.

    It has read its code and every template before it looks whether they are still those of ``STATE``.
    """
    place, state = sys.argv[1:3]
    typesetting.remember_all()
    typesetting.read_templates()
    if program_state() != state:
        return
    if serve(
        place, sys.stdin.buffer, state
    ):  # the library gives no memory back: it begins anew, in its place
        os.execv(sys.executable, [sys.executable, "-m", "panelmend.app.page_setters", *sys.argv[1:]])


if __name__ == "__main__":
    main()
