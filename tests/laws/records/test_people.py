"""People: no default, back-off, removal that keeps history, and one table of who may do what."""

from __future__ import annotations

from datetime import timedelta

import argon2
import pytest

from panelmend.records import events as e
from panelmend.records import secrets as s
from panelmend.records.book import Book, Who
from panelmend.records.canonical import moment, sha256
from panelmend.records.refusals import Refused
from panelmend.records.rights import ACTIONS, RIGHTS, action
from panelmend.records.rules import check as look
from panelmend.records.rules.check import may
from panelmend.records.state import Person, State
from panelmend.records.store.log import Draft
from records_made import CHEAP, JOB, PEOPLE, refused, shop, who

T, P, E, I, S, K = (
    e.Role.TECHNICIAN,
    e.Role.PLANNER,
    e.Role.ENGINEER,
    e.Role.INSPECTOR,
    e.Role.STOREKEEPER,
    e.Role.KEEPER,
)
TABLE = {
    "records begun": set(),
    "rules taken on": set(),
    "person enrolled": set(),
    "secret failed": set(),
    "person added": {K},
    "code issued": {K},
    "roles set": {K},
    "person removed": {K},
    "person authorised": {K},
    "authorisation ended": {K},
    "clock was wrong": {K, E},
    "copy governs": {K, E},
    "job opened": {P},
    "job revised": {P},
    "readings": {T, I},
    "paper transcribed": {T, P, I},
    "transcript checked": {P, I},
    "file kept": {T, I},
    "verdict kept": {T, I},
    "step signed: did": {T},
    "step signed: checked": {I, E},
    "step signed: accepted": {P, I},
    "step signed: rejected": {P, I},
    "deviation raised": {T, P, E, I},
    "deviation decided": {E},
    "released": {I},
    "job stopped": {P, E},
    "lot received": {S},
    "lot moved": {S, T},
    "lot opened": {S, T},
    "lot issued": {S},
    "lot returned": {S},
    "lot reserved": {S, P},
    "batch mixed": {T},
    "label seen": {T, I},
    "coupon made": {T, I},
    "coupon tested": {T, I},
    "lot scrapped": {S},
    "lot corrected": {S},
    "re-test reported": {S, I},
    "re-test taken on": {E},
    "instrument known": {S, I},
    "least stock set": {S, P},
}
"""Written a second time by hand: a change of the table is made in two places, on purpose."""


def test_every_kind_of_entry_has_its_row_and_no_row_is_without_one() -> None:
    assert set(RIGHTS) == set(ACTIONS) == set(TABLE)


@pytest.mark.parametrize("name", sorted(TABLE))
def test_every_action_against_every_role(name: str) -> None:
    """Each role alone, with every authorisation in force; then with none in force."""
    for role in e.Role:
        for scopes in (True, False):
            person = Person("X1", "X", frozenset({role}), "a" * 64)
            if scopes:
                person.authorised = dict.fromkeys(e.Scope, "2099-01-01")
            state = State(people={"X1": person}, latest="2026-11-26T07:00:00.000Z")
            entry = _entry(name)
            assert action(entry.what) == name
            right = RIGHTS[name]
            needs = role in right.scopes
            if role in TABLE[name] and (scopes or not needs):
                may(state, entry, right)
            else:
                refused(
                    "R111" if role not in TABLE[name] else "R116",
                    lambda s=state, n=entry, r=right: may(s, n, r),
                )


def _entry(name: str) -> e.Entry:
    kind, _, meaning = name.partition(": ")
    what = e.KINDS[kind].model_construct(kind=kind)
    if meaning:
        what = e.StepSigned.model_construct(
            kind=kind, signature=e.Signature.model_construct(meaning=e.Meaning(meaning))
        )
    at = "2026-11-26T07:00:00.000Z"
    return e.Entry.model_construct(
        number=1, before="0" * 64, by="X1", at=at, entered=at, late="", behind=0, what=what
    )


def test_only_what_the_records_write_themselves_passes_without_a_right() -> None:
    free = {n for n, roles in TABLE.items() if not roles}
    assert free == {"records begun", "rules taken on", "person enrolled", "secret failed"}


