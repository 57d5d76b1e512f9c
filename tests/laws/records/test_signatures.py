"""Signatures: two persons at a hold, what one means and covers, and that it is good once."""

from __future__ import annotations

import pytest

from panelmend.job.card.holds import SIGNED
from panelmend.records import events as e
from panelmend.records.book import Shown
from panelmend.records.canonical import sha256
from panelmend.records.doing.standing import statements
from panelmend.records.secrets import new_ticket
from records_made import (
    A1,
    A3,
    JOB,
    O11,
    O20,
    job_shop,
    names,
    refused,
    who,
)


def test_what_is_signed_is_locked_for_everybody() -> None:
    made = job_shop(A1, A3)
    made.receive("L1")
    refused("R124", lambda: made.read(A3, {"yes": True, "why": "x"}))
    refused("R124", lambda: made.book.keep_file(who("T1"), JOB, A3, "p.jpg", b"x", "photograph"))
    refused("R124", lambda: made.book.issue(who("S1"), "L1", JOB, A3, "1"))
    refused("R124", lambda: made.sign(A3, "did", "T2"))
    refused("R124", lambda: made.sign(A1, "accepted", "P1"))
    assert {*e.KINDS} & {"unlock", "step unlocked", "entry removed"} == set()


def test_nobody_accepts_their_own_work() -> None:
    """S. Amadi is technician and inspector: where they read one value they accept nothing of the job."""
    made = job_shop(A1)
    made.read(A3, {"yes": True}, by="I2")
    made.read(A3, {}, {"value": "1"}, {"value": "1", "meets": True, "limit": "1 mm"})
    made.sign(A3, "did", "T1")
    made.do(O11)
    made.fill(O20)
    made.sign(O20, "did", "T2")
    refused("R127", lambda: made.sign(O20, "accepted", "I2"))
    refused("R127", lambda: made.sign(O20, "rejected", "I2", "bag leaks"))
    refused("R128", lambda: made.sign(O20, "accepted", "P1"))
    made.sign(O20, "accepted", "I1")


@pytest.mark.parametrize("by", ["T1", "T2", "P1", "E1", "I1", "I2", "S1", "K1"])
@pytest.mark.parametrize("doer", ["T1", "T2", "I2"])
def test_every_pair_at_a_hold(doer: str, by: str) -> None:
    made = job_shop(A1)
    made.do(A3, O11, by=doer)
    made.fill(O20, by=doer)
    made.sign(O20, "did", doer)
    if by in ("I1", "I2") and by != doer:
        made.sign(O20, "accepted", by)
    else:
        with pytest.raises(Exception, match=r"R1(11|27|28)"):
            made.sign(O20, "accepted", by)


def test_an_inspection_without_its_authorisation_in_force_is_none() -> None:
    made = job_shop(A1, A3, O11)
    made.fill(O20)
    made.sign(O20, "did", "T1")
    made.book.end_authorisation(who("K1"), "I1", e.Scope.INSPECTION, "withdrawn")
    refused("R116", lambda: made.sign(O20, "accepted", "I1"))


def test_a_signature_says_what_it_means_in_the_cards_words_and_covers_what_was_shown() -> None:
    made = job_shop(A1)
    assert {m.value: w for m, w in statements().items()} == dict(SIGNED)
    assert "approved" not in {m.value for m in e.Meaning}
    made.fill(A3)
    shown = made.book.show(JOB, A3)
    made.read(A3, {"yes": True, "why": "looked again"})
    refused("R129", lambda: made.book.sign(who("T1"), JOB, A3, e.Meaning.DID, shown))
    made.sign(A3, "did", "T1")
    event, by, number = made.state.jobs[JOB].now(A3).signed[0]
    s = event.signature
    assert (s.name, s.words, s.plan, s.document) == (
        names(["T1"])[0],
        dict(SIGNED)["did"],
        sha256("the plan"),
        sha256(b"the document"),
    )
    assert (by, number) == ("T1", made.state.number)


def test_a_signature_is_good_once() -> None:
    made = job_shop(A1)
    made.fill(A3)
    shown = made.book.show(JOB, A3)
    made.book.sign(who("T1"), JOB, A3, e.Meaning.DID, shown)
    refused(
        "R129", lambda: made.book.sign(who("I1"), JOB, A3, e.Meaning.CHECKED, Shown("a" * 64, new_ticket()))
    )
    again = Shown(made.book.show(JOB, A3).content, shown.ticket)
    refused("R130", lambda: made.book.sign(who("I1"), JOB, A3, e.Meaning.CHECKED, again))
    made.sign(A3, "checked", "I1")


def test_a_signature_for_another_step_job_or_attempt_does_not_fit() -> None:
    made = job_shop(A1)
    made.begin_job("TAS-26-0419")
    made.fill(A1, job="TAS-26-0419")
    shown = made.book.show("TAS-26-0419", A1)
    made.fill(A3)
    refused("R129", lambda: made.book.sign(who("T1"), JOB, A3, e.Meaning.DID, shown))
