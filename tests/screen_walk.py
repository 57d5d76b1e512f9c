"""What people would type at each step of the demonstration's card, so that tests walk it."""

from __future__ import annotations

from typing import Any

from panelmend.records import events as e
from panelmend.screen.workshop import DEMO
from screen_made import REPAIR, Answer, Desk

STEPS = f"{REPAIR}/steps"
HOLDERS = {"planner": "P1", "inspector": "I1"}


def typed_in(blank: e.CardBlank) -> dict[str, Any]:
    """What is typed in a blank; "now" for the time it is."""
    if blank.entry is e.EntryKind.TICK:
        return {"typed": "yes"}
    if blank.entry is e.EntryKind.TIME:
        return {"typed": "2099-01-01 00:00" if blank.ahead else "now"}
    if blank.entry is e.EntryKind.TEXT:
        return {"typed": {"lots": "R-118", "instruments": "VG-03", "": "as on the label"}[blank.names]}
    value = {"typed": blank.low or blank.high or "1"}
    return {**value, "meets": True, "limit": "51-30-04, table 2"} if blank.ask == "person" else value


def who(at: Desk, person: str) -> dict[str, str]:
    """A person's number and secret."""
    return next(
        {"person": p.person, "secret": p.secret} for p in at.workshop.invented() if p.person == person
    )


def entries(at: Desk) -> int:
    """How many entries the records have."""
    book = at.workshop.book
    assert book is not None
    return int(book.state.number)


def job(at: Desk) -> Any:
    """The demonstration's job as the records have it."""
    found = at.workshop.job_of(DEMO)
    assert found is not None
    return found[1]


def sign(at: Desk, step: int, person: str, meaning: str, why: str = "", **more: str) -> Answer:
    """Look, then sign."""
    shown = at.get(f"{STEPS}/{step}/shown").json
    seen = {"content": shown["content"], "ticket": shown["ticket"]}
    return at.post(
        f"{STEPS}/{step}/sign", {**who(at, person), "meaning": meaning, "why": why, **seen, **more}
    )