def test_an_authorisation_holds_on_its_last_day_by_the_shops_date_and_no_longer() -> None:
    made = shop()
    made.book.authorise(who("K1"), "S1", e.Scope.STORES, "2026-11-26", "paper")
    made.time.at = made.time.at.replace(hour=23, minute=59)  # Lisbon is on UTC in November
    made.receive("L1")
    made.time.go(minutes=2)
    refused("R116", lambda: made.receive("L2"))
    made.book.authorise(who("K1"), "S1", e.Scope.STORES, "2026-11-27", "paper")
    made.receive("L2")
    made.book.end_authorisation(who("K1"), "S1", e.Scope.STORES, "withdrawn")
    refused("R116", lambda: made.receive("L3"))


def test_nobody_gives_rights_to_themselves_and_the_last_keeper_stays() -> None:
    made = shop()
    book = made.book
    refused("R118", lambda: book.set_roles(who("K1"), "K1", [K, T], "short of hands"))
    refused("R118", lambda: book.authorise(who("K1"), "K1", e.Scope.RELEASE, "2027-01-01", "paper"))
    refused("R118", lambda: book.new_code(who("K1"), "K1", "lost"))
    book.set_roles(who("K1"), "K2", [T], "changes to the bench")
    refused("R119", lambda: book.remove_person(who("K1"), "K1", "leaves"))
    book.set_roles(who("K1"), "T2", [T, K], "learns the accounts")
    book.remove_person(who("T2"), "K1", "leaves")
    refused("R112", lambda: book.set_roles(who("K1"), "T1", [K], "late"))


def test_a_person_removed_can_do_nothing_and_stays_in_the_history() -> None:
    made = shop()
    made.begin_job()
    made.do("A1/0/0")
    made.book.remove_person(who("K1"), "T1", "leaves")
    refused("R112", lambda: made.read("A3/0/0", {"yes": True}))
    refused("R120", lambda: made.book.add_person(who("K1"), "t1", "Another", [T]))
    held = made.state.jobs[JOB].now("A1/0/0")
    assert held.did[0] == "T1"
    assert made.state.people["T1"].name == PEOPLE["T1"][0]
    assert made.state.by["T1"]


def test_a_code_sets_a_secret_once_in_its_time_and_a_wrong_one_counts() -> None:
    made = shop()
    book = made.book
    code = book.add_person(who("K1"), "T9", "New One", [T])
    refused("R117", lambda: book.enrol("T9", "0000-" + code[5:], "a quite long secret"))
    assert made.state.people["T9"].failures == 1
    made.time.go(days=3)
    book.enrol("T9", code.upper(), "a quite long secret")
    refused("R117", lambda: book.enrol("T9", code, "another long secret"))
    code = book.new_code(who("K1"), "T9", "lost it")
    refused("R113", lambda: book.open_lot(Who("T9", "a quite long secret"), "L1"))
    made.time.go(days=3, seconds=1)
    refused("R117", lambda: book.enrol("T9", code, "another long secret"))


def test_what_stands_in_the_log_does_not_enrol_anybody() -> None:
    """The log holds the digest of a code; the code itself is asked."""
    made = shop()
    made.book.add_person(who("K1"), "T9", "New One", [T])
    digest = made.state.people["T9"].code
    hashed = s.Hashes(CHEAP).make("a quite long secret")
    for code in (digest[:32], sha256(digest)[:32]):
        what = e.Enrolled(person="T9", code=code, secret=sha256(hashed))
        refused(
            "R117",
            lambda w=what: made.book.log.append(
                lambda state, c: [Draft("T9", w)], secrets={sha256(hashed): hashed}
            ),
        )
    refused("R117", lambda: made.book.enrol("T9", digest, "a quite long secret"))


@pytest.mark.parametrize(
    ("secret", "good"),
    [
        ("elevenchars", False),
        ("twelve chars", True),
        ("aaaaaaaaaaaaaaaa", False),
        ("abcdabcdabcdabcd", False),
        ("abcdeabcdeab", True),
        ("Q", False),
        ("x1 " * 67, False),
        ("Maximilian Oberkeeper", False),
        ("maximilianoberkeeper", False),
    ],
)
def test_a_secret_is_long_and_not_the_name(secret: str, good: bool) -> None:
    if good:
        s.strong(secret, "K7", "Maximilian Oberkeeper")
    else:
        refused("R115", lambda: s.strong(secret, "K7", "Maximilian Oberkeeper"))


