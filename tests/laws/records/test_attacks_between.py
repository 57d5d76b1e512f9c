"""Between two steps, two people, two keepers, two files, two times: each way to slip through, refused."""

from __future__ import annotations

import shutil
from datetime import timedelta
from pathlib import Path

import pytest

from panelmend.records import events as e
from panelmend.records.book import Book, When
from panelmend.records.canonical import read_moment, sha256
from panelmend.records.doing.standing import At
from panelmend.records.store import copies
from panelmend.records.store.log import Log
from records_made import (
    A1,
    A3,
    CHEAP,
    JOB,
    KEYS,
    O11,
    O20,
    O24,
    O25,
    ON_POSTGRESQL,
    Shop,
    Time,
    decide,
    job_shop,
    refused,
    secret_of,
    shop,
    stands_at,
    steps,
    who,
)

FILES = pytest.mark.skipif(ON_POSTGRESQL, reason="notes lie beside files")


def test_a_deviation_found_late_stops_what_comes_after_and_is_done_again_from_where_it_was() -> None:
    made = job_shop(A1, A3, O11, O20)
    made.book.raise_deviation(who("T1"), JOB, A3, "D1", ["b1"], "the meter was out of its case")
    assert stands_at(made, O20) is At.BLOCKED, "signed and accepted, and yet not past it"
    refused("R123", lambda: made.verdict())
    refused("R123", lambda: made.read(O25, {"value": "12"}))
    decide(made, "D1", "do again", again=A3)
    job = made.state.jobs[JOB]
    assert [len(job.attempts[k]) for k in (A1, A3, O11, O20)] == [1, 2, 2, 2]
    refused("R123", lambda: made.verdict())
    made.do(*KEYS[1:])
    made.release()
    assert made.book.log.check().holds


def test_a_deviation_found_after_the_last_signature_keeps_the_release_back() -> None:
    made = job_shop(*KEYS)
    made.book.raise_deviation(who("T1"), JOB, A3, "D1", [], "the meter was another one's")
    refused("R133", made.release)
    decide(made, "D1", "may stand")
    made.release()
    refused("R136", lambda: made.book.raise_deviation(who("T1"), JOB, A3, "D2", [], "too late"))


@pytest.mark.parametrize(("seconds", "good"), [(0, True), (1, False)])
def test_no_deviation_is_told_of_a_time_before_the_job(seconds: int, good: bool) -> None:
    made = job_shop(A1)
    opened = When(read_moment(made.state.jobs[JOB].at) - timedelta(seconds=seconds), "gloves on")

    def told() -> None:
        made.book.raise_deviation(who("T1"), JOB, A3, "D1", [], "x", when=opened)

    if good:
        told()
    else:
        refused("R145", told)


def test_work_handed_from_one_to_another_is_the_work_of_both() -> None:
    """The one reads, the other signs; an inspector who lends a hand between accepts nothing any more."""
    made = job_shop(A1)
    made.read(A3, {"yes": True}, by="T1")
    made.read(A3, {}, {"value": "10"}, by="I2")
    made.read(A3, {}, {}, {"meets": True, "value": "0.2", "limit": "0.5 mm"}, by="T2")
    made.sign(A3, "did", "T2")
    made.do(O11, by="T2")
    made.fill(O20, by="T2")
    made.sign(O20, "did", "T2")
    refused("R127", lambda: made.sign(O20, "accepted", "I2"))
    made.book.remove_person(who("K1"), "T1", "left the shop half way")
    made.sign(O20, "accepted", "I1")
    made.do(O24, *KEYS[5:], by="T2")
    made.release()
    released = made.state.jobs[JOB].released[0]
    assert sorted(released.performed_by) == ["N. Vale", "R. Osk", "S. Amadi"]


def _new_behind(made: Shop, keeper: str, person: str) -> None:
    """A keeper sits behind a name: a new code, and a secret the keeper knows."""
    made.book.enrol(person, made.book.new_code(who(keeper), person, "lost it"), secret_of(person))


