"""Who may come in: the keys of a start, and the sessions they open.

The address that a start opens in the browser carries a key that is good once and for a minute, because other
users of the machine can see it among the running programs. The one printed on the terminal is good for as
long as the program runs. Either opens a session; what the browser keeps is a random token in a cookie that
scripts cannot read and other pages cannot send, and what the server keeps is its digest.
"""

from __future__ import annotations

import hashlib
import json
import os
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

ONCE = 60.0  # [s] life of the key that the browser is opened with
IDLE = 12 * 3600.0  # [s] a session that nobody uses ends
LONGEST = 7 * 86400.0  # [s] and every session ends
MOST = 64  # sessions at a time
WRONG = 10  # wrong keys in a minute
TOKEN = 32  # [bytes] of a token or key


def digest(token: str) -> str:
    """What is kept of a token."""
    return hashlib.sha256(token.encode("utf8")).hexdigest()


@dataclass
class Session:
    """A browser that came in: when first and when last [s of the clock]."""

    begun: float
    last: float


@dataclass
class Gate:
    """Keys and sessions of one running screen; sessions outlive a killed server in a file of the user's."""

    kept: Path | None = None
    clock: Callable[[], float] = time.time
    printed: str = field(default_factory=lambda: secrets.token_urlsafe(TOKEN))
    _once: dict[str, float] = field(default_factory=dict)
    _sessions: dict[str, Session] = field(default_factory=dict)
    _wrong: list[float] = field(default_factory=list)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def __post_init__(self) -> None:
        self._read()

    def key_for_the_browser(self) -> str:
        """A new key that is good once."""
        key = secrets.token_urlsafe(TOKEN)
        with self._lock:
            self._once[digest(key)] = self.clock() + ONCE
        return key

    def enter(self, key: str) -> str | None:
        """The token of a new session; None for a key that is wrong, used or old."""
        now = self.clock()
        with self._lock:
            self._wrong = [t for t in self._wrong if now - t < 60.0]
            if len(self._wrong) >= WRONG:
                return None
            until = self._once.pop(digest(key), None)
            right = secrets.compare_digest(key.encode("utf8"), self.printed.encode("utf8"))
            if not right and (until is None or until < now):
                self._wrong.append(now)
                return None
            token = secrets.token_urlsafe(TOKEN)
            self._sweep(now)
            while len(self._sessions) >= MOST:
                del self._sessions[min(self._sessions, key=lambda d: self._sessions[d].last)]
            self._sessions[digest(token)] = Session(now, now)
            self._write()
            return token

    def knows(self, token: str) -> bool:
        """Whether a token is of a session that still runs; it runs on from now."""
        now = self.clock()
        with self._lock:
            session = self._sessions.get(digest(token))
            if session is None or now - session.last > IDLE or now - session.begun > LONGEST:
                return False
            if now - session.last > 60.0:
                session.last = now
                self._write()
            return True

    def leave(self, token: str) -> None:
        """End a session."""
        with self._lock:
            self._sessions.pop(digest(token), None)
            self._write()

    def _sweep(self, now: float) -> None:
        self._sessions = {
            d: s for d, s in self._sessions.items() if now - s.last <= IDLE and now - s.begun <= LONGEST
        }

    def _read(self) -> None:
        if self.kept is None:
            return
        try:
            rows = json.loads(self.kept.read_text("utf8"))
            self._sessions = {str(d): Session(float(b), float(e)) for d, (b, e) in rows.items()}
        except (OSError, ValueError, TypeError, AttributeError):
            self._sessions = {}
        self._sweep(self.clock())

    def _write(self) -> None:
        """Keep the sessions where only this user reads; a screen that cannot keep them runs on without."""
        if self.kept is None:
            return
        rows = {d: [s.begun, s.last] for d, s in self._sessions.items()}
        part = self.kept.with_suffix(".part")
        try:
            handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
            with os.fdopen(handle, "w", encoding="utf8") as file:
                json.dump(rows, file)
            os.replace(part, self.kept)
        except OSError:
            return
