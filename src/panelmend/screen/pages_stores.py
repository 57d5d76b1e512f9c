"""The shop and its stores by the records: work, what falls due, what must be ordered, what there is; and what
is done in the stores, typed in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from panelmend.app.records_shop import due_rows, in_work, order_words, short_words
from panelmend.app.records_words import hours_out, why_not_usable
from panelmend.records.canonical import amount_text
from panelmend.records.state import HeldLot, State
from panelmend.screen.alone import RECORDS
from panelmend.screen.page import THEMES, Theme, page
from panelmend.screen.workshop import RECORDS_FILE

router = APIRouter(include_in_schema=False)
Entry = Literal["text", "amount", "day", "hours", "tick"]


@dataclass(frozen=True)
class StoreField:
    """A field of a form; ``name`` as the service calls it. Hours are sent as seconds; ``needed`` fields are
    never left out, others are not sent where they are empty."""

    name: str
    entry: Entry = "text"
    needed: bool = True


LOT, AMOUNT, WHY = StoreField("lot"), StoreField("amount", "amount"), StoreField("why")
FROZEN = StoreField("frozen", "tick")
# What is done in the stores, each with what the records ask of it; they judge every entry by their own rules.
FORMS: Mapping[str, tuple[StoreField, ...]] = {
    "lot received": (
        LOT,
        StoreField("material"),
        StoreField("batch"),
        StoreField("certificate"),
        AMOUNT,
        StoreField("unit"),
        StoreField("expires", "day"),
        StoreField("out_life", "hours", needed=False),
        StoreField("out_time", "hours", needed=False),
        StoreField("opened_life", "hours", needed=False),
        StoreField("width", "amount", needed=False),
        FROZEN,
    ),
    "lot moved": (LOT, StoreField("place"), FROZEN),
    "lot opened": (LOT,),
    "lot issued": (LOT, StoreField("job"), StoreField("step"), AMOUNT),
    "lot returned": (LOT, StoreField("back"), StoreField("job"), AMOUNT, FROZEN),
    "lot scrapped": (LOT, AMOUNT, WHY),
    "lot corrected": (LOT, AMOUNT, WHY),
    "instrument known": (
        StoreField("instrument"),
        StoreField("what"),
        StoreField("certificate"),
        StoreField("due", "day"),
    ),
    "least stock set": (StoreField("material"), AMOUNT, StoreField("unit")),
}


@router.get("/stores")
def stores(request: Request, theme: Theme = THEMES[0]) -> HTMLResponse:
    """Work, what falls due, what must be ordered, lots and instruments; what is done is entered here."""
    workshop = request.app.state.workshop
    told = None
    if workshop.book is not None:
        with RECORDS:
            told = told_of(workshop.book.state)
    return page(
        "stores.html", theme, "stores", told=told, forms=FORMS, file=str(workshop.folder / RECORDS_FILE)
    )


def told_of(state: State) -> dict[str, object]:
    """All that the page shows, as of the day of looking."""
    today = state.day(state.now).isoformat()
    return {
        "day": today,
        "work": [in_work(name, job) for name, job in sorted(state.jobs.in_work())],
        "due": due_rows(state),
        "order": [x.removeprefix("order: ") for x in (*order_words(state), *short_words(state))],
        "lots": [_lot(state, n, x) for n, x in sorted(state.lots.items(), key=_first) if x.left > 0],
        "spent": sum(x.left <= 0 for x in state.lots.values()),
        "instruments": [
            {"number": n, "what": x.what, "certificate": x.certificate, "due": x.due, "passed": x.due < today}
            for n, x in sorted(state.instruments.items())
        ],
    }


def _first(item: tuple[str, HeldLot]) -> tuple[bool, str, str]:
    """Opened first, then first to expire."""
    name, lot = item
    return not lot.opened, lot.expires, name


def _lot(state: State, name: str, lot: HeldLot) -> dict[str, object]:
    """A lot of which something is left."""
    r = lot.received
    kept = sum(lot.reserved.values())
    out, life = (None, None) if r.out_life is None else hours_out(lot.out_at(state.now), r.out_life)
    return {
        "number": name,
        "material": r.material,
        "batch": r.batch,
        "left": f"{amount_text(lot.left)} {r.unit}",
        "kept": f"{amount_text(kept)} {r.unit}" if kept else "",
        "expires": lot.expires,
        "out": out,
        "out_life": life,
        "frozen": not lot.out_since,
        "opened": state.day(lot.opened).isoformat() if lot.opened else "",
        "why_not": why_not_usable(state, lot),
    }
