"""Opening a database: settings given and read back, so that none is believed that is not kept."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.pool import NullPool

from panelmend.records.refusals import SETTINGS

BUSY_MS = 30_000
PRAGMAS: tuple[tuple[str, str, object], ...] = (
    ("journal_mode", "DELETE", "delete"),
    ("synchronous", "EXTRA", 3),
    ("fullfsync", "ON", 1),  # macOS: a plain sync leaves the data in the drive
    ("foreign_keys", "ON", 1),
    ("trusted_schema", "OFF", 0),
    ("cell_size_check", "ON", 1),
    ("mmap_size", "0", 0),
    ("recursive_triggers", "ON", 1),
    ("busy_timeout", str(BUSY_MS), BUSY_MS),
)
"""Each setting of SQLite as it is given, and as it must read back.

A rollback journal with a sync of its folder rather than a write-ahead log: SQLite before 3.51.3 can lose
pages of a write-ahead log when two connections write and reset it at once, and Debian's is older. One
file is also what people copy. It costs some 20 ms more an entry, which nobody at a bench notices."""
POSTGRES: tuple[tuple[str, str], ...] = (
    ("fsync", "on"),
    ("full_page_writes", "on"),
    ("synchronous_commit", "on"),
    ("server_encoding", "UTF8"),
    ("transaction_isolation", "read committed"),
)


def sqlite_engine(path: Path, *, make: bool = False) -> sa.Engine:
    """An engine on a file; without ``make`` the file must be there.

    Its connections prove their settings. Transactions take the write lock as they begin.
    """

    def connect() -> sqlite3.Connection:
        quoted = path.resolve().as_uri()
        made = sqlite3.connect(
            f"{quoted}?mode={'rwc' if make else 'rw'}",
            uri=True,
            isolation_level=None,
            timeout=BUSY_MS / 1000,
            check_same_thread=False,
        )
        try:
            prove_sqlite(made)
        except BaseException:
            made.close()
            raise
        return made

    engine = sa.create_engine("sqlite://", creator=connect, poolclass=NullPool)

    @sa.event.listens_for(engine, "begin")
    def begin(connection: sa.Connection) -> None:
        reads = connection.get_execution_options().get("reads")
        connection.exec_driver_sql("BEGIN" if reads else "BEGIN IMMEDIATE")

    return engine


def prove_sqlite(connection: sqlite3.Connection) -> dict[str, object]:
    """Give a connection its settings and read each back.

    Raises:
        Refused: one is not kept.
    """
    shown: dict[str, object] = {}
    for name, given, wanted in PRAGMAS:
        connection.execute(f"PRAGMA {name}={given}")
        row = connection.execute(f"PRAGMA {name}").fetchone()
        shown[name] = row[0] if row else None
        if shown[name] != wanted:
            raise SETTINGS(f"{name} reads {shown[name]!r}, {wanted!r} was given")
    return shown


def postgres_engine(url: str) -> sa.Engine:
    """An engine on a PostgreSQL server by its URL."""
    made = sa.make_url(url)
    if made.drivername in ("postgresql", "postgres"):
        made = made.set(drivername="postgresql+psycopg")
    try:
        return sa.create_engine(made, poolclass=NullPool)
    except (ImportError, sa.exc.NoSuchModuleError) as error:
        raise SETTINGS(f"no driver for {made.drivername}: install panelmend[postgresql]") from error


def prove_postgres(connection: sa.Connection) -> dict[str, object]:
    """Read the server's settings. Raises Refused where one loses what was acknowledged."""
    shown: dict[str, object] = {}
    for name, wanted in POSTGRES:
        shown[name] = connection.execute(sa.text(f"SHOW {name}")).scalar()
        if shown[name] != wanted:
            raise SETTINGS(f"{name} is {shown[name]!r} on the server, it must be {wanted!r}")
    return shown


def _code(error: BaseException) -> str:
    orig: Any = getattr(error, "orig", None) or error
    return getattr(orig, "sqlite_errorname", "") or type(orig).__name__


def busy(error: BaseException) -> bool:
    """Whether somebody else is writing: the same entry may be tried again."""
    return _code(error).startswith("SQLITE_BUSY") or _code(error) == "LockNotAvailable"


def why(error: BaseException) -> tuple[str, bool]:
    """Words for a database error, and whether writing must stop until somebody has looked.

    A full disk takes no entry and harms none; after an error of reading, writing or syncing nobody knows what
    the disk holds."""
    orig: Any = getattr(error, "orig", None) or error
    name = _code(error)
    stop = name.startswith(("SQLITE_IOERR", "SQLITE_CORRUPT", "SQLITE_NOTADB", "SQLITE_PROTOCOL"))
    return f"{str(orig).strip().splitlines()[0][:160]} ({name})", stop
