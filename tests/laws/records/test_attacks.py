"""What a dishonest or a tired person would try, each refused; every one of these once passed."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from panelmend.records import events as e
from panelmend.records import seals
from panelmend.records import secrets as s
from panelmend.records.book import When, Who
from panelmend.records.canonical import link, moment, sha256
from panelmend.records.doing.standing import content, statements
from panelmend.records.store.log import Draft, Log
from panelmend.records.store.tables import ENTRIES, PAPERS, SECRETS
from records_made import (
    A1,
    A3,
    CHEAP,
    JOB,
    O11,
    O20,
    O24,
    Shop,
    quick_folder,
    refused,
    report_of,
    secret_of,
    shop,
    steps,
    who,
)

KEPT = Path(__file__).parents[2] / "unchanged" / "records_rules_1.json"


def _shop(*done: str, **more: Any) -> Shop:
    made = shop()
    made.begin_job(**more)
    made.do(*done)
    return made


def _ago(made: Shop, **by: float) -> When:
    return When(made.time.at - timedelta(**by), "the hands were busy")


def _named(key: str, names: str) -> tuple[e.Step, ...]:
    """The short card, where the first blank of a step names lots or instruments."""
    return tuple(
        x.model_copy(update={"blanks": (x.blanks[0].model_copy(update={"names": names}), *x.blanks[1:])})
        if x.key == key
        else x
        for x in steps()
    )


# --- who it was


def _signed_as(made: Shop, by: str, seed: bytes | None) -> None:
    """Sign a step past the secret: a program of one's own that writes into the log."""
    state = made.state
    job = state.jobs[JOB]
    signature = e.Signature(
        meaning=e.Meaning.ACCEPTED,
        words=statements()[e.Meaning.ACCEPTED],
        name=state.people[by].name,
        content=content(state, job, O20),
        document=job.opened.document,
        plan=job.opened.plan,
        ticket="1" * 32,
    )
    what = e.StepSigned(job=JOB, step=O20, signature=signature)
    made.book.log.append(lambda state, c: [Draft(by, what, seed=seed)])


def test_nobody_signs_as_another_not_even_with_a_program_of_their_own() -> None:
    made = _shop(A1, A3, O11)
    made.fill(O20)
    made.sign(O20, "did", "T1")
    refused("R235", lambda: _signed_as(made, "I1", None))
    row = _rows(made, made.state.people["T1"].secret)
    own = s.Hashes(CHEAP).seed(row, secret_of("T1"))
    refused("R235", lambda: _signed_as(made, "I1", own))
    _signed_as(made, "I1", s.Hashes(CHEAP).seed(_rows(made, made.state.people["I1"].secret), secret_of("I1")))
    assert made.book.log.check().holds


def _rows(made: Shop, digest: str) -> str:
    with made.book.log.reading() as connection:
        return made.book.log.secret(connection, digest)


def test_a_seal_is_of_one_place_in_one_log_and_found_out_when_the_log_is_written_anew() -> None:
    """Whoever has the disk makes every hash anew after changing a reading; they cannot make the seals."""
    made = _shop(A1, A3, O11, O20)
    rows = [t for *_, t in made.book.log.entries()]
    forged = [t.replace(':"10"', ':"9"') for t in rows]
    assert forged != rows
    found = _rewritten(made, forged).check()
    assert not found.holds
    assert any("R129" in words or "R235" in words for _, words in found.faults), found.faults
    text = seals.text_of("r" * 32, 7, "0" * 64, "{}")
    seed = b"\1" * 32
    made_seal = seals.seal(seed, text)
    assert seals.sealed(seals.public_of(seed), text, made_seal)
    for other in (
        seals.text_of("s" * 32, 7, "0" * 64, "{}"),
        seals.text_of("r" * 32, 8, "0" * 64, "{}"),
        seals.text_of("r" * 32, 7, "1" * 64, "{}"),
        seals.text_of("r" * 32, 7, "0" * 64, "{} "),
    ):
        assert not seals.sealed(seals.public_of(seed), other, made_seal)
    assert not seals.sealed("", text, made_seal)
    assert not seals.sealed(seals.public_of(b"\2" * 32), text, made_seal)


