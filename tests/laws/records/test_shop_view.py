"""What the next plan and the storekeeper see: a panel's repairs, what falls due, what to order."""

from __future__ import annotations

import tomllib
from datetime import UTC, datetime

from panelmend.app.records_shop import area_of, due_words, earlier_toml, order_words, panel_words, shop_words
from panelmend.app.records_stores import stores_toml
from panelmend.app.records_words import lot_words
from panelmend.document.geometry import shape_outline
from panelmend.document.shape import Shape
from panelmend.records import events as e
from records_made import A1, JOB, KEYS, Shop, refused, shop, who

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
    assert abs(area_of(ROUND) - 3.14159265e-4 * 25) < 1e-9
    lines = panel_words(made.state, PART, SERIAL)
    assert lines[0] == f"{PART} serial {SERIAL}: 1 job(s)"
    assert "released" in lines[1]
    assert "78.5 cm2" in lines[1]
    held = tomllib.loads("\n".join(earlier_toml(made.state, PART, SERIAL)))["panel"]["earlier_repair"]
    assert [r["id"] for r in held] == [JOB]
    outline = shape_outline(Shape.model_validate(held[0]["shape"]))
    assert abs(outline.area - area_of(ROUND)) < 1e-9
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
