"""Records: an entry with its acknowledgement, questions about many repairs, a backup while others write.

SQLite and PostgreSQL side by side, each beside the bare database that writes the same rows. Secrets are
hashed as cheaply as in the tests; what one of full cost takes is told apart. SQLite lies in out/ on the disk;
the many repairs are made in memory, since only questions are asked of them. Times are wall clock unless they
say processor.

    scripts/bench records [--appends 200] [--repairs 100000] [--no-postgresql] [--repairs-alone]
"""

from __future__ import annotations

import argparse
import json
import os
import signal
import sqlite3
import statistics
import sys
import time
from collections.abc import Callable
from contextlib import ExitStack
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

ROOT = Path(__file__).parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

import postgres_here  # noqa: E402
from panelmend.app.records_shop import shop_words  # noqa: E402
from panelmend.records import seals  # noqa: E402
from panelmend.records import secrets as s  # noqa: E402
from panelmend.records.book import Book  # noqa: E402
from panelmend.records.canonical import link, sha256  # noqa: E402
from panelmend.records.store import copies  # noqa: E402
from panelmend.records.store.opening import PRAGMAS  # noqa: E402
from records_made import CHEAP, Shop, Time, begin, secret_of, steps  # noqa: E402

TABLE = "CREATE TABLE bare (number BIGINT PRIMARY KEY, before TEXT, hash TEXT UNIQUE, text TEXT)"
BATCH = 3000  # repairs that are entered in one transaction


def told(what: str, times: list[float]) -> None:
    """Median, 95th percentile and longest of some times."""
    times = sorted(times)
    late = times[min(len(times) - 1, int(0.95 * len(times)))]
    row = f"{1e3 * statistics.median(times):.2f} | {1e3 * late:.2f} | {1e3 * times[-1]:.2f}"
    print(f"| {what} | {len(times)} | {row} |", flush=True)


def timed(runs: int, act: Callable[[int], object]) -> list[float]:
    """How long each run took [s]."""
    found = []
    for n in range(runs):
        start = time.perf_counter()
        act(n)
        found.append(time.perf_counter() - start)
    return found


def appends(made: Shop, runs: int, name: str) -> list[tuple[int, str, str, str]]:
    """Lots received one by one; the rows they came to."""
    first = made.state.number + 1
    told(f"{name}: entry taken, checked by every rule", timed(runs, lambda n: made.receive(f"A{n}")))
    return made.book.log.entries(first)


def bare_sqlite(path: Path, rows: list[tuple[int, str, str, str]]) -> None:
    """The same rows by the plain driver with the same settings."""
    plain = sqlite3.connect(path, isolation_level=None)
    for name, given, _ in PRAGMAS:
        plain.execute(f"PRAGMA {name}={given}")
    plain.execute(TABLE)

    def write(n: int) -> None:
        plain.execute("BEGIN IMMEDIATE")
        plain.execute("INSERT INTO bare VALUES (?, ?, ?, ?)", rows[n])
        plain.execute("COMMIT")

    told("SQLite, bare: the same rows", timed(len(rows), write))
    plain.close()


def bare_postgresql(url: str, rows: list[tuple[int, str, str, str]]) -> None:
    """The same rows by the plain driver."""
    import psycopg

    with psycopg.connect(url.replace("postgresql+psycopg", "postgresql"), autocommit=True) as plain:
        plain.execute(TABLE)

        def write(n: int) -> None:
            with plain.transaction():
                plain.execute("INSERT INTO bare VALUES (%s, %s, %s, %s)", rows[n])

        told("PostgreSQL, bare: the same rows", timed(len(rows), write))


