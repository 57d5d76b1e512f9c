"""The kit draws from the stores, a nest takes what a roll holds, batches and labels stand at their step."""

from __future__ import annotations

import tomllib
from types import SimpleNamespace
from typing import Any

import pytest

from examples_here import text
from panelmend.app import demo_shop
from panelmend.app.records_shop import panel_words, shop_words
from panelmend.app.records_stores import (
    _decimal,
    draws,
    kit_words,
    label_typed,
    other_choice,
    reserve_kit,
    stores_toml,
)
from panelmend.document import parse
from panelmend.document.bay import Stores
from panelmend.errors import ReadingError
from panelmend.records import events as e
from panelmend.records.book import Book
from panelmend.records.canonical import sha256
from panelmend.records.package.check_package import check
from panelmend.records.package.make import make_package
from panelmend.records.rules.bench import life_of
from panelmend.records.rules.stock import held_for
from records_made import A1, A3, CHEAP, JOB, O11, Shop, decide, refused, shop, steps, who

PLAN = sha256("the plan")
OTHER = "TAS-26-0419"


def _need(material: str, amount: str, unit: str = "m", store: str = "", width: str | None = None) -> e.Need:
    return e.Need(material=material, store=store, amount=amount, unit=unit, width=width)  # type: ignore[arg-type]


def _shop(*lots: tuple[str, str, dict[str, Any]]) -> Shop:
    made = shop()
    for lot, amount, more in lots:
        fields = {"frozen": False, "out_life": None, "unit": "m", "material": "glass", "amount": amount}
        made.receive(lot, **{**fields, **more})
    return made


def _issue(made: Shop, lot: str, amount: str, job: str = JOB, step: str = O11) -> None:
    made.book.issue(who("S1"), lot, job, step, amount)


def test_what_a_job_in_work_needs_and_no_lot_has_must_be_ordered() -> None:
    made = _shop(("R-1", "2", {}), ("R-2", "9", {"expires": "2026-11-25"}))
    made.begin_job(kit=[_need("glass", "3"), _need("ptfe-tape", "2")])
    told = [x for x in shop_words(made.state) if x.startswith("order: ")]
    assert told == [
        f"order: glass, 1 m for job {JOB} (no usable lot has it)",
        f"order: ptfe-tape, 2 m for job {JOB} (no usable lot has it)",
    ]
    made.receive("T-1", frozen=False, out_life=None, unit="m", material="ptfe-tape", amount="2")
    made.receive("R-3", frozen=False, out_life=None, unit="m", material="glass", amount="1")
    assert not [x for x in shop_words(made.state) if x.startswith("order: ")]


def test_a_kit_draws_what_is_opened_first_then_what_expires_first_and_nothing_past_its_date() -> None:
    made = _shop(
        ("R-1", "2", {"expires": "2026-12-31"}),
        ("R-2", "1", {"expires": "2027-06-30"}),
        ("R-3", "3", {"expires": "2026-12-30"}),
        ("R-4", "9", {"expires": "2026-11-25"}),
        ("R-5", "9", {"expires": "2026-11-28", "out_life": 60}),
    )
    made.book.open_lot(who("S1"), "R-2")
    made.begin_job(kit=[_need("glass", "4.5")])
    made.time.go(minutes=2)
    made.receive("X")
    job = made.state.jobs[JOB]
    assert [(x.lot, str(x.amount.normalize())) for x in draws(made.state, job)] == [
        ("R-2", "1"),
        ("R-3", "3"),
        ("R-1", "0.5"),
    ]
    refused("R141", lambda: made.book.reserve(who("S1"), "R-4", JOB, "1"))
    refused("R142", lambda: made.book.reserve(who("S1"), "R-5", JOB, "1"))
    assert "would come first: opened" in other_choice(made.state, JOB, "R-1")
    assert other_choice(made.state, JOB, "R-2") == ""
    _issue(made, "R-1", "1")
    found = [(x.lot, str(x.amount.normalize())) for x in draws(made.state, job)]
    assert found == [("R-1", "1"), ("R-2", "1"), ("R-3", "1.5")], "what was drawn from is opened, and counts"