def _rewritten(made: Shop, texts: list[str]) -> Log:
    """A log with other texts, every hash made anew, papers and secrets as they were."""
    target = quick_folder() / "forged.sqlite"
    log = Log.open(str(target), make=True)
    with made.book.log.reading() as connection:
        papers = connection.execute(sa.select(PAPERS)).all()
        kept = connection.execute(sa.select(SECRETS)).all()
    _write(log, texts, [(str(d), bytes(x)) for d, x in papers], [(str(d), str(x)) for d, x in kept])
    return Log.open(str(target))


def _write(log: Log, texts: list[str], papers: list[tuple[str, bytes]], kept: list[tuple[str, str]]) -> None:
    from panelmend.records.store import moves

    with log._writing() as connection:
        moves.move_up(connection)
        before = "0" * 64
        for n, text in enumerate(texts, 1):
            hashed = link(n, before, sha256(text))
            connection.execute(sa.insert(ENTRIES).values(number=n, before=before, hash=hashed, text=text))
            before = hashed
        for digest, data in papers:
            connection.execute(sa.insert(PAPERS).values(digest=digest, data=data))
        for digest, row in kept:
            connection.execute(sa.insert(SECRETS).values(digest=digest, hash=row))


def test_a_name_on_paper_is_one_persons_also_after_they_left() -> None:
    """Who was removed does not come back under a second number to accept their own work."""
    made = _shop(A1, A3, O11)
    made.fill(O20)
    made.sign(O20, "did", "T1")
    made.book.remove_person(who("K1"), "T1", "leaves")
    for name in ("R. Osk", "r osk", "R.\u2009Osk", "R.\u00adOsk", "\uff32. Osk", "..."):
        refused("R232", lambda n=name: made.book.add_person(who("K1"), "I9", n, [e.Role.INSPECTOR]))
    made.book.add_person(who("K1"), "I9", "R. Oskar", [e.Role.INSPECTOR])


def test_a_keeper_alone_does_not_take_over_somebodys_name() -> None:
    made = _shop(A1, A3, O11)
    made.fill(O20)
    made.sign(O20, "did", "T1")
    code = made.book.new_code(who("K1"), "I1", "they forgot it")
    taken = Who("I1", "what the keeper chose")
    made.book.enrol("I1", code, taken.secret)
    shown = made.book.show(JOB, O20)
    refused("R116", lambda: made.book.sign(taken, JOB, O20, e.Meaning.ACCEPTED, shown))
    refused("R146", lambda: made.book.authorise(who("K1"), "I1", e.Scope.INSPECTION, "2027-06-30", "paper"))
    made.book.authorise(who("K2"), "I1", e.Scope.INSPECTION, "2027-06-30", "paper")
    made.book.sign(taken, JOB, O20, e.Meaning.ACCEPTED, shown)


def test_work_done_under_one_number_is_ones_own_in_the_job_that_follows() -> None:
    made = shop()
    made.begin_job("A")
    made.do(A1, job="A")
    made.fill(A3, "I2", "A")
    made.sign(A3, "did", "I2", job="A")
    made.book.stop_job(who("P1"), "A", "more damage found")
    made.begin_job("B", follows="A")
    made.do(A1, A3, O11, job="B")
    made.fill(O20, job="B")
    made.sign(O20, "did", "T1", job="B")
    refused("R127", lambda: made.sign(O20, "accepted", "I2", job="B"))
    made.sign(O20, "accepted", "I1", job="B")


# --- when it was


def test_a_right_of_today_does_not_reach_back() -> None:
    """Made an inspector, or authorised, today: nothing is signed for a day on which they were not."""
    made = _shop(A1, A3, O11)
    made.fill(O20)
    made.sign(O20, "did", "T1")
    made.time.go(days=2)
    made.book.set_roles(who("K1"), "T2", [e.Role.INSPECTOR], "joins the inspectors")
    made.book.authorise(who("K1"), "T2", e.Scope.INSPECTION, "2027-06-30", "paper")
    refused("R116", lambda: made.sign(O20, "accepted", "T2", when=_ago(made, days=1)))
    made.sign(O20, "accepted", "T2")


def test_an_authorisation_that_had_lapsed_is_not_made_whole_by_a_new_one() -> None:
    made = _shop(A1)
    made.book.authorise(who("K1"), "T1", e.Scope.BONDING, "2026-11-26", "paper")
    made.time.go(days=3)
    made.book.authorise(who("K1"), "T1", e.Scope.BONDING, "2027-06-30", "paper")
    late = _ago(made, days=1)
    refused("R116", lambda: made.read(A3, {"yes": True}, when=late))
    made.read(A3, {"yes": True})


