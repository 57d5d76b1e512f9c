"""Generated walks through the records: whole numbers become actions of any person, sensible or not.

What must hold is read from the raw text of the log and from the walk's own notes, not from the records'
state.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterable
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from panelmend.records import events as e
from panelmend.records.book import Book, Who
from panelmend.records.canonical import canonical, link, sha256
from panelmend.records.doing.standing import At, complete, standing
from panelmend.records.package.check_signed import covers
from panelmend.records.refusals import Refused
from panelmend.records.store import kept
from records_made import CHEAP, JOB, KEYS, O24, PEOPLE, Shop, begun, clocks, steps, who

FOLK = tuple(PEOPLE)
OTHER = "TAS-26-0419"
LOTS = ("L1", "L2", "L3")


class Walk:
    """One walk: a shop, a number after another, and what must hold all the way."""

    def __init__(self, depth: int = 0) -> None:
        """``depth``: how many steps of the card are done when it begins."""
        self.shop: Shop = begun(depth)
        self.taken: Counter[str] = Counter()
        self.signed: dict[tuple[str, str, int], str] = {}
        self.out: dict[str, int] = {}
        self.serial = 0
        self.n = 0

    def go(self, numbers: Iterable[int]) -> None:
        """Walk, and look after every step; at the end compare with the log read from its beginning."""
        for n in numbers:
            self.n = n
            op = OPS[self._pick(len(OPS))]
            try:
                op(self)
                self.taken[op.__name__] += 1
            except Refused as error:
                self.taken[error.code] += 1
            self._look()
        self._end()

    def _pick(self, count: int) -> int:
        self.n, rest = divmod(self.n, count)
        return rest

    def _one(self, things: Iterable[Any]) -> Any:
        listed = list(things)
        return listed[self._pick(len(listed))]

    def _some(self) -> str:
        return str(self._one(FOLK))

    def _job(self) -> str:
        return str(self._one((JOB, JOB, JOB, OTHER)))

    def _id(self) -> str:
        self.serial += 1
        return f"X{self.serial}"

    # --- actions

    def forward(self) -> None:
        """What comes next on the card, by those it falls to or by anybody."""
        job = self.shop.state.jobs[JOB]
        anybody = self._pick(4) == 3
        key = next((k for k in KEYS if not complete(job, k)), KEYS[-1])
        step, at = job.steps[key], standing(job, key)
        right = {"planner": "P1", "inspector": "I1", "certificate holder": "I1"}
        by = self._some() if anybody else str(self._one(("T1", "T2")))
        if at.at is At.HOLD:
            if step.hold_by == "certificate holder":
                self.shop.release(self._some() if anybody else "I1")
                return
            by = self._some() if anybody else right[str(step.hold_by)]
            meaning = "rejected" if self._pick(8) == 7 else "accepted"
            self.shop.sign(key, meaning, by, "looked")
        elif at.at is At.BLOCKED and job.now(key).rejected is not None and not _undecided(job):
            self.shop.book.raise_deviation(who("I2"), JOB, key, self._id(), ["r"], "rejected")
        elif _undecided(job):
            self._decide(JOB, _undecided(job)[0], "E1" if not anybody else self._some())
        elif key == O24 and job.now(key).verdict is None:
            outcome = self._one([*e.Judged, e.Judged.CONFORMS, e.Judged.CONFORMS])
            self.shop.verdict(str(outcome), f"log {self._id()}".encode(), by=by)
        elif key != O24 and len(job.now(key).filled) < len(step.blanks):
            self.shop.fill(key, by)
        else:
            self.shop.sign(key, "did", by)
            self.shop.time.go(minutes=3)

    def any_reading(self) -> None:
        key = self._one(KEYS)
        answers = [
            {"yes": True, "why": "again"},
            {"value": "3", "why": "again"},
            {"typed": "words", "why": "again"},
        ]
        self.shop.read(key, self._one(answers), by=self._some(), job=self._job())

    def any_signature(self) -> None:
        job = self._job()
        self.shop.sign(self._one(KEYS), str(self._one(e.Meaning)), self._some(), "because", job)

    def any_release(self) -> None:
        self.shop.release(self._some(), self._job())

    def any_deviation(self) -> None:
        key = self._one(KEYS)
        covers = self._one((["b0"], ["c0", "c1"], ["v"], ["r"], []))
        self.shop.book.raise_deviation(who(self._some()), self._job(), key, self._id(), covers, "seen")

    def any_decision(self) -> None:
        job = self._job()
        held = self.shop.state.jobs.get(job)
        if held is not None and held.deviations:
            self._decide(job, str(self._one(held.deviations)), self._some())

    def _decide(self, job: str, dev: str, by: str) -> None:
        decision = self._one((e.Decision.STANDS, e.Decision.AGAIN, e.Decision.AGAIN))
        again = self._one(KEYS) if decision is e.Decision.AGAIN else None
        shown = self.shop.book.show_deviation(job, dev)
        self.shop.book.decide(
            who(by), job, dev, decision, shown, ground="note 4", words="so", again_from=again
        )

    def second_job(self) -> None:
        self.shop.begin_job(OTHER, standing=self._one(("READY", "STOP")))

    def revise(self) -> None:
        card = tuple(
            x.model_copy(update={"title": self._one((x.title, x.title, "another")), "printed": "a" * 64})
            for x in steps()
        )
        self.shop.book.revise_job(
            who(self._one(("P1", "P1", self._some()))),
            job=JOB,
            document=b"revised",
            plan=sha256(self._id()),
            pages={},
            panel="M3-5201-17-1",
            serial="0088",
            standing=self._one(("READY", "READY", "DRAFT")),
            steps=card,
            clocks=clocks(),
            why="more damage",
            earlier=(JOB, OTHER),
        )

    def receive(self) -> None:
        expires = self._one(("2026-11-26", "2026-11-28", "2027-02-01"))
        self.shop.receive(self._one(LOTS), expires=expires, opened_life=self._one((None, 90000)), batch="B1")

    def move(self) -> None:
        self.shop.book.move(who(self._some()), self._one(self._lots()), self._one((True, False)), "there")

    def open_lot(self) -> None:
        self.shop.book.open_lot(who(self._one(("S1", "T1"))), self._one(self._lots()))

    def issue(self) -> None:
        by = self._one(("S1", "S1", self._some()))
        amount = self._one(("1", "2.5", "11"))
        self.shop.book.issue(who(by), self._one(self._lots()), self._job(), self._one(KEYS), amount)

    def take_back(self) -> None:
        back, amount = self._id(), self._one(("0.5", "3"))
        drawn = [n for n, x in self.shop.state.lots.items() if x.by_job.get(JOB)] or self._lots()
        self.shop.book.take_back(who("S1"), self._one(drawn), back, JOB, amount, self._one((True, False)))

    def scrap(self) -> None:
        self.shop.book.scrap(who("S1"), self._one(self._lots()), self._one(("1", "9.75")), "torn")

    def correct(self) -> None:
        self.shop.book.correct(who("S1"), self._one(self._lots()), self._one(("0", "4", "-1")), "counted")

    def report_retest(self) -> None:
        until = self._one(("2026-11-20", "2027-03-01"))
        self.shop.book.report_retest(who(self._some()), self._one(self._lots()), until, b"paper", "spec")

    def take_retest(self) -> None:
        lot = self.shop.state.lots[self._one(self._lots())]
        for number, (report, _) in lot.reports.items():
            self.shop.book.take_retest(who(self._some()), report.lot, number, report.until)
            return

    def time_on(self) -> None:
        self.shop.time.go(minutes=self._one((1, 30, 600, 1440, 10000)))

    def time_back(self) -> None:
        self.shop.time.go(minutes=-self._one((1, 90, 3000)))

    def new_role(self) -> None:
        roles = self._one(([e.Role.TECHNICIAN, e.Role.INSPECTOR], [e.Role.ENGINEER], list(e.Role)))
        self.shop.book.set_roles(who("K1"), self._some(), roles, "changes")

    def new_authorisation(self) -> None:
        until = self._one(("2026-11-25", "2027-06-30"))
        self.shop.book.authorise(
            who(self._one(("K1", "T1"))), self._some(), self._one(e.Scope), until, "paper"
        )

    def wrong_secret(self) -> None:
        self.shop.book.open_lot(Who(self._some(), "not the secret, not at all"), "L1")

    def _lots(self) -> list[str]:
        return sorted(self.shop.state.lots)

    # --- what must hold

    def _look(self) -> None:
        state = self.shop.state
        now = state.latest
        for name, lot in state.lots.items():
            assert lot.left >= 0, f"{name}: {lot.left}"
            assert lot.out_at(now) >= self.out.get(name, 0), f"{name} grew younger"
            self.out[name] = lot.out_at(now)
        for job_name, job in state.jobs.items():
            for key, attempts in job.attempts.items():
                for i, attempt in enumerate(attempts):
                    if attempt.did is not None:
                        held = _kept(attempt)
                        first = self.signed.setdefault((job_name, key, i), held)
                        assert held == first, f"{job_name} {key}: what was signed has changed"

    def _end(self) -> None:
        log = self.shop.book.log
        rows = log.entries()
        head = "0" * 64
        for n, before, hashed, text in rows:
            assert (before, hashed) == (head, link(n, head, sha256(text)))
            head = hashed
        again = Book.open(self.shop.where, cost=CHEAP).log.anew()  # from the log alone
        assert again == self.shop.state, "the state from the log is another than the state kept"
        if log.path is not None and len(rows) >= kept.EVERY:
            beside = kept.load_state(log.path)
            assert beside is not None, "nothing was kept beside the log"
            assert len(rows) - beside.number < kept.EVERY
            assert Book.open(self.shop.where, cost=CHEAP).state == again
        found = log.check()
        assert found.holds, found.faults
        plain = [json.loads(t) for *_, t in rows]
        by_hand(plain, self.shop.state.zone)
        for job in self.shop.state.jobs:  # what each signature covers, by the sums of the independent checker
            assert covers(dict(enumerate(plain, 1)), self.shop.state.records, job) == []


def _undecided(job: Any) -> list[str]:
    return [k for k, d in job.deviations.items() if d.decided is None]


def _kept(attempt: Any) -> str:
    filled = [[i, f.reading.model_dump(mode="json"), f.by, f.number, f.at] for i, f in attempt.filled.items()]
    files = [f.model_dump(mode="json") for f, _ in attempt.files]
    lots = [w.model_dump(mode="json") for w, _, _ in attempt.issued]
    verdicts = [k.verdict.model_dump(mode="json") for k in attempt.verdicts]
    return canonical([filled, files, lots, verdicts, list(attempt.did)])


def by_hand(entries: list[dict[str, Any]], zone: str) -> None:
    """The rules that matter most, read from plain entries by other means than the records' own.

    Nobody accepts or releases a job they worked on; nobody decides a deviation of work of theirs; no lot is
    drawn past its date; no more is drawn than came in; a cure whose verdict is not good is accepted on an
    engineer's word alone.
    """
    workers: dict[str, set[str]] = {}
    expires: dict[str, str] = {}
    left: dict[str, Decimal] = {}
    reported: dict[int, str] = {}
    verdicts: dict[str, str] = {}
    raised: dict[tuple[str, str], list[str]] = {}
    stands: dict[str, bool] = {}
    latest = ""
    for number, n in enumerate(entries, 1):
        what, by = n["what"], n["by"]
        kind = what["kind"]
        wrong_clock = n["entered"] < latest
        latest = max(latest, n["entered"])
        mine = workers.setdefault(what.get("job") or "", set())
        if kind == "verdict kept":
            verdicts[what["job"]] = what["outcome"]
        if kind == "deviation raised":
            raised[what["job"], what["deviation"]] = what["covers"]
        if kind == "deviation decided" and what["decision"] == "may stand":
            stands[what["job"]] = stands.get(what["job"], False) or (
                "v" in raised[what["job"], what["deviation"]]
            )
        if kind in ("readings", "file kept", "verdict kept"):
            mine.add(by)
        elif kind == "step signed":
            if what["signature"]["meaning"] == "did":
                mine.add(by)
            else:
                assert by not in mine, f"entry {number}: {by} looks at their own work"
            if (what["step"], what["signature"]["meaning"]) == (O24, "accepted"):
                good = verdicts.get(what["job"]) == "conforms"
                assert good or stands.get(what["job"]), f"entry {number}: a bag opened on no verdict"
        elif kind in ("released", "deviation decided"):
            assert by not in mine, f"entry {number}: {by} decides on their own work"
        elif kind == "lot received":
            expires[what["lot"]], left[what["lot"]] = what["expires"], Decimal(what["amount"])
        elif kind == "lot issued":
            day = _day(latest if wrong_clock else n["entered"], zone)
            assert day <= date.fromisoformat(expires[what["lot"]]), f"entry {number}: past its date"
            left[what["lot"]] -= Decimal(what["amount"])
            assert left[what["lot"]] >= 0
        elif kind == "lot returned":
            expires[what["back"]], left[what["back"]] = expires[what["lot"]], Decimal(what["amount"])
        elif kind == "lot scrapped":
            left[what["lot"]] -= Decimal(what["amount"])
            assert left[what["lot"]] >= 0
        elif kind == "lot corrected":
            left[what["lot"]] = Decimal(what["amount"])
        elif kind == "re-test reported":
            reported[number] = by
        elif kind == "re-test taken on":
            assert reported[what["report"]] != by
            expires[what["lot"]] = what["until"]


def _day(moment: str, zone: str) -> date:
    return datetime.fromisoformat(moment).astimezone(ZoneInfo(zone)).date()


OPS: tuple[Callable[[Walk], None], ...] = (
    *[Walk.forward] * 24,
    Walk.any_reading,
    Walk.any_signature,
    Walk.any_signature,
    Walk.any_release,
    Walk.any_deviation,
    Walk.any_decision,
    Walk.second_job,
    Walk.revise,
    Walk.receive,
    Walk.move,
    Walk.move,
    Walk.open_lot,
    Walk.issue,
    Walk.issue,
    Walk.issue,
    Walk.take_back,
    Walk.scrap,
    Walk.correct,
    Walk.report_retest,
    Walk.take_retest,
    Walk.time_on,
    Walk.time_back,
    Walk.new_role,
    Walk.new_authorisation,
    Walk.wrong_secret,
)
