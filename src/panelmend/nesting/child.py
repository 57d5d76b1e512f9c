"""Run one engine in a child process: read what it finds while it runs, and end it when its time is over."""

from __future__ import annotations

import json
import math
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from panelmend.errors import Cancelled
from panelmend.long_work import Stop
from panelmend.nesting.worker import MOST_STRETCH

WORKER = Path(__file__).with_name("worker.py")
START_TIME = 0.4
"""From starting the child to its first layout on a machine that is not busy [s]."""
_POLL = 0.05


@dataclass(frozen=True)
class ChildAnswer:
    """What a child said: ``rows`` and ``length`` of each layout in the order found, and notes.

    ``seconds`` by the clock; ``stretch`` how many of them one of the budget took where others were at work;
    ``late`` how long it took to begin [s].
    """

    layouts: tuple[dict[str, Any], ...]
    notes: tuple[str, ...]
    seconds: float
    stretch: float = 1.0
    late: float = 0.0

    @property
    def waited(self) -> float:
        """How much of its time it waited for others [s]."""
        return max(0.0, self.late - START_TIME) + (self.seconds - self.late) * (1.0 - 1.0 / self.stretch)


def run_child(
    request: dict[str, Any],
    seconds: float,
    *,
    cancel: Stop | None = None,
    over: Stop | None = None,
    told: Callable[[dict[str, Any]], None] | None = None,
) -> ChildAnswer:
    """Run the worker on one request.

    Args:
        request: what the worker reads.
        seconds: this long after its first word, times what it says of its stretch, it is ended [s]. It may
            take four times as long to begin.
        cancel: ends it at once when set.
        over: ends it at once when set; what it found until then counts.
        told: given each layout as it comes.

    Returns:
        What was found until then.

    Raises:
        Cancelled: ``cancel`` was set.
    """
    started = time.monotonic()
    child = subprocess.Popen(
        [sys.executable, "-P", str(WORKER)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf8",
        errors="replace",
    )
    lines: queue.Queue[str | None] = queue.Queue()
    errors: list[str] = []
    readers = [
        threading.Thread(target=_read_lines, args=(child.stdout, lines), daemon=True),
        threading.Thread(target=lambda: errors.append(child.stderr.read()), daemon=True),  # type: ignore[union-attr]
        threading.Thread(target=_send, args=(child.stdin, request), daemon=True),
    ]
    try:
        for reader in readers:
            reader.start()
        heard = _Heard(lines, seconds, started, told)
        done = heard.listen(cancel, over)
    finally:
        child.kill()
        child.wait()
        for reader in readers:
            reader.join(2.0)
        for stream in (child.stdin, child.stdout, child.stderr):
            _close(stream)
    elapsed = time.monotonic() - started
    if not done:
        allowed = heard.allowed()
        late = elapsed - heard.late >= allowed
        heard.notes.append(_ending(request["engine"], child.returncode, late, allowed, "".join(errors)))
    return ChildAnswer(tuple(heard.layouts), tuple(heard.notes), elapsed, heard.stretch, heard.late)


def _read_lines(stream: Any, lines: queue.Queue[str | None]) -> None:
    for line in stream:
        lines.put(line)
    lines.put(None)


def _send(stream: Any, request: dict[str, Any]) -> None:
    try:
        stream.write(json.dumps(request) + "\n")
        stream.flush()  # left open: its closing tells the child that this process is gone
    except OSError:
        return  # the child ended before reading; its ending is told as a note


def _close(stream: Any) -> None:
    try:
        stream.close()
    except OSError:
        return  # unsent input of a child that is gone


class _Heard:
    """What a child has said so far."""

    def __init__(
        self,
        lines: queue.Queue[str | None],
        seconds: float,
        started: float,
        told: Callable[[dict[str, Any]], None] | None,
    ) -> None:
        self.lines, self.seconds, self.started, self.told = lines, seconds, started, told
        self.layouts: list[dict[str, Any]] = []
        self.notes: list[str] = []
        self.stretch, self.late, self.begun = 1.0, 0.0, False

    def allowed(self) -> float:
        """How long the child has: to begin, or since it began [s]."""
        return self.seconds * (self.stretch if self.begun else MOST_STRETCH)

    def listen(self, cancel: Stop | None, over: Stop | None) -> bool:
        """Until it is done or not needed any more (true), has ended or is out of time. Raises Cancelled."""
        unread: int | None = None
        while True:
            if cancel is not None and cancel.is_set():
                raise Cancelled("the search for a layout was stopped")
            if over is not None and over.is_set():
                return True
            left = self.started + self.late + self.allowed() - time.monotonic()
            if left <= 0.0:  # what has come counts, even where this thread was late to look
                unread = self.lines.qsize() if unread is None else unread - 1
                if unread <= 0:
                    return False
            try:
                line = self.lines.get(timeout=min(_POLL, left)) if left > 0.0 else self.lines.get_nowait()
            except queue.Empty:
                if left <= 0.0:
                    return False
                continue
            if line is None:
                return False
            if not self.begun:
                self.begun, self.late = True, time.monotonic() - self.started
            try:
                said = json.loads(line)
            except ValueError:
                self.notes.append(f"the engine said something unreadable: {line.strip()[:80]}")
                continue
            if isinstance(said, dict) and self._take(said):
                return True

    def _take(self, said: dict[str, Any]) -> bool:
        if "note" in said:
            self.notes.append(str(said["note"]))
        stretch = said.get("stretch")
        if isinstance(stretch, int | float) and math.isfinite(stretch):
            self.stretch = min(max(float(stretch), 1.0), MOST_STRETCH)
        if "layout" in said:
            self.layouts.append(said)
            if self.told is not None:
                self.told(said)
        return bool(said.get("done"))


def _ending(engine: str, code: int, late: bool, seconds: float, errors: str) -> str:
    if late:
        return f"{engine} was ended after {seconds:.1f} s; its best layout so far counts"
    last = next((line for line in reversed(errors.strip().splitlines()) if line.strip()), "")
    return f"{engine} ended by itself (code {code}){': ' + last[:200] if last else ''}"
