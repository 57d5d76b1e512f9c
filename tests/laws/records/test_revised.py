"""Revising half way: what stands, what is done again, what stays visible of work that no longer counts."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from panelmend.records import events as e
from panelmend.records.book import When
from panelmend.records.canonical import sha256
from panelmend.records.doing.again import repeated_steps
from panelmend.records.doing.standing import At, standing
from panelmend.records.package.check_package import check
from panelmend.records.package.make import make_package, read_package
from panelmend.records.state import Job
from records_made import A1, A3, E10, JOB, KEYS, O11, O20, O24, O25, Shop, clocks, refused, shop, steps, who

PRINTED = "a" * 64


def _card(**changes: dict[str, Any]) -> tuple[e.CardStep, ...]:
    """The short card as printed, with changes of steps by their code."""
    made = []
    for step in steps():
        more = changes.get(step.id, {})
        if more.get("out"):
            continue
        made.append(step.model_copy(update={"printed": PRINTED, **more}))
    gone = {x.key for x in steps()} - {x.key for x in made}
    return tuple(x.model_copy(update={"needs": tuple(A3 if n in gone else n for n in x.needs)}) for x in made)


def _shop(*done: str) -> Shop:
    made = shop()
    made.receive("L1")
    made.begin_job(steps=_card())
    for key in done:
        if key == O11:
            made.book.issue(who("S1"), "L1", JOB, O11, "2")
        made.do(key)
    return made


def _revise(made: Shop, plan: str = "revision 2", **over: Any) -> None:
    fields: dict[str, Any] = {
        "job": JOB,
        "document": b"the document, revised",
        "plan": sha256(plan),
        "pages": {"job-card.pdf": b"pages of revision 2"},
        "panel": "M3-5201-17-1",
        "serial": "0088",
        "standing": "READY",
        "steps": _card(),
        "clocks": clocks(),
        "why": "more damage found",
    }
    made.book.revise_job(who("P1"), **{**fields, **over})


def _job(made: Shop) -> Job:
    held: Job = made.state.jobs[JOB]
    return held


def _stands(made: Shop) -> list[At]:
    return [standing(_job(made), k).at for k in KEYS if k in _job(made).steps]


def test_what_the_new_card_asks_alike_stands_once_the_revision_is_accepted() -> None:
    made = _shop(A1, A3, O11)
    _revise(made)
    assert _stands(made)[:4] == [At.READY, At.COMPLETE, At.COMPLETE, At.BLOCKED]
    assert "revised" in standing(_job(made), O20).words
    refused("R123", lambda: made.fill(O20))
    made.do(A1)
    made.do(O20, O24, O25, E10)
    made.release()
    assert made.book.log.check().holds
    assert repeated_steps(made.state, _job(made))[0].step.id == "A1"
    assert len(_job(made).attempts[A1]) == 2


@pytest.mark.parametrize(
    ("changes", "first_again"),
    [
        ({"A3": {"title": "Another step 2"}}, A3),
        ({"A3": {"printed": "b" * 64}}, A3),
        ({"O11": {"blanks": steps()[2].blanks[:2]}}, O11),
        ({"O11": {"printed": ""}}, O11),
        ({"A3": {"number": 7}}, None),
    ],
)
def test_what_it_asks_or_prints_otherwise_is_done_again_with_all_that_needs_it(
    changes: dict[str, dict[str, Any]], first_again: str | None
) -> None:
    made = _shop(A1, A3, O11)
    before = {k: _job(made).attempts[k][0].did for k in (A1, A3, O11)}
    _revise(made, steps=_card(**changes))
    redone = [k for k in (A3, O11) if len(_job(made).attempts[k]) == 2]
    assert redone == ([] if first_again is None else [k for k in (A3, O11) if k >= first_again])
    for key, did in before.items():
        assert _job(made).attempts[key][0].did == did, "what was done stays"


def test_a_card_without_printed_digests_lets_nothing_stand() -> None:
    made = shop()
    made.begin_job()
    made.do(A1, A3)
    _revise(made)
    assert len(_job(made).attempts[A3]) == 2


def test_a_clock_that_changed_makes_the_step_it_ends_in_be_done_again() -> None:
    made = _shop(A1, A3, O11, O20)
    shorter = (clocks()[0].model_copy(update={"most": 1200}), clocks()[1])
    _revise(made, clocks=shorter)
    assert [len(_job(made).attempts[k]) for k in (A3, O11, O20)] == [1, 1, 2]


def test_scrapped_and_repeated_work_is_counted_with_what_it_drew() -> None:
    made = _shop(A1, A3, O11)
    _revise(made, steps=_card(O11={"title": "Mix for the larger patch"}))
    made.do(A1)
    made.book.issue(who("S1"), "L1", JOB, O11, "3")
    made.do(O11)
    found = {x.step.key: (x.attempts, x.left, x.drawn) for x in repeated_steps(made.state, _job(made))}
    assert found == {A1: (1, False, ()), O11: (1, False, (("L1", "2", "m2"),))}
    assert str(made.state.lots["L1"].left) == "5"


def test_a_step_that_is_no_longer_on_the_card_stays_with_what_was_done_and_comes_back_to_it() -> None:
    made = _shop(A1, A3, O11)
    _revise(made, steps=_card(O11={"out": True}), clocks=())
    assert [(x.step.key, x.left, x.drawn) for x in repeated_steps(made.state, _job(made))][-1] == (
        O11,
        True,
        (("L1", "2", "m2"),),
    )
    made.do(A1)
    _revise(made, "revision 3")
    assert len(_job(made).attempts[O11]) == 2
    assert _job(made).left == []
    assert made.book.log.check().holds


@pytest.mark.parametrize(
    ("over", "code"),
    [
        ({"standing": "STOP"}, "R121"),
        ({"plan": "the plan"}, "R121"),
        ({"serial": "0089"}, "R129"),
        ({"panel": "M3-5201-17-2"}, "R129"),
        ({"job": "TAS-26-0001"}, "R122"),
        ({"steps": (*_card(), _card()[0])}, "R108"),
    ],
)
def test_a_revision_is_of_the_same_panel_ready_and_another_plan(over: dict[str, Any], code: str) -> None:
    made = _shop(A1)
    refused(code, lambda: _revise(made, **over))


def test_an_open_deviation_is_decided_first_and_a_closed_job_is_not_revised() -> None:
    made = _shop(A1, A3)
    made.book.raise_deviation(who("T1"), JOB, A3, "D1", [], "more damage found")
    refused("R133", lambda: _revise(made))
    shown = made.book.show_deviation(JOB, "D1")
    words = {"ground": "note 4", "words": "cut out to sound material, by a revised plan"}
    made.book.decide(who("E1"), JOB, "D1", e.Decision.AGAIN, shown, again_from=A3, **words)
    _revise(made)
    made.book.stop_job(who("P1"), JOB, "beyond limits")
    refused("R136", lambda: _revise(made, "revision 3"))


def test_nobody_becomes_a_second_person_by_a_revision_and_no_time_reaches_behind_it() -> None:
    made = _shop(A1, A3, O11)
    made.book.set_roles(who("K1"), "T1", [e.Role.TECHNICIAN, e.Role.INSPECTOR], "learns")
    made.book.authorise(who("K1"), "T1", e.Scope.INSPECTION, "2027-06-30", "paper")
    made.time.go(hours=1)
    _revise(made, steps=_card(O11={"title": "again"}))
    made.time.go(hours=1)
    made.do(A1, by="T2")
    early = When(made.time.at - timedelta(hours=1, minutes=6), "x")
    refused("R145", lambda: made.book.keep_file(who("T2"), JOB, O11, "p.txt", b"x", "seen", early))
    made.do(O11, by="T2")
    made.fill(O20, "T2")
    made.sign(O20, "did", "T2")
    refused("R127", lambda: made.sign(O20, "accepted", "T1"))


def test_a_package_shows_both_revisions(tmp_path: Any) -> None:
    made = _shop(A1, A3, O11)
    _revise(made)
    made.do(A1, O20, O24, O25, E10)
    made.release()
    whole = make_package(made.book.log, JOB)
    papers = read_package(whole).papers.values()
    assert {b"the document", b"the document, revised", b"pages of revision 2"} <= set(papers)
    (tmp_path / "p.zip").write_bytes(whole)
    assert check(str(tmp_path / "p.zip")) == []
