"""Witness coupons: things of their own, of lots and batches, with results that the release waits for."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from panelmend.app.cli import main
from panelmend.app.records_shop import coupons_of
from panelmend.app.records_words import coupon_words, history_words, step_words
from panelmend.records.book import Book
from panelmend.records.package import check_package
from panelmend.records.package.make import make_package
from records_made import (
    A1,
    A3,
    CHEAP,
    E10,
    JOB,
    KEYS,
    O11,
    O20,
    O24,
    O25,
    ON_POSTGRESQL,
    Shop,
    decide,
    refused,
    secret_of,
    shop,
    who,
)

UNTIL_O11 = (A1, A3)
ASKED: dict[str, Any] = {"unit": "MPa", "least": "20", "ground": "M3-SRM 11, table 4", "broke": "adhesive"}


@pytest.fixture
def made() -> Shop:
    found = shop()
    for lot in ("LA", "LB"):
        found.receive(lot)
    found.book.know_instrument(who("S1"), "TM-1", "tensile machine", "C-7", "2027-01-31")
    found.book.know_instrument(who("S1"), "TM-2", "tensile machine", "C-8", "2026-11-25")
    found.begin_job()
    found.do(*UNTIL_O11)
    found.book.issue(who("S1"), "LA", JOB, O11, "1")
    return found


def _make(made: Shop, coupon: str = "W1", lots: tuple[str, ...] = ("LA",), by: str = "T1") -> None:
    made.book.make_coupon(who(by), JOB, O11, coupon, "lap shear", lots)


def _tested(made: Shop, value: str, coupon: str = "W1", by: str = "T1", **more: Any) -> int:
    fields = {**ASKED, "instrument": "TM-1", "job": JOB, "coupon": coupon, "value": value, **more}
    return made.book.test_coupon(who(by), b"report of " + value.encode(), **fields).entry.number


def _all_but_the_release(made: Shop) -> None:
    made.do(O11, O20, O24, O25)
    made.sign(E10, "did", "T1")


def test_a_coupon_is_of_what_was_drawn_for_its_job_and_of_one_number(made: Shop) -> None:
    refused("R234", lambda: _make(made, lots=("LB",)))
    refused("R122", lambda: _make(made, lots=("none",)))
    refused("R108", lambda: _make(made, lots=("LA", "LA")))
    refused("R111", lambda: _make(made, by="S1"))
    _make(made)
    refused("R120", lambda: _make(made, "w1"))
    made.do(O11)
    refused("R124", lambda: _make(made, "W2"))


def test_a_result_names_its_limit_its_instrument_in_date_and_its_coupon(made: Shop) -> None:
    _make(made)
    refused("R122", lambda: _tested(made, "21", "W9"))
    refused("R122", lambda: _tested(made, "21", job="other"))
    refused("R134", lambda: _tested(made, "21", least=None))
    refused("R108", lambda: _tested(made, "21", most="19"))
    refused("R108", lambda: _tested(made, "21", broke=" "))
    refused("R138", lambda: _tested(made, "21", instrument="TM-2"))
    refused("R138", lambda: _tested(made, "21", instrument="TM-9"))
    refused("R111", lambda: _tested(made, "21", by="P1"))
    number = _tested(made, "20")
    coupon = made.state.coupons["W1"]
    assert f"WITHIN LIMIT, adhesive, on TM-1, T1, entry {number}" in coupon_words(coupon)[1]


def test_one_query_finds_a_coupon_and_its_result_from_everything_it_touched(made: Shop) -> None:
    _make(made)
    assert "NOT TESTED YET" in "\n".join(step_words(made.state, made.state.jobs[JOB], O11))
    _tested(made, "23.5", by="I2")
    both = ["coupon made", "coupon tested"]
    for thing in (f"job {JOB}", "lot LA", "coupon W1"):
        assert [x.what.kind for x in made.book.history(thing)][-2:] == both, thing
    for thing in ("person I2", "instrument TM-1"):
        assert made.book.history(thing)[-1].what.kind == "coupon tested", thing
    assert "coupon W1, 23.5 MPa" in history_words(made.book, "coupon W1")[-1]


def test_a_long_history_is_read_page_by_page_and_says_what_is_left(made: Shop) -> None:
    whole = made.book.history("person T1")
    read: list[int] = []
    while part := made.book.history("person T1", after=read[-1] if read else 0, most=3):
        assert len(part) <= 3
        read += [x.number for x in part]
    assert read == [x.number for x in whole]
    lines = history_words(made.book, "person T1", most=len(whole) - 1)
    assert lines[-1] == f"1 MORE ENTRIES: ask again with --after {whole[-2].number}"
    assert len(history_words(made.book, "person T1", most=len(whole))) == len(whole)
    refused("R122", lambda: history_words(made.book, "person T1", after=whole[-1].number))


def test_a_coupon_of_a_batch_is_found_from_the_lots_in_it(made: Shop) -> None:
    made.book.mix(who("T1"), JOB, O11, "M-1", {"LA": "1"}, 2400)
    _make(made, lots=("M-1",))
    for thing in ("batch M-1", "lot LA"):
        assert made.book.history(thing)[-1].what.kind == "coupon made", thing


def test_the_release_waits_for_each_result_and_for_what_is_outside(made: Shop) -> None:
    _make(made)
    _make(made, "W2")
    _all_but_the_release(made)
    assert "W1, W2" in refused("R611", made.release)
    _tested(made, "20")
    assert "W2" in refused("R611", made.release)
    low = _tested(made, "19.99", "W2")
    assert f"19.99 MPa, entry {low}" in refused("R612", made.release)
    refused("R122", lambda: made.book.raise_deviation(who("T1"), JOB, O11, "D1", ["k1"], "low"))
    made.book.raise_deviation(who("T1"), JOB, O11, "D1", [f"k{low}"], "low")
    decide(made, "D1", "may stand")
    lower = _tested(made, "18", "W2")
    assert f"entry {lower}" in refused("R612", made.release)
    made.book.raise_deviation(who("T1"), JOB, O11, "D2", [f"k{lower}"], "lower")
    decide(made, "D2", "may stand")
    made.release()
    refused("R136", lambda: _tested(made, "17", "W2"))
    assert made.book.log.check().holds


def test_coupons_of_work_done_again_count_no_longer_and_stay(made: Shop) -> None:
    _make(made)
    made.do(O11)
    _tested(made, "10")
    made.book.raise_deviation(who("T1"), JOB, O11, "D1", [], "weak")
    decide(made, "D1", "do again", again=O11)
    _all_but_the_release(made)
    made.release()
    assert made.state.coupons["W1"].results


def test_what_is_signed_covers_coupons_and_the_package_shows_it(made: Shop, tmp_path: Path) -> None:
    _make(made)
    made.do(O11)
    shown = made.book.show(JOB, O20).content
    before = made.book.show(JOB, O11).content
    _tested(made, "23")
    assert made.book.show(JOB, O11).content != before
    assert made.book.show(JOB, O20).content == shown
    made.do(*KEYS[KEYS.index(O20) : -1])
    made.sign(E10, "did", "T1")
    seen = made.book.show_release(JOB)
    _tested(made, "24")
    fields = {
        "description": "d", "completed": "2026-11-26", "certificate_number": "1", "certificate_kind": "k"
    }  # fmt: skip
    refused("R129", lambda: made.book.release(who("I1"), JOB, seen, **fields))
    made.release()
    (tmp_path / "p.zip").write_bytes(make_package(made.book.log, JOB))
    assert check_package.check(str(tmp_path / "p.zip")) == []


@pytest.mark.skipif(ON_POSTGRESQL, reason="the command line is given a file")
def test_the_command_line_enters_a_coupon_its_result_and_the_deviation_that_covers_it(
    made: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Book, "open", partial(Book.open, cost=CHEAP, now=made.time))
    (tmp_path / "secret").write_text(secret_of("T1") + "\n")
    (tmp_path / "report.pdf").write_bytes(b"broke at 19,9 MPa")
    line = ["records", "--in", made.where, "--secret-file", str(tmp_path / "secret"), "job"]
    number = str(made.state.jobs[JOB].steps[O11].number)
    given = ["--ground", "table 4", "--on", "TM-1", "--broke", "adhesive", "--by", "T1"]
    given += ["--paper", str(tmp_path / "report.pdf")]

    def typed(*words: str, code: int = 0) -> str:
        done = CliRunner().invoke(main, [*line, *words])
        assert done.exit_code == code, done.output
        return done.output

    typed("coupon", JOB, number, "W1", "LA", "--what", "lap shear", "--by", "T1")
    assert "R134" in typed("coupon-tested", JOB, "W1", "19,9", "MPa", *given, code=3)
    told = typed("coupon-tested", JOB, "W1", "19,9", "MPa", "--least", "20", *given)
    assert "19.9 MPa, at least 20 by table 4: OUTSIDE LIMIT" in told
    (entry,) = [n for _, _, n in made.state.coupons["W1"].results]
    typed("deviate", JOB, number, "D1", "low", "--covers", f"k{entry}", "--by", "T1")
    assert made.state.jobs[JOB].deviations["D1"].raised.covers == (f"k{entry}",)
    assert "19.9 MPa" in coupons_of(made.state.jobs[JOB])[0]
