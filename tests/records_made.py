"""An invented shop with six trades and a short card, for the tests of the records.

Hashes cost next to nothing here, by a parameter that only tests give."""

from __future__ import annotations

import atexit
import json
import os
import shutil
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack
from datetime import UTC, datetime, timedelta
from functools import cache
from itertools import count
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import pytest
import sqlalchemy as sa

from panelmend.records import events as e
from panelmend.records.book import NOW, Book, When, Who
from panelmend.records.canonical import sha256
from panelmend.records.doing.standing import At, standing
from panelmend.records.refusals import Refused
from panelmend.records.secrets import Cost
from panelmend.records.store import copies
from records_steps import A1, A3, E10, KEYS, O11, O20, O24, O25, clocks, steps

CHEAP = Cost(1, 8, 1)
START = datetime(2026, 11, 26, 7, 0, tzinfo=UTC)
JOB = "TAS-26-0418"
PEOPLE: dict[str, tuple[str, tuple[e.Role, ...], tuple[e.Scope, ...]]] = {
    "K1": ("Ada Keeps", (e.Role.KEEPER,), ()),
    "K2": ("Bo Keeps", (e.Role.KEEPER,), ()),
    "T1": ("R. Osk", (e.Role.TECHNICIAN,), (e.Scope.BONDING,)),
    "T2": ("N. Vale", (e.Role.TECHNICIAN,), (e.Scope.BONDING,)),
    "P1": ("J. Hale", (e.Role.PLANNER,), (e.Scope.PLANNING,)),
    "E1": ("D. Ruiz", (e.Role.ENGINEER,), (e.Scope.ENGINEERING,)),
    "E2": ("C. Lund", (e.Role.ENGINEER,), (e.Scope.ENGINEERING,)),
    "I1": ("M. Verrin", (e.Role.INSPECTOR,), (e.Scope.INSPECTION, e.Scope.RELEASE)),
    "I2": ("S. Amadi", (e.Role.INSPECTOR, e.Role.TECHNICIAN), (e.Scope.INSPECTION, e.Scope.BONDING)),
    "S1": ("P. Kern", (e.Role.STOREKEEPER,), (e.Scope.STORES,)),
}


class Time:
    """A clock that tests turn."""

    def __init__(self, at: datetime = START) -> None:
        self.at = at

    def __call__(self) -> datetime:
        return self.at

    def go(self, **by: float) -> datetime:
        """On by minutes, hours, days."""
        self.at += timedelta(**by)
        return self.at


def quick_folder() -> Path:
    """A folder in memory where there is one: these tests do not try the disk. It goes when the tests end."""
    return Path(mkdtemp(dir=_quick()))


@cache
def _quick() -> Path:
    memory = Path("/dev/shm")
    made = Path(mkdtemp(prefix="records", dir=memory if os.access(memory, os.W_OK) else None))
    atexit.register(shutil.rmtree, made, ignore_errors=True)
    return made


def secret_of(person: str) -> str:
    """The secret of a person of the invented shop."""
    return f"{person} has a long secret"


def who(person: str) -> Who:
    """A person with their secret."""
    return Who(person, secret_of(person))


def report_of(log: bytes, outcome: str = "conforms", **more: Any) -> bytes:
    """A cure report of a log, as short as one may be."""
    held = {
        "digest": sha256(log),
        "started": f"log {sha256(log)[:8]}",
        "samples": 100,
        "length": 7200.0,
        "channels": [{"name": "T1", "role": "part", "least": 293.0, "most": 350.0}],
        "verdict": {"outcome": outcome},
    }
    return json.dumps({**held, **more}).encode()


