"""The state kept beside the log: it saves reading the log, and is believed only as far as it may be."""

from __future__ import annotations

import json
import os
import pickle
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from panelmend.errors import OutputError
from panelmend.records import events as e
from panelmend.records.book import Book
from panelmend.records.canonical import link, sha256
from panelmend.records.state import Job, State
from panelmend.records.store import kept
from panelmend.records.store import log as store_log
from panelmend.records.store.heads import printed_head
from records_made import A1, CHEAP, JOB, KEYS, ON_POSTGRESQL, Shop, refused, shop

pytestmark = pytest.mark.skipif(ON_POSTGRESQL, reason="of records on a server nothing is kept beside them")
SECOND = "TAS-26-0419"


@pytest.fixture(autouse=True)
def _often(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept, "EVERY", 1)


def _worked() -> Shop:
    """A job that was released, one in work, a lot."""
    made = shop()
    made.begin_job()
    made.do(*KEYS)
    made.release()
    made.receive("L1")
    made.begin_job(SECOND, earlier=[JOB])
    made.do(A1, job=SECOND)
    return made


def _opened(made: Shop) -> Book:
    return Book.open(made.where, cost=CHEAP, now=made.time)


def _beside(made: Shop, end: str = kept.USUAL) -> Path:
    return kept.state_path(Path(made.where), end)


def _forge(made: Shop, change: Callable[[State], None], end: str = kept.USUAL) -> None:
    """Write the state that is kept with something else in it, whole and with its sums right."""
    found = kept.load_state(Path(made.where))
    assert found is not None
    change(found.state)
    assert kept.keep_state(Path(made.where), found.state, end)