def test_what_is_kept_for_a_job_is_drawn_by_no_other_until_it_is_drawn_freed_or_the_job_closes() -> None:
    made = _shop(("R-1", "5", {}))
    made.begin_job(kit=[_need("glass", "4")])
    assert any("kept for it: 4 m of lot R-1" in x for x in reserve_kit(made.book, who("S1"), JOB))
    made.begin_job(OTHER, serial="0099")
    refused("R301", lambda: _issue(made, "R-1", "1.1", OTHER))
    refused("R301", lambda: made.book.reserve(who("S1"), "R-1", OTHER, "1.1"))
    _issue(made, "R-1", "1", OTHER)
    _issue(made, "R-1", "3")
    assert made.state.lots["R-1"].reserved[JOB] == 1
    assert "NOT THERE" not in "".join(kit_words(made.state, JOB))
    refused("R144", lambda: made.book.reserve(who("S1"), "R-1", OTHER, "1.5"))
    made.book.reserve(who("S1"), "R-1", JOB, "0")
    _issue(made, "R-1", "0.5", OTHER)
    made.book.reserve(who("S1"), "R-1", JOB, "0.5")
    made.book.stop_job(who("P1"), JOB, "scrapped")
    _issue(made, "R-1", "0.5", OTHER)
    assert made.book.log.check().holds


@pytest.mark.parametrize(
    ("need", "code"),
    [
        (_need("glass", "5", store="R-1", width="1.27"), ""),
        (_need("glass", "5.01", store="R-1"), "R304"),
        (_need("glass", "1", store="R-1", width="1.271"), "R304"),
        (_need("glass", "1", store="R-9"), ""),
        (_need("resin", "0.5", "kg", "R-2"), ""),
        (_need("resin", "0.50001", "kg", "R-2"), "R304"),
        (_need("glass", "1", store="R-3"), "R141"),
    ],
)
def test_a_plan_takes_what_a_roll_really_holds(need: e.Need, code: str) -> None:
    made = _shop(
        ("R-1", "5", {"width": "1.27"}),
        ("R-2", "500", {"unit": "g", "material": "resin"}),
        ("R-3", "5", {"expires": "2026-11-25"}),
    )
    if code:
        refused(code, lambda: made.begin_job(kit=[need]))
    else:
        made.begin_job(kit=[need])
        assert made.state.jobs[JOB].opened.kit == (need,)


def test_what_was_spoilt_is_drawn_again_and_counts_for_no_new_plan() -> None:
    made = _shop(("R-1", "5", {}))
    made.begin_job(kit=[_need("glass", "3", store="R-1")])
    made.do(A1, A3)
    _issue(made, "R-1", "3")
    assert kit_words(made.state, JOB) == [f"Kit of job {JOB}: nothing more to draw"]
    made.book.raise_deviation(who("T1"), JOB, O11, "D1", [], "the ply is spoilt")
    decide(made, "D1", "do again", again=O11)
    assert [x.strip().split(" (")[0] for x in kit_words(made.state, JOB)[1:]] == [
        "glass: 2 m of lot R-1",
        "glass: 1 m NOT THERE",
    ]
    job = made.state.jobs[JOB]
    refused("R304", lambda: held_for(made.state, JOB, job.opened.kit, made.state.latest))


def test_two_plans_do_not_count_on_the_same_cloth() -> None:
    made = _shop(("R-1", "5", {}))
    made.begin_job(kit=[_need("glass", "2", store="R-1"), _need("glass", "1", store="R-1")])
    reserve_kit(made.book, who("P1"), JOB)
    more = {"serial": "0099", "earlier": []}
    refused("R304", lambda: made.begin_job(OTHER, kit=[_need("glass", "2.1", store="R-1")], **more))
    made.begin_job(OTHER, kit=[_need("glass", "2", store="R-1")], **more)


