"""The log: one spelling, one chain, no change; checking finds whatever was done to it."""

from __future__ import annotations

import random
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from panelmend.errors import InputError, OutputError
from panelmend.records import events as e
from panelmend.records.canonical import (
    amount_text,
    canonical,
    link,
    moment,
    read_canonical,
    sha256,
    typed_amount,
)
from panelmend.records.refusals import Refused
from panelmend.records.store import copies, disk, moves, opening
from panelmend.records.store.log import Draft, Log, printed_head
from records_made import CHEAP, JOB, Shop, begin, refused, secret_of, shop, steps, who
from records_made import Time as Clock


@pytest.fixture(scope="module")
def worked(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    """A shop with a job half done."""
    made = shop(tmp_path_factory.mktemp("log") / "shop.sqlite")
    made.begin_job()
    made.do(*(s.key for s in steps()[:4]))
    return made


def _copy(worked: Shop, tmp_path: Path) -> Path:
    target = tmp_path / "copy.sqlite"
    shutil.copyfile(worked.where, target)
    copies.make_governing(target, copies.token_beside(Path(worked.where)))
    return target


def _faults(path: Path, head: str = "") -> list[tuple[int, str]]:
    return Log.open(str(path)).check(head).faults


def _change(path: Path, *statements: str) -> None:
    with sqlite3.connect(path, isolation_level=None) as raw:
        for name, text in raw.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall():
            raw.execute(f"DROP TRIGGER {name}")
            _KEPT[name] = text
        for s in statements:
            raw.execute(s)
        for text in _KEPT.values():
            raw.execute(text)
    raw.close()


_KEPT: dict[str, str] = {}


def test_a_sound_log_holds_and_reaches_every_head_it_ever_printed(worked: Shop) -> None:
    rows = worked.book.log.entries()
    assert worked.book.log.check().holds
    for number, _, hashed, _ in rows[:: max(1, len(rows) // 5)]:
        assert worked.book.log.check(printed_head(number, hashed)).holds


def test_the_database_itself_refuses_to_change_or_remove(worked: Shop, tmp_path: Path) -> None:
    path = _copy(worked, tmp_path)
    with sqlite3.connect(path) as raw:
        for table, column in (("entries", "text"), ("papers", "data"), ("secrets", "hash")):
            for statement in (
                f"UPDATE {table} SET {column} = 'x'",
                f"DELETE FROM {table}",
                f"INSERT OR REPLACE INTO {table} SELECT * FROM {table} LIMIT 1",
            ):
                with pytest.raises(sqlite3.IntegrityError, match="records only grow"):
                    raw.execute(statement)
        last = raw.execute("SELECT number, hash FROM entries ORDER BY number DESC LIMIT 1").fetchone()
        for row in (
            (last[0] + 2, last[1], "f" * 64, "{}"),
            (last[0] + 1, "e" * 64, "f" * 64, "{}"),
            (last[0] + 1, last[1], last[1], "{}"),
        ):
            with pytest.raises(sqlite3.IntegrityError):
                raw.execute("INSERT OR REPLACE INTO entries VALUES (?, ?, ?, ?)", row)
    raw.close()
    assert _faults(path) == []


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entries SET text = replace(text, 'R. Osk', 'R. Ost') WHERE number = 6",
        "UPDATE entries SET text = text || ' ' WHERE number = 12",
        "UPDATE entries SET hash = upper(hash) WHERE number = 9",
        "DELETE FROM entries WHERE number = 20",
        "DELETE FROM entries WHERE number = 1",
        "UPDATE entries SET number = number + 1000 WHERE number = 30",
        "UPDATE papers SET data = x'00' WHERE digest = (SELECT min(digest) FROM papers)",
        "DELETE FROM papers WHERE digest = (SELECT min(digest) FROM papers)",
        "UPDATE secrets SET hash = 'x' WHERE digest = (SELECT min(digest) FROM secrets)",
    ],
)
def test_every_edit_past_the_triggers_is_found(worked: Shop, tmp_path: Path, statement: str) -> None:
    path = _copy(worked, tmp_path)
    _change(path, statement)
    refused("R104", lambda: Log.open(str(path)).check().must_hold())
    if "DELETE FROM papers" in statement:
        return  # which papers are named, only the entries say
    refused("R104", lambda: Log.open(str(path)).check(rules=False).must_hold())


def test_the_links_alone_show_a_cut_tail_by_a_head_and_no_entry_past_the_rules(
    worked: Shop, tmp_path: Path
) -> None:
    path = _copy(worked, tmp_path)
    found = Log.open(str(path)).check(rules=False)
    assert (found.holds, found.number, found.head) == (True, worked.state.number, worked.state.head)
    _change(path, "DELETE FROM entries WHERE number = (SELECT max(number) FROM entries)")
    assert Log.open(str(path)).check(rules=False).holds
    refused("R107", lambda: Log.open(str(path)).check(found.printed, rules=False).must_hold())


def test_two_entries_swapped_are_found(worked: Shop, tmp_path: Path) -> None:
    path = _copy(worked, tmp_path)
    swap = [
        f"UPDATE entries SET number = {b} WHERE number = {a}" for a, b in ((20, 9001), (21, 20), (9001, 21))
    ]
    _change(path, *swap)
    assert _faults(path)[0][0] == 20


def test_random_single_changes_of_the_kept_bytes_are_found(worked: Shop) -> None:
    """In memory: any one character of any entry's text, hash or link."""
    rows = worked.book.log.entries()
    chance = random.Random(18)
    for _ in range(300):
        i = chance.randrange(len(rows))
        number, before, hashed, text = rows[i]
        at = chance.randrange(len(text))
        changed = text[:at] + chr(ord(text[at]) ^ (1 << chance.randrange(5))) + text[at + 1 :]
        assert link(number, before, sha256(changed)) != hashed


def test_a_cut_tail_holds_in_itself_and_is_found_by_a_head_on_paper(worked: Shop, tmp_path: Path) -> None:
    path = _copy(worked, tmp_path)
    head = worked.book.log.check().printed
    last = worked.book.log.state.number
    _change(path, f"DELETE FROM entries WHERE number > {last - 3}")
    assert _faults(path) == [], "a chain alone cannot know that it was longer"
    assert "does not reach the head" in _faults(path, head)[0][1]
    refused("R107", lambda: Log.open(str(path)).check(head).must_hold())
    worked.book.log.check(head.upper()).must_hold()
    with pytest.raises(InputError, match="not a head"):
        Log.open(str(path)).check(head[:-1])


def test_another_log_of_the_same_length_is_found_by_a_head_on_paper(worked: Shop) -> None:
    number, _, hashed, _ = worked.book.log.entries()[-1]
    wrong = ("0" if hashed[0] != "0" else "1") + hashed[1:]
    assert (
        "another entry than on the paper" in worked.book.log.check(printed_head(number, wrong)).faults[0][1]
    )


def test_an_entry_put_in_past_the_rules_with_a_perfect_chain_is_found(worked: Shop, tmp_path: Path) -> None:
    """Somebody with the disk makes an inspector of a technician, hash and all."""
    path = _copy(worked, tmp_path)
    rows = worked.book.log.entries()
    number, _, head, _ = rows[-1]
    forged = e.Entry(
        number=number + 1,
        before=head,
        by="T1",
        at=moment(worked.time.at),
        entered=moment(worked.time.at),
        late="",
        behind=0,
        what=e.RolesSet(person="T1", roles=(e.Role.INSPECTOR,), why="because"),
    )
    text = forged.text()
    with sqlite3.connect(path) as raw:
        raw.execute(
            "INSERT INTO entries VALUES (?, ?, ?, ?)",
            (number + 1, head, link(number + 1, head, sha256(text)), text),
        )
    raw.close()
    (fault,) = _faults(path)
    assert fault[0] == number + 1
    assert "R111" in fault[1]


def test_a_trigger_taken_away_is_found(worked: Shop, tmp_path: Path) -> None:
    path = _copy(worked, tmp_path)
    with sqlite3.connect(path) as raw:
        raw.execute("DROP TRIGGER entries_no_update")
    raw.close()
    assert "entries_no_update" in _faults(path)[0][1]


def test_a_damaged_chain_is_not_worked_on(worked: Shop, tmp_path: Path) -> None:
    path = _copy(worked, tmp_path)
    _change(path, "UPDATE entries SET text = replace(text, 'R. Osk', 'R. Ost') WHERE number = 6")
    log = Log.open(str(path))
    refused("R104", lambda: log.append(lambda state, c: []))
    refused("R104", lambda: log.state)


def test_an_entry_has_one_spelling() -> None:
    text = canonical({"b": 1, "a": ["é", None, True]})
    assert text == '{"a":["é",null,true],"b":1}'
    for other in (
        '{"b":1,"a":["é",null,true]}',
        '{"a":["\\u00e9",null,true],"b":1}',
        '{"a":["é",null,true],"b":1.0}',
        '{"a":["é",null,true],"b":1,"b":1}',
        '{"a": ["é",null,true],"b":1}',
        '{"a":["é",null,true],"b":1}\n',
        '{"a":["e\u0301",null,true],"b":1}',
    ):
        with pytest.raises(InputError):
            read_canonical(other)
    whole = shop().book.log.entries(2, 2)[0]
    assert e.entry_of(2, whole[1], whole[3]).text() == whole[3]
    for a, b in (
        ('"late":""', '"late":"","late":""'),
        ('{"at"', '{ "at"'),
        ('"behind":0', '"behind":0.0'),
        ("K", "\\u004b"),
    ):
        assert a in whole[3]
        other = whole[3].replace(a, b, 1)
        refused("R108", lambda x=other: e.entry_of(2, whole[1], x))
    refused("R108", lambda: e.entry_of(2, whole[1], "[" * 100_000))
    for value in (1.5, {"a": float("nan")}, {1: 2}, "a\x00b", "\ud800", "left\u202eright", 2**60):
        with pytest.raises(InputError):
            canonical(value)
    assert typed_amount("6,35") == typed_amount("6.35")
    assert amount_text(typed_amount("6.350")) == "6.35"
    for typed in ("1,234", "1e3", "nan", "", "1 2", "--1"):
        with pytest.raises(InputError):
            typed_amount(typed)


def test_a_kind_this_release_does_not_know_is_refused_not_skipped(worked: Shop) -> None:
    _, before, _, text = worked.book.log.entries()[0]
    assert e.entry_of(1, before, text)
    refused("R105", lambda: e.entry_of(1, before, text.replace("records begun", "records bezun")))
    refused("R108", lambda: e.entry_of(1, before, text.replace('"zone"', '"zonk"')))


def test_settings_are_read_back_and_one_that_is_not_kept_is_refused(
    worked: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = worked.book.log.settings()
    assert {n: shown[n] for n, _, _ in opening.PRAGMAS} == {n: w for n, _, w in opening.PRAGMAS}
    for name, _, _ in opening.PRAGMAS:
        loose = tuple((n, g, "another" if n == name else w) for n, g, w in opening.PRAGMAS)
        monkeypatch.setattr(opening, "PRAGMAS", loose)
        refused("R103", lambda: Log.open(worked.where))


@pytest.mark.parametrize(
    ("kind", "good"),
    [("ext4", True), ("xfs", True), ("nfs4", False), ("cifs", False), ("9p", False), ("fuse.sshfs", False)],
)
def test_only_disks_of_this_machine_are_taken(tmp_path: Path, kind: str, good: bool) -> None:
    mounts = f"1 0 8:1 / / rw - ext4 /dev/a rw\n2 1 0:3 / {tmp_path} rw - {kind} host:/x rw\n"
    if good:
        assert disk.local_disk(tmp_path / "a.sqlite", mounts) == kind
    else:
        refused("R102", lambda: disk.local_disk(tmp_path / "a.sqlite", mounts))
    assert disk.local_disk(tmp_path.parent / "b", mounts) == "ext4"
    refused("R102", lambda: disk.local_disk(tmp_path, ""))


def test_a_database_of_a_newer_release_is_left_alone(worked: Shop, tmp_path: Path) -> None:
    path = _copy(worked, tmp_path)
    assert Log.open(str(path)).state.number
    with sqlite3.connect(path) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '9999'")
    raw.close()
    assert "newer release" in refused("R103", lambda: Log.open(str(path)))
    assert moves.newest() == "0001"


def test_records_begin_once_and_only_where_there_are_none(worked: Shop, tmp_path: Path) -> None:
    refused("R120", lambda: begin(worked.where, Clock()))
    with pytest.raises(InputError, match="no records"):
        Log.open(str(tmp_path / "none.sqlite"))
    assert not (tmp_path / "none.sqlite").exists()
    (tmp_path / "text.sqlite").write_text(
        "this is no database, it is a letter to the storekeeper, many words long" * 9
    )
    with pytest.raises((Refused, OutputError)):
        Log.open(str(tmp_path / "text.sqlite"))


def test_a_writer_waits_for_another_and_then_says_so(worked: Shop) -> None:
    second = Log.open(worked.where, wait=0.05)
    with disk.one_writer(Path(worked.where)):
        refused("R106", lambda: second.append(lambda state, c: []))
    second.append(lambda state, c: [])


def test_two_ways_to_one_file_have_one_lock(worked: Shop, tmp_path: Path) -> None:
    (tmp_path / "way").symlink_to(worked.where)
    second = Log.open(str(tmp_path / "way"), wait=0.05)
    assert worked.book.log.path is not None
    with disk.one_writer(worked.book.log.path):
        refused("R106", lambda: second.append(lambda state, c: []))


def test_a_file_with_a_second_name_takes_nothing_until_it_has_one(worked: Shop, tmp_path: Path) -> None:
    """Lock and journal would lie beside each name: two writers, and a journal that nobody finds."""
    path = _copy(worked, tmp_path)
    made = Shop(str(path), Clock(worked.time.at))
    second = path.with_name("second")
    second.hardlink_to(path)
    for where in (path, second):
        assert "has 2" in refused("R613", lambda w=where: Log.open(str(w)).append(lambda state, c: []))
    assert made.state.number
    second.unlink()
    made.book.log.append(lambda state, c: [])


def test_after_a_failed_read_write_or_sync_the_records_are_read_only_with_the_reason(
    worked: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = _copy(worked, tmp_path)
    made = Shop(str(path), Clock(worked.time.at))
    before = made.state.number

    def fails(name: str) -> Callable[..., object]:
        def act(state: object, c: object) -> object:
            error = sqlite3.OperationalError("disk I/O error")
            error.sqlite_errorname = name  # type: ignore[misc]
            raise error

        return act

    with pytest.raises(OutputError, match="nothing was written"):
        made.book.log.append(fails("SQLITE_FULL"))  # type: ignore[arg-type]
    made.receive("L0")
    assert "SQLITE_IOERR_FSYNC" in refused("R101", lambda: made.book.log.append(fails("SQLITE_IOERR_FSYNC")))  # type: ignore[arg-type]
    refused("R101", lambda: made.receive("L1"))
    assert made.state.number == before + 1, "reading goes on"
    again = Shop(str(path), Clock(worked.time.at))
    assert "SQLITE_IOERR_FSYNC" in refused("R101", lambda: again.receive("L1"))


def test_a_clock_that_goes_back_is_shown_and_the_place_in_the_log_orders() -> None:
    made = shop()
    made.begin_job()
    made.time.go(hours=-3)
    made.do("A1/0/0")
    state = made.state
    assert len(state.behind) == 3
    rows = made.book.log.entries(state.behind[0])
    assert '"behind":10800' in rows[0][3]
    made.time.go(hours=-1)
    refused(
        "R109", lambda: made.book.log.append(lambda s, c: [Draft("S1", _move(), "2026-11-26T23:00:00.000Z")])
    )
    assert made.book.log.check().holds


def _move() -> e.LotMoved:
    return e.LotMoved(lot="L1", frozen=False, place="bench")


def test_a_clock_going_back_makes_no_lot_younger_until_two_say_it_was_wrong() -> None:
    made = shop()
    made.begin_job()
    made.receive("L1")
    made.time.go(days=60)
    made.receive("L2", expires="2028-01-01")
    ahead = made.state.number
    made.time.go(days=-60)
    refused("R141", lambda: made.book.issue(who("S1"), "L1", JOB, "O11/1/1", "1"))
    refused("R111", lambda: made.book.clock_was_wrong(who("S1"), ahead, ahead, "the battery"))
    made.book.clock_was_wrong(who("K1"), ahead, ahead, "the battery")
    refused("R141", lambda: made.book.issue(who("S1"), "L1", JOB, "O11/1/1", "1"))
    made.book.clock_was_wrong(who("K2"), ahead, ahead, "the battery, seen by two")
    made.book.issue(who("S1"), "L1", JOB, "O11/1/1", "1")
    assert made.book.log.check().holds


def test_secrets_never_stand_in_an_entry(worked: Shop) -> None:
    whole = "".join(t for *_, t in worked.book.log.entries())
    assert not any(x in whole + repr(who("T1")) for x in ("argon2", secret_of("T1")))
    assert CHEAP.memory < 100