class Shop:
    """The invented shop at its records."""

    def __init__(self, where: str, time: Time) -> None:
        self.where, self.time = where, time
        self.book = Book.open(where, cost=CHEAP, now=time)

    @property
    def state(self) -> Any:
        """What is so."""
        return self.book.state

    def begin_job(self, job: str = JOB, **more: Any) -> None:
        """The planner opens a job."""
        fields: dict[str, Any] = {
            "job": job,
            "document": b"the document",
            "plan": sha256("the plan"),
            "pages": {"job-card.pdf": b"pages"},
            "panel": "M3-5201-17-1",
            "serial": "0088",
            "standing": "READY",
            "steps": steps(),
            "clocks": clocks(),
            "earlier": self.state.panels.get("M3-5201-17-1 0088", []),
        }
        self.book.open_job(who("P1"), **{**fields, **more})

    def read(
        self, step: str, *answers: dict[str, Any], by: str = "T1", job: str = JOB, when: When = NOW
    ) -> None:
        """Fill in the blanks of a step from its first one on."""
        made = [
            e.Reading(**{"blank": i, "typed": a.get("value", "as read"), **a})
            for i, a in enumerate(answers)
            if a
        ]
        self.book.read(who(by), job, step, made, when)

    def sign(self, step: str, meaning: str, by: str, why: str = "", job: str = JOB, when: When = NOW) -> None:
        """Look, then sign."""
        self.book.sign(who(by), job, step, e.Meaning(meaning), self.book.show(job, step), why, when)

    def fill(self, step: str, by: str = "T1", job: str = JOB, when: When = NOW, **over: Any) -> None:
        """Sound readings for a step of the short card."""
        now = self.time.at.strftime("%Y-%m-%dT%H:%M:%S.000Z")
        later = (self.time.at + timedelta(minutes=40)).strftime("%Y-%m-%dT%H:%M:%S.000Z")
        sound: dict[str, list[dict[str, Any]]] = {
            A1: [{}],
            A3: [
                {"yes": True},
                {"value": "10"},
                {"meets": True, "value": "0.2", "limit": "0.5 mm, 51-30-04"},
            ],
            O11: [{"at": now}, {"at": later}, {"typed": "R-1, H-1"}],
            O20: [{"at": now}, {"value": "22"}],
            O24: [],
            O25: [{"value": "12"}],
            E10: [],
        }
        answers = sound[step]
        if step == A1:
            answers = [{"typed": "revision 7"}]
        for i, a in over.items():
            answers[int(i[1:])] = a
        if answers:
            self.read(step, *answers, by=by, job=job, when=when)
        if step == O24:
            self.verdict(job=job, by=by)

    def verdict(
        self,
        outcome: str = "conforms",
        log: bytes = b"a log",
        by: str = "T1",
        job: str = JOB,
        cure: str = "Cure A",
    ) -> None:
        """Keep a verdict."""
        self.book.keep_verdict(who(by), job, O24, cure, e.Judged(outcome), log, report_of(log, outcome))

    def do(self, *keys: str, job: str = JOB, by: str = "T1") -> None:
        """Do steps, each accepted by whom its hold calls."""
        for key in keys:
            if key == O24:
                self.verdict(
                    log=f"log of {job} {len(self.state.jobs[job].attempts[O24])}".encode(), by=by, job=job
                )
            else:
                self.fill(key, by, job)
            self.sign(key, "did", by, job=job)
            if key == A1:
                self.sign(key, "accepted", "P1", job=job)
            elif key in (O20, O24):
                self.sign(key, "accepted", "I1", job=job)
            self.time.go(minutes=5)

    def release(self, by: str = "I1", job: str = JOB, **over: str) -> None:
        """The release entry."""
        fields = {
            "description": "bonded repair by M3-SRM 11, repair 7",
            "completed": self.time.at.date().isoformat(),
            "certificate_number": "X-0001",
            "certificate_kind": "repairman",
        }
        self.book.release(who(by), job, self.book.show_release(job), **{**fields, **over})

    def receive(self, lot: str = "L1", **over: Any) -> int:
        """A lot of frozen film adhesive comes in; the number of its entry."""
        fields: dict[str, Any] = {
            "lot": lot,
            "material": "film adhesive",
            "batch": f"B-{lot}",
            "certificate": f"C-{lot}",
            "amount": "10",
            "unit": "m2",
            "expires": "2026-12-31",
            "out_life": 36000,
            "frozen": True,
        }
        return self.book.receive(who("S1"), **{**fields, **over}).entry.number


def begin(where: str, time: Time) -> Shop:
    """Begin the records of the invented shop, with all its people."""
    book = Book.begin(
        where,
        "K1",
        PEOPLE["K1"][0],
        secret_of("K1"),
        zone="Europe/Lisbon",
        invented=True,
        cost=CHEAP,
        now=time,
    )
    for person, (name, roles, scopes) in PEOPLE.items():
        keeper = who("K1")
        if person != "K1":
            book.enrol(person, book.add_person(keeper, person, name, roles), secret_of(person))
        for scope in scopes:
            book.authorise(keeper, person, scope, "2027-06-30", f"paper of {person}")
    return Shop(where, time)


