"""Writing a backup of records in use."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path
from typing import TYPE_CHECKING

import sqlalchemy as sa

from panelmend.errors import OutputError
from panelmend.files import sync_file, sync_folder
from panelmend.records.store import moves, opening
from panelmend.records.store.checking import CheckedLog
from panelmend.records.store.tables import KEPT

if TYPE_CHECKING:
    from panelmend.records.store.log import Log

_PAGES = 2000  # copied at a time, so that a writer waits only briefly


def write_copy(log: Log, target: Path) -> CheckedLog:
    """Write a copy of a log and check its links. Raises OutputError, Refused."""
    if target.exists():
        raise OutputError(f"{target} is there already: a backup never overwrites another")
    part = target.with_name(target.name + ".part")
    try:
        part.unlink(missing_ok=True)
        if log.path is not None:
            copy_file(log.path, part)
        else:
            _copy_rows(log, part)
        sync_file(part)
        found = type(log).open(str(part)).check(rules=False)
        found.must_hold()
        os.replace(part, target)
        sync_folder(target.parent)
    except (OSError, sqlite3.Error, sa.exc.DBAPIError) as error:
        part.unlink(missing_ok=True)
        raise OutputError(f"the backup was not written: {error}") from error
    return found


def copy_file(source: Path, target: Path) -> None:
    """Copy a database of records that may be in use. Raises sqlite3.Error, OSError."""
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
