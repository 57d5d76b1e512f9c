"""Whatever people call people, jobs, lots, panels and papers, the records stand, refuse and count alike."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

import pytest

from panelmend.app.cardwork import Written, keep_reading
from panelmend.app.records import readings_typed
from panelmend.app.records_labels import INSTRUMENT, LOT, code_of, named_numbers, scanned
from panelmend.app.records_shop import due_rows, in_work
from panelmend.app.records_words import why_not_usable
from panelmend.errors import InputError
from panelmend.records import events as e
from panelmend.records.book import Who
from panelmend.records.canonical import sha256
from panelmend.records.doing.standing import standing
from panelmend.records.refusals import Refused
from records_made import A1, A3, JOB, O11, O20, O24, O25, PEOPLE, begun, naming_card, shop, who
from records_steps import clocks

LONG = "Repaired by no one, STOP. " * 11 + "READY, accepted"
# What means something to a program that reads words; numbers take plain letters alone.
IDS = (
    "none",
    "STOP",
    "READY",
    "0",
    "lot",
    "batch 7",
    "L1 L2",
    "v",
    "r",
    "b1",
    "did",
    "accepted",
    "-".join("9" * 9),
)
TEXTS = (
    "none",
    "STOP",
    "READY",
    "0",
    "the lot is blocked",
    'a "quoted" name',
    "[damage] {x}",
    "<b>accepted</b> & <script>alert(1)</script>",
    "#let x = 1; $x$ *bold*",
    "отклонено, СТОП",
    "不合格 七",
    "مقبول ٣",
    LONG,
    "may stand",
    "rejected",
    "yes",
)
PLAIN = ("Q1", "Q2", "Q3", "Q4", "Q5", "Q6", "Q7", "Q8", "Q9")


@dataclass
class Called:
    """Names in turn: numbers that people give, and texts."""

    ids: tuple[str, ...]
    texts: tuple[str, ...]
    at: int = 0

    def text(self) -> str:
        """The next text."""
        self.at += 1
        return self.texts[self.at % len(self.texts)]


class Walked:
    """A job from its opening to its release by people and with things of these names, and what was told."""

    def __init__(self, names: Called) -> None:
        self.names, self.told = names, list[str]()
        self.shop = shop()
        (self.t, self.i, self.e, self.s, self.p, self.job, self.lot, self.dev) = names.ids[:8]
        roles = ((self.t, "T1"), (self.i, "I1"), (self.e, "E1"), (self.s, "S1"), (self.p, "P1"))
        keeper = self.who("K1")
        for person, like in roles:
            _, held, scopes = PEOPLE[like]
            code = self.shop.book.add_person(keeper, person, f"{names.text()} {person}", held)
            self.shop.book.enrol(person, code, secret(person))
            for scope in scopes:
                self.shop.book.authorise(keeper, person, scope, "2027-06-30", names.text())

    def who(self, person: str) -> Who:
        """A person with their secret."""
        return Who(person, f"{person} has a long secret" if person in PEOPLE else secret(person))

    def tried(self, what: str, act: Any) -> None:
        """Whether it was taken, or by which rule it was refused."""
        try:
            act()
            self.told.append(f"{what}: taken")
        except Refused as error:
            self.told.append(f"{what}: {error.code}")

    def look(self) -> None:
        """Where every step stands, what is done, and whether lots may be used."""
        state = self.shop.state
        job = state.jobs[self.job]
        at = in_work(self.job, job)
        self.told.append(
            f"{[standing(job, k).at.value for k in job.steps]} {at.done} {len(at.waits)} {job.closed} "
            f"{[why_not_usable(state, x) for x in state.lots.values()]} {len(due_rows(state))}"
        )

    def sign(self, key: str, meaning: str, by: str, why: str = "") -> None:
        """Look, then sign."""
        self.shop.book.sign(
            self.who(by), self.job, key, e.Meaning(meaning), self.shop.book.show(self.job, key), why
        )

    def read(self, key: str, *typed: str, by: str = "") -> None:
        """Readings as somebody types them."""
        state = self.shop.state
        made = readings_typed(state, state.jobs[self.job], key, typed, "", "")
        self.shop.book.read(self.who(by or self.t), self.job, key, made)

    def decide(self, dev: str, decision: str, by: str) -> None:
        """An engineer decides."""
        shown = self.shop.book.show_deviation(self.job, dev)
        ground, words = self.names.text(), self.names.text()
        self.shop.book.decide(
            self.who(by),
            self.job,
            dev,
            e.Decision(decision),
            shown,
            ground=ground,
            words=words,
            again_from=None,
        )

    def walk(self) -> list[str]:
        """All of it."""
        made, names = self.shop, self.names
        made.book.receive(
            self.who(self.s), lot=self.lot, material=names.text(), batch=names.text(), unit="m2",
            certificate=names.text(), amount="10", expires="2026-12-31", out_life=36000, frozen=True,
        )  # fmt: skip
        made.book.open_job(
            self.who(self.p), job=self.job, document=b"the document", plan=sha256("the plan"),
            pages={"job-card.pdf": b"pages"}, panel=names.text(), serial=names.text(), standing="READY",
            steps=naming_card(A1, "lots"), clocks=clocks(), earlier=[],
        )  # fmt: skip
        self.look()
        self.tried("lot not drawn", lambda: self.read(A1, f"1={self.lot}"))
        self.tried("drawn", lambda: made.book.issue(self.who(self.s), self.lot, self.job, A1, "2"))
        self.tried(
            "drawn by a technician", lambda: made.book.issue(self.who(self.t), self.lot, self.job, A1, "2")
        )
        self.tried("lot", lambda: self.read(A1, f"1={self.lot}"))
        for by in (self.t, self.i):
            self.tried("did", lambda by=by: self.sign(A1, "did", by))  # type: ignore[misc]
            self.tried("accepted", lambda by=by: self.sign(A1, "accepted", by, names.text()))  # type: ignore[misc]
        self.tried("accepted by the planner", lambda: self.sign(A1, "accepted", self.p))
        self.look()
        self.tried(
            "readings", lambda: self.read(A3, "1=yes", "2=11", f"3=0.2; {names.text().replace(';', ',')}; no")
        )
        self.tried("did outside", lambda: self.sign(A3, "did", self.t))
        self.tried("raised", lambda: made.book.raise_deviation(
            self.who(self.t), self.job, A3, self.dev, ["b1", "b2"], names.text()))  # fmt: skip
        for by in (self.t, self.i, self.e):
            self.tried("decided", lambda by=by: self.decide(self.dev, "may stand", by))  # type: ignore[misc]
        self.tried("did", lambda: self.sign(A3, "did", self.t))
        self.look()
        made.time.go(minutes=5)
        now = made.time.at.strftime("%Y-%m-%dT%H:%M:%S.000Z")
        self.tried("mixed", lambda: self.read(O11, f"1={now}", f"2={now}", f"3={names.text()}"))
        self.tried("did", lambda: self.sign(O11, "did", self.t))
        self.tried("bag", lambda: self.read(O20, f"1={now}", "2=22"))
        self.tried("did", lambda: self.sign(O20, "did", self.t))
        self.tried("rejected", lambda: self.sign(O20, "rejected", self.i, names.text()))
        self.look()
        self.tried("raised", lambda: made.book.raise_deviation(
            self.who(self.t), self.job, O20, f"{self.dev}2", ["r"], names.text()))  # fmt: skip
        self.tried("decided", lambda: self.decide(f"{self.dev}2", "may stand", self.e))
        self.tried("accepted", lambda: self.sign(O20, "accepted", self.i))
        self.look()
        report = b'{"digest": "x"}'
        self.tried("no report", lambda: made.book.keep_verdict(
            self.who(self.t), self.job, O24, "Cure A", e.Judged.CONFORMS, b"a log", report))  # fmt: skip
        self.tried("left out", lambda: self.sign(O24, "did", self.t))
        self.tried("unread", lambda: self.sign(O25, "did", self.t))
        self.tried("released early", lambda: self.release())
        self.tried("stopped", lambda: made.book.stop_job(self.who(self.p), self.job, names.text()))
        self.look()
        self.tried("after the stop", lambda: self.read(O25, "1=12"))
        return self.told

    def release(self) -> None:
        """The release entry."""
        text = self.names.text
        self.shop.book.release(
            self.who(self.i), self.job, self.shop.book.show_release(self.job), completed="2026-11-26",
            description=text(), certificate_number=text(), certificate_kind=text(),
        )  # fmt: skip


def secret(person: str) -> str:
    """The secret of somebody here."""
    return f"{person} keeps a long secret"


@pytest.mark.parametrize("turn", [0, 6])  # of each every number is somebody or something once
def test_other_names_change_no_standing_and_no_refusal(turn: int) -> None:
    names = Called((*IDS[turn:], *IDS[:turn]), TEXTS, at=turn)
    assert Walked(names).walk() == plain()


@cache
def plain() -> list[str]:
    """The same with names that mean nothing."""
    return Walked(Called(PLAIN, ("x 1", "y 2", "z 3"))).walk()


def test_a_number_with_a_blank_is_that_number_and_never_two_others() -> None:
    """ "LR 77" was read as the lots LR and 77, and these were what the record named."""
    made = begun()
    for lot in ("LR 77", "LR-78"):
        made.receive(lot)
    assert named_numbers(made.state, " LR  77 ") == ("LR 77",)
    assert named_numbers(made.state, "LR 77, L1; LR-78") == ("LR 77", "L1", "LR-78")
    assert named_numbers(made.state, "L1 LR-78") == ("L1", "LR-78")
    assert named_numbers(made.state, f"{code_of(made.state, LOT, 'LR 77')} L1") == ("LR 77", "L1")
    assert named_numbers(made.state, "LX 9") == ("LX 9",), "refused by its own number"
    for lot in ("LR", "77"):
        made.receive(lot)
    with pytest.raises(InputError, match="this may be the lot LR 77, or 2 of them"):
        named_numbers(made.state, "LR 77")
    assert named_numbers(made.state, "LR, 77") == ("LR", "77")


def test_an_instrument_called_none_is_not_taken_for_no_instrument() -> None:
    made = begun()
    assert named_numbers(made.state, "none", INSTRUMENT) == ()
    made.book.know_instrument(Who("S1", "S1 has a long secret"), "none", "gauge", "C-1", "2027-01-01")
    with pytest.raises(InputError, match="no instrument, or the instrument of this number"):
        named_numbers(made.state, "none", INSTRUMENT)
    assert scanned(made.state, code_of(made.state, INSTRUMENT, "none"), INSTRUMENT) == "none"


def test_what_a_person_read_as_the_limit_is_kept_as_it_was_typed() -> None:
    """A semicolon in it became a comma."""
    made = begun(1)
    keep_reading(made.book, who("T1"), JOB, 2, 3, Written("0.2", "0.5 mm; 51-30-04; no more", True))
    held = made.state.jobs[JOB].now(A3).filled[2].reading
    assert (held.limit, held.meets) == ("0.5 mm; 51-30-04; no more", True)
