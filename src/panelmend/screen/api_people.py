"""The people of the workshop: the keeper of accounts adds, authorises and removes, with a fresh secret each
time; the records decide and write it down."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Request
from pydantic import BaseModel, Field

from panelmend.records import events as e
from panelmend.records.book import Book, Who
from panelmend.records.canonical import moment
from panelmend.records.state import Person
from panelmend.screen.accounts import Accounts
from panelmend.screen.alone import RECORDS, alone
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api_card import PersonSent, Staff, book_of
from panelmend.screen.identity import acting

router = APIRouter(prefix="/api/people", responses=DOCUMENTED)
SOON = 30  # [days] before an authorisation ends it is said
Why = Annotated[str, Field(min_length=1, max_length=400)]


class AboutSent(PersonSent):
    """What the keeper of accounts does about a person: ``person`` and ``secret`` are the keeper's."""

    number: Staff


class WhySent(AboutSent):
    """The same with its reason, which stands in the records for good."""

    why: Why


class AddSent(AboutSent):
    """A new person."""

    name: Annotated[str, Field(min_length=1, max_length=200)]
    roles: Annotated[list[e.Role], Field(min_length=1, max_length=6)]


class RolesSent(WhySent):
    """Other roles."""

    roles: Annotated[list[e.Role], Field(max_length=6)]


class AuthoriseSent(AboutSent):
    """What a paper authorises, and until which day."""

    scope: e.Scope
    until: date
    paper: Why


class EndSent(WhySent):
    """An authorisation that ends before its day."""

    scope: e.Scope


class ScopeItem(BaseModel):
    """An authorisation and how it stands."""

    scope: e.Scope
    until: str = Field(description="the last day on which it is in force")
    stands: str = Field(description="in force, soon (30 days or less are left), or past")


class PersonItem(BaseModel):
    """A person who is there."""

    number: str
    name: str
    roles: list[e.Role]
    authorised: list[ScopeItem]
    secret: bool = Field(description="has set a secret")
    code_until: str = Field(description="until when a code to set one is good, UTC; empty for none")
    sessions: int = Field(description="signed in on so many devices; 0 on a screen for this machine alone")


class PeopleAnswer(BaseModel):
    """Who is there."""

    today: str
    people: list[PersonItem]
    gone: int = Field(description="how many were removed; what they did stays")


class CodeTold(BaseModel):
    """A code with which a person sets their secret: told once, kept nowhere."""

    number: str
    code: str
    until: str


@dataclass(frozen=True)
class _Keeper:
    book: Book
    who: Who


def _keeper(request: Request, sent: PersonSent) -> _Keeper:
    return _Keeper(book_of(request), Who(acting(sent.person), sent.secret))


def people_of(request: Request) -> PeopleAnswer:
    """Who is there, and until when each is authorised."""
    book, door = book_of(request), request.app.state.gate
    signed: Callable[[str], int] = door.count if isinstance(door, Accounts) else lambda person: 0
    with RECORDS:
        state = book.state
        today = state.day(max(state.latest, moment(book.log.now())))
        here = [_item(p, today, signed(p.id)) for p in state.people.values() if not p.removed]
        gone = sum(bool(p.removed) for p in state.people.values())
    return PeopleAnswer(today=today.isoformat(), people=here, gone=gone)


def stands(until: str, today: date) -> str:
    """How an authorisation stands on a day: it is in force on its last day too."""
    left = (date.fromisoformat(until) - today).days
    return "past" if left < 0 else "soon" if left <= SOON else "in_force"


def _item(person: Person, today: date, sessions: int) -> PersonItem:
    return PersonItem(
        number=person.id,
        name=person.name,
        roles=sorted(person.roles),
        authorised=[
            ScopeItem(scope=s, until=until, stands=stands(until, today))
            for s, until in sorted(person.authorised.items())
        ],
        secret=bool(person.secret),
        code_until=person.code_until if person.code else "",
        sessions=sessions,
    )


@router.get("", operation_id="people")
def people(request: Request) -> PeopleAnswer:
    """Who is there."""
    return people_of(request)


@router.post("/add", operation_id="add_person")
@alone
def add(request: Request, sent: AddSent) -> CodeTold:
    """Add a person; the code is told once."""
    by = _keeper(request, sent)
    return _told(by.book, sent.number, by.book.add_person(by.who, sent.number, sent.name, sent.roles))


@router.post("/code", operation_id="new_code")
@alone
def code(request: Request, sent: WhySent) -> CodeTold:
    """A new code for who lost their secret; the old secret is dead, and whoever had it is signed out."""
    by = _keeper(request, sent)
    return _told(by.book, sent.number, by.book.new_code(by.who, sent.number, sent.why))


@router.post("/roles", operation_id="set_roles")
@alone
def roles(request: Request, sent: RolesSent) -> PeopleAnswer:
    """Give a person other roles."""
    by = _keeper(request, sent)
    by.book.set_roles(by.who, sent.number, sent.roles, sent.why)
    return people_of(request)


@router.post("/remove", operation_id="remove_person")
@alone
def remove(request: Request, sent: WhySent) -> PeopleAnswer:
    """Remove a person, who is signed out; what they did stays."""
    by = _keeper(request, sent)
    by.book.remove_person(by.who, sent.number, sent.why)
    return people_of(request)


@router.post("/authorise", operation_id="authorise_person")
@alone
def authorise(request: Request, sent: AuthoriseSent) -> PeopleAnswer:
    """Enter what a person's paper authorises."""
    by = _keeper(request, sent)
    by.book.authorise(by.who, sent.number, sent.scope, sent.until.isoformat(), sent.paper)
    return people_of(request)


@router.post("/end-authorisation", operation_id="end_authorisation")
@alone
def end(request: Request, sent: EndSent) -> PeopleAnswer:
    """End an authorisation before its day."""
    by = _keeper(request, sent)
    by.book.end_authorisation(by.who, sent.number, sent.scope, sent.why)
    return people_of(request)


def _told(book: Book, number: str, made: str) -> CodeTold:
    with RECORDS:
        return CodeTold(number=number, code=made, until=book.state.people[number].code_until)
