"""Backups of records in use, and the drill that shows that one can be worked from."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import sqlalchemy as sa

from panelmend.errors import InputError, OutputError
from panelmend.files import sync_file, sync_folder
from panelmend.records.refusals import BROKEN, READ_ONLY, Refused
from panelmend.records.store import moves, opening
from panelmend.records.store.checking import CheckedLog
from panelmend.records.store.tables import KEPT

if TYPE_CHECKING:
    from panelmend.records.store.log import Log

_PAGES = 2000  # copied at a time, so that a writer waits only briefly


def write_copy(log: Log, target: Path) -> CheckedLog:
    """Write a copy of a log and check its links. Raises OutputError, Refused."""
    from panelmend.records.store.log import Log

    if target.exists():
        raise OutputError(f"{target} is there already: a backup never overwrites another")
    part = target.with_name(target.name + ".part")
    try:
        part.unlink(missing_ok=True)
        if log.path is not None:
            _copy_file(log.path, part)
        else:
            _copy_rows(log, part)
        sync_file(part)
        found = Log.open(str(part)).check(rules=False)
        found.must_hold()
        os.replace(part, target)
        sync_folder(target.parent)
    except (OSError, sqlite3.Error, sa.exc.DBAPIError) as error:
        part.unlink(missing_ok=True)
        raise OutputError(f"the backup was not written: {error}") from error
    return found


def _copy_file(source: Path, target: Path) -> None:
    read = sqlite3.connect(f"{source.resolve().as_uri()}?mode=ro", uri=True)
    write = sqlite3.connect(target)
    try:
        read.backup(write, pages=_PAGES)
    finally:
        write.close()
        read.close()


def _copy_rows(log: Log, target: Path) -> None:
    engine = opening.sqlite_engine(target, make=True)
    with log.reading() as read, engine.connect() as write, write.begin():
        moves.move_up(write)
        for table in KEPT:
            order = table.c.number if "number" in table.c else table.c.digest
            for row in read.execute(sa.select(table).order_by(order)):
                write.execute(sa.insert(table).values(dict(row._mapping)))


def drill(backup: Path, log: Log | None = None) -> CheckedLog:
    """Open a copy of a backup as somebody would after a disaster: check every rule, and compare with the
    records in use, where they can still be reached.

    Args:
        backup: a backup; it is not touched.
        log: the records it was made of.

    Raises:
        Refused: it does not hold, cannot be read, or is of other records, or of another history.
        OutputError: the copy that is tried cannot be written.
    """
    try:
        with TemporaryDirectory(dir=backup.parent) as folder:
            return _tried(backup, Path(folder) / backup.name, log)
    except OutputError:
        raise
    except OSError as error:
        raise OutputError(f"no copy of the backup can be written beside it: {error.strerror}") from error


def _tried(backup: Path, copied: Path, log: Log | None) -> CheckedLog:
    from panelmend.records.store.log import Log

    try:
        _copy_file(backup, copied)
        found = Log.open(str(copied)).check()
    except InputError as error:
        raise BROKEN(f"the backup {backup.name} holds no records") from error
    except (sqlite3.Error, sa.exc.DBAPIError) as error:
        raise BROKEN(f"the backup {backup.name} cannot be read: {error}") from error
    except Refused as refused:
        if refused.ground is not READ_ONLY:  # of the copy that is tried, not of the records in use
            raise
        raise BROKEN(f"the backup {backup.name} cannot be read: {refused.words}") from refused
    found.must_hold()
    if log is not None:
        rows = log.some([found.number])
        if not rows or rows[0][2] != found.head:
            raise BROKEN(f"entry {found.number} of the backup is another in the records, or not there")
    return found
