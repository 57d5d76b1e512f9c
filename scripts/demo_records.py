"""A history of the invented operator, to try the records on: scripts/demo_records.py REPAIRS TARGET.

Run by the project's Python: .venv/bin/python scripts/demo_records.py 200 demo.sqlite
Every tenth repair is the whole card of the gear door, the others dress its surface. The people and their
secrets are told at the end. Nothing of it is real: the records say so in their first entry.
"""

from __future__ import annotations

import json
import random
import sys
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

ROOT = Path(__file__).parents[1]
sys.path[:0] = [str(ROOT / "src")]

from panelmend.app.records import plan_for_records  # noqa: E402
from panelmend.app.records_shop import shop_words  # noqa: E402
from panelmend.records import events as e  # noqa: E402
from panelmend.records import secrets as s  # noqa: E402
from panelmend.records.book import NOW, Book, When, Who, job_of  # noqa: E402
from panelmend.records.canonical import moment, sha256, tidy_text  # noqa: E402
from panelmend.records.rules.bench import life_of  # noqa: E402
from panelmend.records.state import State  # noqa: E402
from panelmend.records.store import copies  # noqa: E402
from panelmend.records.store.log import Draft, Log, Now, Taken  # noqa: E402

GEAR_DOOR = ROOT / "examples" / "gear_door" / "repair.toml"
START = datetime(2026, 1, 5, 7, 0, tzinfo=UTC)
R, C = e.Role, e.Scope
PEOPLE = {
    "K1": ("Ada Keeps", (R.KEEPER,), ()),
    "K2": ("Bo Keeps", (R.KEEPER,), ()),
    "T1": ("R. Osk", (R.TECHNICIAN,), (C.BONDING,)),
    "T2": ("N. Vale", (R.TECHNICIAN,), (C.BONDING,)),
    "P1": ("J. Hale", (R.PLANNER,), (C.PLANNING,)),
    "E1": ("D. Ruiz", (R.ENGINEER,), (C.ENGINEERING,)),
    "I1": ("M. Verrin", (R.INSPECTOR,), (C.INSPECTION, C.RELEASE)),
    "S1": ("P. Kern", (R.STOREKEEPER,), (C.STORES,)),
}
LOTS = {"lots": "CLOTH-1", "instruments": "TC-1"}


def secret_of(person: str) -> str:
    """Of an invented person, told to everybody."""
    return f"{person} of the invented shop"


class Quick(Book):
    """The records by the same log and rules; each secret is tried once, not at every entry."""

    def __init__(self, log: Log, cost: s.Cost = s.FULL) -> None:
        super().__init__(log, cost)
        self.seeds: dict[str, bytes | None] = {}

    def act(
        self,
        who: Who,
        build: Callable[[State], e.Event],
        when: When = NOW,
        papers: Mapping[str, bytes] | None = None,
        secrets: Mapping[str, str] | None = None,
    ) -> Taken:
        """Enter what one person does."""
        if who.person not in self.seeds:
            with self.log.reading() as connection:
                row = self.log.secret(connection, self.state.people[who.person].secret)
            self.seeds[who.person] = self.hashes.seed(row, who.secret)
        seed = self.seeds[who.person]
        at = moment(when.at) if when.at else None
        assert seed is not None, f"another secret of {who.person}"
        return self.log.append(
            lambda state, c: [Draft(who.person, build(state), at, tidy_text(when.late), seed)],
            papers,
            secrets,
        )[-1]


class Time:
    """A clock that is turned."""

    def __init__(self) -> None:
        self.at = START

    def __call__(self) -> datetime:
        return self.at

    def go(self, **by: float) -> None:
        """On."""
        self.at += timedelta(**by)


def who(person: str) -> Who:
    """A person with their secret."""
    return Who(person, secret_of(person))


def begin(where: str, time: Now) -> Quick:
    """The shop with its people, a lot and an instrument."""
    Book.begin(where, "K1", PEOPLE["K1"][0], secret_of("K1"), zone="Europe/Lisbon", invented=True, now=time)
    book = Quick(Log.open(where, now=time))
    for person, (name, roles, scopes) in PEOPLE.items():
        if person != "K1":
            book.enrol(person, book.add_person(who("K1"), person, name, roles), secret_of(person))
        for scope in scopes:
            book.authorise(
                who("K2" if "K2" in book.state.people else "K1"), person, scope, "2031-12-31", "paper"
            )
    book.know_instrument(who("S1"), "TC-1", "meters and gauges", "certificate 1", "2031-12-31")
    for lot, material in (("CLOTH-1", "E-glass cloth and resin"), ("WIPES-1", "wipes")):
        paper = {"batch": f"B-{lot}", "certificate": f"C-{lot}", "expires": "2031-12-31"}
        book.receive(who("S1"), lot=lot, material=material, amount="100000", unit="m2", **paper)
    book.set_least(who("S1"), "wipes", "200000", "m2")
    return book


