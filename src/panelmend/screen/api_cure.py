"""The cure watch: begun and ended, asked again and again, its alarms heeded. It switches nothing."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Request
from pydantic import BaseModel, Field

from panelmend.document.approved import Cure
from panelmend.errors import MissingError
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Name, Sent
from panelmend.screen.cure_seen import CureAnswer, cure_answer, failed
from panelmend.screen.guard import TOKEN
from panelmend.screen.identity import signed_in
from panelmend.screen.page import environment
from panelmend.screen.watches import Watches
from panelmend.screen.words import say

router = APIRouter(prefix="/api", responses=DOCUMENTED)
Place = Annotated[int, Path(ge=1, le=50, description="of the cure in the document, from 1")]
LogName = Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9 ._()+-]{0,119}$")]


class WatchSent(Sent):
    """What is to be read: a growing log or the description of an instrument, by its name."""

    source: LogName


class HeedSent(Sent):
    """The alarms that somebody is on."""

    keys: Annotated[
        list[Annotated[str, Field(min_length=1, max_length=200)]], Field(min_length=1, max_length=50)
    ]


class SaidBy(BaseModel):
    """Who said it, as it is written down."""

    by: str


def cure_of(request: Request, name: str, number: int) -> Cure:
    """A cure of a repair by its place. Raises MissingError."""
    cures = request.app.state.workshop.open(name).made.plan.case.document.data.cure
    if number > len(cures):
        raise MissingError(f"the repair has {len(cures)} cures, not {number}")
    found: Cure = cures[number - 1]
    return found


def answer_of(request: Request, name: str, number: int) -> CureAnswer:
    """The watch of a cure as it stands, with its part of the page."""
    watches: Watches = request.app.state.watches
    there = watches.of(name, number)
    if there is None:
        return CureAnswer(
            watched=False, looked=0.0, alarms=[], sounds=False, big=[], calm="", channels=[], notes=[]
        )
    begun, watch, fault = there
    answer, charts = cure_answer(watch) if watch is not None else (failed(fault), {})
    answer.html = environment().get_template("cure_part.html").render(a=answer, charts=charts, begun=begun)
    return answer


@router.get("/repairs/{name}/cures/{number}/watch", operation_id="cure_watch")
def watch(request: Request, name: Name, number: Place) -> CureAnswer:
    """The watch of a cure as it stands; asked every two seconds, it is the page's heartbeat too."""
    cure_of(request, name, number)
    return answer_of(request, name, number)


@router.post("/repairs/{name}/cures/{number}/watch", operation_id="begin_cure_watch")
def begin(request: Request, name: Name, number: Place, sent: WatchSent) -> CureAnswer:
    """Begin to watch a cure; the watch goes on when no page looks."""
    workshop, watches = request.app.state.workshop, request.app.state.watches
    cure = cure_of(request, name, number)
    watches.begin(name, number, cure.name, workshop.document(name), sent.source)
    return answer_of(request, name, number)


@router.post("/repairs/{name}/cures/{number}/end", operation_id="end_cure_watch")
def end(request: Request, name: Name, number: Place) -> CureAnswer:
    """Watch it no more."""
    cure_of(request, name, number)
    request.app.state.watches.end(name, number)
    return answer_of(request, name, number)


@router.post("/repairs/{name}/cures/{number}/heed", operation_id="heed_alarms")
def heed(request: Request, name: Name, number: Place, sent: HeedSent) -> SaidBy:
    """Somebody is on these alarms: they are not heard any more, a stop again after three minutes."""
    cure_of(request, name, number)
    there, by = request.app.state.watches.of(name, number), _by(request)
    if there is None or there[1] is None:
        raise MissingError("this cure is not watched")
    there[1].heed(sent.keys, by)
    request.app.state.watches.say(name, number, "heeded", ", ".join(sent.keys), by)
    return SaidBy(by=by)


@router.post("/repairs/{name}/cures/{number}/heard", operation_id="sound_heard")
def heard(request: Request, name: Name, number: Place) -> SaidBy:
    """Somebody heard the test tone of this device; it is written down with the watch."""
    cure_of(request, name, number)
    by = _by(request)
    request.app.state.watches.say(name, number, "sound heard", "", by)
    return SaidBy(by=by)


def _by(request: Request) -> str:
    """Who signed in or holds the device, as the watch writes it down: an alarm is heeded without a secret."""
    signed = signed_in()
    if signed is not None:
        return signed.name
    _, held = request.app.state.holding.person(request.scope[TOKEN])
    return held or say("cure.nobody")