def test_a_remnant_comes_back_with_its_outline_and_the_next_document_names_it() -> None:
    made = _shop(("R-1", "5", {"width": "1.27", "material": "demo-glass"}))
    made.begin_job()
    _issue(made, "R-1", "2")
    back: dict[str, Any] = {"width": "0.3", "outline": ((0, 0, 0), (800_000, 0, 0), (0, 600_000, 0))}
    refused("R231", lambda: made.book.take_back(who("S1"), "R-1", "R-1/a", JOB, "0.4", width="1.28"))
    refused("R144", lambda: made.book.take_back(who("S1"), "R-1", "R-1/a", JOB, "2.1", **back))
    made.book.take_back(who("S1"), "R-1", "R-1/a", JOB, "0.4", **back)
    assert made.state.lots["R-1/a"].outline == back["outline"]
    rolls = tomllib.loads("\n".join(stores_toml(made.state)))["stores"]
    held = Stores.model_validate(rolls).roll[0]
    assert (held.id, held.length, held.width, held.opened) == ("R-1", 3.0, 1.27, True)
    assert [(x.id, x.length, x.width) for x in held.remnant] == [("R-1/a", 0.4, 0.3)]
    _issue(made, "R-1/a", "0.4")
    assert "remnant" not in "".join(stores_toml(made.state))
    assert made.book.log.check().holds


def _resin() -> Shop:
    named = {"blanks": (*steps()[2].blanks[:2], steps()[2].blanks[2].model_copy(update={"names": "lots"}))}
    card = [x.model_copy(update=named) if x.key == O11 else x for x in steps()]
    made = _shop(("LR", "500", {"unit": "g"}), ("LH", "200", {"unit": "g"}), ("LX", "9", {"unit": "g"}))
    made.begin_job(steps=card)
    made.do(A1, A3)
    _issue(made, "LR", "100")
    _issue(made, "LH", "30")
    return made


def _mix(
    made: Shop, batch: str = "M-1", parts: dict[str, str] | None = None, life: int = 2400, **more: Any
) -> None:
    made.book.mix(who("T1"), JOB, O11, batch, parts or {"LR": "60", "LH": "18"}, life, **more)


def test_a_batch_is_of_what_was_drawn_and_lives_no_longer_than_the_card_says(tmp_path: Any) -> None:
    made = _resin()
    refused("R234", lambda: _mix(made, parts={"LR": "60", "LX": "1"}))
    refused("R144", lambda: _mix(made, parts={"LR": "100.1", "LH": "18"}))
    refused("R134", lambda: _mix(made, life=2401))
    refused("R122", lambda: _mix(made, parts={"none": "1"}))
    refused("R120", lambda: _mix(made, "LR"))
    _mix(made)
    refused("R120", lambda: _mix(made, "m-1"))
    refused("R144", lambda: _mix(made, "M-2", {"LR": "40.1"}))
    refused("R144", lambda: made.book.take_back(who("S1"), "LR", "LR-b", JOB, "40.1"))
    made.book.take_back(who("S1"), "LR", "LR-b", JOB, "40")
    assert [x.what.kind for x in made.book.history("batch M-1")] == ["batch mixed"]
    made.time.go(minutes=40)
    made.fill(O11, b2={"typed": "M-1", "names": ("M-1",)})
    made.sign(O11, "did", "T1")
    assert [x.what.kind for x in made.book.history("batch M-1")] == ["batch mixed", "readings"]
    assert made.book.log.check().holds
    (tmp_path / "p.zip").write_bytes(make_package(made.book.log, JOB))
    assert check(str(tmp_path / "p.zip"), made.book.log.check().printed) == []


def test_a_batch_past_its_life_or_of_another_job_is_named_nowhere() -> None:
    made = _resin()
    _mix(made)
    made.time.go(minutes=40)
    made.fill(O11, b2={"typed": "M-1", "names": ("M-1",)})
    made = _resin()
    _mix(made)
    made.time.go(minutes=40, seconds=1)
    refused("R302", lambda: made.fill(O11, b2={"typed": "M-1", "names": ("M-1",)}))
    other = _resin()
    _mix(other)
    other.begin_job(OTHER, serial="0099", steps=other.state.jobs[JOB].opened.steps)
    other.do(A1, A3, job=OTHER)
    refused("R234", lambda: other.fill(O11, job=OTHER, b2={"typed": "M-1", "names": ("M-1",)}))