def document(number: str, serial: str, whole: bool) -> str:
    """The gear door's document with another number and serial number."""
    text = GEAR_DOOR.read_text("utf8")
    old = next(line for line in text.splitlines() if line.startswith("number = "))
    text = text.replace(old, f'number = "{number}"')
    old = next(line for line in text.splitlines() if line.startswith("serial = "))
    text = text.replace(old, f'serial = "{serial}"')
    if not whole:
        text = text.replace('depth = "skin and core"', 'depth = "surface"')
        text = text.replace('moisture = "found"\nwet_area = "40 cm2"', 'moisture = "none found"')
        allowed = '["plies", "skin", "skin and core"]'
        text = text.replace(allowed, '["surface", "plies", "skin", "skin and core"]')
    return text


def laid(folder: Path, number: str, serial: str, whole: bool) -> Path:
    """The document in a folder with what is kept beside the gear door's: its heat and its nest."""
    for end in (".heat.json", ".nest.json"):
        beside = folder / f"repair{end}"
        beside.unlink(missing_ok=True)
        if whole:
            beside.write_bytes(GEAR_DOOR.with_suffix(end).read_bytes())
    path = folder / "repair.toml"
    path.write_text(document(number, serial, whole), "utf8")
    return path


def answers(book: Quick, time: Time, step: e.Step) -> list[e.Reading]:
    """Sound answers to a step's blanks: on the limit, where there is one."""
    made = []
    for i, b in enumerate(step.blanks):
        fields: dict[str, Any] = {"blank": i, "typed": "as on the label"}
        if b.entry is e.EntryKind.TICK:
            fields |= {"typed": "yes", "yes": True}
        elif b.entry is e.EntryKind.TIME:
            ahead = (
                timedelta(hours=12 if step.id in ("O8", "C5") else 0, minutes=30) if b.ahead else timedelta()
            )
            fields["at"] = moment(time.at + ahead)
        elif b.entry is e.EntryKind.NUMBER:
            value = b.low or b.high or "1"
            fields |= {"typed": value, "value": value}
            if b.ask == "person":
                fields |= {"meets": True, "limit": "51-30-04, table 2"}
        if b.names:
            fields["names"] = (LOTS[b.names],)
        made.append(e.Reading(**fields))
    return made


def report(log: bytes) -> bytes:
    """A cure report of an invented log, as short as one may be."""
    held = {"digest": sha256(log), "started": log.decode(), "samples": 100, "length": 7200.0, "channels": []}
    return json.dumps({**held, "verdict": {"outcome": "conforms"}}).encode()


def repair(book: Quick, time: Time, path: Path, chance: random.Random) -> None:
    """One repair from its document to its release."""
    fields = plan_for_records(path)
    job = str(fields["job"])
    book.open_job(who("P1"), **fields)
    worker = chance.choice(("T1", "T2"))
    held = job_of(book.state, job)
    for step in held.opened.steps:
        if any(b.names == "lots" for b in step.blanks):
            book.issue(who("S1"), "CLOTH-1", job, step.key, "2.5")
        if step.blanks:
            book.read(who(worker), job, step.key, answers(book, time, step))
        if step.cure:
            log = f"log of {job}, {step.cure}".encode()
            book.keep_verdict(who(worker), job, step.key, step.cure, e.Judged.CONFORMS, log, report(log))
        for piece in step.pieces:
            book.see_label(who(worker), job, step.key, job, piece, str(fields["plan"])[:12])
        for n in range(step.pots):
            batch = f"{job} {step.key.replace('/', '-')} {n + 1}"
            book.mix(who(worker), job, step.key, batch, {"CLOTH-1": "0.1"}, life_of(held, step.key) or 600)
        book.sign(who(worker), job, step.key, e.Meaning.DID, book.show(job, step.key))
        if step.hold and step.hold_by != "certificate holder":
            by = {"planner": "P1", "inspector": "I1"}[str(step.hold_by)]
            book.sign(who(by), job, step.key, e.Meaning.ACCEPTED, book.show(job, step.key))
        time.go(minutes=1)
    book.release(
        who("I1"),
        job,
        book.show_release(job),
        description="repaired by the invented manual, 51-30-04",
        completed=book.state.day(book.state.latest).isoformat(),  # by the shop's own clock
        certificate_number="X-0001",
        certificate_kind="repairman",
    )


def main() -> None:
    """Make it, check it, and tell how to try it."""
    count, target = int(sys.argv[1]), Path(sys.argv[2])
    chance, time = random.Random(18), Time()
    memory = Path("/dev/shm")
    with TemporaryDirectory(dir=memory if memory.is_dir() else None) as folder:
        book = begin(str(Path(folder) / "demo.sqlite"), time)
        for n in range(1, count + 1):
            number, serial, whole = f"DEMO-{n:04d}", f"{n // 10 % 40:04d}", n % 10 == 0
            serial = (
                f"W{n:04d}" if whole else serial
            )  # a door repaired twice needs another place for the second
            repair(book, time, laid(Path(folder), number, serial, whole), chance)
            time.go(hours=chance.randrange(1, 60))
        token = book.hand_over(who("K1"), "made in memory, kept on the disk")
        print(book.log.backup(target).printed)
    copies.make_governing(target, token)
    kept = Book.open(str(target), now=time)
    found = kept.log.check()
    print(f"{found.number} entries, {'they hold' if found.holds else found.faults[:3]}")
    print(shop_words(kept.state)[:3])
    print("Secrets:", ", ".join(f"{p}: {secret_of(p)!r}" for p in PEOPLE))


if __name__ == "__main__":
    main()
