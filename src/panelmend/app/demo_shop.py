"""An invented shop for the demonstration: its people with secrets made up on the spot, its instruments."""

from __future__ import annotations

import secrets as random
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from panelmend.document.bay import Lot, Roll
from panelmend.document.model import Document
from panelmend.records import events as e
from panelmend.records.book import Book, Who
from panelmend.records.secrets import FULL, Cost

UNTIL = "2099-12-31"
PAPER = "invented for the demonstration"


@dataclass(frozen=True)
class Invented:
    """An invented person: staff number, name, what they are, their secret."""

    person: str
    name: str
    role: str
    secret: str


_PEOPLE = (
    ("T1", "technician", e.Role.TECHNICIAN, (e.Scope.BONDING,)),
    ("P1", "planner", e.Role.PLANNER, (e.Scope.PLANNING,)),
    ("I1", "inspector", e.Role.INSPECTOR, (e.Scope.INSPECTION, e.Scope.RELEASE)),
    ("E1", "engineer", e.Role.ENGINEER, (e.Scope.ENGINEERING,)),
    ("S1", "storekeeper", e.Role.STOREKEEPER, (e.Scope.STORES,)),
)


def made_up() -> str:
    """A secret of 64 random bits, in groups that can be read out."""
    raw = random.token_hex(8)
    return "-".join(raw[i : i + 4] for i in range(0, 16, 4))


def begin(where: Path, document: Document, zone: str = "UTC", cost: Cost = FULL) -> tuple[Invented, ...]:
    """Begin records of the invented shop of an invented repair.

    Args:
        where: the file of the records; it must not be there.
        document: an invented repair.
        zone: the shop's time zone.
        cost: of the hashes of secrets.
    """
    assert document.repair.invented, "people are made up for an invented repair alone"
    keeper = Invented("K1", "E. Strand", "keeper of accounts", made_up())
    made = [keeper]
    book = Book.begin(str(where), "K1", keeper.name, keeper.secret, zone=zone, invented=True, cost=cost)
    by = Who("K1", keeper.secret)
    for number, field, role, scopes in _PEOPLE:
        name = getattr(document.people, field).strip() or f"{field} of the demonstration"
        one = Invented(number, name, field, made_up())
        book.enrol(number, book.add_person(by, number, name, [role]), one.secret)
        for scope in scopes:
            book.authorise(by, number, scope, UNTIL, PAPER)
        made.append(one)
    store = next(p for p in made if p.person == "S1")
    for tool in document.bay.instrument:
        due = tool.calibrated_until.isoformat()
        book.know_instrument(Who("S1", store.secret), tool.id, tool.kind, PAPER, due)
    _receive(book, Who("S1", store.secret), document)
    return tuple(made)


def _receive(book: Book, who: Who, document: Document) -> None:
    """The repair's own stores as lots of the records, under the names people write on the card."""
    for roll in document.stores.roll:
        expires = roll.expires.isoformat() if roll.expires else UNTIL
        fields: dict[str, Any] = {
            "material": roll.material,
            "batch": roll.lot,
            "certificate": PAPER,
            "expires": expires,
        }
        fields |= _out(roll)
        pieces = [(roll.id, roll.length, roll.width), *((r.id, r.length, r.width) for r in roll.remnant)]
        for name, length, width in pieces:
            size: dict[str, Any] = {"amount": f"{length:.9g}", "width": f"{width:.9g}"}
            book.receive(who, lot=name, unit="m", **size, **fields)
            if roll.opened:
                book.open_lot(who, name)
    for lot in document.stores.lot:
        expires = lot.expires.isoformat() if lot.expires else UNTIL
        fields = {"material": lot.material, "batch": lot.lot, "certificate": PAPER, "expires": expires}
        amount, unit = _amount(lot)
        book.receive(who, lot=lot.id, amount=amount, unit=unit, **fields, **_out(lot))
        if lot.opened:
            book.open_lot(who, lot.id)


def _out(lot: Lot | Roll) -> dict[str, Any]:
    life = None if lot.out_life is None else int(lot.out_life)
    return {"out_life": life, "out_time": int(lot.out_time)}


def _amount(lot: Lot) -> tuple[str, str]:
    """What is left of a lot, in a unit people draw it in."""
    if lot.mass is not None:
        return f"{1e3 * (lot.mass + (lot.hardener_mass or 0.0)):.9g}", "g"
    if lot.volume is not None:
        return f"{1e6 * lot.volume:.9g}", "ml"
    if lot.area is not None:
        return f"{lot.area:.9g}", "m2"
    return str(lot.count or 1), "pieces"
