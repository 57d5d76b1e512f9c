"""Whose request this is on a screen that other machines reach; nobody's on this machine alone.

There the name that is written down is the one of who signed in. A form may say it too, so that a page that
was left open, or was typed by another, is refused and never written down as somebody else's.
"""

from __future__ import annotations

from contextvars import ContextVar
from dataclasses import dataclass

from panelmend.errors import PanelmendError


@dataclass(frozen=True)
class SignedPerson:
    """Who signed in: staff number and name, as the records have them."""

    person: str
    name: str


class AnotherSignedIn(PanelmendError):
    """What is sent names another person than who signed in."""


class NotTheirs(PanelmendError):
    """Nobody has this role, or its authorisation is not in force."""


_signed: ContextVar[SignedPerson | None] = ContextVar("signed", default=None)


def set_signed(signed: SignedPerson | None) -> None:
    """Answer what follows of this request for a person."""
    _signed.set(signed)


def signed_in() -> SignedPerson | None:
    """Who signed in; None on a screen for this machine alone."""
    return _signed.get()


def acting(sent: str) -> str:
    """The staff number that is written down: of who signed in, else what the form says.

    Raises:
        AnotherSignedIn: the form says another.
    """
    signed = _signed.get()
    if signed is None:
        return sent
    if sent != signed.person:
        raise AnotherSignedIn(f"{signed.name} ({signed.person}) is signed in, not {sent[:80]}")
    return signed.person


def name_written(sent: str) -> str:
    """The name that is written down: of who signed in, else what the form says.

    Raises:
        AnotherSignedIn: the form says another.
    """
    signed = _signed.get()
    if signed is None:
        return sent
    if sent.strip() not in ("", signed.name, signed.person):
        raise AnotherSignedIn(f"{signed.name} ({signed.person}) is signed in, not {sent[:80]}")
    return signed.name
