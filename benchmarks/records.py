"""Records: an entry with its acknowledgement, questions about many repairs, a backup while others write.

SQLite and PostgreSQL side by side, each beside the bare database that writes the same rows. Secrets are
hashed as cheaply as in the tests; what one of full cost takes is told apart. SQLite lies in out/ on the disk;
the many repairs are made in memory, since only questions are asked of them. Times are wall clock unless they
say processor.

    scripts/bench records [--appends 200] [--repairs 100000] [--no-postgresql]
"""

from __future__ import annotations

import argparse
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
from panelmend.records import events as e  # noqa: E402
from panelmend.records import secrets as s  # noqa: E402
from panelmend.records.book import Book  # noqa: E402
from panelmend.records.canonical import sha256  # noqa: E402
from panelmend.records.doing.standing import opening_content, statements  # noqa: E402
from panelmend.records.state import State  # noqa: E402
from panelmend.records.store.log import Draft  # noqa: E402
from panelmend.records.store.opening import PRAGMAS  # noqa: E402
from records_made import CHEAP, PEOPLE, Shop, Time, begin, secret_of, steps  # noqa: E402

TABLE = "CREATE TABLE bare (number BIGINT PRIMARY KEY, before TEXT, hash TEXT UNIQUE, text TEXT)"
BATCH = 250  # repairs that are entered in one transaction


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


def many(folder: Path, repairs: int) -> Shop:
    """A log of many small repairs: begun, a lot drawn, stopped."""
    made = begin(str(folder / "many.sqlite"), Time())
    for n in range(100):
        made.receive(f"L{n}", amount="1000000", frozen=False, out_life=None)
    with made.book.log.reading() as connection:
        row = made.book.log.secret(connection, made.state.people["P1"].secret)
    seed = s.Hashes(CHEAP).seed(row, secret_of("P1"))
    card = [steps()[1].model_copy(update={"needs": ()}).model_dump(mode="json")]
    paper = b"the document"

    def drafts(first: int) -> Callable[[State, Any], list[Draft]]:
        def build(state: State, connection: Any) -> list[Draft]:
            found = []
            for n in range(first, min(first + BATCH, repairs)):
                fields: dict[str, Any] = {
                    "kind": "job opened", "job": f"R-{n}", "document": sha256(paper), "plan": sha256(f"{n}"),
                    "pages": {}, "panel": f"P-{n % 97}", "serial": f"{n % 4001}", "standing": "READY",
                    "steps": card, "clocks": [], "follows": None, "outline": [], "earlier": [],
                }  # fmt: skip
                signed = {
                    "meaning": "accepted", "words": statements()[e.Meaning.ACCEPTED], "name": PEOPLE["P1"][0],
                    "content": "0" * 64, "document": sha256(paper), "plan": sha256(f"{n}"),
                    "ticket": f"{n:032x}",
                }  # fmt: skip
                shown = e.event_of({**fields, "signature": signed}).model_dump(mode="json")
                content = opening_content(state.records, shown)
                what = e.event_of({**fields, "signature": {**signed, "content": content}})
                found.append(Draft("P1", what, seed=seed))
                issued = {"kind": "lot issued", "lot": f"L{n % 100}", "job": f"R-{n}", "step": card[0]["key"]}
                found.append(Draft("S1", e.event_of({**issued, "amount": "1"})))
                found.append(Draft("P1", e.event_of({"kind": "job stopped", "job": f"R-{n}", "why": "done"})))
            return found

        return build

    start = time.process_time()
    for first in range(0, repairs, BATCH):
        made.book.log.append(drafts(first), {sha256(paper): paper})
    spent = (time.process_time() - start) / (3 * repairs)
    print(f"\n{made.state.number} entries of {repairs} repairs made, {1e6 * spent:.0f} us of processor each")
    return made


def asking(book: Book, asked: list[str], n: int) -> object:
    """One of some questions."""
    return book.history(asked[n])


def questions(made: Shop, repairs: int) -> None:
    """Each question of a log of many repairs."""
    for rules in (False, True):
        start = time.process_time()
        found = made.book.log.check(rules=rules)
        spent = time.process_time() - start
        assert found.holds, found.faults[:2]
        each = 1e6 * spent / found.number
        print(
            f"check {'with every rule' if rules else 'of links'}: {spent:.2f} s of processor, "
            f"{each:.1f} us an entry"
        )
    start = time.process_time()
    book = Book.open(made.where, cost=CHEAP, now=made.time)
    number = book.state.number
    spent = time.process_time() - start
    print(f"opened: {spent:.2f} s, {1e6 * spent / number:.1f} us an entry, processor\n")
    table()
    kinds = {
        "a repair": [f"job R-{n * 37 % repairs}" for n in range(30)],
        "a panel": [f"panel P-{n % 97} {n % 97}" for n in range(30)],
        "a lot": [f"lot L{n}" for n in range(30)],
        "a person (every repair)": ["person P1"] * 3,
    }
    for what, asked in kinds.items():
        size = len(book.history(asked[0]))
        told(f"history of {what}: {size} entries", timed(len(asked), partial(asking, book, asked)))
    told("shop view", timed(5, lambda n: shop_words(book.state)))


def table() -> None:
    """The head of a table."""
    print("| what | runs | median, ms | 95 %, ms | longest, ms |\n| --- | --- | --- | --- | --- |")


def main() -> None:
    """Measure, and print tables."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--appends", type=int, default=200)
    asked.add_argument("--repairs", type=int, default=100_000)
    asked.add_argument("--no-postgresql", action="store_true")
    given = asked.parse_args()
    (ROOT / "out").mkdir(exist_ok=True)
    with ExitStack() as held:
        folder = Path(held.enter_context(TemporaryDirectory(dir=ROOT / "out")))
        print(f"load {os.getloadavg()[0]:.1f}\n")
        table()
        full = s.Hashes(s.FULL)
        kept = full.make("a secret of full cost")
        told("a secret of full cost tried", timed(5, lambda n: full.seed(kept, "a secret of full cost")))
        made = begin(str(folder / "shop.sqlite"), Time())
        rows = appends(made, given.appends, "SQLite")
        bare_sqlite(folder / "bare.sqlite", rows)
        backed_up(made, folder, "SQLite")
        if not given.no_postgresql and postgres_here.programs() is not None:
            url = held.enter_context(postgres_here.server())
            made = begin(url, Time())
            rows = appends(made, given.appends, "PostgreSQL")
            bare_postgresql(url, rows)
            backed_up(made, folder, "PostgreSQL")
        memory = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
        if given.repairs:
            held_in = Path(held.enter_context(TemporaryDirectory(dir=memory)))
            questions(many(held_in, given.repairs), given.repairs)
        print(f"\nload {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()
