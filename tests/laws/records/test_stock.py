"""Stores: dates without override, out-time that only adds, balances that never go below nothing."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from panelmend.app.records_words import lot_words
from panelmend.records import events as e
from panelmend.records.book import When
from panelmend.records.canonical import sha256
from panelmend.screen.pages_stores import told_of
from records_made import A1, A3, JOB, O11, Shop, refused, shop, who


def _shop() -> Shop:
    made = shop()
    made.begin_job()
    return made


def _issue(made: Shop, lot: str = "L1", amount: str = "1", step: str = O11, when: When | None = None) -> None:
    made.book.issue(who("S1"), lot, JOB, step, amount, when or When())


def test_a_lot_is_used_on_the_whole_of_its_last_day_and_on_no_later_one() -> None:
    """A lot with "use by 2026-11-30" may be used through the end of 30 November by the shop's clock."""
    made = _shop()
    made.receive("L1", expires="2026-11-30", out_life=None, frozen=False)
    made.time.at = datetime(2026, 11, 30, 23, 59, 59, tzinfo=UTC)
    _issue(made)
    made.time.go(seconds=1)
    refused("R141", lambda: _issue(made))
    refused("R141", lambda: made.book.open_lot(who("S1"), "L1"))


def test_the_day_is_the_shops_own() -> None:
    """Lisbon stands an hour before UTC in summer: the day ends at 23:00 UTC."""
    made = _shop()
    made.receive("L1", expires="2027-06-01", out_life=None, frozen=False)
    made.time.at = datetime(2027, 6, 1, 22, 59, 59, tzinfo=UTC)
    _issue(made)
    made.time.go(seconds=1)
    refused("R141", lambda: _issue(made))


def test_an_entry_made_late_does_not_use_what_is_past_its_date_now() -> None:
    made = _shop()
    made.receive("L1", expires="2026-11-26")
    made.time.go(days=1)
    refused("R141", lambda: _issue(made, when=When(made.time.at - timedelta(hours=20), "forgot")))


def test_what_was_drawn_in_date_is_not_signed_for_past_it() -> None:
    made = _shop()
    made.do(A1, A3)
    made.receive("L1", expires="2026-11-26")
    _issue(made)
    made.time.go(days=1)
    made.fill(O11)
    refused("R141", lambda: made.sign(O11, "did", "T1"))


def test_out_time_adds_up_over_every_thaw_and_never_falls() -> None:
    made = _shop()
    made.receive("L1", out_life=36000, out_time=3600)
    assert made.state.lots["L1"].out_time == 3600
    for _ in range(4):
        made.book.move(who("T1"), "L1", frozen=False, place="bench")
        made.time.go(hours=2)
        made.book.move(who("T1"), "L1", frozen=True, place="freezer 1")
        made.time.go(days=1)
    assert made.state.lots["L1"].out_time == 3600 + 8 * 3600
    made.book.move(who("T1"), "L1", frozen=False, place="bench")
    made.time.go(hours=1)
    _issue(made)
    made.time.go(seconds=1)
    refused("R142", lambda: _issue(made))
    made.book.move(who("T1"), "L1", frozen=True, place="freezer 1")
    refused("R142", lambda: _issue(made))
    made.book.move(who("T1"), "L1", frozen=True, place="freezer 2")
    assert made.state.lots["L1"].out_time == 36001


def test_taking_out_twice_counts_from_the_first_time() -> None:
    made = _shop()
    made.receive("L1")
    made.book.move(who("T1"), "L1", frozen=False, place="bench")
    made.time.go(hours=1)
    made.book.move(who("T1"), "L1", frozen=False, place="other bench")
    made.time.go(hours=1)
    made.book.move(who("T1"), "L1", frozen=True, place="freezer")
    assert made.state.lots["L1"].out_time == 7200


def test_moves_are_entered_in_their_order_even_when_late() -> None:
    made = _shop()
    made.receive("L1")
    made.time.go(hours=5)
    out = made.time.at - timedelta(hours=4)
    made.book.move(who("T1"), "L1", False, "bench", When(out, "gloves on"))
    refused(
        "R145",
        lambda: made.book.move(who("T1"), "L1", True, "freezer", When(out - timedelta(seconds=1), "x")),
    )
    made.book.move(who("T1"), "L1", True, "freezer", When(out + timedelta(hours=3), "gloves on"))
    assert made.state.lots["L1"].out_time == 4 * 3600, "what the log has counted stays counted"


