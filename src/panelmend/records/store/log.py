"""The log: read, and appended to under one lock and in one transaction."""

from __future__ import annotations

import contextlib
import gc
import sqlite3
import threading
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from panelmend.errors import InputError, OutputError
from panelmend.records import events as e
from panelmend.records.canonical import link, moment, seconds_between, sha256
from panelmend.records.refusals import BROKEN, BUSY, NO_PAPER, READ_ONLY, TAKEN, UNKNOWN_KIND, Refused
from panelmend.records.rules import check as look
from panelmend.records.rules.check import RULES
from panelmend.records.state import State
from panelmend.records.state.taking import take_entry
from panelmend.records.store import copies, kept, moves, opening
from panelmend.records.store.backup_written import write_copy
from panelmend.records.store.checking import CheckedLog, check_log
from panelmend.records.store.disk import IN_MEMORY, local_disk, one_name, one_writer
from panelmend.records.store.drafted import sealed_there, with_rules
from panelmend.records.store.governing import must_govern
from panelmend.records.store.heads import HEAD_CHARACTERS, Draft, Now, Taken, printed_head, utc_now
from panelmend.records.store.papers import look_at_papers, named, papers_there
from panelmend.records.store.tables import ENTRIES, PAPERS, SECRETS
from panelmend.records.store.undisturbed import undisturbed

_MANY = 10_000  # entries read at once
_LOCK = 0x70616E656C  # any number, the same for every writer of a PostgreSQL database


