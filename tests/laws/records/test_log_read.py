"""How entries are read back: at opening by what a link proves, by the check in their one spelling too."""

from __future__ import annotations

import pytest

from panelmend.records import events as e
from panelmend.records.canonical import sha256
from panelmend.records.store.log import Log
from panelmend.records.store.tables import PAPERS, SECRETS
from records_kept import write_rows
from records_made import A1, JOB, Shop, Time, job_shop, quick_folder, refused


@pytest.fixture(scope="module")
def texts() -> list[str]:
    """The entries of a shop with a job begun and a lot that came in last."""
    return [t for *_, t in _worked().book.log.entries()]


def _worked() -> Shop:
    made = job_shop(A1)
    made.receive("L1")
    return made


BEFORE = "0" * 63 + "1"


def test_what_a_link_proves_is_read_as_the_check_reads_it(texts: list[str]) -> None:
    for n, text in enumerate(texts, 1):
        assert e.entry_kept(n, BEFORE, text) == e.entry_of(n, BEFORE, text)
        assert e.entry_kept(n, BEFORE, text).text() == text


@pytest.mark.parametrize(
    "more", ['"number":7', f'"before":"{"0" * 64}"', '"number":7,"number":8', '"late":"other"']
)
def test_an_entry_has_the_place_it_stands_at_and_none_that_it_says(texts: list[str], more: str) -> None:
    text = f"{texts[-1][:-1]},{more}}}"
    refused("R108", lambda: e.entry_of(5, BEFORE, text))
    kept = e.entry_kept(5, BEFORE, text)
    assert (kept.number, kept.before) == (5, BEFORE)


def test_what_is_no_entry_is_refused_at_opening_too(texts: list[str]) -> None:
    good = texts[-1]
    for text, code in (
        (good[:-1], "R108"),
        (good + "}", "R108"),
        (good.replace('"behind":0', '"behind":"0"'), "R108"),
        (good.replace('"unit"', '"unix"'), "R108"),
        (good.replace("lot received", "lot perceived"), "R105"),
        ("", "R108"),
        ("[" * 100_000, "R108"),
    ):
        refused(code, lambda text=text: e.entry_kept(5, BEFORE, text))


def test_another_spelling_in_a_perfect_chain_is_found_by_the_check(texts: list[str]) -> None:
    """Whoever makes the whole chain anew can spell an entry otherwise: it says the same, and is found."""
    made = _worked()
    with made.book.log.reading() as connection:
        papers = [(str(d), bytes(x)) for d, x in connection.execute(PAPERS.select())]
        kept = [(str(d), str(x)) for d, x in connection.execute(SECRETS.select())]
    whole = [t for *_, t in made.book.log.entries()]
    assert sha256(papers[0][1]) == papers[0][0]
    for change, holds in (
        ("", True),
        (whole[-1].replace('{"at"', '{ "at"'), False),
        (whole[-1].replace('"late":""', '"late":"","late":""'), False),
        (whole[-1].replace("L1", "\\u004c1"), False),
    ):
        log = Log.open(str(quick_folder() / "again.sqlite"), make=True, now=Time(made.time.at))
        write_rows(log, [*whole[:-1], change or whole[-1]], papers, kept)
        assert log.path is not None
        again = Shop(str(log.path), Time(made.time.at))
        assert again.state.lots["L1"].left == 10
        assert JOB in again.state.jobs
        found = again.book.log.check()
        assert found.holds is holds, found.faults
        assert holds or found.faults[0][0] == len(whole)