def test_what_was_drawn_twice_comes_back_as_old_as_what_was_drawn_first() -> None:
    """Drawn after 1 h out, frozen for 5 h, drawn again: what comes back may have lain out all the while."""
    made = _shop()
    made.receive("L1", out_life=36000)
    made.book.move(who("S1"), "L1", False, "bench")
    made.time.go(hours=1)
    _issue(made, amount="4")
    made.book.move(who("S1"), "L1", True, "freezer")
    made.time.go(hours=5)
    _issue(made, amount="2")
    made.book.take_back(who("S1"), "L1", "L1-a", JOB, "3", frozen=True)
    assert made.state.lots["L1-a"].out_time == 6 * 3600
    assert made.state.lots["L1"].out_time == 3600


def test_what_comes_back_is_no_younger_than_what_it_came_from() -> None:
    made = _shop()
    made.receive("L1", out_life=36000, opened_life=90000)
    made.book.move(who("S1"), "L1", False, "bench")
    made.book.open_lot(who("S1"), "L1")
    made.time.go(hours=1)
    _issue(made, amount="4")
    made.book.move(who("S1"), "L1", True, "freezer")
    made.time.go(hours=5)
    refused("R144", lambda: made.book.take_back(who("S1"), "L1", "L1-a", JOB, "4.1"))
    refused("R120", lambda: made.book.take_back(who("S1"), "L1", "l1", JOB, "1"))
    made.book.take_back(who("S1"), "L1", "L1-a", JOB, "3", frozen=True)
    refused("R144", lambda: made.book.take_back(who("S1"), "L1", "L1-b", JOB, "1.5"))
    back, rest = made.state.lots["L1-a"], made.state.lots["L1"]
    assert (back.out_time, rest.out_time) == (6 * 3600, 3600)
    assert (back.expires, back.opened, back.parent) == (rest.expires, rest.opened, "L1")
    assert rest.left == Decimal(6)
    made.time.go(hours=19)
    made.book.issue(who("S1"), "L1-a", JOB, O11, "1")
    made.time.go(seconds=1)
    refused("R143", lambda: made.book.issue(who("S1"), "L1-a", JOB, O11, "1"))


def test_what_is_drawn_from_was_opened_whether_or_not_anybody_said_so() -> None:
    made = _shop()
    made.receive("L1", opened_life=3600)
    _issue(made)
    made.time.go(hours=1)
    _issue(made)
    made.time.go(seconds=1)
    refused("R143", lambda: _issue(made))


def test_stock_is_never_below_nothing() -> None:
    made = _shop()
    made.receive("L1", amount="2.5")
    refused("R144", lambda: _issue(made, amount="2.500001"))
    _issue(made, amount="2.4")
    refused("R144", lambda: made.book.scrap(who("S1"), "L1", "0.2", "torn"))
    made.book.scrap(who("S1"), "L1", "0.1", "torn")
    assert made.state.lots["L1"].left == 0
    for amount in ("0", "-1"):
        refused("R108", lambda a=amount: _issue(made, amount=a))
    for amount in ("1e1", "01", "1.50", "NaN", "", "1,5"):
        refused("R108", lambda a=amount: _issue(made, amount=a))
    made.book.correct(who("S1"), "L1", "0.3", "counted")
    _issue(made, amount="0.3")
    refused("R108", lambda: made.book.correct(who("S1"), "L1", "-0.1", "counted"))


def test_a_new_date_comes_from_a_documented_retest_and_a_second_person_alone() -> None:
    made = _shop()
    made.book.set_roles(who("K1"), "E1", [e.Role.ENGINEER, e.Role.STOREKEEPER], "small shop")
    made.book.authorise(who("K1"), "E1", e.Scope.STORES, "2027-06-30", "paper")
    made.receive("L1", expires="2026-11-30")
    made.time.go(days=10)
    refused("R141", lambda: _issue(made))
    refused("R148", lambda: made.book.report_retest(who("S1"), "L1", "2026-11-30", b"report", "spec 4.2"))
    made.book.report_retest(who("E1"), "L1", "2027-01-31", b"report", "spec 4.2")
    number = made.state.number
    refused("R141", lambda: _issue(made))
    refused("R146", lambda: made.book.take_retest(who("E1"), "L1", number, "2027-01-31"))
    refused("R111", lambda: made.book.take_retest(who("S1"), "L1", number, "2027-01-31"))
    refused("R148", lambda: made.book.take_retest(who("E2"), "L1", number, "2027-02-28"))
    refused("R122", lambda: made.book.take_retest(who("E2"), "L1", number - 1, "2027-01-31"))
    made.book.take_retest(who("E2"), "L1", number, "2027-01-31")
    _issue(made)
    refused("R122", lambda: made.book.take_retest(who("E2"), "L1", number, "2027-01-31"))
    assert made.state.lots["L1"].received.expires == "2026-11-30", "the first date stays where it was"