class Log:
    """The log of one database."""

    def __init__(self, engine: sa.Engine, path: Path | None, now: Now = utc_now, wait: float = 30.0) -> None:
        self.engine, self.path, self.now, self.wait = engine, path, now, wait
        self._state: State | None = None
        self._one = threading.RLock()  # the state is one thing: no thread reads on where another appends
        self._kept = 0  # at which entry the state beside the log stands, by what is known here
        self._believed = False  # whether the state began with that one
        self.halted = ""
        if path is not None:
            with contextlib.suppress(FileNotFoundError, OSError):
                self.halted = self._mark().read_text("utf8", errors="replace").strip()[:300]

    # --- opening

    @staticmethod
    def open(where: str, *, now: Now = utc_now, make: bool = False, wait: float = 30.0) -> Log:
        """Open the records.

        Args:
            where: a file, or the URL of a PostgreSQL database ("postgresql://...").
            now: the clock.
            make: make what is not there.
            wait: for another writer [s].

        Raises:
            Refused: no local disk, settings that are not kept, a shape of another release.
            InputError: nothing is there.
            OutputError: it cannot be made.
        """
        if where.startswith(("postgresql:", "postgresql+", "postgres:")):
            log = Log(opening.postgres_engine(where), None, now, wait)
        else:
            path = Path(where).resolve()  # one lock, whatever the links that lead there
            if not path.parent.is_dir():
                raise InputError("there is no such folder", where=str(path.parent), todo="make it first")
            local_disk(path)
            if not make and not path.is_file():
                raise InputError(
                    "there are no records", where=where, todo="begin them: panelmend records begin"
                )
            log = Log(opening.sqlite_engine(path, make=make), path, now, wait)
        log._prove(make)
        return log

    def _prove(self, make: bool) -> None:
        try:
            with self.reading() as connection:
                if self.path is None:
                    opening.prove_postgres(connection)
                shape = moves.shape_of(connection)
        except (sa.exc.DBAPIError, sqlite3.Error) as error:
            raise self._failed(error) from error
        if make:
            if shape:
                raise TAKEN(f"{self.path or 'the database'} holds records already")
            return
        if not shape:
            raise InputError("there are no records", where=str(self.path), todo="panelmend records begin")
        if shape != moves.newest():
            with self._writing() as connection:
                moves.move_up(connection)

    def settings(self) -> dict[str, object]:
        """The settings as they read back, and the kind of disk."""
        with self.reading() as connection:
            if self.path is None:
                return opening.prove_postgres(connection)
            raw = connection.connection.driver_connection
            assert isinstance(raw, sqlite3.Connection)
            kind = local_disk(self.path)
            shown = {n: raw.execute(f"PRAGMA {n}").fetchone()[0] for n, _, _ in opening.PRAGMAS}
        held = "in memory: lost when the machine stops" if kind in IN_MEMORY else kind
        return {"disk": held, "SQLite": sqlite3.sqlite_version, **shown}

    # --- reading

    @contextlib.contextmanager
    def reading(self) -> Iterator[sa.Connection]:
        """A transaction that only reads."""
        with self.engine.connect() as plain:
            connection = plain.execution_options(reads=True)
            with connection.begin():
                yield connection

    @property
    def state(self) -> State:
        """What is so now, by all that was appended by anybody."""
        with self._one:
            try:
                with self.reading() as connection:
                    state = self._catch_up(connection)
            except (sa.exc.DBAPIError, sqlite3.Error) as error:
                raise self._failed(error) from error
            self._keep_state(state)
            return state

    def anew(self) -> State:
        """What is so now, computed here from the first entry on and not from what was kept beside the log."""
        try:
            with self._one, self.reading() as connection:
                if self._believed or self._state is None:
                    self._state, self._believed = State(), False
                return self._catch_up(connection)
        except (sa.exc.DBAPIError, sqlite3.Error) as error:
            raise self._failed(error) from error

    def _kept_state(self, connection: sa.Connection) -> State:
        """The state kept beside the log where it is of an entry that stands there; else that of no entry."""
        found = kept.load_state(self.path) if self.path is not None else None
        if found is None:
            return State()
        row = sa.select(ENTRIES.c.hash).where(ENTRIES.c.number == found.number)
        below = sa.select(sa.func.count()).where(ENTRIES.c.number <= found.number)
        if (
            connection.execute(row).scalar() != found.head
            or connection.execute(below).scalar() != found.number
        ):
            return State()
        self._kept, self._believed = found.number, True
        return found.state

    def _keep_state(self, state: State) -> None:
        if self.path is not None and not self.halted and state.number - self._kept >= kept.EVERY:
            self._kept = state.number  # where it cannot be written it is not tried at every entry
            kept.keep_state(self.path, state)

    def _catch_up(self, connection: sa.Connection) -> State:
        state = self._state if self._state is not None else self._kept_state(connection)
        self._state = None
        rows = connection.execute(
            sa.select(ENTRIES).where(ENTRIES.c.number > state.number).order_by(ENTRIES.c.number)
        )
        before = state.number
        with undisturbed():
            self._take_rows(state, rows)
        if state.number - before > _MANY:  # all of it stays: no look for cycles goes through it again
            gc.freeze()
        self._state = state
        return state

    @staticmethod
    def _take_rows(state: State, rows: Iterable[Any]) -> None:
        for number, before, hashed, text in rows:
            if (
                number != state.number + 1
                or before != state.head
                or hashed != link(number, before, sha256(text))
            ):
                raise BROKEN(f"entry {number}")
            try:
                take_entry(state, e.entry_kept(number, before, text), hashed)
            except (KeyError, IndexError, ValueError) as error:
                raise BROKEN(f"entry {number} does not fit what stands before it: {error}") from error

    def entries(self, first: int = 1, last: int | None = None) -> list[tuple[int, str, str, str]]:
        """Rows of the log: number, hash before, hash, text."""
        query = sa.select(ENTRIES).where(ENTRIES.c.number >= first).order_by(ENTRIES.c.number)
        if last is not None:
            query = query.where(ENTRIES.c.number <= last)
        with self.reading() as connection:
            return [(int(n), str(b), str(h), str(t)) for n, b, h, t in connection.execute(query)]

    def some(self, numbers: Sequence[int]) -> list[tuple[int, str, str, str]]:
        """Rows of the log by their numbers, in order."""
        found: list[tuple[int, str, str, str]] = []
        with self.reading() as connection:
            for i in range(0, len(numbers), 500):
                query = sa.select(ENTRIES).where(ENTRIES.c.number.in_(numbers[i : i + 500]))
                rows = connection.execute(query.order_by(ENTRIES.c.number))
                found += [(int(n), str(b), str(h), str(t)) for n, b, h, t in rows]
        return found

    def paper(self, digest: str) -> bytes:
        """A paper by its digest. Raises Refused where it is not there or is another."""
        with self.reading() as connection:
            data = connection.execute(sa.select(PAPERS.c.data).where(PAPERS.c.digest == digest)).scalar()
        if data is None:
            raise NO_PAPER(digest[:12])
        if sha256(bytes(data)) != digest:
            raise BROKEN(f"paper {digest[:12]}")
        return bytes(data)

    def secret(self, connection: sa.Connection, digest: str) -> str:
        """The argon2id hash with a digest; "" where it is not there or is another."""
        found = connection.execute(sa.select(SECRETS.c.hash).where(SECRETS.c.digest == digest)).scalar()
        return str(found) if found is not None and sha256(str(found)) == digest else ""

    # --- appending

    def append(
        self,
        build: Callable[[State, sa.Connection], Sequence[Draft]],
        papers: Mapping[str, bytes] | None = None,
        secrets: Mapping[str, str] | None = None,
    ) -> tuple[Taken, ...]:
        """Append what ``build`` makes of the state at the head, all of it or nothing.

        Args:
            build: from the state and the connection of the transaction to the drafts; may refuse.
            papers: contents by digest that the entries name.
            secrets: argon2id hashes by digest.

        Returns:
            The entries, once they are on the disk.

        Raises:
            Refused: a rule, or the records are read-only.
            OutputError: the disk; nothing was acknowledged.
        """
        with self._one:
            return self._appended(build, papers or {}, secrets or {})

    def _appended(
        self,
        build: Callable[[State, sa.Connection], Sequence[Draft]],
        papers: Mapping[str, bytes],
        secrets: Mapping[str, str],
    ) -> tuple[Taken, ...]:
        made: list[Taken] = []
        with self._writing() as connection:
            if not moves.shape_of(connection):
                moves.move_up(connection)
            state = self._catch_up(connection)
            if state.rules > RULES:
                raise UNKNOWN_KIND(f"rules {state.rules}; this release knows {RULES}")
            drafts = build(state, connection)
            if self.path is not None:
                must_govern(self.path, state, drafts, lambda n: self.some([n])[0][2])
            self._keep(connection, papers, secrets)
            for draft in with_rules(state, drafts):
                entry = self._entry(state, draft)
                look(state, entry)
                papers_there(connection, entry.what)
                if state.rules >= 2:
                    look_at_papers(connection, entry.what)
                text = entry.text()
                hashed = link(entry.number, entry.before, sha256(text))
                connection.execute(
                    sa.insert(ENTRIES).values(
                        number=entry.number, before=entry.before, hash=hashed, text=text
                    )
                )
                again = e.entry_of(entry.number, entry.before, text)  # what is read later is what was meant
                self._state = None  # until the disk has it
                take_entry(state, again, hashed)
                made.append(Taken(again, hashed))
        self._state = state
        if self.path is not None:
            copies.note_last(self.path, state.number, state.head)
        self._keep_state(state)
        return tuple(made)

    def _entry(self, state: State, draft: Draft) -> e.Entry:
        entered = moment(self.now())
        at = draft.at or max(entered, state.latest)
        behind = max(0, seconds_between(entered, state.latest)) if state.latest else 0
        fields = {"by": draft.by, "at": at, "entered": entered, "late": draft.late, "behind": behind}
        made: e.Entry = e.made(
            e.Entry,
            number=state.number + 1,
            before=state.head,
            what=draft.what.model_dump(mode="json"),
            **fields,
        )
        return sealed_there(state, made, draft.seed) if draft.seed is not None else made

    def _keep(
        self, connection: sa.Connection, papers: Mapping[str, bytes], secrets: Mapping[str, str]
    ) -> None:
        for table, column, held in ((PAPERS, "data", papers), (SECRETS, "hash", secrets)):
            for digest, data in held.items():
                assert sha256(data) == digest, "a digest that is not of its paper"
                there = connection.execute(sa.select(table.c.digest).where(table.c.digest == digest)).scalar()
                if there is None:
                    connection.execute(sa.insert(table).values({"digest": digest, column: data}))

    @contextlib.contextmanager
    def _writing(self) -> Iterator[sa.Connection]:
        """One writer, one transaction, committed at the end."""
        if self.halted:
            raise READ_ONLY(self.halted)
        if self.path is not None:
            one_name(self.path)
        lock = one_writer(self.path, self.wait) if self.path is not None else contextlib.nullcontext()
        with lock:
            try:
                with self.engine.connect() as connection, connection.begin():
                    if self.path is None:
                        connection.execute(sa.text(f"SET LOCAL lock_timeout = '{int(1000 * self.wait)}ms'"))
                        connection.execute(sa.select(sa.func.pg_advisory_xact_lock(_LOCK)))
                    yield connection
            except (sa.exc.DBAPIError, sqlite3.Error) as error:
                self._state = None
                raise self._failed(error) from error

    def _failed(self, error: sa.exc.DBAPIError | sqlite3.Error) -> Exception:
        words, stop = opening.why(error)
        if isinstance(getattr(error, "orig", None), Refused):
            raise error.orig  # type: ignore[union-attr,misc]
        if opening.busy(error):
            return BUSY(words)
        if stop:
            self.halted = f"{words}, {moment(self.now())}"
            if self.path is not None:
                with contextlib.suppress(OSError):
                    self._mark().write_text(self.halted + "\n", "utf8")
            return READ_ONLY(self.halted)
        return OutputError(f"nothing was written: {words}")

    def _mark(self) -> Path:
        assert self.path is not None
        return self.path.with_name(self.path.name + ".halted")

    # --- copies

    def backup(self, target: Path) -> CheckedLog:
        """Write a copy while the records are in use, and check its links; what it ends at.

        Args:
            target: a new file. From PostgreSQL too it is one of SQLite, with the same entries and papers.

        Raises:
            OutputError: it is there already, or cannot be written.
        """
        return write_copy(self, target)

    # --- checking

    def check(self, head: str = "", *, rules: bool = True, since: str = "") -> CheckedLog:
        """Check the whole log: every link, every spelling, every rule, every paper, the triggers.

        Args:
            head: a head printed on paper ("number-16 characters"), which the log must reach.
            rules: the rules too; without them the links, the papers and the file alone, several times faster.
            since: a head at which an earlier whole check ended: seals and rules of what follows it alone.
        """
        return check_log(self, head, rules=rules, since=since)


__all__ = [
    "HEAD_CHARACTERS",
    "CheckedLog",
    "Draft",
    "Log",
    "Now",
    "Taken",
    "named",
    "printed_head",
    "utc_now",
]
