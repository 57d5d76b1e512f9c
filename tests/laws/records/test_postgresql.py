"""The same records on PostgreSQL: the same statements, moves and rules by another URL.

The server is Debian's. Where it is not installed these tests are skipped: nothing of them is then tried.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from datetime import timedelta

import pytest
import sqlalchemy as sa

import postgres_here
from ends import all_ended
from panelmend.records.book import Book
from panelmend.records.store import opening
from panelmend.records.store.log import Log
from records_made import CHEAP, JOB, KEYS, START, Shop, Time, begin, refused, who

pytest.importorskip(
    "psycopg", reason="the driver of PostgreSQL is not installed: nothing here was tried on it"
)
pytestmark = pytest.mark.skipif(
    postgres_here.programs() is None,
    reason="PostgreSQL's server (Debian: postgresql) is not installed: nothing here was tried on it",
)


@pytest.fixture(scope="module")
def url() -> Iterator[str]:
    """A server with the invented shop in it."""
    with postgres_here.server() as where:
        begin(where, Time())
        yield where


@pytest.fixture(scope="module")
def made(url: str) -> Shop:
    """The shop with a whole job in it."""
    shop = Shop(url, Time(START + timedelta(minutes=1)))
    shop.begin_job()
    shop.do(*KEYS)
    shop.release()
    return shop


def test_a_whole_job_is_done_and_its_log_holds(made: Shop) -> None:
    assert made.state.jobs[JOB].closed == "released"
    found = made.book.log.check()
    assert found.holds, found.faults
    assert made.book.log.check(found.printed).holds
    assert Book.open(made.where, cost=CHEAP).state == made.state
    assert made.book.log.settings() == dict(opening.POSTGRES)


def test_the_rules_refuse_here_as_they_do_there(made: Shop) -> None:
    refused("R136", lambda: made.fill(KEYS[0]))
    refused("R111", lambda: made.book.stop_job(who("S1"), JOB, "x"))
    refused("R120", lambda: begin(made.where, Time()))


def test_the_server_refuses_to_change_remove_or_empty(made: Shop) -> None:
    engine = opening.postgres_engine(made.where)
    for statement in (
        "UPDATE entries SET text = 'x' WHERE number = 3",
        "DELETE FROM entries WHERE number = 3",
        "TRUNCATE entries",
        "TRUNCATE papers",
        "DELETE FROM secrets",
        "INSERT INTO entries VALUES (9999, 'a', 'b', 'c')",
    ):
        with pytest.raises(sa.exc.DBAPIError, match="records only grow"), engine.begin() as connection:
            connection.execute(sa.text(statement))


def test_writers_at_once_make_one_chain(made: Shop) -> None:
    before = made.state.number
    faults: list[BaseException] = []

    def write(n: int) -> None:
        try:
            shop = Shop(made.where, Time(made.time.at))
            for i in range(5):
                shop.receive(f"W{n}-{i}")
        except BaseException as error:
            faults.append(error)

    threads = [threading.Thread(target=write, args=(n,), daemon=True) for n in range(4)]
    for t in threads:
        t.start()
    all_ended(threads, "writers at once")
    assert not faults
    assert made.state.number == before + 20
    assert made.book.log.check().holds


def test_an_edit_past_the_triggers_is_found(made: Shop) -> None:
    engine = opening.postgres_engine(made.where)
    with engine.begin() as connection:
        connection.execute(sa.text("ALTER TABLE entries DISABLE TRIGGER USER"))
        connection.execute(
            sa.text("UPDATE entries SET text = replace(text, 'R. Osk', 'R. Ost') WHERE number = 5")
        )
    faults = Log.open(made.where).check().faults
    assert faults[0] == (0, "triggers are missing: entries_follow, entries_no_change, entries_no_truncate")
    assert any(number == 5 for number, _ in faults)
