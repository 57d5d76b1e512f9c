"""The web API as a route of generated walks: the screen that other machines reach, its application in this
process, a session for each person who acts.

One application serves one walk after another, as the records of the walk that is on. Every write is tried at
times without a session, or by another person's, and must be refused and written nowhere.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import datetime
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from zoneinfo import ZoneInfo

from panelmend.records import events as e
from panelmend.records.book import Book, Who
from panelmend.records.refusals import _BOOK, RefusalGround, Refused
from panelmend.records.state import Job
from panelmend.screen.accounts import LONGEST, Accounts
from panelmend.screen.application import application
from panelmend.screen.site import Site
from panelmend.screen.workshop import Workshop
from records_made import quick_folder
from screen_made import Answer, Desk, Ticks

DOOR = RefusalGround("WEB", "refused before the records were asked", "")
"""Not one of the records' own: a role, a form or a session."""


class Room(Workshop):
    """A workshop whose records are those of the walk that is on; its plan is that of no card."""

    records: Book | None = None

    @property
    def book(self) -> Book | None:
        """The records of the walk."""
        return self.records

    def job_of(self, name: str) -> tuple[Book, Job] | None:
        """The job of a number."""
        found = self.records.state.jobs.get(name) if self.records is not None else None
        return None if found is None or self.records is None else (self.records, found)

    def open(self, name: str) -> Any:
        """A repair with a plan that is not the job's: its words are not on the page."""
        plan = SimpleNamespace(case=SimpleNamespace(view="mm", digest="0" * 64), digest="none")
        return SimpleNamespace(
            last=SimpleNamespace(plan=plan), made=SimpleNamespace(plan=plan), file=Path("job.toml")
        )


@cache
def served() -> tuple[Desk, Ticks]:
    """The one application, and the clock of its sessions and rates."""
    workshop, clock = Room(quick_folder()), Ticks()
    site = Site(8443, ("192.0.2.10",), secure=True)
    app = application(workshop, Accounts(lambda: workshop.book, clock), site)
    app.clock = clock
    return Desk(app, workshop, site=site, address="192.0.2.20"), clock