def test_one_keeper_behind_the_name_of_the_other_makes_nobody_an_inspector() -> None:
    made = shop()
    _new_behind(made, "K1", "K2")
    _new_behind(made, "K1", "I1")
    scope = e.Scope.INSPECTION
    for keeper in ("K1", "K2"):
        refused("R146", lambda k=keeper: made.book.authorise(who(k), "I1", scope, "2027-06-30", "paper"))
    _new_behind(made, "K2", "I2")
    for keeper in ("K1", "K2"):
        refused("R146", lambda k=keeper: made.book.authorise(who(k), "I2", scope, "2027-06-30", "paper"))


def test_a_third_keeper_who_has_seen_the_second_makes_them_a_second_person_again() -> None:
    made = shop()
    code = made.book.add_person(who("K2"), "K3", "Cy Keeps", [e.Role.KEEPER])
    made.book.enrol("K3", code, secret_of("K3"))
    _new_behind(made, "K1", "K2")
    _new_behind(made, "K1", "I1")
    scope = e.Scope.INSPECTION
    refused("R146", lambda: made.book.authorise(who("K2"), "I1", scope, "2027-06-30", "paper"))
    refused("R146", lambda: made.book.authorise(who("K1"), "K2", e.Scope.STORES, "2027-06-30", "x"))
    made.book.authorise(who("K3"), "K2", e.Scope.STORES, "2027-06-30", "seen in person")
    made.book.authorise(who("K2"), "I1", scope, "2027-06-30", "paper")
    assert made.book.log.check().holds


def test_two_keepers_who_put_each_other_out_leave_one_and_every_entry_of_it() -> None:
    made = shop()
    made.book.remove_person(who("K1"), "K2", "quarrel")
    refused("R112", lambda: made.book.remove_person(who("K2"), "K1", "quarrel"))
    refused("R119", lambda: made.book.remove_person(who("K1"), "K1", "quarrel"))
    refused("R111", lambda: made.book.new_code(who("E1"), "K2", "x"))
    refused("R112", lambda: made.book.new_code(who("K1"), "K2", "come back"))
    refused("R120", lambda: made.book.add_person(who("K1"), "k2", "Bo Keeps", [e.Role.KEEPER]))
    refused("R232", lambda: made.book.add_person(who("K1"), "K4", "bo keeps", [e.Role.KEEPER]))


@FILES
def test_one_keeper_behind_both_names_does_not_set_the_clock_back() -> None:
    made = job_shop(A1)
    made.receive("L1", expires="2026-11-30")
    made.time.go(days=10)
    made.receive("L2")
    _new_behind(made, "K1", "K2")
    numbers = [i for i, t in enumerate(made.state.entered, 1) if t >= "2026-12-06"]
    made.time.go(days=-9)
    made.book.clock_was_wrong(who("K1"), numbers[0], made.state.number, "the battery")
    last = made.state.number - 1
    refused("R146", lambda: made.book.clock_was_wrong(who("K2"), numbers[0], last, "seen it"))
    refused("R141", lambda: made.book.open_lot(who("S1"), "L1"))
    made.book.clock_was_wrong(who("E1"), numbers[0], last, "seen it")
    made.book.open_lot(who("S1"), "L1")


@FILES
def test_one_keeper_behind_both_names_takes_no_second_copy_over() -> None:
    made = job_shop(A1)
    _new_behind(made, "K1", "K2")
    saved = Path(made.where).with_name("saved.sqlite")
    made.book.log.backup(saved)
    other = Shop(str(saved), Time(made.time.at))
    other.book.other_copy_is_lost(who("K1"), "the disk is dead")
    refused("R146", lambda: other.book.other_copy_is_lost(who("K2"), "it is"))
    other.book.other_copy_is_lost(who("E1"), "it is")
    other.fill(A3)