def test_a_retest_names_a_paper_that_is_kept() -> None:
    made = _shop()
    made.receive("L1")
    what = e.RetestReported(lot="L1", until="2027-06-01", paper=sha256(b"nowhere"), ground="spec 4.2")
    refused("R147", lambda: made.book.act(who("S1"), lambda s: what))
    made.book.act(who("S1"), lambda s: what, papers={sha256(b"nowhere"): b"nowhere"})


def test_a_lot_comes_with_its_batch_and_its_suppliers_certificate() -> None:
    made = shop()
    for none in ("", "  ", "\u00a0"):
        refused("R108", lambda none=none: made.receive("L1", certificate=none))
        refused("R108", lambda none=none: made.receive("L1", batch=none))
    made.receive("L1", certificate=" C  1 ")
    assert made.state.lots["L1"].received.certificate == "C 1"


def test_receiving_a_batch_again_gives_it_no_later_date() -> None:
    made = _shop()
    made.receive("L1", expires="2026-11-30", batch="B 7")
    refused("R148", lambda: made.receive("L2", expires="2026-12-01", batch="b 7"))
    made.receive("L2", expires="2026-11-30", batch="b 7")
    refused("R120", lambda: made.receive("l1", batch="B 8"))
    refused("R108", lambda: made.receive("L3", out_life=None, frozen=True))
    refused("R108", lambda: made.receive("L3", expires="30.11.2026"))


@pytest.mark.parametrize(
    ("name", "good"),
    [
        ("L1", True),
        ("Roll 7/2 (a)", True),
        ("L1 ", False),
        (" L1", False),
        ("L  1", False),
        ("L1\n", False),
        ("L\uff11", False),
        ("\u13de1", False),
        ("../L1", False),
        ("", False),
        ("L" * 80, True),
        ("L" * 81, False),
    ],
)
def test_no_two_numbers_look_alike_and_are_not(name: str, good: bool) -> None:
    made = _shop()
    if good:
        made.receive(name)
    else:
        refused("R108", lambda: made.receive(name))


@pytest.mark.parametrize(
    ("day", "good"), [("2028-02-29", True), ("2027-02-29", False), ("2027-13-01", False)]
)
def test_a_day_is_one_of_the_calendar(day: str, good: bool) -> None:
    made = _shop()
    if good:
        made.receive("L1", expires=day)
    else:
        refused("R108", lambda: made.receive("L1", expires=day))


def test_everything_a_lot_touched_is_one_look() -> None:
    made = _shop()
    made.receive("L1")
    made.book.move(who("T1"), "L1", False, "bench")
    _issue(made, amount="4")
    made.book.take_back(who("S1"), "L1", "L1-a", JOB, "1")
    state = made.state
    kinds = [n.what.kind for n in made.book.history("lot L1")]
    assert kinds == ["lot received", "lot moved", "lot issued", "lot returned"]
    assert [n.what.kind for n in made.book.history("lot L1-a")] == ["lot returned"]
    assert state.of["lot L1"][-1] in state.of[f"job {JOB}"]
    assert {n.by for n in made.book.history("lot L1")} == {"S1", "T1"}
    assert made.book.history("lot nothing") == []
    mine = {n.number for n in made.book.history("person S1")}
    assert set(state.by["S1"]) <= mine


def test_the_out_time_of_a_lot_that_is_out_is_told_as_it_runs_and_never_less_than_it_is() -> None:
    """10 h 3 min may be out, 1 h was: after 2 h 56 min more 3 h 56 min are gone, told as 4.0 h of 10.0 h."""
    made = _shop()
    made.receive("L1", out_life=36180, out_time=3600)
    made.book.move(who("T1"), "L1", frozen=False, place="bench")
    for minutes, told in ((0, "1.0"), (176, "4.0"), (4, "4.0"), (1, "4.1"), (356, "10.0"), (7, "10.1")):
        made.time.go(minutes=minutes)
        row = told_of(made.state)["lots"][0]
        assert (row["out"], row["out_life"], row["frozen"]) == (told, "10.0", False)
        assert f"out {told} h of 10.0 h and still out" in lot_words(made.state, "L1")
        assert bool(row["why_not"]) is (told == "10.1")
    made.book.move(who("T1"), "L1", frozen=True, place="freezer 1")
    made.time.go(hours=9)
    row = told_of(made.state)["lots"][0]
    assert (row["out"], row["frozen"]) == ("10.1", True)
    assert "out 10.1 h of 10.0 h, in the freezer" in lot_words(made.state, "L1")
