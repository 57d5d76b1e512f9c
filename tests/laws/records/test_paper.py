"""Signed paper: typed by one, compared with its scan by another, judged by the day it tells of."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from panelmend.app.records_words import history_words
from panelmend.records import events as e
from panelmend.records.canonical import moment
from panelmend.records.doing.standing import At, standing
from panelmend.records.package.check_package import check
from panelmend.records.package.make import make_package
from records_made import A1, A3, E10, JOB, O11, O20, O24, O25, Shop, refused, shop, steps, who


def _shop() -> Shop:
    """On the day after the work at the panel, which was kept on paper."""
    made = shop()
    made.begin_job()
    made.do(A1, A3, O11)
    made.time.go(days=1)
    return made


def _paper(made: Shop, by: str = "T2", **over: Any) -> int:
    done = made.time.at - timedelta(days=1)
    on = {"at": moment(over.pop("on", done))}
    answers = [
        {"blank": 0, "typed": "07:20", **on},
        {"blank": 1, "typed": "22", "value": over.pop("vacuum", "22")},
    ]
    answers[1]["typed"] = answers[1]["value"]
    fields: dict[str, Any] = {
        "did": "T1",
        "did_at": done,
        "accepted": "I1",
        "accepted_at": done + timedelta(minutes=5),
        "why": "no machine at the panel",
    }
    readings = [e.Reading(**a) for a in answers]
    taken = made.book.transcribe(who(by), JOB, O20, b"a scan", readings, **{**fields, **over})
    return taken.entry.number


def _check(made: Shop, number: int, by: str = "I2") -> None:
    made.book.check_paper(who(by), JOB, O20, number, made.book.show(JOB, O20))


def test_a_step_on_signed_paper_counts_when_a_second_person_has_compared_it(tmp_path: Any) -> None:
    made = _shop()
    number = _paper(made)
    held = made.state.jobs[JOB]
    assert standing(held, O20).at is At.READY, "typed alone it does not count"
    refused("R146", lambda: _check(made, number, "I1"))
    refused("R111", lambda: _check(made, number, "T2"))
    refused("R122", lambda: _check(made, number - 1))
    _check(made, number)
    held = made.state.jobs[JOB]
    assert standing(held, O20).at is At.COMPLETE
    assert (held.now(O20).did[0], held.now(O20).accepted[0]) == ("T1", "I1")
    assert held.now(O20).on_paper[2] == number
    assert "paper checked" in "".join(history_words(made.book, f"job {JOB}"))
    refused("R124", lambda: _paper(made))
    made.do(O24, O25, E10)
    made.release()
    found = made.book.log.check()
    assert found.holds, found.faults
    (tmp_path / "p.zip").write_bytes(make_package(made.book.log, JOB))
    assert check(str(tmp_path / "p.zip"), found.printed) == []


@pytest.mark.parametrize(
    ("over", "code"),
    [
        ({"accepted": "T1"}, "R128"),
        ({"accepted": "S1"}, "R128"),
        ({"accepted": "X9"}, "R112"),
        ({"did": "S1"}, "R128"),
        ({"accepted": None, "accepted_at": None}, "R125"),
        ({"vacuum": "21.9"}, "R126"),
    ],
)
def test_what_could_not_be_signed_on_the_day_does_not_count_from_paper_either(
    over: dict[str, Any], code: str
) -> None:
    made = _shop()
    number = _paper(made, **over)
    refused(code, lambda: _check(made, number))


def test_times_on_paper_follow_the_work_and_are_not_of_the_future() -> None:
    made = _shop()
    now = made.time.at
    refused("R109", lambda: _paper(made, did_at=now + timedelta(minutes=1)))
    refused("R108", lambda: _paper(made, accepted_at=None))
    early = _paper(
        made, did_at=datetime.fromisoformat(made.state.jobs[JOB].now(O11).done_at) - timedelta(seconds=1)
    )
    refused("R145", lambda: _check(made, early))
    late = _paper(made, accepted_at=made.time.at - timedelta(days=1, seconds=1))
    refused("R145", lambda: _check(made, late))
    late = _paper(made, on=made.time.at - timedelta(days=1) + timedelta(minutes=40))
    refused("R134", lambda: _check(made, late))
    late = _paper(made, on=made.time.at - timedelta(days=1, minutes=6))
    refused("R126", lambda: _check(made, late))


def test_lots_and_instruments_on_paper_are_judged_by_the_day_it_tells_of() -> None:
    named = [
        x.model_copy(update={"blanks": (x.blanks[0].model_copy(update={"names": "instruments"}),)})
        if x.key == A1
        else x
        for x in steps()
    ]
    made = shop()
    made.begin_job(steps=named)
    done = made.time.go(minutes=5)
    for names, due, code in (((), "", "R134"), (("V-7",), "", "R138"), (("V-7",), "today", "")):
        if due:
            day = made.time.at.date().isoformat()
            made.book.know_instrument(who("S1"), "V-7", "gauge", "cert 1", day)
            done = made.time.at
        made.time.go(days=1)
        told = [e.Reading(blank=0, typed="7", names=names)]
        more = {"did": "T1", "did_at": done, "accepted": "P1", "accepted_at": done, "why": "no machine"}
        number = made.book.transcribe(who("T2"), JOB, A1, b"scan", told, **more).entry.number
        shown = made.book.show(JOB, A1)
        if code:
            refused(code, lambda n=number, s=shown: made.book.check_paper(who("I2"), JOB, A1, n, s))
        else:
            made.book.check_paper(who("I2"), JOB, A1, number, shown)
    assert made.book.log.check().holds


def test_who_types_accepts_nothing_and_what_is_written_since_is_seen() -> None:
    made = _shop()
    number = _paper(made, "I1", accepted="I2")
    refused("R146", lambda: _check(made, number, "I1"))
    made.read(O20, {}, {"value": "23", "why": "read again"})
    refused("R129", lambda: _check(made, number, "I2"))
    number = _paper(made, "T2", accepted="I1")
    refused("R127", lambda: _check(made, number))


def test_a_step_that_is_not_ready_or_answers_that_are_none_are_not_transcribed() -> None:
    made = _shop()
    done = made.time.at - timedelta(days=1)
    words = {"did": "T1", "did_at": done, "why": "no machine"}
    refused("R123", lambda: made.book.transcribe(who("T2"), JOB, O24, b"scan", [], **words))
    bad = [e.Reading(blank=9, typed="1")]
    refused("R134", lambda: made.book.transcribe(who("T2"), JOB, O20, b"scan", bad, **words))
