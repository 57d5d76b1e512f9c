"""The drill that shows that a backup can be worked from."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from tempfile import TemporaryDirectory

import sqlalchemy as sa

from panelmend.errors import InputError, OutputError
from panelmend.records.refusals import BROKEN, READ_ONLY, Refused
from panelmend.records.store.backup_written import copy_file
from panelmend.records.store.checking import CheckedLog
from panelmend.records.store.log import Log


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
    try:
        copy_file(backup, copied)
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