@FILES
def test_a_file_of_another_history_that_is_longer_is_seen_by_the_note_beside_it() -> None:
    made = job_shop(A1)
    saved = Path(made.where).read_bytes()
    made.fill(A3)
    number, head = copies.last_noted(Path(made.where))
    Path(made.where).write_bytes(saved)
    Path(made.where + ".last").unlink()
    fork = Shop(made.where, Time(made.time.at + timedelta(seconds=1)))
    for key in ("L1", "L2"):
        fork.receive(key)
    assert fork.book.log.check().holds
    copies.note_last(Path(made.where), number, head)
    assert fork.state.number > number
    found = Log.open(made.where).check()
    assert (found.cut, [n for n, _ in found.faults]) == (True, [number])
    assert "another" not in refused("R107", lambda: fork.receive("L3"))
    copies.note_last(Path(made.where), *[(n, h) for n, _, h, _ in fork.book.log.entries()][number - 1])
    fork.receive("L3")


@FILES
def test_a_cut_tail_is_seen_by_the_check_with_no_head_from_paper() -> None:
    made = job_shop(A1)
    saved = Path(made.where).read_bytes()
    made.fill(A3)
    Path(made.where).write_bytes(saved)
    found = Log.open(made.where).check()
    assert found.cut
    assert "it ends at" in found.faults[0][1]
    elsewhere = Path(made.where).with_name("elsewhere.sqlite")
    shutil.copyfile(made.where, elsewhere)
    assert Book.open(str(elsewhere), cost=CHEAP).log.check().holds, "no note beside it says anything"


def test_a_clock_that_goes_back_between_looking_and_signing_makes_nothing_younger() -> None:
    made = job_shop(A1)
    made.receive("L1", frozen=False, out_life=None, expires="2026-11-26")
    made.book.issue(who("S1"), "L1", JOB, O11, "1")
    made.do(A3)
    made.time.go(hours=3)
    made.fill(O11)
    made.sign(O11, "did", "T1")
    shown = made.book.show(JOB, O20)
    made.time.go(hours=-2)
    refused("R134", lambda: made.read(O20, {"at": "2026-11-26T23:00:00.000Z"}))
    made.read(O20, {"at": made.state.latest}, {"value": "22"})
    refused("R129", lambda: made.book.sign(who("T1"), JOB, O20, e.Meaning.DID, shown))
    made.sign(O20, "did", "T1")
    entry = made.book.history(f"job {JOB}")[-1]
    assert entry.behind > 7000
    assert entry.at == max(x.at for x in made.book.history(f"job {JOB}"))
    assert made.book.log.check().holds


def test_a_label_is_of_this_job_this_plan_and_a_piece_of_this_step() -> None:
    made = shop()
    held = {O11: ("P1", "P2"), O20: ("P3",)}
    card = tuple(x.model_copy(update={"pieces": held.get(x.key, ())}) for x in steps())
    made.begin_job(pieces=("P1", "P2", "P3"), steps=card)
    made.begin_job("TAS-26-0500", serial="0089", plan=sha256("another plan"), pieces=("P1",))
    made.do(A1)
    plan, other = sha256("the plan"), sha256("another plan")

    def see(step: str, repair: str, piece: str, digest: str) -> None:
        made.book.see_label(who("T1"), JOB, step, repair, piece, digest)

    made.do(A3)
    refused("R303", lambda: see(O11, "TAS-26-0500", "P1", other[:12]))
    refused("R303", lambda: see(O11, JOB, "P1", other[:12]))
    refused("R303", lambda: see(O11, "TAS-26-0500", "P1", plan[:12]))
    refused("R303", lambda: see(O11, JOB, "P3", plan[:12]))
    refused("R303", lambda: see(O11, JOB, "P4", plan[:12]))
    refused("R108", lambda: see(O11, JOB, "P1", plan[:7]))
    see(O11, JOB, "P1", plan[:8])
    refused("R303", lambda: see(O11, JOB, "P1", plan))
    assert [x.piece for x, _ in made.state.jobs[JOB].now(O11).labels] == ["P1"]