def _rows_read(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    read: list[int] = []

    def counted(number: int, before: str, text: str) -> e.Entry:
        read.append(number)
        return e.entry_kept(number, before, text)

    class Counted:
        entry_kept = staticmethod(counted)
        entry_of = staticmethod(e.entry_of)
        made = staticmethod(e.made)
        Entry, Failed, CopyGoverns, RulesTaken = e.Entry, e.Failed, e.CopyGoverns, e.RulesTaken

    monkeypatch.setattr(store_log, "e", Counted)
    return read


def test_what_is_kept_is_what_the_log_comes_to_and_no_earlier_entry_is_read(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    made = _worked()
    whole = _opened(made).log.anew()
    read = _rows_read(monkeypatch)
    book = _opened(made)
    assert book.state.number == whole.number
    assert read == []
    held = book.state.jobs.held
    assert isinstance(held[JOB], tuple), "a job that is closed lies there until somebody asks for it"
    assert isinstance(held[SECOND], Job)
    assert [name for name, _ in book.state.jobs.in_work()] == [SECOND]
    assert book.state == whole
    monkeypatch.setattr(kept, "EVERY", 10**6)
    made.receive("L2")
    assert _opened(made).state.number == whole.number + 1
    assert read == [whole.number + 1]


def test_it_is_written_after_so_many_entries_and_not_before(monkeypatch: pytest.MonkeyPatch) -> None:
    made = shop()
    number = made.state.number
    _beside(made).unlink()
    monkeypatch.setattr(kept, "EVERY", number + 1)
    made.book = _opened(made)
    assert made.state.number == number
    assert not _beside(made).exists()
    made.receive("L1")
    assert _beside(made).exists()


def test_whatever_is_changed_in_the_file_nothing_else_comes_of_it() -> None:
    made = _worked()
    whole = _opened(made).log.anew()
    sound = _beside(made).read_bytes()
    step, damaged = len(sound) // 150, 0
    for at in [*range(0, 400, 7), *range(1024, len(sound), step), len(sound) - 1]:
        bad = bytearray(sound)
        bad[at] ^= 1 << at % 8
        _beside(made).write_bytes(bad)
        book = _opened(made)
        told = _told(book, whole)
        if told:
            assert "try again" in told
            assert not _beside(made).exists(), "what is damaged goes, so that the next verb reads the log"
            assert _opened(made).state == whole
            damaged += 1
    assert damaged > 20
    for cut in (0, 10, 1024, len(sound) - 1):
        _beside(made).write_bytes(sound[:cut])
        assert _opened(made).state == whole


def _told(book: Book, whole: State) -> str:
    """What is said where a job that lies in the file is damaged; "" where the state is the log's."""
    try:
        assert book.state == whole
    except OutputError as error:
        return str(error)
    return ""


def test_of_another_log_of_another_release_or_too_long_it_is_left_aside(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    made = _worked()
    other = shop()
    other.receive("L9")
    data = _beside(made).read_bytes()
    _beside(other).write_bytes(data)  # a longer log's
    assert "L9" in _opened(other).state.lots
    short = _beside(other).read_bytes()
    _beside(made).write_bytes(short)  # another log's, of an entry that is there too
    assert "L1" in _opened(made).state.lots
    _beside(made).write_bytes(data)
    monkeypatch.setattr(kept, "made_by", lambda: "0" * 64)
    assert kept.load_state(Path(made.where)) is None
    assert "L1" in _opened(made).state.lots


def test_the_whole_check_finds_a_state_that_the_log_does_not_come_to() -> None:
    made = _worked()
    _forge(made, lambda state: setattr(state.lots["L1"], "expires", "2031-12-31"))
    found = made.book.log.check()
    assert not found.holds
    assert ".state, kept beside the log, says something else" in found.faults[0][1]
    assert not _beside(made).exists()
    assert made.book.log.check().holds
    _forge_closed(made)
    found = made.book.log.check()
    assert "says something else" in str(found.faults)


def _forge_closed(made: Shop) -> None:
    assert _opened(made).state.number
    _forge(made, lambda state: setattr(state.jobs[JOB], "workers", {"E1"}))


def test_what_is_kept_for_a_job_is_compared_too() -> None:
    made = _worked()
    _forge(made, lambda state: state.keeping.setdefault(SECOND, set()).add("L1"))
    assert not made.book.log.check().holds


def test_a_release_a_package_and_the_drill_believe_the_log_alone() -> None:
    made = shop()
    made.begin_job()
    made.do(*KEYS[:-1])
    made.fill(KEYS[-1])

    def done(state: State) -> None:
        state.jobs[JOB].now(KEYS[-1]).did = ("T1", 1)

    _forge(made, done)
    other = Shop(made.where, made.time)
    assert other.state.jobs[JOB].now(KEYS[-1]).did, "the forged one is what a verb begins with"
    refused("R123", lambda: other.release())
    made.sign(KEYS[-1], "did", "T1")
    made.release()


def test_nothing_but_a_state_is_made_of_the_file(tmp_path: Path) -> None:
    made = _worked()

    class Bad:
        def __reduce__(self) -> tuple[object, tuple[str]]:
            return os.mkdir, (str(tmp_path / "run"),)

    whole = _beside(made).read_bytes()
    header = json.loads(whole[:1024])
    body = pickle.dumps((Bad(), {}))
    header |= {"bytes": len(body), "sum": sha256(body)}
    _beside(made).write_bytes(json.dumps(header).encode().ljust(1024) + whole[1024 : header["at"]] + body)
    assert kept.load_state(Path(made.where)) is None
    assert not (tmp_path / "run").exists()
    assert _opened(made).state.number == made.state.number


def test_who_may_not_read_the_log_may_not_read_what_is_kept() -> None:
    made = shop()
    Path(made.where).chmod(0o600)
    made.receive("L1")
    assert stat.S_IMODE(_beside(made).stat().st_mode) == 0o600


@pytest.mark.parametrize("fails", ["open", "replace", "write"])
def test_where_it_cannot_be_written_nothing_is_lost(monkeypatch: pytest.MonkeyPatch, fails: str) -> None:
    made = shop()
    assert made.state.number

    really = os.open

    def full(*given: object, **more: object) -> int:
        if fails != "open" or str(given[0]).endswith(".part"):
            raise OSError(28, "No space left on device")
        return really(*given, **more)  # type: ignore[arg-type]

    if fails == "write":
        monkeypatch.setattr(kept, "_write", full)
    else:
        monkeypatch.setattr(kept.os, fails, full)
    number = made.receive("L1")
    monkeypatch.undo()
    assert _opened(made).state.number == number
    assert not list(Path(made.where).parent.glob("*.part"))


def test_what_a_process_left_half_written_is_taken_away_later() -> None:
    made = shop()
    part = Path(f"{_beside(made)}.part")
    assert made.state.number
    part.write_bytes(b"half")
    before = _beside(made).read_bytes()
    made.receive("L1")
    assert _beside(made).read_bytes() == before, "somebody else may be at it"
    os.utime(part, (1, 1))
    number = made.receive("L2")
    found = kept.load_state(Path(made.where))
    assert found is not None
    assert found.number == number
    assert not part.exists()


# --- a check that goes on from an earlier one


def _put_in(made: Shop, text: str) -> None:
    """An entry past the rules, with a perfect chain."""
    state = made.book.log.anew()
    number, before = state.number + 1, state.head
    with made.book.log._writing() as connection:
        connection.exec_driver_sql(
            "INSERT INTO entries VALUES (?, ?, ?, ?)",
            (number, before, link(number, before, sha256(text)), text),
        )


def _unseen(made: Shop) -> str:
    """The text of a lot that a technician received, which no rule lets pass."""
    rows = [json.loads(t) for *_, t in made.book.log.entries()]
    lot = next(r for r in rows if r["what"]["kind"] == "lot received")
    lot |= {"by": "T1", "at": rows[-1]["at"], "entered": rows[-1]["entered"], "behind": 0}
    lot["what"] |= {"lot": "L7"}
    return json.dumps(lot, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


@pytest.mark.parametrize("beside", [True, False])
def test_from_an_earlier_head_on_the_rules_are_looked_at_and_every_link(beside: bool) -> None:
    made = _worked()
    whole = made.book.log.check()
    assert whole.holds
    assert _beside(made, kept.CHECKED).exists()
    if not beside:
        _beside(made, kept.CHECKED).unlink()
    made.receive("L2")
    assert made.book.log.check(since=whole.printed).holds
    if not beside:
        _beside(made, kept.CHECKED).unlink(missing_ok=True)
    _put_in(made, _unseen(made))
    found = made.book.log.check(since=whole.printed)
    assert [n for n, _ in found.faults] == [whole.number + 2], found.faults
    after = printed_head(found.number, found.head)
    assert made.book.log.check(since=after).holds, "what stands before that head was another check's to find"
    assert not made.book.log.check().holds


def test_a_head_that_the_log_does_not_reach_begins_no_check() -> None:
    made = _worked()
    number = made.state.number
    found = made.book.log.check(since=f"{number}-{'0' * 16}")
    assert not found.holds
    found = made.book.log.check(since=f"{number + 1}-{'0' * 16}")
    assert not found.holds
    assert found.cut


def test_a_check_of_a_few_entries_keeps_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    made = shop()
    monkeypatch.setattr(kept, "EVERY", made.state.number + 1)
    assert made.book.log.check().holds
    assert not _beside(made, kept.CHECKED).exists()
