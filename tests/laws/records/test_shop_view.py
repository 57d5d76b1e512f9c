"""What the next plan and the storekeeper see: a panel's repairs, what falls due, what to order."""

from __future__ import annotations

import tomllib
from datetime import UTC, datetime
from typing import Any

import pytest

from panelmend.app.records_shop import (
    due_words,
    earlier_toml,
    order_words,
    panel_words,
    shop_words,
    vertices_area,
)
from panelmend.app.records_stores import received_words, stores_toml
from panelmend.app.records_words import history_words, lot_words
from panelmend.document.geometry import shape_outline
from panelmend.document.shape import Shape
from panelmend.records import events as e
from records_made import A1, JOB, KEYS, O11, Shop, refused, shop, who

PART, SERIAL = "M3-5201-17-1", "0088"
ROUND = ((-50000, 0, 1000000), (50000, 0, 1000000))
"""A circle of 100 mm: two half circles."""


def _released(outline: tuple[e.Vertex, ...] = ROUND) -> Shop:
    made = shop()
    made.begin_job(outline=outline)
    made.do(*KEYS)
    made.release()
    return made


def test_the_next_plan_of_a_panel_names_every_repair_that_was_released_on_it() -> None:
    made = _released()
    second = "TAS-26-0500"
    refused("R237", lambda: made.begin_job(second, earlier=()))
    refused("R237", lambda: made.begin_job(second, earlier=("TAS-26-9999",)))
    made.begin_job("TAS-26-0501", earlier=(), serial="0089")
    made.begin_job("TAS-26-0502", earlier=(), serial="")
    made.begin_job(second, earlier=(JOB,))
    made.begin_job("TAS-26-0503", earlier=(JOB,))
    assert made.book.log.check().holds


def test_a_panel_shows_its_repairs_and_prints_them_for_the_next_document() -> None:
    made = _released()
    assert abs(vertices_area(ROUND) - 3.14159265e-4 * 25) < 1e-9
    lines = panel_words(made.state, PART, SERIAL)
    assert lines[0] == f"{PART} serial {SERIAL}: 1 job(s)"
    assert "released" in lines[1]
    assert "78.5 cm2" in lines[1]
    held = tomllib.loads("\n".join(earlier_toml(made.state, PART, SERIAL)))["panel"]["earlier_repair"]
    assert [r["id"] for r in held] == [JOB]
    outline = shape_outline(Shape.model_validate(held[0]["shape"]))
    assert abs(outline.area - vertices_area(ROUND)) < 1e-9
    assert next(x.what.kind for x in made.book.history(f"panel {PART} {SERIAL}")) == "job opened"
    assert made.book.history(f"panel {PART} {SERIAL}")[-1].what.kind == "released"
    refused("R122", lambda: panel_words(made.state, PART, "0001"))


def test_a_repair_without_an_outline_is_said_and_not_guessed() -> None:
    made = _released(())
    lines = earlier_toml(made.state, PART, SERIAL)
    assert "measure it" in lines[-1]
    assert tomllib.loads("\n".join(lines)) == {}
    assert "outline not known" in panel_words(made.state, PART, SERIAL)[1]


def test_what_must_be_ordered_counts_only_what_may_be_used() -> None:
    made = shop()
    made.book.set_least(who("S1"), "film adhesive", "10", "m2")
    assert order_words(made.state) == ["order: film adhesive, 10 m2 at least (0 m2 usable, 10 m2 wanted)"]
    made.receive("L1", amount="9.5")
    assert "0.5 m2 at least" in order_words(made.state)[0]
    made.receive("L2", amount="0.5", expires="2026-11-27")
    made.receive("L3", amount="90", unit="kg")
    assert order_words(made.state) == []
    made.time.go(days=2)
    made.receive("L4", amount="0.25")
    assert "0.25 m2 at least" in order_words(made.state)[0]
    made.book.set_least(who("P1"), "film adhesive", "0", "m2")
    assert order_words(made.state) == []


def test_what_falls_due_within_thirty_days_is_shown_and_what_has_passed_says_so() -> None:
    made = shop()
    made.book.know_instrument(who("S1"), "V-7", "vapour meter", "cert 1", "2026-12-26")
    made.book.know_instrument(who("S1"), "V-8", "vapour meter", "cert 2", "2026-12-27")
    made.receive("L1", expires="2026-11-26")
    made.begin_job()
    made.do(A1)
    found = due_words(made.state)
    assert any("V-7" in x for x in found)
    assert not any("V-8" in x for x in found)
    assert not any("PASSED" in x for x in found)
    made.time.go(days=1)
    made.receive("L2")
    assert any("lot L1" in x and "PASSED" in x for x in due_words(made.state))
    whole = shop_words(made.state)
    assert any(x.startswith(JOB) for x in whole)


