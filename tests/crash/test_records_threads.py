"""Threads of one process at the same records: who looks never stands in the way of who writes."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Event

from panelmend.records import events as e
from panelmend.records.book import Who
from screen_made import SECRETS, people_put_in


def test_who_looks_at_the_state_does_not_break_what_is_appended(tmp_path: Path) -> None:
    """A page that asked for the state while a reading was kept took the entry in twice, and told who wrote it
    that the log does not hold."""
    book = people_put_in(tmp_path)
    begun, over = book.state.number, Event()

    def look() -> int:
        seen = 0
        while not over.is_set():
            number = book.state.number
            assert number >= seen
            seen = number
        return seen

    with ThreadPoolExecutor(4) as pool:
        looking = [pool.submit(look) for _ in range(4)]
        try:
            for i in range(60):
                until = f"2099-{1 + i % 12:02}-01"
                book.authorise(Who("K1", SECRETS["K1"]), "T1", e.Scope.BONDING, until, "paper")
        finally:
            over.set()
        assert all(begun <= f.result() <= begun + 60 for f in looking)
    assert book.state.number == begun + 60
    assert book.log.check().holds