@cache
def _kept() -> Path:
    folder = quick_folder()
    begin(str(folder / "shop.sqlite"), Time())
    return folder / "shop.sqlite"


ON_POSTGRESQL = os.environ.get("PANELMEND_TEST_RECORDS") == "postgresql"
"""Whether every shop that names no file is kept on one server, each in a database of its own."""


@cache
def _server() -> tuple[str, Iterator[int]]:
    """The URL of the server's databases but for their name, with the invented shop in "kept"."""
    import postgres_here

    held = ExitStack()
    atexit.register(held.close)
    url = held.enter_context(postgres_here.server())
    _statement(url, "CREATE DATABASE kept")
    begin(url.replace("@/postgres", "@/kept"), Time())
    return url, count(1)


def _statement(url: str, text: str) -> None:
    engine = sa.create_engine(url, poolclass=sa.NullPool, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(sa.text(text))


def shop(where: Path | None = None, after: timedelta = timedelta(minutes=1)) -> Shop:
    """A copy of the shop with its people; where no place is given in memory, or on the server."""
    if where is None and ON_POSTGRESQL:
        url, numbers = _server()
        name = f"s{next(numbers)}"
        _statement(url, f"CREATE DATABASE {name} TEMPLATE kept")
        return Shop(url.replace("@/postgres", f"@/{name}"), Time(START + after))
    target = where or quick_folder() / "shop.sqlite"
    shutil.copyfile(_kept(), target)
    Path(f"{target}.last").unlink(missing_ok=True)
    copies.make_governing(target, copies.token_beside(_kept()))
    return Shop(str(target), Time(START + after))


def begun(depth: int = 0) -> Shop:
    """A copy of the shop with a job in work, a lot in the freezer, and the first steps of the job done."""
    if ON_POSTGRESQL:
        return _begun(shop(), depth)
    kept, at = _kept_begun(depth)
    target = quick_folder() / "shop.sqlite"
    shutil.copyfile(kept, target)
    copies.make_governing(target, copies.token_beside(kept))
    return Shop(str(target), Time(at))


def _begun(made: Shop, depth: int) -> Shop:
    made.begin_job()
    made.receive("L1")
    made.do(*KEYS[:depth])
    return made


@cache
def _kept_begun(depth: int) -> tuple[Path, datetime]:
    made = _begun(shop(), depth)
    return Path(made.where), made.time.at


def job_shop(*done: str, **more: Any) -> Shop:
    """The shop with a job in work and some of its steps done; ``more`` for the job."""
    made = shop()
    made.begin_job(**more)
    made.do(*done)
    return made


def ago(made: Shop, **by: float) -> When:
    """Some hours, days ago, entered late with a reason."""
    return When(made.time.at - timedelta(**by), "the hands were busy")


def naming_card(key: str, names: str) -> tuple[e.CardStep, ...]:
    """The short card, where the first blank of a step names lots or instruments."""
    return tuple(
        x.model_copy(update={"blanks": (x.blanks[0].model_copy(update={"names": names}), *x.blanks[1:])})
        if x.key == key
        else x
        for x in steps()
    )


def stands_at(made: Shop, key: str) -> At:
    """Where a step of the job stands."""
    return standing(made.state.jobs[JOB], key).at


def decide(made: Shop, dev: str, decision: str, by: str = "E1", again: str | None = None) -> None:
    """An engineer decides a deviation."""
    made.book.decide(
        who(by),
        JOB,
        dev,
        e.Decision(decision),
        made.book.show_deviation(JOB, dev),
        ground="M3-SRM 11, repair 7, note 4",
        words="as the note says",
        again_from=again,
    )


def refused(code: str, act: Callable[[], object]) -> str:
    """See that something is refused with a code; its words."""
    with pytest.raises(Refused) as told:
        act()
    assert told.value.code == code, f"{code} expected: {told.value}"
    return str(told.value)


def names(people: Sequence[str]) -> list[str]:
    """Their names."""
    return [PEOPLE[p][0] for p in people]
