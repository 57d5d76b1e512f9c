"""Copies: which one governs, backups of records in use, and the drill before one is needed."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest
import sqlalchemy as sa

from panelmend.errors import OutputError
from panelmend.records.book import Book, Who
from panelmend.records.store import copies
from panelmend.records.store.backup import drill
from panelmend.records.store.log import Log
from panelmend.records.store.tables import PAPERS, SECRETS
from records_kept import write_rows
from records_made import A1, A3, CHEAP, JOB, ON_POSTGRESQL, Shop, Time, refused, shop, who

pytestmark = pytest.mark.skipif(ON_POSTGRESQL, reason="copies are of files; records on a server are one copy")


def _worked() -> Shop:
    made = shop()
    made.begin_job()
    made.do(A1)
    return made


def _copied(made: Shop, name: str = "copy.sqlite", *, all_of_it: bool = False) -> Shop:
    """The file copied elsewhere, as people do, with all that lies beside it if they are thorough."""
    source = Path(made.where)
    target = source.with_name(name)
    shutil.copyfile(source, target)
    for beside in (".here", ".last") if all_of_it else ():
        shutil.copyfile(str(source) + beside, str(target) + beside)
    return Shop(str(target), Time(made.time.at))


@pytest.mark.parametrize("all_of_it", [False, True])
def test_two_copies_of_a_job_never_both_take_signatures(all_of_it: bool) -> None:
    made = _worked()
    other = _copied(made, all_of_it=all_of_it)
    made.fill(A3)
    refused("R236", lambda: other.fill(A3))
    refused("R236", lambda: other.sign(A3, "did", "T1"))
    refused("R236", lambda: other.receive("L1"))
    assert other.book.log.check().holds, "it can be read, and checked"
    made.sign(A3, "did", "T1")


def test_handed_over_the_old_copy_is_read_only_and_the_new_one_goes_on() -> None:
    made = _worked()
    early = _copied(made, "early.sqlite")
    token = made.book.hand_over(who("K1"), "to the panel")
    refused("R236", lambda: made.fill(A3))
    field = _copied(made)
    refused("R236", lambda: field.fill(A3))
    refused("R236", lambda: field.book.take_over("0" * 32))
    refused("R236", lambda: early.book.take_over(token))
    field.book.take_over(token.upper())
    field.fill(A3)
    refused("R236", lambda: made.fill(A3))
    assert token not in "".join(t for *_, t in field.book.log.entries())
    assert field.book.log.check().holds


def test_a_backup_takes_over_from_a_lost_copy_on_the_word_of_two() -> None:
    made = _worked()
    saved = Path(made.where).with_name("saved.sqlite")
    made.book.log.backup(saved)
    restored = Shop(str(saved), Time(made.time.at))
    refused("R236", lambda: restored.fill(A3))
    refused("R111", lambda: restored.book.other_copy_is_lost(who("T1"), "the disk is dead"))
    restored.book.other_copy_is_lost(who("K1"), "the disk is dead")
    refused("R236", lambda: restored.fill(A3))
    refused("R146", lambda: restored.book.other_copy_is_lost(who("K1"), "the disk is dead"))
    restored.book.other_copy_is_lost(who("E1"), "seen it, it is dead")
    restored.fill(A3)
    assert restored.book.log.check().holds


def test_nobody_stops_the_copy_that_governs_by_saying_that_another_is_lost() -> None:
    """With no secret at all it went: what lay beside the file was changed before the secret was tried."""
    made = _worked()
    refused("R108", lambda: made.book.other_copy_is_lost(Who("T1", "not the secret, not at all"), "x"))
    refused("R108", lambda: made.book.other_copy_is_lost(who("K1"), "x"))
    made.fill(A3)


def test_a_wrong_secret_takes_nothing_from_what_one_keeper_said_of_the_lost_copy() -> None:
    made = _worked()
    saved = Path(made.where).with_name("saved.sqlite")
    made.book.log.backup(saved)
    restored = Shop(str(saved), Time(made.time.at))
    refused("R113", lambda: restored.book.other_copy_is_lost(Who("K1", "not the secret, at all"), "x"))
    assert not copies.token_beside(saved)
    restored.book.other_copy_is_lost(who("K1"), "the disk is dead")
    restored.book.other_copy_is_lost(who("K2"), "the disk is dead")
    restored.fill(A3)


def test_an_older_file_put_in_the_place_of_the_one_that_governs_takes_nothing() -> None:
    """The cut tail that a chain alone does not see, seen by the note beside the file."""
    made = _worked()
    saved = Path(made.where).read_bytes()
    made.fill(A3)
    Path(made.where).write_bytes(saved)
    older = Shop(made.where, made.time)
    refused("R107", lambda: older.fill(A3))
    assert copies.last_noted(Path(made.where))[0] > older.state.number
    Path(made.where + ".last").write_text("torn", "ascii")
    older.fill(A3)


def test_a_backup_in_use_holds_what_was_acknowledged_and_never_overwrites() -> None:
    made = _worked()
    saved = Path(made.where).with_name("saved.sqlite")
    found = made.book.log.backup(saved)
    assert (found.number, found.head) == (made.state.number, made.state.head)
    assert Book.open(str(saved), cost=CHEAP).state == made.state
    with pytest.raises(OutputError):
        made.book.log.backup(saved)
    with pytest.raises(OutputError):
        made.book.log.backup(saved.parent / "nowhere" / "saved.sqlite")
    assert not list(saved.parent.glob("*.part"))


def test_the_drill_opens_a_backup_checks_every_rule_and_compares() -> None:
    made = _worked()
    saved = Path(made.where).with_name("saved.sqlite")
    made.book.log.backup(saved)
    made.fill(A3)
    before = saved.read_bytes()
    found = drill(saved, made.book.log)
    assert found.number == made.state.number - 1
    assert saved.read_bytes() == before
    other = _worked()
    refused("R104", lambda: drill(saved, other.book.log))
    raw = sqlite3.connect(saved)
    raw.execute("DROP TRIGGER entries_no_update")
    raw.execute("UPDATE entries SET text = replace(text, 'R. Osk', 'R. Ost') WHERE number = 6")
    raw.commit()
    raw.close()
    refused("R104", lambda: drill(saved))


def test_the_drill_finds_a_reading_changed_in_a_backup_whose_links_were_all_made_anew() -> None:
    """Every link fits: the rules alone tell it, by the seals."""
    made = _worked()
    saved = Path(made.where).with_name("forged.sqlite")
    log = Log.open(str(saved), make=True)
    with made.book.log.reading() as connection:
        papers = [(str(d), bytes(x)) for d, x in connection.execute(sa.select(PAPERS)).all()]
        secrets = [(str(d), str(x)) for d, x in connection.execute(sa.select(SECRETS)).all()]
    texts = [t.replace('"revision 7"', '"revision 8"') for *_, t in made.book.log.entries()]
    assert texts != [t for *_, t in made.book.log.entries()]
    write_rows(log, texts, papers, secrets)
    assert Log.open(str(saved)).check(rules=False).holds
    refused("R104", lambda: drill(saved))


def test_the_records_themselves_are_no_photograph_of_theirs() -> None:
    made = _worked()
    saved = Path(made.where).with_name("saved.sqlite")
    made.book.log.backup(saved)
    before = made.state.number
    for data in (saved.read_bytes(), Path(made.where).read_bytes()):
        told = refused(
            "R108",
            lambda d=data: made.book.keep_file(who("T1"), JOB, A3, "p.jpg", d, "x"),  # type: ignore[misc]
        )
        assert "database" in told
    assert made.state.number == before
    made.book.keep_file(who("T1"), JOB, A3, "p.txt", b"SQLite format 3 is a form of files", "x")


@pytest.mark.parametrize("share", [0.0, 0.001, 0.3, 0.7, 0.99])
def test_the_drill_says_of_a_backup_that_was_cut_off_that_it_does_not_hold(share: float) -> None:
    made = _worked()
    saved = Path(made.where).with_name(f"saved-{share}.sqlite")
    made.book.log.backup(saved)
    data = saved.read_bytes()
    saved.write_bytes(data[: int(len(data) * share)])
    assert saved.name in refused("R104", lambda: drill(saved))
    assert not list(saved.parent.glob("tmp*"))


def test_the_drill_says_of_what_is_no_backup_that_it_does_not_hold(tmp_path: Path) -> None:
    text = tmp_path / "repair.toml"
    text.write_text("number = 1\n" * 500, "utf8")
    for path in (text, tmp_path, tmp_path / "nothing"):
        assert path.name in refused("R104", lambda p=path: drill(p))  # type: ignore[misc]
    damaged = _worked()
    saved = tmp_path / "saved.sqlite"
    damaged.book.log.backup(saved)
    data = bytearray(saved.read_bytes())
    data[4096 : 4096 * 3] = bytes(range(256)) * 32
    saved.write_bytes(data)
    refused("R104", lambda: drill(saved))


def test_records_of_the_first_release_have_no_copy_that_governs_until_one_is_named(tmp_path: Path) -> None:
    made = shop()
    log = Log.open(made.where)
    assert log.state.governs
    assert copies.governs(Path(made.where), log.state.governs)
    assert not copies.governs(Path(made.where), "0" * 64)
    Path(made.where + ".here").write_text("{", "utf8")
    with pytest.raises(OutputError):
        made.receive("L1")
    assert JOB not in made.state.jobs
