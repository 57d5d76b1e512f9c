"""Generated walks by every route: the library, the command line, the web API with sessions, and several
drafts at once by a program of one's own that tries no secret. The route of each action is drawn.

Plans are begun and revised, and verdicts kept, by the library alone here: the others do that with a whole
plan or a real log, which the whole jobs of the examples and of the screen do.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from click.testing import CliRunner

from panelmend.app.cli import main
from panelmend.app.records_labels import LOT, code_of
from panelmend.records import book as room
from panelmend.records import events as e
from panelmend.records.book import NOW, Book, Shown, When, Who
from panelmend.records.canonical import moment, tidy_text
from panelmend.records.refusals import _BOOK, MALFORMED, Refused
from panelmend.records.state import State
from panelmend.records.store.log import Draft, Log, Taken
from records_made import CHEAP, E10, secret_of
from records_walk import Walk
from records_web import Web, typed

LIBRARY, LINE, WEB, BULK = "library", "command line", "web", "bulk"
Way = Callable[[], None]


class Ways(Book):
    """The book of a walk that chooses a route for each action."""

    def __init__(self, log: Log, walk: Routes) -> None:
        super().__init__(log, CHEAP)
        self.walk = walk
        self.bulk = False

    def act(
        self,
        who: Who,
        build: Callable[[State], e.Event],
        when: When = NOW,
        papers: Mapping[str, bytes] | None = None,
        secrets: Mapping[str, str] | None = None,
    ) -> Taken:
        """By the library with the secret tried, or in bulk with none: once, or twice in one transaction."""
        if not self.bulk:
            done = super().act(who, build, when, papers, secrets)
            self.walk.ways[LIBRARY] += 1
            return done
        many, before = 1 + self.walk.pick(2), self.state.number
        at = moment(when.at) if when.at else None

        def drafts(state: State, connection: object) -> list[Draft]:
            made = build(state)
            return [Draft(who.person, made, at, tidy_text(when.late)) for _ in range(many)]

        try:
            taken = self.log.append(drafts, papers, secrets)
        except Refused:
            assert self.state.number == before, "a part of what was refused was kept"
            self.walk.refused[BULK] += 1
            raise
        signed = [t for t in taken if getattr(t.entry.what, "signature", None) is not None]
        assert not signed, "a signature without a secret"
        self.walk.ways[BULK] += 1
        return taken[-1]

    def by(self, plain: Callable[[], Taken], line: Way | None, web: Way | None = None) -> Taken:
        """One action by a drawn route."""
        route = self.walk.route(line is not None, web is not None)
        if route is LINE and line is not None:
            line()
        elif route is WEB and web is not None:
            try:
                web()
            except Refused:
                self.walk.refused[WEB] += 1
                raise
            self.walk.ways[WEB] += 1
        else:
            self.bulk = route is BULK
            try:
                return plain()
            finally:
                self.bulk = False
        (number, before, hashed, text) = self.log.entries(self.state.number)[-1]
        return Taken(e.entry_of(number, before, text), hashed)

    def _line(self, who: Who, *words: str) -> Way:
        return lambda: self.walk.line(*words, by=who)

    def read(self, who: Who, job: str, step: str, readings: Sequence[e.Reading], when: When = NOW) -> Taken:
        """Fill in blanks."""
        answers = [f"{r.blank + 1}={_answer(r, self.state.zone)}" for r in readings]
        why = next(({"--why": r.why} for r in readings if r.why), {})
        return self.by(
            partial(super().read, who, job, step, readings, when),
            self._line(who, "job", "write", job, step, *answers, *(x for kv in why.items() for x in kv)),
            lambda: self.walk.web.read(who, job, step, list(readings)),
        )

    def sign(
        self,
        who: Who,
        job: str,
        step: str,
        meaning: e.Meaning,
        shown: Shown,
        why: str = "",
        when: When = NOW,
        strokes: str = "",
    ) -> Taken:
        """Sign; the command line and the screen show anew what is signed."""
        words = ("--why", why) if why else ()
        return self.by(
            partial(super().sign, who, job, step, meaning, shown, why, when, strokes),
            self._line(who, "job", "sign", job, step, str(meaning), *words),
            lambda: self.walk.web.sign(who, job, step, str(meaning), why),
        )

    def release(self, who: Who, job: str, shown: Shown, **fields: str) -> Taken:
        """The release entry."""
        said = {"--work": "description", "--completed": "completed"}
        said |= {"--certificate": "certificate_number", "--kind": "certificate_kind"}
        words = [x for option, name in said.items() for x in (option, fields[name])]
        return self.by(
            lambda: super(Ways, self).release(who, job, shown, **fields),
            self._line(who, "job", "release", job, *words),
            lambda: self.walk.web.release(who, job, E10, fields),
        )

    def raise_deviation(
        self,
        who: Who,
        job: str,
        step: str,
        deviation: str,
        covers: Sequence[str],
        words: str,
        when: When = NOW,
    ) -> Taken:
        """Raise a deviation; the command line counts blanks from 1."""
        items = [f"{x[0]}{int(x[1:]) + 1}" if x[1:] else x for x in covers]
        said = [x for item in items for x in ("--covers", item)]
        return self.by(
            partial(super().raise_deviation, who, job, step, deviation, covers, words, when),
            self._line(who, "job", "deviate", job, step, deviation, words, *said),
            lambda: self.walk.web.deviate(who, job, step, deviation, list(covers), words),
        )

    def decide(
        self,
        who: Who,
        job: str,
        deviation: str,
        decision: e.Decision,
        shown: Shown,
        *,
        ground: str,
        words: str,
        again_from: str | None = None,
        paper: bytes | None = None,
    ) -> Taken:
        """Decide a deviation."""
        again = ("--from", again_from) if again_from else ()
        plain: dict[str, Any] = {"ground": ground, "words": words, "again_from": again_from}
        sent = {"decision": str(decision), "ground": ground, "words": words}
        return self.by(
            lambda: super(Ways, self).decide(who, job, deviation, decision, shown, paper=paper, **plain),
            self._line(who, "job", "decide", job, deviation, str(decision), ground, words, *again),
            lambda: self.walk.web.decide(who, job, deviation, again_from, **sent),
        )

    def set_roles(self, who: Who, person: str, roles: Sequence[e.Role], why: str) -> Taken:
        """Other roles."""
        said = [x for r in roles for x in ("--role", str(r))]
        return self.by(
            partial(super().set_roles, who, person, roles, why),
            self._line(who, "person", "roles", person, why, *said),
            lambda: self.walk.web.roles(who, person, list(roles), why),
        )

    def authorise(self, who: Who, person: str, scope: e.Scope, until: str, paper: str) -> Taken:
        """An authorisation."""
        return self.by(
            partial(super().authorise, who, person, scope, until, paper),
            self._line(who, "person", "authorise", person, str(scope), until, paper),
            lambda: self.walk.web.authorise(who, person, str(scope), until, paper),
        )

    def receive(self, who: Who, when: When = NOW, **fields: Any) -> Taken:
        """A lot comes in."""
        words = [fields["lot"], fields["material"], fields["amount"], fields["unit"]]
        for name in ("batch", "certificate", "expires"):
            words += [f"--{name}", fields[name]]
        words += ["--out-life", f"{fields['out_life']} s"]
        words += ["--opened-life", f"{fields['opened_life']} s"] if fields.get("opened_life") else []
        words += ["--frozen"] if fields["frozen"] else []
        return self.by(
            lambda: super(Ways, self).receive(who, when, **fields), self._line(who, "lot", "receive", *words)
        )

    def move(self, who: Who, lot: str, frozen: bool, place: str, when: When = NOW) -> Taken:
        """Into the freezer or out."""
        to = "freezer" if frozen else "out"
        return self.by(
            partial(super().move, who, lot, frozen, place, when),
            self._line(who, "lot", "move", lot, to, place),
        )

    def open_lot(self, who: Who, lot: str, when: When = NOW) -> Taken:
        """Open a lot; with another's secret on the screen, try to come in."""
        wrong = who.secret != secret_of(who.person)
        return self.by(
            partial(super().open_lot, who, lot, when),
            self._line(who, "lot", "open", lot),
            (lambda: self.walk.web.wrong_secret(who)) if wrong else None,
        )

    def issue(self, who: Who, lot: str, job: str, step: str, amount: str, when: When = NOW) -> Taken:
        """Draw from a lot, by its number or the code of its label."""
        said = code_of(self.state, LOT, lot) if self.walk.pick(2) else lot
        return self.by(
            partial(super().issue, who, lot, job, step, amount, when),
            self._line(who, "lot", "issue", said, job, step, amount),
            lambda: self.walk.web.draw(who, said, job, step, amount),
        )

    def take_back(
        self, who: Who, lot: str, back: str, job: str, amount: str, frozen: bool = False, *a: Any, **k: Any
    ) -> Taken:
        """Take back."""
        cold = ("--frozen",) if frozen else ()
        return self.by(
            lambda: super(Ways, self).take_back(who, lot, back, job, amount, frozen, *a, **k),
            self._line(who, "lot", "return", lot, back, job, amount, *cold),
        )

    def scrap(self, who: Who, lot: str, amount: str, why: str, when: When = NOW) -> Taken:
        """Throw away."""
        return self.by(
            partial(super().scrap, who, lot, amount, why, when),
            self._line(who, "lot", "scrap", lot, amount, why),
        )

    def correct(self, who: Who, lot: str, amount: str, why: str, when: When = NOW) -> Taken:
        """Count."""
        return self.by(
            partial(super().correct, who, lot, amount, why, when),
            self._line(who, "lot", "correct", "--", lot, amount, why),
        )

    def report_retest(
        self, who: Who, lot: str, until: str, paper: bytes, ground: str, when: When = NOW
    ) -> Taken:
        """Report a re-test."""

        def line() -> None:
            with TemporaryDirectory() as folder:
                (Path(folder) / "paper").write_bytes(paper)
                self.walk.line("lot", "re-test", lot, until, str(Path(folder) / "paper"), ground, by=who)

        return self.by(partial(super().report_retest, who, lot, until, paper, ground, when), line)

    def take_retest(self, who: Who, lot: str, report: int, until: str) -> Taken:
        """Take a re-test on."""
        return self.by(
            partial(super().take_retest, who, lot, report, until),
            self._line(who, "lot", "take-on", lot, str(report), until),
        )


