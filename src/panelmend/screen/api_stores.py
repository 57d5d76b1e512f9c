"""The stores by the service: what comes in, moves, is drawn, returned, counted; what there is; histories.

The records judge every entry by the same rules and the same table as from the command line."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from pydantic import BaseModel, Field

from panelmend.app.records import head_of, when
from panelmend.app.records_shop import shop_words
from panelmend.app.records_words import history_words
from panelmend.records import events as e
from panelmend.records.book import Who
from panelmend.records.canonical import tidy_text
from panelmend.screen.alone import RECORDS, alone
from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api_card import Line, PersonSent, book_of
from panelmend.screen.identity import acting

router = APIRouter(prefix="/api/stores", responses=DOCUMENTED)
Stored = (
    e.LotReceived
    | e.LotMoved
    | e.LotOpened
    | e.LotIssued
    | e.LotReturned
    | e.LotReserved
    | e.LotScrapped
    | e.LotCorrected
    | e.RetestTaken
    | e.InstrumentKnown
    | e.StockLeast
    | e.CouponMade
)
Thing = Literal["job", "lot", "batch", "coupon", "person", "instrument", "panel"]
Named = Annotated[str, Query(min_length=1, max_length=200)]


class StoredSent(PersonSent):
    """One entry about the stores, with the fields of its kind; ``at`` in the shop's time where it was
    earlier, ``late`` why it is entered later."""

    what: Annotated[Stored, Field(discriminator="kind")]
    at: Line = ""
    late: Line = ""


class Entered(BaseModel):
    """What was entered: its number, and the head for paper."""

    number: int
    head: str


class Lines(BaseModel):
    """What the records say, a line each."""

    lines: list[str]


@router.post("/entries", operation_id="enter_stored")
@alone
def enter(request: Request, sent: StoredSent) -> Entered:
    """Enter what was done in the stores, with a fresh secret; every rule and role stands in the records."""
    book, who = book_of(request), Who(acting(sent.person), sent.secret)
    fields: dict[str, Any] = {
        k: tidy_text(v) if isinstance(v, str) else v
        for k, v in sent.what.model_dump(exclude={"kind"}).items()
    }
    made = e.made(type(sent.what), **fields)
    taken = book.act(who, lambda state: made, when(book.state, sent.at, sent.late))
    return Entered(number=taken.entry.number, head=head_of(book))


@router.get("", operation_id="stores")
def stores(request: Request) -> Lines:
    """Jobs in work, what falls due, what must be ordered, each lot of which something is left."""
    with RECORDS:
        return Lines(lines=shop_words(book_of(request).state))


@router.get("/history", operation_id="history")
def history(
    request: Request,
    thing: Thing,
    named: Named,
    after: Annotated[int, Query(ge=0, le=10**9)] = 0,
    most: Annotated[int, Query(ge=1, le=1000)] = 200,
) -> Lines:
    """Everything that touched a thing, page by page; the last line says what is left."""
    with RECORDS:
        return Lines(lines=history_words(book_of(request), f"{thing} {named}", after, most))