class Web:
    """The screen of one walk: a session for each person who acts, and what came of it."""

    def __init__(self, book: Book, pick: Callable[[int], int]) -> None:
        self.book, self.pick = book, pick
        self.desk, self.clock = served()
        self.clock.now += LONGEST + 1  # nobody is signed in from the walk before
        assert isinstance(self.desk.workshop, Room)
        self.desk.workshop.records = book
        self.tokens: dict[str, str] = {}
        self.turned_away: Counter[str] = Counter()

    def read(self, who: Who, job: str, step: str, readings: list[e.Reading]) -> None:
        """Write each blank."""
        for r in readings:
            sent = {"blank": r.blank + 1, "typed": typed(r, self.book.state.zone), "limit": r.limit or ""}
            sent |= {"meets": r.meets, "why": r.why, "person": who.person}
            self._written(who, f"{self._step(job, step)}/reading", sent)

    def sign(self, who: Who, job: str, step: str, meaning: str, why: str) -> None:
        """Look, then sign."""
        shown = self._shown(who, f"{self._step(job, step)}/shown")
        self._signed(who, f"{self._step(job, step)}/sign", {"meaning": meaning, "why": why, **shown})

    def release(self, who: Who, job: str, step: str, fields: dict[str, str]) -> None:
        """Look, then make the release entry."""
        shown = self._shown(who, f"{self._step(job, step)}/shown?release=true")
        self._signed(who, f"{self._step(job, step)}/release", {**fields, **shown})

    def draw(self, who: Who, lot: str, job: str, step: str, amount: str) -> None:
        """Draw from a lot."""
        held = self.book.state.jobs.get(job)
        drawn = len(held.now(step).issued) if held is not None else 0
        self._signed(who, f"{self._step(job, step)}/draw", {"lot": lot, "amount": amount, "drawn": drawn})

    def deviate(self, who: Who, job: str, step: str, name: str, covers: list[str], words: str) -> None:
        """Raise a deviation."""
        sent = {"deviation": name, "covers": covers, "words": words, "person": who.person}
        self._written(who, f"{self._step(job, step)}/deviation", sent)

    def decide(self, who: Who, job: str, name: str, again: str | None, **sent: str) -> None:
        """Look, then decide a deviation."""
        at = f"/api/repairs/{job}/deviations/{name}"
        held = self.book.state.jobs[job]
        step = held.steps[again].number if again in held.steps else None
        self._signed(who, f"{at}/decide", {"again_from": step, **sent, **self._shown(who, at)})

    def roles(self, who: Who, person: str, roles: list[e.Role], why: str) -> None:
        """Give other roles."""
        sent = {"number": person, "roles": [str(r) for r in roles], "why": why}
        self._signed(who, "/api/people/roles", sent)

    def authorise(self, who: Who, person: str, scope: str, until: str, paper: str) -> None:
        """Enter what a paper authorises."""
        sent = {"number": person, "scope": str(scope), "until": until, "paper": paper}
        self._signed(who, "/api/people/authorise", sent)

    def wrong_secret(self, who: Who) -> None:
        """Sign in with another secret: refused, and told in the log."""
        before = self.book.state.number
        answer = self._sign_in(who)
        assert answer.status in (401, 429), answer.body
        assert answer.status == 429 or self.book.state.number == before + 1, "a wrong secret is not told"
        raise _refused(answer)

    # --- sessions

    def _step(self, job: str, step: str) -> str:
        held = self.book.state.jobs.get(job)
        return f"/api/repairs/{job}/steps/{held.steps[step].number if held is not None else 1}"

    def _signed(self, who: Who, path: str, sent: dict[str, Any]) -> None:
        self._written(who, path, {**sent, "person": who.person, "secret": who.secret})

    def _written(self, who: Who, path: str, sent: dict[str, Any]) -> None:
        """A write by its person's session; first, at times, by nobody's or by another's."""
        before, how = self.book.state.number, self.pick(8)
        others = [p for p in self.tokens if p != who.person]
        if how == 7 or (how == 6 and others):
            token = self.tokens[others[self.pick(len(others))]] if how == 6 else ""
            answer = self._as(token, "POST", path, sent)
            assert answer.status >= 400, f"{path}: taken from {'another' if how == 6 else 'nobody'}"
            assert self.book.state.number == before, f"{path}: written by another's session"
            self.turned_away["another" if how == 6 else "nobody"] += 1
        answer = self._theirs(who, "POST", path, sent)
        if answer.status != 200:
            raise _refused(answer)

    def _shown(self, who: Who, path: str) -> dict[str, str]:
        answer = self._theirs(who, "GET", path)
        if answer.status != 200:
            raise _refused(answer)
        return {k: answer.json[k] for k in ("content", "ticket")}

    def _as(self, token: str, method: str, path: str, sent: Any = None) -> Answer:
        self.clock.now += 1.0
        desk = Desk(self.desk.app, self.desk.workshop, token, site=self.desk.site, address=self.desk.address)
        answer = desk.ask(method, path, sent)
        assert answer.status < 500, (path, answer.body, answer.raised)
        return answer

    def _theirs(self, who: Who, method: str, path: str, sent: Any = None) -> Answer:
        """By their own session; they sign in where they have none that still holds."""
        answer = self._as(self._token(who), method, path, sent)
        if answer.status == 401 and answer.json["type"] in ("panelmend:session", "panelmend:holder"):
            del self.tokens[who.person]
            answer = self._as(self._token(who), method, path, sent)
        return answer

    def _token(self, who: Who) -> str:
        if who.person not in self.tokens:
            answer = self._sign_in(who)
            if answer.status != 200:
                raise _refused(answer)
            self.tokens[who.person] = answer.headers["set-cookie"].split(";")[0].partition("=")[2]
        return self.tokens[who.person]

    def _sign_in(self, who: Who) -> Answer:
        self.clock.now += 10.0  # the tries of one address are few a minute
        return self._as("", "POST", "/api/sign-in", {"person": who.person, "secret": who.secret})


def typed(reading: e.Reading, zone: str) -> str:
    """A reading as it is typed on the screen."""
    if reading.at is not None:
        at = datetime.fromisoformat(reading.at).astimezone(ZoneInfo(zone))
        return at.strftime("%Y-%m-%d %H:%M:%S")
    if reading.yes is not None:
        return "yes" if reading.yes else "no"
    return reading.value if reading.value is not None else reading.typed


def _refused(answer: Answer) -> Refused:
    told = answer.json
    kind = str(told["type"]).removeprefix("panelmend:")
    ground = _BOOK.grounds.get(kind, DOOR)
    return ground(f"{kind} {told['title']}"[:100])