def backed_up(made: Shop, folder: Path, name: str) -> None:
    """A backup while another process writes without a pause, and how long that one's entries take."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        other = Shop(made.where, Time(made.time.at))
        out = os.fdopen(write, "w", buffering=1)
        for n in range(10**6):
            start = time.perf_counter()
            other.receive(f"B{n}")
            out.write(f"{start} {time.perf_counter() - start}\n")
    os.close(write)
    time.sleep(3)
    start = time.perf_counter()
    try:
        found = made.book.log.backup(folder / f"{name}-backup.sqlite")
    finally:
        took = time.perf_counter() - start
        time.sleep(1)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
    with os.fdopen(read) as pipe:
        lines = [tuple(map(float, x.split())) for x in pipe.read().splitlines() if x.count(" ") == 1]
    during = [t for at, t in lines if start - t <= at <= start + took]
    told(f"{name}: entries of another while {found.number} are backed up", during or [0.0])
    told(f"{name}: entries of another before and after", [t for at, t in lines if at + t < start])
    told(f"{name}: backup of {found.number} entries with its check of links", [took])


class Many:
    """A log of many small repairs: begun, a lot drawn, stopped. Their entries are those that the records
    would have made, written past them for speed; that they hold is seen by every rule."""

    def __init__(self, folder: Path) -> None:
        self.made = made = begin(str(folder / "many.sqlite"), Time())
        for n in range(100):
            made.receive(f"L{n}", amount="1000000", frozen=False, out_life=None)
        with made.book.log.reading() as connection:
            row = made.book.log.secret(connection, made.state.people["P1"].secret)
        seed = s.Hashes(CHEAP).seed(row, secret_of("P1"))
        assert seed is not None
        self.seed, self.repairs, self.records = seed, 0, made.state.records
        card = steps()[1].model_copy(update={"needs": (), "number": 1})
        made.begin_job("R-first", steps=[card], clocks=(), document=PAPER, pages={}, earlier=[])
        self.first = json.loads(made.book.log.entries()[-1][3])
        self.number, self.head, self.step = made.state.number, made.state.head, card.key

    def grow(self, repairs: int) -> None:
        """Write on until there are so many."""
        start, before = time.process_time(), self.number
        log = self.made.book.log
        while self.repairs < repairs:
            rows: list[tuple[int, str, str, str]] = []
            for n in range(self.repairs, min(self.repairs + BATCH, repairs)):
                self._repair(n, rows)
            with log._writing() as connection:
                connection.exec_driver_sql("INSERT INTO entries VALUES (?, ?, ?, ?)", rows)
            self.repairs = min(self.repairs + BATCH, repairs)
        assert log.path is not None
        copies.note_last(log.path, self.number, self.head)
        spent = time.process_time() - start
        each = 1e6 * spent / max(1, self.number - before)
        print(f"\n{self.number} entries of {repairs} repairs, written past the rules, {each:.0f} us each")

    def _repair(self, n: int, rows: list[tuple[int, str, str, str]]) -> None:
        plan = sha256(f"{n}")
        what = {
            **self.first["what"],
            "job": f"R-{n}",
            "plan": plan,
            "panel": f"P-{n % 97}",
            "serial": f"{n % 4001}",
        }
        signature = {k: v for k, v in what.pop("signature").items() if k != "seal"}
        content = sha256(TEXT({"records": self.records, "opened": what}))
        signature |= {"plan": plan, "ticket": f"{n:032x}", "content": content}
        bare = TEXT({**self.first, "what": {**what, "signature": signature}})
        sealed = seals.seal(self.seed, seals.text_of(self.records, self.number + 1, self.head, bare))
        self._put(rows, "P1", {**what, "signature": {**signature, "seal": sealed}})
        drawn = {
            "kind": "lot issued",
            "lot": f"L{n % 100}",
            "job": f"R-{n}",
            "step": self.step,
            "amount": "1",
        }
        self._put(rows, "S1", drawn)
        self._put(rows, "P1", {"kind": "job stopped", "job": f"R-{n}", "why": "done"})

    def _put(self, rows: list[tuple[int, str, str, str]], by: str, what: dict[str, Any]) -> None:
        text = TEXT({**self.first, "by": by, "what": what})
        hashed = link(self.number + 1, self.head, sha256(text))
        rows.append((self.number + 1, self.head, hashed, text))
        self.number, self.head = self.number + 1, hashed


PAPER = b"the document"
TEXT = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode


def spent(what: str, entries: int, act: Callable[[], object]) -> object:
    """What something came to; tells the processor time it took in all and for an entry."""
    start, wall = time.process_time(), time.perf_counter()
    made = act()
    took = time.process_time() - start
    each = 1e6 * took / entries
    print(f"| {what} | {took:.2f} | {each:.1f} | {time.perf_counter() - wall:.2f} |", flush=True)
    return made


def looked_over(many: Many, *, rules: bool) -> Book:
    """The log checked and opened, beside the bare database that reads and hashes the same rows."""
    made, count = many.made, many.number
    print("\n| what | s | us an entry | wall s |\n| --- | --- | --- | --- |")
    spent(f"bare: {count} rows read", count, lambda: bare_rows(made.where))
    spent("bare: rows read, each text hashed", count, lambda: [sha256(t) for *_, t in bare_rows(made.where)])
    for every in (False, True) if rules else (False,):
        what = "check with every rule" if every else "check of links"
        found: Any = spent(what, count, partial(made.book.log.check, rules=every))
        assert found.holds, found.faults[:2]
        assert found.number == count
    book: Any = spent("opened", count, lambda: opened(made))
    return book  # type: ignore[no-any-return]


def opened(made: Shop) -> Book:
    """The records opened by another, all of the state there."""
    book = Book.open(made.where, cost=CHEAP, now=made.time)
    assert book.state.number
    return book


def bare_rows(where: str, numbers: list[int] | None = None) -> list[Any]:
    """Rows by the plain driver."""
    with sqlite3.connect(where) as plain:
        if numbers is None:
            return plain.execute("SELECT number, before, hash, text FROM entries ORDER BY number").fetchall()
        found = []
        for i in range(0, len(numbers), 500):
            some = numbers[i : i + 500]
            marks = ",".join("?" * len(some))
            found += plain.execute(f"SELECT text FROM entries WHERE number IN ({marks})", some).fetchall()
        return found


def asking(book: Book, asked: list[str], n: int) -> object:
    """One of some questions."""
    return book.history(asked[n])


def questions(book: Book, where: str, repairs: int) -> None:
    """Each question of a log of many repairs, beside the bare database that fetches the same rows."""
    table()
    kinds = {
        "a repair": [f"job R-{n * 37 % repairs}" for n in range(30)],
        "a panel": [f"panel P-{n % 97} {n % 97}" for n in range(30)],
        "a lot": [f"lot L{n}" for n in range(10)],
        "a person (every repair)": ["person P1"],
    }
    for what, asked in kinds.items():
        found = book.history(asked[0])
        told(f"history of {what}: {len(found)} entries", timed(len(asked), partial(asking, book, asked)))
        numbers = [x.number for x in found]
        told(
            "bare: the same rows by number", timed(len(asked), lambda n, rows=numbers: bare_rows(where, rows))
        )
    told("shop view", timed(3, lambda n: shop_words(book.state)))


def table() -> None:
    """The head of a table."""
    print("| what | runs | median, ms | 95 %, ms | longest, ms |\n| --- | --- | --- | --- | --- |")


def main() -> None:
    """Measure, and print tables."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--appends", type=int, default=200)
    asked.add_argument("--repairs", type=int, default=100_000)
    asked.add_argument("--no-postgresql", action="store_true")
    asked.add_argument("--repairs-alone", action="store_true")
    given = asked.parse_args()
    (ROOT / "out").mkdir(exist_ok=True)
    with ExitStack() as held:
        print(f"load {os.getloadavg()[0]:.1f}\n")
        if not given.repairs_alone:
            entries(held, given.appends, postgresql=not given.no_postgresql)
        if given.repairs:
            memory = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
            many = Many(Path(held.enter_context(TemporaryDirectory(dir=memory))))
            few = min(given.repairs, 33_300)  # 100,000 entries
            many.grow(few)
            book = looked_over(many, rules=True)
            if given.repairs > few:
                del book
                many.grow(given.repairs)
                book = looked_over(many, rules=False)
            questions(book, many.made.where, given.repairs)
        print(f"\nload {os.getloadavg()[0]:.1f}")


def entries(held: ExitStack, runs: int, *, postgresql: bool) -> None:
    """Entries one by one and a backup meanwhile, by either database."""
    folder = Path(held.enter_context(TemporaryDirectory(dir=ROOT / "out")))
    table()
    full = s.Hashes(s.FULL)
    kept = full.make("a secret of full cost")
    told("a secret of full cost tried", timed(5, lambda n: full.seed(kept, "a secret of full cost")))
    made = begin(str(folder / "shop.sqlite"), Time())
    rows = appends(made, runs, "SQLite")
    bare_sqlite(folder / "bare.sqlite", rows)
    backed_up(made, folder, "SQLite")
    if postgresql and postgres_here.programs() is not None:
        url = held.enter_context(postgres_here.server())
        made = begin(url, Time())
        rows = appends(made, runs, "PostgreSQL")
        bare_postgresql(url, rows)
        backed_up(made, folder, "PostgreSQL")


if __name__ == "__main__":
    main()
