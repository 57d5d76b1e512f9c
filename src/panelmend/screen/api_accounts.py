"""Signing in and out on a screen that other machines reach."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Request, Response
from pydantic import BaseModel, Field

from panelmend.errors import MissingError
from panelmend.records.book import Who
from panelmend.records.refusals import CODE_USED, NOBODY, Refused
from panelmend.screen.accounts import LONGEST, Accounts, SignInRefused
from panelmend.screen.alone import RECORDS
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Sent
from panelmend.screen.guard import TOKEN
from panelmend.screen.identity import SignedPerson

router = APIRouter(prefix="/api", responses=DOCUMENTED)


class SignInSent(Sent):
    """A person with their secret."""

    person: Annotated[str, Field(min_length=1, max_length=80)]
    secret: Annotated[str, Field(min_length=1, max_length=200)]


class SignOutSent(Sent):
    """From this device, or from every device."""

    everywhere: bool = False


class EnrolSent(Sent):
    """A person sets their secret with the code that the keeper of accounts gave them."""

    person: Annotated[str, Field(min_length=1, max_length=80)]
    code: Annotated[str, Field(min_length=1, max_length=80)]
    secret: Annotated[str, Field(min_length=1, max_length=200)]


class SignedAnswer(BaseModel):
    """Who is signed in; "" for nobody."""

    person: str
    name: str


def accounts_of(request: Request) -> Accounts:
    """The accounts of a screen that other machines reach. Raises MissingError on this machine alone."""
    found = request.app.state.gate
    if not isinstance(found, Accounts):
        raise MissingError("nobody signs in on a screen for this machine alone")
    return found


def address_of(request: Request) -> str:
    """The machine a request comes from."""
    return request.client.host if request.client is not None else ""


def sign_in_as(request: Request, response: Response, who: Who) -> SignedPerson:
    """Sign a person in: a new session with a new token, whatever the browser sent; they hold the device."""
    accounts, holding = accounts_of(request), request.app.state.holding
    before = request.scope[TOKEN]
    token, signed = accounts.sign_in(who, address_of(request), before)
    holding.put_down(before)
    holding.take(token, who, signed.name)
    response.set_cookie(
        request.app.state.site.cookie, token, max_age=int(LONGEST), path="/", secure=True, httponly=True,
        samesite="strict",
    )  # fmt: skip
    return signed


@router.post("/sign-in", operation_id="sign_in")
def sign_in(request: Request, response: Response, sent: SignInSent) -> SignedAnswer:
    """Sign in with staff number and secret of the records."""
    signed = sign_in_as(request, response, Who(sent.person, sent.secret))
    return SignedAnswer(person=signed.person, name=signed.name)


@router.post("/enrol", operation_id="enrol")
def enrol(request: Request, sent: EnrolSent) -> SignedAnswer:
    """Set a secret with a code; then one signs in with it. A wrong code counts as a wrong secret."""
    book, accounts = request.app.state.workshop.book, request.app.state.gate
    if isinstance(accounts, Accounts):
        accounts.may_try(address_of(request))
    if book is None:
        raise MissingError("there are no records with people in them")
    try:
        with RECORDS:
            book.enrol(sent.person, sent.code, sent.secret)
    except Refused as error:
        if error.code in (NOBODY.code, CODE_USED.code):
            raise SignInRefused("staff number or code is wrong, used or too old") from None
        raise
    return SignedAnswer(person="", name="")


@router.post("/sign-out", operation_id="sign_out")
def sign_out(request: Request, response: Response, sent: SignOutSent) -> SignedAnswer:
    """Sign out; what was typed and not yet sent stays on the device for who typed it."""
    accounts, token = accounts_of(request), request.scope[TOKEN]
    signed = accounts.still(token, "POST", request.url.path)
    request.app.state.holding.put_down(token)
    accounts.leave(token)
    if sent.everywhere and signed is not None:
        accounts.leave_all(signed.person)
    response.delete_cookie(
        request.app.state.site.cookie, path="/", secure=True, httponly=True, samesite="strict"
    )
    return SignedAnswer(person="", name="")