@pytest.mark.parametrize(("minutes", "good"), [(15, True), (15.1, False)])
def test_what_is_so_when_it_is_entered_is_never_entered_for_an_earlier_time(
    minutes: float, good: bool
) -> None:
    made = _shop(A1)
    made.time.go(hours=1)
    at = moment(made.time.at - timedelta(minutes=minutes))
    what = e.JobStopped(job=JOB, why="x")

    def stop() -> None:
        made.book.log.append(lambda state, c: [Draft("P1", what, at, "late")])

    if good:
        stop()
    else:
        refused("R230", stop)


def test_nothing_was_so_in_a_step_before_the_steps_it_needs_were_done_and_accepted() -> None:
    made = _shop()
    made.fill(A1)
    made.sign(A1, "did", "T1")
    made.time.go(hours=2)
    made.sign(A1, "accepted", "P1")
    accepted = made.time.at
    made.time.go(hours=2)
    early = When(accepted - timedelta(seconds=1), "worked on before the planner came")
    refused("R145", lambda: made.read(A3, {"yes": True}, when=early))
    made.read(A3, {"yes": True}, when=When(accepted, "gloves on"))


def test_a_hold_is_not_accepted_for_a_time_before_the_work_was_done() -> None:
    made = _shop(A1, A3, O11)
    made.time.go(minutes=30)
    made.fill(O20)
    made.sign(O20, "did", "T1")
    done = made.time.at
    made.time.go(hours=1)
    refused("R145", lambda: made.sign(O20, "accepted", "I1", when=When(done - timedelta(seconds=1), "late")))
    made.sign(O20, "accepted", "I1", when=When(done, "late"))


def test_work_done_again_is_not_told_of_a_time_before_it_was_decided() -> None:
    made = _shop(A1, A3)
    made.book.raise_deviation(who("T1"), JOB, A3, "D1", [], "contaminated")
    made.time.go(hours=1)
    made.book.decide(
        who("E1"),
        JOB,
        "D1",
        e.Decision.AGAIN,
        made.book.show_deviation(JOB, "D1"),
        ground="note 4",
        words="again",
        again_from=A3,
    )
    made.time.go(hours=1)
    refused("R145", lambda: made.read(A3, {"yes": True}, when=_ago(made, hours=1, seconds=1)))
    made.read(A3, {"yes": True}, when=_ago(made, hours=1))


def test_a_time_in_a_blank_long_before_its_entry_says_why() -> None:
    made = _shop(A1, A3)
    made.time.go(hours=1)
    at = {"at": moment(made.time.at - timedelta(minutes=15, seconds=1))}
    refused("R110", lambda: made.read(O11, at))
    refused("R134", lambda: made.read(O11, {"at": moment(made.time.at)}, when=_ago(made, minutes=30)))
    made.read(O11, {"at": moment(made.time.at - timedelta(minutes=15))})
    made.read(O11, {**at, "why": "read again"}, when=When(None, "gloves on"))
    entry = made.book.history(f"job {JOB}")[-1]
    assert (entry.late, entry.at == entry.entered) == ("gloves on", True)


def test_one_person_with_the_machines_clock_does_not_make_an_expired_lot_young_again() -> None:
    made = _shop(A1)
    made.receive("L1", expires="2026-11-30")
    made.time.go(days=10)
    made.receive("L2")
    first = next(i for i, t in enumerate(made.state.entered, 1) if t == made.state.latest)
    made.time.go(days=-9)
    refused("R141", lambda: made.book.open_lot(who("S1"), "L1"))
    made.book.clock_was_wrong(who("K1"), first, made.state.number, "the battery")
    refused("R141", lambda: made.book.open_lot(who("S1"), "L1"))
    refused("R146", lambda: made.book.clock_was_wrong(who("K1"), first, made.state.number - 1, "the battery"))
    assert made.state.wrong == set()
    made.book.clock_was_wrong(who("K2"), first, made.state.number - 1, "seen it too")
    made.book.open_lot(who("S1"), "L1")


def test_only_entries_made_ahead_of_the_clock_can_have_been_made_by_a_clock_that_was_ahead() -> None:
    made = shop()
    made.receive("L1")
    refused("R108", lambda: made.book.clock_was_wrong(who("K1"), 1, made.state.number, "all of it"))


# --- with what