def test_labels_of_another_job_plan_or_piece_are_refused_and_a_piece_is_seen_once() -> None:
    made = _shop()
    made.begin_job(pieces=("P1", "P2.1", "P2.2"))
    made.do(A1, A3)

    def see(code: str) -> None:
        made.book.see_label(who("T1"), JOB, O11, *label_typed(code))

    see(f"panelmend:{JOB}/P2.1/{PLAN[:12]}")
    refused("R303", lambda: see(f"panelmend:{JOB}/P2.1/{PLAN[:12]}"))
    refused("R303", lambda: see(f"panelmend:{OTHER}/P2.2/{PLAN[:12]}"))
    refused("R303", lambda: see(f"panelmend:{JOB}/P2.2/{sha256('another')[:12]}"))
    refused("R303", lambda: see(f"panelmend:{JOB}/P3/{PLAN[:12]}"))
    with pytest.raises(ReadingError):
        see("R-1")
    before = made.book.show(JOB, O11).content
    see(f"panelmend:{JOB}/P1/{PLAN[:12]}")
    assert made.book.show(JOB, O11).content != before, "a signature covers them"
    assert made.book.log.check().holds


def test_what_was_weighed_stands_in_a_panels_history() -> None:
    blank = e.CardBlank(what="Weight after", entry=e.EntryKind.NUMBER, unit="kg", high="5", ask="figures")
    card = [x.model_copy(update={"id": "E7", "blanks": (blank,)}) if x.key == A3 else x for x in steps()]
    made = _shop()
    made.begin_job(steps=card, clocks=())
    made.do(A1)
    made.read(A3, {"value": "3.12", "typed": "3.12"})
    assert any("Weight after 3.12 kg" in x for x in panel_words(made.state, "M3-5201-17-1", "0088"))


def _back(made: Shop, number: str, amount: str, of: str = "R-1", **more: Any) -> None:
    made.book.take_back(who("S1"), of, number, JOB, amount, **more)


def _corners(*points: tuple[int, int]) -> tuple[tuple[int, int, int], ...]:
    return tuple((1000 * x, 1000 * y, 0) for x, y in points)


def test_what_a_roll_or_a_remnant_cannot_be_is_refused() -> None:
    made = _shop(("R-1", "5", {"width": "1.27"}))
    for width in ("0", "-0.01"):
        refused("R108", lambda w=width: made.receive("R-2", unit="m", width=w))  # type: ignore[misc]
    made.begin_job()
    _issue(made, "R-1", "2")
    refused("R108", lambda: _back(made, "R-1/a", "0.4", width="0"))
    refused("R108", lambda: _back(made, "R-1/a", "0.4", width="0.3", outline=_corners((0, 0), (800, 600))))
    square = _corners((0, 0), (400, 0), (400, 300), (0, 300))
    for amount, width in (("0.401", "0.2"), ("0.2", "0.301")):
        refused("R231", lambda a=amount, w=width: _back(made, "R-1/a", a, width=w, outline=square))  # type: ignore[misc]
    half = _corners((0, 0), (400, 0), (0, 300))
    refused("R231", lambda: _back(made, "R-1/a", "0.21", width="0.3", outline=half))
    _back(made, "R-1/a", "0.4", width="0.3", outline=square)
    assert made.book.log.check().holds


def _told(made: Shop) -> Stores:
    return Stores.model_validate(tomllib.loads("\n".join(stores_toml(made.state)))["stores"])