def test_wrong_secrets_are_recorded_and_after_five_each_waits_longer() -> None:
    made = shop()
    made.receive("L1")
    wrong = Who("S1", "not the secret at all")
    for _ in range(5):
        refused("R113", lambda: made.book.open_lot(wrong, "L1"))
    assert made.state.people["S1"].failures == 5
    number = made.state.number
    refused("R114", lambda: made.book.open_lot(wrong, "L1"))
    refused("R114", lambda: made.book.open_lot(who("S1"), "L1"))
    assert made.state.number == number, "while it waits nothing is tried and nothing is written"
    made.time.go(seconds=29.9)
    refused("R114", lambda: made.book.open_lot(who("S1"), "L1"))
    made.time.go(seconds=0.2)
    refused("R113", lambda: made.book.open_lot(wrong, "L1"))
    made.time.go(seconds=59)
    refused("R114", lambda: made.book.open_lot(who("S1"), "L1"))
    made.time.go(hours=-2)
    refused("R114", lambda: made.book.open_lot(who("S1"), "L1"))
    made.time.go(hours=2, seconds=2)
    made.book.open_lot(who("S1"), "L1")
    assert made.state.people["S1"].failures == 0
    assert made.book.log.check().holds


def test_any_text_as_a_secret_is_a_wrong_one_and_no_fault() -> None:
    made = shop()
    for n, secret in enumerate(("", "a\0" * 10, "\ud800" * 14, "x" * 100_000), 1):
        refused("R113", lambda s=secret: made.book.open_lot(Who("S1", s), "L1"))
        assert made.state.people["S1"].failures == n


def test_the_longest_wait_is_an_hour() -> None:
    person = Person("X", "X", frozenset(), failures=40, failed_at="2026-11-26T07:00:00.000Z")
    assert s.waits_until(person) == "2026-11-26T08:00:00.000Z"


def test_a_hash_cheaper_than_the_records_ask_is_not_believed() -> None:
    """Hashes of the tests never open records in earnest."""
    made = shop()
    earnest = Book.open(made.where, cost=s.Cost(1, 16, 1), now=made.time)
    refused("R113", lambda: earnest.open_lot(who("S1"), "L1"))
    assert s.Cost(3, 65536, 4) == s.FULL
    hashed = s.Hashes(CHEAP).make("a long enough secret")
    assert hashed.startswith("argon2id-ed25519 1 8 1 ")
    assert not s.Hashes().right(hashed, "a long enough secret")
    assert not s.Hashes(CHEAP).right(
        argon2.PasswordHasher(1, 8, 1, type=argon2.Type.I).hash(b"x" * 12), "x" * 12
    )
    assert not s.Hashes(CHEAP).right("", "x" * 12)


def test_a_role_given_later_does_not_make_old_work_somebody_elses() -> None:
    """A technician made inspector half way still does not accept what they did."""
    made = shop()
    made.begin_job()
    made.do("A1/0/0", "A3/0/0", "O11/1/1")
    made.fill("O20/1/0")
    made.sign("O20/1/0", "did", "T1")
    made.book.set_roles(who("K1"), "T1", [T, I], "promoted")
    made.book.authorise(who("K1"), "T1", e.Scope.INSPECTION, "2027-01-01", "paper")
    refused("R127", lambda: made.sign("O20/1/0", "accepted", "T1"))
    made.sign("O20/1/0", "accepted", "I1")


def test_an_entry_late_needs_its_reason_and_none_is_of_the_future() -> None:
    made = shop()
    made.receive("L1")
    made.time.go(hours=16)
    now = made.time.at

    def move(minutes: float, late: str) -> None:
        state = made.state
        at = moment(now + timedelta(minutes=minutes))
        what = e.LotOpened(lot="L1")
        entry = e.Entry(
            number=state.number + 1,
            before=state.head,
            by="S1",
            at=at,
            entered=moment(now),
            late=late,
            behind=0,
            what=what,
        )
        look(state, entry)

    move(0, "")
    move(-15, "")
    refused("R110", lambda: move(-15.1, ""))
    refused("R110", lambda: move(-15.1, "  "))
    move(-600, "the link was down")
    refused("R109", lambda: move(0.001, "x"))


def test_the_words_of_a_refusal_say_what_to_do() -> None:
    made = shop()
    with pytest.raises(Refused, match="ask a person whose role it is"):
        made.book.stop_job(who("S1"), JOB, "x")