def _answer(reading: e.Reading, zone: str) -> str:
    said = typed(reading, zone)
    if reading.meets is None:
        return said
    return f"{said}; {reading.limit}; {'yes' if reading.meets else 'no'}"


class Routes(Walk):
    """A walk by every route."""

    def __init__(self, depth: int = 0) -> None:
        super().__init__(depth)
        self.ways: dict[str, int] = {LIBRARY: 0, LINE: 0, WEB: 0, BULK: 0}
        self.refused: dict[str, int] = {LINE: 0, WEB: 0, BULK: 0}
        self.shop.book = Ways(Log.open(self.shop.where, now=self.shop.time), self)
        self.web = Web(Book.open(self.shop.where, cost=CHEAP, now=self.shop.time), self.pick)

    def pick(self, count: int) -> int:
        """Of some things one, by the walk's number."""
        return self._pick(count)

    def route(self, line: bool, web: bool) -> str:
        """The route of the next action, of those that it has."""
        drawn = (LIBRARY, WEB, LINE, WEB, LINE, WEB, BULK, LIBRARY)[self._pick(8)]
        if (drawn is LINE and not line) or (drawn is WEB and not web):
            return LINE if line else LIBRARY
        return drawn

    def line(self, *words: str, by: Who) -> None:
        """Type a line. Raises Refused as the line does."""
        with TemporaryDirectory() as folder, pytest.MonkeyPatch.context() as patch:
            secret = Path(folder) / "secret"
            secret.write_text(by.secret + "\n", "utf8")
            before = ["records", "--in", self.shop.where, "--secret-file", str(secret)]
            verb, rest = list(words[:2]), list(words[2:])
            held = [*before, *verb, "--by", by.person, *rest]
            patch.setattr(room.Book, "open", partial(room.Book.open, cost=CHEAP, now=self.shop.time))
            done = CliRunner().invoke(main, held)
        if done.exit_code == 0:
            self.ways[LINE] += 1
            return
        assert done.exception is None or isinstance(done.exception, SystemExit), (held, done.exception)
        self.refused[LINE] += 1
        code = re.search(r"\bR\d{3}\b", done.output)
        raise (_BOOK.grounds[code[0]] if code else MALFORMED)(done.output[:80])
