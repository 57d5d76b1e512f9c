"""The worst day: the wrong lot is drawn, the machine dies at a signature, two machines hold one job."""

from __future__ import annotations

import os
import shutil
import signal
import time
import warnings
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from ends import ended
from panelmend.app.cardwork import step_now
from panelmend.app.records_stores import other_choice
from panelmend.app.records_words import step_words
from panelmend.records import events as e
from panelmend.records.store import copies
from records_made import A1, A3, JOB, O11, ON_POSTGRESQL, Shop, Time, begun, refused, shop, who

NEEDS = [e.Need(material="film adhesive", store="", amount="2", unit="m2")]


def _words(made: Shop) -> str:
    return "\n".join(step_words(made.state, made.state.jobs[JOB], O11))


def test_a_lot_that_the_plan_takes_nothing_of_is_told_at_the_stores_and_to_who_signs() -> None:
    made = shop()
    made.begin_job(kit=NEEDS)
    made.receive("L1")
    made.receive("P-9", material="paste of another job", unit="g")
    made.do(A1, A3)
    assert other_choice(made.state, JOB, "L1") == ""
    assert "TAKES NONE OF IT" in other_choice(made.state, JOB, "P-9")
    made.book.issue(who("S1"), "L1", JOB, O11, "2")
    number = made.state.jobs[JOB].steps[O11].number
    assert "TAKES NONE OF IT" not in _words(made)
    assert step_now(made.state, JOB, number, None).beside_plan == ()
    made.book.issue(who("S1"), "P-9", JOB, O11, "5")
    assert "lot P-9, paste of another job: 5 g" in _words(made)
    assert _words(made).count("THE PLAN TAKES NONE OF IT") == 1
    assert step_now(made.state, JOB, number, None).beside_plan == ("P-9, paste of another job",)
    made.book.take_back(who("S1"), "P-9", "P-9/a", JOB, "5")  # the slip goes back, as a lot of its own
    assert made.state.lots["P-9/a"].left == 5
    assert made.book.log.check().holds


def test_where_the_plan_names_nothing_from_the_stores_no_lot_is_beside_it() -> None:
    made = begun(2)
    made.receive("P-9", material="paste of another job", unit="g")
    assert other_choice(made.state, JOB, "P-9") == ""


def _forked(act: Callable[[], object], wait: float | None) -> None:
    """Something done by another process, killed after some time [s]; left alone without one."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if child == 0:
        try:
            act()
        finally:
            os._exit(0)
    if wait is not None:
        time.sleep(wait)
        os.kill(child, signal.SIGKILL)
    ended(child, "the copy that works beside the records")


@pytest.mark.skipif(ON_POSTGRESQL, reason="a connection to a server is not forked")
def test_killed_at_a_signature_it_stands_whole_or_not_at_all_and_once() -> None:
    """Nobody knows whether it was taken until they look; what was shown is good once in any case."""
    ends = set()
    for n in range(8):
        made = begun(1)
        made.fill(A3)
        at = made.state.number
        shown = made.book.show(JOB, A3)

        def sign(made: Shop = made, shown: object = shown) -> None:
            made.book.sign(who("T1"), JOB, A3, e.Meaning.DID, shown)  # type: ignore[arg-type]

        _forked(sign, None if n == 0 else 0.003 * (n - 1))
        again = Shop(made.where, Time(made.time.at))
        taken = again.state.number - at
        assert taken in (0, 1)
        done = again.state.jobs[JOB].now(A3).did
        assert (done is not None) is bool(taken)
        ends.add(taken)
        if taken:
            refused("R124", partial(sign, again, shown))
        else:
            sign(again, shown)
        signed = [s for s, *_ in again.state.jobs[JOB].now(A3).signed]
        assert [s.signature.ticket for s in signed] == [shown.ticket]
        assert again.book.log.check().holds
    assert ends == {0, 1}, "either end was never met: nothing was tried"


@pytest.mark.skipif(ON_POSTGRESQL, reason="copies are of files")
def test_a_machine_that_comes_back_from_the_panel_does_not_meet_its_double() -> None:
    """The field machine takes over, works and dies; the office goes on from the copy it handed over, on the
    word of two; the field machine comes back to life: its signatures are told apart by their heads, never
    mixed, and one copy alone takes more."""
    office = begun(1)
    token = office.book.hand_over(who("K1"), "to the panel")
    field = _copy_of(office, "field.sqlite")
    field.book.take_over(token)
    field.fill(A3)
    field.sign(A3, "did", "T1")
    head = field.book.log.check().printed
    refused("R236", lambda: office.fill(A3))
    office.book.other_copy_is_lost(who("K1"), "the machine fell")
    refused("R236", lambda: office.fill(A3))
    office.book.other_copy_is_lost(who("E1"), "seen it")
    office.fill(A3)
    assert office.book.log.check().holds
    assert not office.book.log.check(head).holds  # the head on the card that was printed at the panel
    back = _copy_of(field, "back.sqlite")  # its file brought to the office takes nothing
    refused("R236", lambda: back.sign(A3, "accepted", "I1"))


def _copy_of(made: Shop, name: str) -> Shop:
    target = Path(made.where).with_name(name)
    shutil.copyfile(made.where, target)
    assert not copies.token_beside(target)
    return Shop(str(target), Time(made.time.at))
