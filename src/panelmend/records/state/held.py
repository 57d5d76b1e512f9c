"""What is held of people, jobs and lots."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

from panelmend.records import events as e
from panelmend.records.canonical import seconds_between


@dataclass
class Person:
    """A person; ``removed`` is the entry's number, 0 while they are here. ``since`` says from which moment on
    they have each role and authorisation without a break, ``coded_by`` who gave them a new code."""

    id: str
    name: str
    roles: frozenset[e.Role]
    secret: str = ""
    code: str = ""
    code_until: str = ""
    removed: int = 0
    failures: int = 0
    failed_at: str = ""
    authorised: dict[e.Scope, str] = field(default_factory=dict)
    since: dict[str, str] = field(default_factory=dict)
    key: str = ""
    coded_by: str = ""


@dataclass
class Filled:
    """A reading with the entry it came in."""

    reading: e.Reading
    by: str
    number: int
    at: str


@dataclass
class Kept:
    """A verdict with the entry it came in."""

    verdict: e.VerdictKept
    number: int
    by: str


@dataclass
class Coupon:
    """A witness coupon: what was made, when, by whom, and each result with who entered it and where."""

    made: e.CouponMade
    at: str
    by: str
    number: int
    results: list[tuple[e.CouponTested, str, int]] = field(default_factory=list)


@dataclass
class Attempt:
    """One attempt at a step: what was written, every earlier spelling of it too, and who signed.

    ``since`` is when it could begin, where work is done again; ``done_at`` when it was done, or accepted.
    """

    filled: dict[int, Filled] = field(default_factory=dict)
    replaced: list[Filled] = field(default_factory=list)
    files: list[tuple[e.FileKept, int]] = field(default_factory=list)
    issued: list[tuple[e.LotIssued, str, int]] = field(default_factory=list)
    verdicts: list[Kept] = field(default_factory=list)
    did: tuple[str, int] | None = None
    accepted: tuple[str, int] | None = None
    rejected: tuple[str, int] | None = None
    signed: list[tuple[e.StepSigned, str, int]] = field(default_factory=list)
    since: str = ""
    done_at: str = ""
    on_paper: tuple[e.Transcribed, str, int] | None = None
    mixed: list[tuple[e.BatchMixed, int]] = field(default_factory=list)
    labels: list[tuple[e.LabelSeen, int]] = field(default_factory=list)
    coupons: list[Coupon] = field(default_factory=list)

    @property
    def verdict(self) -> Kept | None:
        """The last verdict."""
        return self.verdicts[-1] if self.verdicts else None


@dataclass
class Deviation:
    """A deviation: raised at a step and attempt; open until decided. ``seen`` are the entries that what it
    covers stood on, ``clocks`` the clocks it covers, which another card may have at another place."""

    raised: e.DeviationRaised
    by: str
    attempt: int
    number: int
    seen: dict[str, tuple[int, ...]]
    decided: e.DeviationDecided | None = None
    decided_by: str = ""
    clocks: dict[str, e.CardClock] = field(default_factory=dict)


@dataclass
class Job:
    """A job in work; ``attempts`` by step, the last one counts.

    ``opened`` is the plan in force; ``revisions`` the numbers of the entries that revised it, ``left`` the
    steps that the plan in force no longer has, with what was done at them.
    """

    opened: e.JobOpened
    by: str
    number: int
    at: str
    attempts: dict[str, list[Attempt]]
    steps: dict[str, e.CardStep]
    deviations: dict[str, Deviation] = field(default_factory=dict)
    workers: set[str] = field(default_factory=set)
    deciders: set[str] = field(default_factory=set)
    accepters: set[str] = field(default_factory=set)
    revisions: list[int] = field(default_factory=list)
    left: list[tuple[e.CardStep, list[Attempt]]] = field(default_factory=list)
    closed: str = ""
    released: tuple[e.Released, str, int] | None = None

    def now(self, step: str) -> Attempt:
        """The attempt that counts."""
        return self.attempts[step][-1]

    def after(self, step: str) -> frozenset[str]:
        """A step and everything that must come after it."""
        found = {step}
        for s in self.opened.steps:  # steps stand in working order
            if any(n in found for n in s.needs):
                found.add(s.key)
        return frozenset(found)


@dataclass
class Batch:
    """A batch of resin: what was mixed, when, by whom."""

    mixed: e.BatchMixed
    at: str
    by: str
    number: int


@dataclass
class HeldLot:
    """A lot; ``out_since`` is "" while it is frozen, ``out_time`` [s] what was added before that.
    ``reserved`` and ``mixed`` say how much is kept for, and went into batches of, each job."""

    received: e.LotReceived
    expires: str
    left: Decimal
    out_since: str
    out_time: int
    opened: str = ""
    last: str = ""
    parent: str = ""
    children: list[str] = field(default_factory=list)
    by_job: dict[str, Decimal] = field(default_factory=dict)
    issues: list[tuple[str, str, int]] = field(default_factory=list)
    touched: list[int] = field(default_factory=list)
    reports: dict[int, tuple[e.RetestReported, str]] = field(default_factory=dict)
    scrapped: Decimal = Decimal(0)
    width: str | None = None
    outline: tuple[e.Vertex, ...] = ()
    reserved: dict[str, Decimal] = field(default_factory=dict)
    mixed: dict[str, Decimal] = field(default_factory=dict)

    def free_for(self, job: str) -> Decimal:
        """What a job may draw: what is left, less what is kept for others."""
        return self.left - sum((a for j, a in self.reserved.items() if j != job), Decimal(0))

    def out_at(self, at: str) -> int:
        """Seconds out of the freezer by a moment; it never falls."""
        running = max(0, seconds_between(self.out_since, at)) if self.out_since else 0
        return self.out_time + running
