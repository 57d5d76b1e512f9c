"""The records as people use them: every action once, with a fresh secret each time. The rules stand below,
in the log."""

from __future__ import annotations

import secrets as random
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from panelmend.errors import InputError
from panelmend.records import events as e
from panelmend.records import secrets as s
from panelmend.records.book.acting import NOW, Shown, When, Who, job_of
from panelmend.records.book.jobs import Jobs
from panelmend.records.book.people import PeopleBook
from panelmend.records.book.stock import StockBook
from panelmend.records.canonical import sha256, tidy_text
from panelmend.records.store import copies
from panelmend.records.store.log import Draft, Log, Now, utc_now


class Book(PeopleBook, Jobs, StockBook):
    """The records of one shop."""

    @staticmethod
    def begin(
        where: str,
        person: str,
        name: str,
        secret: str,
        *,
        zone: str = "UTC",
        invented: bool = False,
        cost: s.Cost = s.FULL,
        now: Now = utc_now,
    ) -> Book:
        """Begin records with their first keeper of accounts.

        Args:
            where: a file, or the URL of a PostgreSQL database.
            person: staff number of the keeper.
            name: their name.
            secret: their secret; there is no default.
            zone: the shop's time zone, such as "Europe/Lisbon": expiry days are counted by it.
            invented: a demonstration.
            cost: of hashes.
            now: the clock.
        """
        _zone(zone)
        s.strong(secret, person, name)
        hashes = s.Hashes(cost)
        hashed = hashes.make(secret)
        what = e.made(
            e.Begun,
            records=random.token_hex(16),
            zone=zone,
            person=person,
            name=tidy_text(name),
            secret=sha256(hashed),
            key=s.public_in(hashed),
            invented=invented,
        )
        log = Log.open(where, now=now, make=True)
        drafts = [Draft(person, what)]
        if log.path is not None:
            token = s.new_ticket()
            copies.make_governing(log.path, token)
            drafts.append(
                Draft(person, e.made(e.CopyGoverns, token=sha256(token), lost=False, why="where they began"))
            )
        log.append(lambda state, c: drafts, secrets={sha256(hashed): hashed})
        return Book(log, cost)

    @staticmethod
    def open(where: str, *, cost: s.Cost = s.FULL, now: Now = utc_now, wait: float = 30.0) -> Book:
        """Open records that were begun."""
        return Book(Log.open(where, now=now, wait=wait), cost)


def _zone(name: str) -> None:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise InputError("no such time zone", read=name[:40], expected="such as Europe/Lisbon") from None


__all__ = ["NOW", "Book", "Shown", "When", "Who", "job_of"]