def test_out_time_that_the_log_has_counted_is_not_talked_away_later() -> None:
    made = _shop()
    made.receive("L1", out_life=36000)
    made.book.move(who("T1"), "L1", False, "bench")
    made.time.go(hours=10, minutes=1)
    before = made.state.lots["L1"].out_at(moment(made.time.at))
    made.book.move(who("T1"), "L1", True, "freezer", _ago(made, hours=10))
    assert made.state.lots["L1"].out_time == before
    refused("R142", lambda: made.book.open_lot(who("S1"), "L1"))


def test_what_comes_back_late_was_out_until_it_is_entered() -> None:
    made = _shop(A1, A3)
    made.receive("L1", out_life=36000)
    made.book.issue(who("S1"), "L1", JOB, O11, "2")
    made.time.go(hours=11)
    made.book.take_back(who("S1"), "L1", "L1-b", JOB, "1", True, _ago(made, hours=10, minutes=50))
    assert made.state.lots["L1-b"].out_time == 11 * 3600


def test_a_lot_past_its_date_is_not_used_by_signing_for_an_earlier_day() -> None:
    made = _shop(A1, A3)
    made.receive("L1", expires="2026-11-27", out_life=None, frozen=False)
    made.book.issue(who("S1"), "L1", JOB, O11, "2")
    made.fill(O11)
    made.time.go(days=2)
    late = When(datetime.fromisoformat("2026-11-27T08:00:00+00:00"), "forgot")
    refused("R141", lambda: made.sign(O11, "did", "T1", when=late))


def test_what_was_drawn_for_an_earlier_step_is_still_usable_when_it_goes_under_vacuum() -> None:
    """Drawn with the kit, thawed, laid a day later: the step it was drawn for was signed in good time."""
    made = _shop(A1, A3)
    made.receive("L1", out_life=1500)
    made.book.issue(who("S1"), "L1", JOB, O11, "2")
    made.do(O11)
    made.time.go(minutes=21)
    made.fill(O20)
    refused("R142", lambda: made.sign(O20, "did", "T1"))


@pytest.mark.parametrize("names", [("L1",), ("L1", "L2")])
def test_a_blank_for_lots_takes_lots_that_were_drawn_for_the_job_and_are_in_date(
    names: tuple[str, ...],
) -> None:
    """A number written into the blank and never drawn from the stores was nobody's business."""
    made = _shop(A1, steps=_named(A3, "lots"))
    answer = {"yes": True, "names": names}
    refused("R134", lambda: made.read(A3, {"yes": True}))
    refused("R122", lambda: made.read(A3, answer))
    for lot in names:
        made.receive(lot, expires="2026-11-26", out_life=None, frozen=False)
    refused("R234", lambda: made.read(A3, answer))
    drawn = made.time.at
    for lot in names:
        made.book.issue(who("S1"), lot, JOB, O11, "2")
    refused("R145", lambda: made.read(A3, answer, when=When(drawn - timedelta(seconds=1), "x")))
    made.time.at = made.time.at.replace(hour=23, minute=59)
    made.read(A3, answer)
    made.time.go(days=1)
    refused("R141", lambda: made.read(A3, {**answer, "why": "again"}, when=_ago(made, hours=3)))
    assert f"lot {names[0]}" in made.state.of
    assert made.book.history(f"lot {names[0]}")[-1].what.kind == "readings"


def test_a_blank_for_instruments_takes_those_in_calibration_then_and_now() -> None:
    made = _shop(A1, steps=_named(A3, "instruments"))
    answer = {"yes": True, "names": ("V-7",)}
    refused("R138", lambda: made.read(A3, answer))
    made.book.know_instrument(who("S1"), "V-7", "vapour meter", "cert 1", "2026-11-26")
    made.read(A3, answer)
    made.time.go(days=2)
    refused("R138", lambda: made.read(A3, {**answer, "why": "again"}))
    made.book.know_instrument(who("S1"), "V-7", "vapour meter", "cert 2", "2027-11-26")
    late = _ago(made, days=1)
    refused("R138", lambda: made.read(A3, {**answer, "why": "again"}, when=late))
    made.read(A3, {**answer, "why": "again"})


def test_a_reading_between_two_calibrations_is_not_saved_by_the_second() -> None:
    made = _shop(A1)
    made.book.know_instrument(who("S1"), "V-7", "vapour meter", "cert 1", "2026-11-26")
    made.time.go(days=3)
    made.book.know_instrument(who("S1"), "V-7", "vapour meter", "cert 2", "2027-11-26")
    late = _ago(made, days=1)
    answer = [{}, {"value": "10", "instrument": "V-7"}]
    refused("R138", lambda: made.read(A3, *answer, when=late))
    made.read(A3, *answer)


