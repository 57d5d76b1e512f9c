"""Entries about stores and what is mixed and laid from them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from panelmend.records.events.card import Part
from panelmend.records.events.fields import Amount, Count, Day, Digest, Frozen, Id, Vertex, Words, later


class StockLeast(Frozen):
    """The least of a material that the shop wants to have; 0 for none."""

    kind: Literal["least stock set"] = "least stock set"
    material: Words
    amount: Amount
    unit: Id


class LotReceived(Frozen):
    """A lot comes in. Times in seconds; ``out_time`` is what its paper says it has been out already. A roll
    or a remnant has its ``width`` [m], a remnant its ``outline`` [micrometres, warp along x]
    where it is no rectangle, a sheet of core its ``thickness`` [m]."""

    kind: Literal["lot received"] = "lot received"
    lot: Id
    material: Words
    batch: Words
    certificate: Words
    amount: Amount
    unit: Id
    expires: Day
    out_life: Count | None = None
    out_time: Count = 0
    opened_life: Count | None = None
    frozen: bool = False
    width: Amount | None = later(None)
    outline: Annotated[tuple[Vertex, ...], Field(max_length=2000)] = later(())
    thickness: Amount | None = later(None)


class LotMoved(Frozen):
    """Into the freezer or out of it."""

    kind: Literal["lot moved"] = "lot moved"
    lot: Id
    frozen: bool
    place: Words


class LotOpened(Frozen):
    kind: Literal["lot opened"] = "lot opened"
    lot: Id


class LotIssued(Frozen):
    kind: Literal["lot issued"] = "lot issued"
    lot: Id
    job: Id
    step: Id
    amount: Amount


class LotReturned(Frozen):
    """What comes back is a lot of its own, no younger than the one it came from."""

    kind: Literal["lot returned"] = "lot returned"
    lot: Id
    back: Id
    job: Id
    amount: Amount
    frozen: bool
    width: Amount | None = later(None)
    outline: Annotated[tuple[Vertex, ...], Field(max_length=2000)] = later(())


class LotReserved(Frozen):
    """An amount of a lot kept for a job in all, so that no other draws it; 0 frees it."""

    kind: Literal["lot reserved"] = "lot reserved"
    lot: Id
    job: Id
    amount: Amount


class BatchMixed(Frozen):
    """A batch of resin mixed at a step: from which lots, how much of each, how long it may be used [s]."""

    kind: Literal["batch mixed"] = "batch mixed"
    job: Id
    step: Id
    batch: Id
    parts: Annotated[tuple[Part, ...], Field(min_length=1, max_length=10)]
    life: Count


class LabelSeen(Frozen):
    """The code of a piece's label, scanned or typed at a step: repair, piece and the plan's digest in it."""

    kind: Literal["label seen"] = "label seen"
    job: Id
    step: Id
    repair: Words
    piece: Id
    digest: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{8,64}$")]


class LotScrapped(Frozen):
    kind: Literal["lot scrapped"] = "lot scrapped"
    lot: Id
    amount: Amount
    why: Words


class LotCorrected(Frozen):
    """What a count found; it sets the balance and never dates or out-time."""

    kind: Literal["lot corrected"] = "lot corrected"
    lot: Id
    amount: Amount
    why: Words


class RetestReported(Frozen):
    """A documented re-test or extension; it sets nothing until a second person takes it on."""

    kind: Literal["re-test reported"] = "re-test reported"
    lot: Id
    until: Day
    paper: Digest
    ground: Words


class RetestTaken(Frozen):
    kind: Literal["re-test taken on"] = "re-test taken on"
    lot: Id
    report: Count
    until: Day


class InstrumentKnown(Frozen):
    kind: Literal["instrument known"] = "instrument known"
    instrument: Id
    what: Words
    certificate: Words
    due: Day


StockEvent = (
    StockLeast
    | LotReceived
    | LotMoved
    | LotOpened
    | LotIssued
    | LotReturned
    | LotReserved
    | BatchMixed
    | LabelSeen
    | LotScrapped
    | LotCorrected
    | RetestReported
    | RetestTaken
    | InstrumentKnown
)