def test_what_passed_since_the_last_entry_has_passed_for_whoever_looks() -> None:
    # A shop that is closed for some days makes no entry, and its lots and gauges grow older.
    made = shop()
    made.receive("L1", expires="2026-11-28")
    made.receive("L2", out_life=20 * 3600, frozen=False)
    made.receive("L3", opened_life=86400)
    made.book.open_lot(who("S1"), "L3")
    made.book.know_instrument(who("S1"), "V-7", "vapour meter", "cert 1", "2026-11-28")
    made.book.set_least(who("S1"), "film adhesive", "10", "m2")
    made.time.at = _noon(28)
    last = made.state.latest
    assert not any("PASSED" in x for x in due_words(made.state))
    assert "BLOCKED" not in lot_words(made.state, "L1")
    made.time.at = _noon(29)
    assert made.state.latest == last  # nobody entered anything
    assert {x.split(",")[0] for x in due_words(made.state) if "PASSED" in x} == {"due: V-7", "due: lot L1"}
    assert "BLOCKED, PAST ITS DATE" in lot_words(made.state, "L1")
    assert "BLOCKED, PAST ITS OUT-TIME" in lot_words(made.state, "L2")
    assert "BLOCKED, PAST ITS LIFE ONCE OPENED" in lot_words(made.state, "L3")
    assert "(0 m2 usable, 10 m2 wanted)" in order_words(made.state)[0]
    assert "[[stores" not in "".join(stores_toml(made.state))
    made.time.at = _noon(25)  # a clock that goes back makes nothing younger than the last entry
    assert made.state.now == last


def _noon(day: int) -> datetime:
    return datetime(2026, 11, day, 12, tzinfo=UTC)


@pytest.mark.parametrize(
    ("part", "serial", "seen"),
    [
        (PART, "88", True),
        (PART.lower(), "0088", True),
        (f" {PART}", "0088 ", True),
        (PART, "0880", False),
        (PART, "0089", False),
        (PART.replace("-1", "1"), SERIAL, False),
    ],
)
def test_a_panel_typed_almost_alike_is_the_same_panel_to_the_next_plan(
    part: str, serial: str, seen: bool
) -> None:
    made = _released()
    if not seen:
        made.begin_job("TAS-26-0501", panel=part, serial=serial, earlier=())
        assert len(made.book.history(f"panel {PART} {SERIAL}")) == len(made.book.history(f"job {JOB}"))
        return
    told = refused("R237", lambda: made.begin_job("TAS-26-0501", panel=part, serial=serial, earlier=()))
    assert f"{PART} serial {SERIAL}: {JOB}" in told  # as it was typed then
    assert JOB in panel_words(made.state, part.strip(), serial.strip())[1]
    assert made.book.history(f"panel {part.strip()} {serial.strip()}")
    made.begin_job("TAS-26-0502", panel=part, serial=serial, earlier=(JOB,))
    both = panel_words(made.state, PART, SERIAL)
    assert both[0].endswith("2 job(s)")
    assert made.book.log.check().holds


def test_the_makers_batch_finds_every_lot_of_it_and_what_came_back() -> None:
    # A recall names the maker's batch and not the shop's own number.
    made = shop()
    made.receive("L1", batch="FF-2207")
    made.receive("L2", batch="ff-2207")
    made.receive("L3", batch="FF-2208")
    made.begin_job()
    made.book.issue(who("S1"), "L1", JOB, O11, "2")
    made.book.take_back(who("S1"), "L1", "L1/a", JOB, "1")
    made.book.scrap(who("S1"), "L1/a", "1", "torn")
    made.book.move(who("S1"), "L2", False, "bench 3")
    lines = history_words(made.book, "batch FF-2207")
    assert lines[0] == "maker's batch FF-2207: lot L1, lot L1/a, lot L2"
    assert [x.split(": ", 1)[0].split("  ")[-1].strip() for x in lines[1:]] == [
        "lot received",
        "lot received",
        "lot issued",
        "lot returned",
        "lot scrapped",
        "lot moved",
    ]
    assert "back L1/a" in lines[4]
    assert "place bench 3, out of the freezer" in lines[-1]
    assert "L3" not in "".join(lines)


@pytest.mark.parametrize("empty", ["-", " - ", "...", "\N{EM DASH}"])
def test_strokes_and_dots_are_no_certificate_and_no_field_of_a_release(empty: str) -> None:
    made = shop()
    refused("R108", lambda: made.receive("L1", certificate=empty))
    refused("R108", lambda: made.receive("L1", batch=empty))
    made.receive("L9")
    refused("R108", lambda: made.book.report_retest(who("S1"), "L9", "2027-06-30", b"report", empty))
    made.begin_job()
    made.do(*KEYS)
    for field in ("description", "certificate_number", "certificate_kind"):
        assert field in refused("R137", lambda f=field: made.release(**{f: empty}))  # type: ignore[misc]
    made.release()


def test_an_out_time_is_refused_without_the_life_it_counts_against() -> None:
    made = shop()
    bare: dict[str, Any] = {"frozen": False, "out_life": None}
    assert "out_time" in refused("R108", lambda: made.receive("L1", **bare, out_time=3600))
    made.receive("L1", **bare)
    made.receive("L2", out_life=7200, out_time=3600)


def test_what_comes_in_too_old_or_with_a_year_nobody_believes_is_told() -> None:
    made = shop()
    made.receive("L1", expires="2026-11-25")
    made.receive("L2", expires="2026-11-26")
    made.receive("L3", expires="2046-12-31")
    made.receive("L4", expires="2047-01-01")
    assert received_words(made.state, "L1") == ["LOT L1 MAY NOT BE USED: the lot is past its date."]
    assert received_words(made.state, "L2") == received_words(made.state, "L3") == []
    assert received_words(made.state, "L4") == ["2047-01-01 is 21 years from now: LOOK AT THE YEAR AGAIN."]
