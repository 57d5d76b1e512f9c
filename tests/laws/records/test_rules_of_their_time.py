"""Entries are checked by the rules of their time; newer ones are taken on by an entry of their own."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from panelmend.records import events as e
from panelmend.records.rules.check import RULES
from panelmend.records.store.log import Draft
from records_kept import kept_shop
from records_made import A3, O11, O20, Shop, ago, refused, secret_of, who

KEPT = Path(__file__).parents[2] / "unchanged" / "records_rules_1.json"
SECOND = KEPT.with_name("records_rules_2.json")


@pytest.fixture
def old() -> Callable[[], Shop]:
    """Records kept by the first release, with what its rules let pass: a lot made younger by a late entry, a
    clock set right by one person, a step accepted by who worked on the job before."""
    return lambda: kept_shop(KEPT)


def test_entries_are_checked_by_the_rules_of_their_time(old: Callable[[], Shop]) -> None:
    made = old()
    found = made.book.log.check()
    assert found.holds, found.faults
    assert found.unsealed > 0, "their signatures bear no seal, which is told"
    assert made.book.log.check(json.loads(KEPT.read_text("utf8"))["head"]).holds
    state = made.state
    assert state.rules == 1
    assert state.jobs["A-2"].closed == "released"
    assert state.lots["L1"].out_time == 600
    assert state.wrong


def test_newer_rules_begin_with_the_first_entry_of_the_newer_release_and_never_go_back(
    old: Callable[[], Shop],
) -> None:
    made = old()
    made.receive("N1")
    assert made.state.rules == RULES
    kinds = [x.what.kind for x in made.book.history("person S1")][-2:]
    assert kinds == ["rules taken on", "lot received"]
    found = made.book.log.check()
    assert found.holds, found.faults
    refused("R108", lambda: made.book.log.append(lambda st, c: [Draft("S1", e.RulesTaken(rules=RULES))]))
    refused("R105", lambda: made.book.log.append(lambda st, c: [Draft("S1", e.RulesTaken(rules=RULES + 1))]))
    made.book.move(who("S1"), "N1", False, "bench")
    made.time.go(hours=2)
    made.book.move(who("S1"), "N1", True, "freezer", ago(made, hours=1))
    assert made.state.lots["N1"].out_time == 7200


def test_who_has_a_secret_of_the_first_release_signs_after_enrolling_anew(old: Callable[[], Shop]) -> None:
    made = old()
    refused("R235", lambda: made.sign(A3, "checked", "I1", job="A-3"))
    for person, scope in (("I1", e.Scope.INSPECTION), ("T1", e.Scope.BONDING)):
        code = made.book.new_code(who("K1"), person, "a key of their own")
        made.book.enrol(person, code, secret_of(person))
        assert made.state.people[person].authorised[scope], "without a key there was nobody to take over"
    made.sign(A3, "checked", "I1", job="A-3")
    assert made.book.log.check().holds


def test_records_of_rules_2_are_checked_by_them_and_new_entries_by_those_of_today() -> None:
    """What they let pass: a typed paper signed past its check, one checked past an open deviation, one from
    before work was done again; somebody on paper who had left; a meter that is none; another clock."""
    made = kept_shop(SECOND)
    found = made.book.log.check(json.loads(SECOND.read_text("utf8"))["head"])
    assert found.holds, found.faults
    assert made.state.rules == 2
    for n, key in ((1, O11), (2, O20), (5, A3)):
        assert made.state.jobs[f"B-{n}"].now(key).did is not None
    for keeper in ("K1", "K2"):
        made.book.other_copy_is_lost(who(keeper), "kept for the tests")
    assert made.state.rules == RULES
    assert made.book.log.check().holds
