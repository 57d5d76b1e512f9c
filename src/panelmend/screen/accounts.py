"""Who is signed in on a screen that other machines reach: people of the records, by the secret they set.

A session belongs to one person and one browser. It ends when nobody uses it, in any case after a working
day, when the person signs out, and when the keeper of accounts removes them or gives them a new code. It is
kept in memory alone: after a new start everybody signs in again. What is typed stays on the device meanwhile.
"""

from __future__ import annotations

import re
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from panelmend.errors import PanelmendError
from panelmend.records.book import Book, Who
from panelmend.records.refusals import NOBODY, WRONG_SECRET, Refused
from panelmend.screen.alone import RECORDS
from panelmend.screen.gate import TOKEN, digest
from panelmend.screen.identity import SignedPerson

IDLE = 30 * 60.0  # [s] without a request that a person makes
LONGEST = 12 * 3600.0  # [s] from signing in
MOST, MOST_EACH = 200, 8  # sessions at a time, and of one person
TRIES, ALL_TRIES, EVERY = 10, 60, 60.0  # secrets from one address, and from all, in so many seconds
ASKED_AGAIN = 2.0  # [s] for which a reading believes that a person is still there; a write asks each time
POLLED = re.compile(r"/api/repairs/[^/]+/(pulse|errands/[^/]+)")  # what pages ask by themselves
WATCHED = re.compile(r"/api/repairs/[^/]+/cures/\d+/watch")


class SignInRefused(PanelmendError):
    """The staff number or the secret is wrong; it is not said which."""


class TooOften(PanelmendError):
    """Too many secrets were tried from there, or from everywhere."""


@dataclass
class _In:
    who: SignedPerson
    mark: str  # digest of what the records keep of the secret it was opened with
    begun: float
    last: float
    asked: float


@dataclass
class Accounts:
    """The door of a screen that other machines reach."""

    book: Callable[[], Book | None]
    clock: Callable[[], float] = time.monotonic
    _in: dict[str, _In] = field(default_factory=dict)
    _tries: list[tuple[float, str]] = field(default_factory=list)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def sign_in(self, who: Who, address: str, before: str = "") -> tuple[str, SignedPerson]:
        """The token of a new session, and whose it is; the session ``before`` ends.

        Raises:
            TooOften: too many tries.
            SignInRefused: wrong.
            Refused: the records take no secret of this person for a while.
        """
        self.may_try(address)
        book = self._book()
        try:
            with RECORDS:
                person = book.tried(who)
                signed, mark = SignedPerson(person.id, person.name), person.secret
        except Refused as error:
            if error.code == NOBODY.code:
                book.hashes.make(who.secret)  # it takes as long as a wrong secret does
            if error.code in (NOBODY.code, WRONG_SECRET.code):
                raise SignInRefused("staff number or secret is wrong") from None
            raise
        token, now = secrets.token_urlsafe(TOKEN), self.clock()
        with self._lock:
            self._in.pop(digest(before), None)
            self._in = {d: s for d, s in self._in.items() if now - s.begun <= LONGEST}
            theirs = [d for d, s in self._in.items() if s.who.person == signed.person]
            self._make_room(theirs, MOST_EACH)
            self._make_room(list(self._in), MOST)
            self._in[digest(token)] = _In(signed, mark, now, now, now)
        return token, signed

    def may_try(self, address: str) -> None:
        """Count a try of a secret or code. Raises TooOften."""
        now = self.clock()
        with self._lock:
            self._tries = [t for t in self._tries if now - t[0] < EVERY]
            of_this = sum(a == address for _, a in self._tries)
            if of_this >= TRIES or len(self._tries) >= ALL_TRIES:
                raise TooOften("too many secrets were tried: wait a minute")
            self._tries.append((now, address))

    def still(self, token: str, method: str, path: str) -> SignedPerson | None:
        """Who makes a request; None where nobody is signed in any more.

        A cure is watched on, for as long as a session lasts at most, when nobody touches the device. Nothing
        else is shown then.
        """
        now, writes = self.clock(), method not in ("GET", "HEAD")
        watched = not writes and WATCHED.fullmatch(path) is not None
        with self._lock:
            found = self._in.get(digest(token)) if token else None
            if found is None or now - found.begun > LONGEST:
                return None
            if now - found.last > IDLE and not watched:
                return None
            ask = writes or now - found.asked > ASKED_AGAIN
        if ask and not self._there(found):
            self.leave(token)
            return None
        with self._lock:
            if ask:
                found.asked = now
            if writes or not (watched or POLLED.fullmatch(path)):
                found.last = now
        return found.who

    def leave(self, token: str) -> None:
        """End a session."""
        with self._lock:
            self._in.pop(digest(token), None)

    def leave_all(self, person: str) -> None:
        """End every session of a person."""
        with self._lock:
            self._in = {d: s for d, s in self._in.items() if s.who.person != person}

    def count(self, person: str) -> int:
        """How many sessions a person has."""
        with self._lock:
            return sum(s.who.person == person for s in self._in.values())

    def enter(self, key: str) -> str | None:
        """No key opens this door."""
        return None

    def _there(self, found: _In) -> bool:
        book = self._book()
        with RECORDS:
            person = book.state.people.get(found.who.person)
            return person is not None and not person.removed and person.secret == found.mark

    def _make_room(self, among: list[str], most: int) -> None:
        for old in sorted(among, key=lambda d: self._in[d].last)[: max(0, len(among) - most + 1)]:
            del self._in[old]

    def _book(self) -> Book:
        found = self.book()
        if found is None:
            raise SignInRefused("there are no records with people in them")
        return found