def test_a_count_does_not_bring_back_what_was_scrapped_or_never_came() -> None:
    made = shop()
    made.receive("L1", amount="10")
    refused("R231", lambda: made.book.correct(who("S1"), "L1", "10.1", "counted"))
    made.book.correct(who("S1"), "L1", "10", "counted")
    made.book.scrap(who("S1"), "L1", "4", "past its out-time")
    refused("R231", lambda: made.book.correct(who("S1"), "L1", "6.1", "counted"))
    made.book.correct(who("S1"), "L1", "6", "counted")


# --- what was judged


def test_a_verdict_is_what_its_report_says_of_that_log() -> None:
    made = _shop(A1, A3, O11, O20)
    keep = made.book.keep_verdict
    good = (who("T1"), JOB, O24, "Cure A", e.Judged.CONFORMS)
    refused("R233", lambda: keep(*good, b"a log", report_of(b"a log", "does not conform")))
    refused("R233", lambda: keep(*good, b"a log", report_of(b"another log")))
    refused("R233", lambda: keep(*good, b"a log", b"conforms"))
    refused("R233", lambda: keep(*good, b"a log", b'{"verdict": {"outcome": "conforms"}}'))
    keep(*good, b"a log", report_of(b"a log"))


def test_an_empty_line_more_makes_no_second_log_of_a_cure() -> None:
    made = _shop(A1, A3, O11, O20)
    same = json.loads(report_of(b"a log"))["started"]
    made.verdict(log=b"a log")
    made.begin_job("TAS-26-0419")
    made.do(A1, A3, O11, O20, job="TAS-26-0419")
    report = report_of(b"a log\n", started=same)
    other = ("TAS-26-0419", O24, "Cure A", e.Judged.CONFORMS)
    refused("R132", lambda: made.book.keep_verdict(who("T1"), *other, b"a log\n", report))


def test_a_job_begins_from_what_its_plan_says_of_itself() -> None:
    def plan(**about: str) -> dict[str, bytes]:
        said = {"standing": "READY", "plan_digest": sha256("the plan"), "repair": JOB, **about}
        return {"plan.json": json.dumps({"about": said}).encode()}

    made = shop()
    for wrong in ({"standing": "STOP"}, {"plan_digest": "0" * 64}, {"repair": "TAS-26-0001"}):
        refused("R233", lambda w=wrong: made.begin_job(pages=plan(**w)))
    made.begin_job(pages=plan())


# --- rules of their time


@pytest.fixture(scope="module")
def old(tmp_path_factory: pytest.TempPathFactory) -> Callable[[], Shop]:
    """Records kept by the first release, with what its rules let pass: a lot made younger by a late entry, a
    clock set right by one person, a step accepted by who worked on the job before."""
    kept = json.loads(KEPT.read_text("utf8"))
    papers = [(sha256(x.encode()), x.encode()) for x in kept["papers"]]
    rows = [(sha256(x), x) for x in kept["secrets"]]

    def make() -> Shop:
        target = quick_folder() / "old.sqlite"
        _write(Log.open(str(target), make=True), kept["entries"], papers, rows)
        latest = json.loads(kept["entries"][-1])["entered"]
        made = shop(target.with_name("other.sqlite"))
        made.time.at = datetime.fromisoformat(latest) + timedelta(minutes=1)
        return Shop(str(target), made.time)

    return make


def test_entries_are_checked_by_the_rules_of_their_time(old: Callable[[], Shop]) -> None:
    made = old()
    found = made.book.log.check()
    assert found.holds, found.faults
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
    assert made.state.rules == 2
    kinds = [x.what.kind for x in made.book.history("person S1")][-2:]
    assert kinds == ["rules taken on", "lot received"]
    found = made.book.log.check()
    assert found.holds, found.faults
    refused("R108", lambda: made.book.log.append(lambda st, c: [Draft("S1", e.RulesTaken(rules=2))]))
    refused("R105", lambda: made.book.log.append(lambda st, c: [Draft("S1", e.RulesTaken(rules=3))]))
    made.book.move(who("S1"), "N1", False, "bench")
    made.time.go(hours=2)
    made.book.move(who("S1"), "N1", True, "freezer", _ago(made, hours=1))
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
