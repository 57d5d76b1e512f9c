"""Generated walks by every route: the library, the command line, and several drafts at once by a program of
one's own that tries no secret."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path

import pytest
from click.testing import CliRunner

from panelmend.app.cli import main
from panelmend.records import book as room
from panelmend.records import events as e
from panelmend.records.book import NOW, Book, When, Who
from panelmend.records.canonical import moment, tidy
from panelmend.records.refusals import _BOOK, MALFORMED, Refused
from panelmend.records.state import State
from panelmend.records.store.log import Draft, Log, Taken
from records_made import CHEAP, JOB, Shop, Time
from records_walk import Walk

LIBRARY, LINE, BULK = "library", "command line", "bulk"


class Ways(Book):
    """The book of a walk that chooses a route for each action."""

    def __init__(self, log: Log, walk: Routes) -> None:
        super().__init__(log, CHEAP)
        self.walk = walk

    def act(
        self,
        who: Who,
        build: Callable[[State], e.Event],
        when: When = NOW,
        papers: Mapping[str, bytes] | None = None,
        secrets: Mapping[str, str] | None = None,
    ) -> Taken:
        """By the library with the secret tried, or in bulk with none: once, or twice in one transaction."""
        if self.walk.route() is not BULK:
            done = super().act(who, build, when, papers, secrets)
            self.walk.ways[LIBRARY] += 1
            return done
        many, before = 1 + self.walk.pick(2), self.state.number
        at = moment(when.at) if when.at else None

        def drafts(state: State, connection: object) -> list[Draft]:
            made = build(state)
            return [Draft(who.person, made, at, tidy(when.late)) for _ in range(many)]

        try:
            taken = self.log.append(drafts, papers, secrets)
        except Refused:
            assert self.state.number == before, "a part of what was refused was kept"
            raise
        signed = [t for t in taken if getattr(t.entry.what, "signature", None) is not None]
        assert not signed, "a signature without a secret"
        self.walk.ways[BULK] += 1
        return taken[-1]

    def _last(self) -> Taken:
        (number, before, hashed, text) = self.log.entries(self.state.number)[-1]
        return Taken(e.entry_of(number, before, text), hashed)

    def issue(self, who: Who, lot: str, job: str, step: str, amount: str, when: When = NOW) -> Taken:
        """Draw from a lot."""
        if self.walk.line("lot", "issue", lot, job, step, amount, by=who):
            return self._last()
        return super().issue(who, lot, job, step, amount, when)

    def scrap(self, who: Who, lot: str, amount: str, why: str, when: When = NOW) -> Taken:
        """Throw away."""
        if self.walk.line("lot", "scrap", lot, amount, why, by=who):
            return self._last()
        return super().scrap(who, lot, amount, why, when)

    def open_lot(self, who: Who, lot: str, when: When = NOW) -> Taken:
        """Open a lot."""
        if self.walk.line("lot", "open", lot, by=who):
            return self._last()
        return super().open_lot(who, lot, when)


class Desk(Shop):
    """The shop of a walk by every route."""

    def __init__(self, where: str, time: Time, walk: Routes) -> None:
        super().__init__(where, time)
        self.walk = walk
        self.book = Ways(Log.open(where, now=time), walk)

    def sign(self, step: str, meaning: str, by: str, why: str = "", job: str = JOB, when: When = NOW) -> None:
        """Look, then sign."""
        words = ("--why", why) if why else ()
        if not self.walk.line("job", "sign", job, step, str(meaning), *words, by=by):
            super().sign(step, meaning, by, why, job, when)

    def release(self, by: str = "I1", job: str = JOB, **over: str) -> None:
        """The release entry."""
        work = ("--work", "as the book says", "--certificate", "X-0001", "--kind", "repairman")
        day = ("--completed", self.state.day(self.state.latest).isoformat())
        if not self.walk.line("job", "release", job, *work, *day, by=by):
            super().release(by, job, **over)


class Routes(Walk):
    """A walk by every route."""

    def __init__(self) -> None:
        super().__init__()
        self.ways: dict[str, int] = {LIBRARY: 0, LINE: 0, BULK: 0}
        self.refused: dict[str, int] = {LINE: 0}
        self.now = LIBRARY
        self.shop = Desk(self.shop.where, self.shop.time, self)

    def pick(self, count: int) -> int:
        """Of some things one, by the walk's number."""
        return self._pick(count)

    def route(self) -> str:
        """The route of the next action that is not typed."""
        return (LIBRARY, LIBRARY, LIBRARY, BULK)[self._pick(4)]

    def line(self, *words: str, by: Who | str) -> bool:
        """Type a line in one of three times; whether it was typed. Raises Refused as the line does."""
        if self._pick(3):
            return False
        who = by if isinstance(by, Who) else Who(by, f"{by} has a long secret")
        secret = Path(self.shop.where).with_name("secret")
        secret.write_text(who.secret + "\n", "utf8")
        held = ["records", "--in", self.shop.where, "--secret-file", str(secret), *words, "--by", who.person]
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(room.Book, "open", partial(room.Book.open, cost=CHEAP, now=self.shop.time))
            done = CliRunner().invoke(main, held)
        secret.unlink()
        if done.exit_code == 0:
            self.ways[LINE] += 1
            return True
        assert done.exception is None or isinstance(done.exception, SystemExit), (held, done.exception)
        self.refused[LINE] += 1
        code = re.search(r"\bR\d{3}\b", done.output)
        raise (_BOOK.grounds[code[0]] if code else MALFORMED)(done.output[:80])
