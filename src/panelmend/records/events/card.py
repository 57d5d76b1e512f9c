"""The card's steps as they are filled in, and what is signed."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from panelmend.records.events.fields import (
    Amount,
    Count,
    Digest,
    EntryKind,
    Frozen,
    Id,
    Meaning,
    Moment,
    Role,
    Said,
    Seal,
    Words,
    later,
)


class CardBlank(Frozen):
    """A blank: limits are decimals in its unit, as the card prints them; ``ask`` says who judges a number;
    ``ahead`` marks a time by which something must be done, which may still lie ahead; ``names`` that the
    answer names lots or instruments of the records."""

    what: Words
    entry: EntryKind
    unit: Said = ""
    low: Amount | None = None
    high: Amount | None = None
    said: Said = ""
    ask: Literal["figures", "person", "record"] = "record"
    ahead: bool = False
    names: Literal["", "lots", "instruments"] = later("")


class CardStep(Frozen):
    """A step: ``key`` is "id/operation/batch"; ``needs`` the keys of the steps directly before it,
    ``printed`` one digest of all that the card prints at it, ``pieces`` those whose labels are seen here,
    ``pots`` how many batches are mixed."""

    key: Id
    id: Id
    operation: Count
    number: Count
    title: Words
    needs: tuple[Id, ...]
    blanks: tuple[CardBlank, ...]
    hold: Id | None = None
    hold_by: Role | Literal["certificate holder"] | None = None
    accepted: Said = ""
    cure: Said = ""
    printed: Annotated[str, StringConstraints(pattern=r"^([0-9a-f]{64})?$")] = later("")
    pieces: Annotated[tuple[Id, ...], Field(max_length=200)] = later(())
    pots: Count = later(0)


class CardClock(Frozen):
    """A clock between two time blanks; ``most`` seconds, or until a third one."""

    name: Words
    start: Id
    start_blank: Count
    end: Id
    end_blank: Count
    most: Count | None = None
    until: Id | None = None
    until_blank: Count = 0


class Need(Frozen):
    """What a plan takes from the stores: how much of a material, from which lot of them where it says so
    ("" where it does not), how wide it must be and, for core, how thick [m]."""

    material: Words
    store: Said = ""
    amount: Amount
    unit: Literal["m", "m2", "m3", "kg", "pieces"]
    width: Amount | None = None
    thickness: Amount | None = later(None)


class Part(Frozen):
    """What of one lot went into a batch, in the lot's own unit."""

    lot: Id
    amount: Amount


class Signature(Frozen):
    """A signature: what was shown (``content``), the sentence it means, and who under which name.

    ``seal`` is made with the person's own key over all of it and its place in the log (``seals.py``).
    """

    meaning: Meaning
    words: Words
    name: Words
    content: Digest
    document: Digest
    plan: Digest
    ticket: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{32}$")]
    seal: Seal = later("")


class Reading(Frozen):
    """One blank filled in: what was typed, its value, for limits in words whether it meets them, and the lots
    or instruments that the answer names."""

    blank: Count
    typed: Said
    value: Amount | None = None
    at: Moment | None = None
    yes: bool | None = None
    meets: bool | None = None
    limit: Said = ""
    instrument: Id | None = None
    why: Said = ""
    names: Annotated[tuple[Id, ...], Field(max_length=20)] = later(())