def test_a_remnant_of_a_remnant_is_named_and_one_that_was_out_longer_stands_alone() -> None:
    made = _shop(("R-1", "5", {"width": "1.27"}), ("R-2", "5", {"width": "1", "out_life": 36000}))
    made.begin_job()
    for roll in ("R-1", "R-2"):
        _issue(made, roll, "2")
        _back(made, f"{roll}/a", "0.8", of=roll, width="0.6")
    _issue(made, "R-1/a", "0.5")
    _back(made, "off the end", "0.2", of="R-1/a", width="0.3")
    rolls = {x.id: x for x in _told(made).roll}
    assert set(rolls) == {"R-1", "R-2", "R-2/a"}
    assert [x.id for x in rolls["R-1"].remnant] == ["R-1/a", "off the end"]
    assert rolls["R-2/a"].width == 0.6


def test_the_stores_are_told_whatever_a_label_says() -> None:
    made = _shop(
        ("Q", "2", {"material": 'film 12" wide \\ blue', "unit": "m2", "batch": 'B"1'}),
        ("C", "0.5", {"material": "wipes", "unit": "pieces"}),
        ("T", "2", {"material": "tape", "unit": "boxes"}),
    )
    assert [(x.id, x.material, x.lot) for x in _told(made).lot] == [("Q", 'film 12" wide \\ blue', 'B"1')]
    assert "# lot T: 2 boxes, a unit that no document counts in" in stores_toml(made.state)


def test_a_plan_counts_on_no_more_of_a_remnant_than_is_there() -> None:
    assert [_decimal(x) for x in (0.7000000000000001, 0.7, 0.3 - 0.1, 0.123456781)] == [
        "0.7",
        "0.7",
        "0.2",
        "0.12345679",
    ]


def test_the_lot_a_plan_was_nested_on_comes_first() -> None:
    made = _shop(("R-1", "5", {}), ("R-2", "5", {}))
    made.book.open_lot(who("S1"), "R-2")
    made.begin_job(kit=[_need("glass", "2", store="R-1")])
    assert other_choice(made.state, JOB, "R-1") == ""
    assert "nested on lot R-1" in other_choice(made.state, JOB, "R-2")


def test_the_demonstration_begins_with_its_rolls_as_wide_and_as_opened_as_its_document_says(
    tmp_path: Any,
) -> None:
    document = parse(text("gear_door").encode()).document
    demo_shop.begin(tmp_path / "r.sqlite", document, cost=CHEAP)
    lots = Book.open(str(tmp_path / "r.sqlite"), cost=CHEAP).state.lots
    assert [(lots[x].width, bool(lots[x].opened)) for x in ("R-118", "R-118/a", "R-130")] == [
        ("0.965", True),
        ("0.48", True),
        ("0.965", False),
    ]
    assert lots["L-77"].opened


def test_what_a_plan_takes_from_one_lot_is_added_up() -> None:
    """5 m there: 3 and 2 are, 3 and 2.1 are not, in either order and in either unit."""
    made = _shop(("R-1", "5", {}), ("R-2", "9", {}))
    for first, second, fits in (("3", "2", True), ("3", "2.1", False), ("2.1", "3", False)):
        kit = (
            _need("glass", first, store="R-1"),
            _need("glass", "4", store="R-2"),
            _need("glass", second, store="R-1"),
        )
        if fits:
            held_for(made.state, JOB, kit, made.state.latest)
        else:
            assert "R-1" in refused("R304", lambda kit=kit: held_for(made.state, JOB, kit, made.state.latest))


@pytest.mark.parametrize(
    ("clocks", "life"),
    [
        ([(O11, 2400), (O11, 1800), (O11, 3600)], 1800),  # the shortest that starts there
        ([(O11, 2400), (A3, 60), (O11, None)], 2400),
        ([(A3, 60), (O11, None)], None),
        ([], None),
    ],
)
def test_a_batch_lives_by_the_shortest_clock_that_starts_at_its_step(
    clocks: list[tuple[str, int | None]], life: int | None
) -> None:
    held = [SimpleNamespace(start=start, most=most) for start, most in clocks]
    job = SimpleNamespace(opened=SimpleNamespace(clocks=held))
    assert life_of(job, O11) == life  # type: ignore[arg-type]
