"""Blanket and thermocouples placed by hand: the bag follows, nothing is predicted of a place that is wrong,
and what is put back is as if it had never been moved."""

from __future__ import annotations

import math
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from examples_here import FOLDER as EXAMPLES
from panelmend.app.changing import Move, changes_moved, changes_typed, entries
from panelmend.app.changing_heat import placed_as_planned, sensors_now
from panelmend.app.opened import OpenRepair, PlanMade
from panelmend.document.written import written
from panelmend.errors import InputError
from panelmend.job.bag.part import BagOperation
from panelmend.predict.sensors import choose


def _opened(tmp_path: Path, name: str = "gear_door") -> OpenRepair:
    for ending in (".toml", ".heat.json", ".nest.json"):
        source = EXAMPLES / name / f"repair{ending}"
        if source.exists():
            shutil.copy(source, tmp_path / f"repair{ending}")
    return OpenRepair(tmp_path / "repair.toml")


@pytest.fixture
def door(tmp_path: Path) -> OpenRepair:
    """The gear door, opened."""
    return _opened(tmp_path)


def _bag(made: PlanMade, number: int = 1) -> BagOperation:
    assert made.plan.work is not None
    return next(b for b in made.plan.work.bag.operations if b.number == number)


def _moved(door: OpenRepair, move: Move) -> PlanMade:
    made = door.made
    return door.tried(changes_moved(made.plan, made.text, move))


def test_a_moved_blanket_lies_there_and_every_layer_still_reaches_past_it(door: OpenRepair) -> None:
    before, made = _bag(door.made), _moved(door, Move("blanket", 0.02, -0.01, operation=1))
    bag = _bag(made)
    old, new = ({x.use: x for x in b.layers if x.outline} for b in (before, bag))
    a, b = old["heat blanket"].outline, new["heat blanket"].outline
    assert a is not None
    assert b is not None
    assert b.centroid[0] - a.centroid[0] == pytest.approx(0.02, abs=1e-4)
    assert b.centroid[1] - a.centroid[1] == pytest.approx(-0.01, abs=1e-4)
    assert b.area == pytest.approx(a.area)
    margin = float(made.plan.ledger["bag.breather_margin"])
    breather = new["breather"].outline
    assert breather is not None
    for s in b.segments():
        assert breather.reach(*s.start)[0] >= margin - 1e-9
        assert breather.contains(s.start)
        assert bag.seal_line.contains(s.start)
    assert not any(f.code == "B410" for f in made.plan.findings)
    assert bag.air is not None
    assert bag.air.open
    assert "PLACED BY HAND" in new["heat blanket"].note


def test_the_prediction_of_the_old_place_is_none_of_the_new(door: OpenRepair) -> None:
    work = door.made.plan.work
    assert work is not None
    assert work.cure.operations[0].prediction is not None
    made = _moved(door, Move("blanket", 0.02, 0.0, operation=1))
    assert made.plan.work is not None
    first = made.plan.work.cure.operations[0]
    assert first.prediction is None
    assert first.problem is not None
    assert "H021" in {f.code for f in made.plan.findings}
    x = first.problem.source.heated.centroid[0] - work.cure.operations[0].problem.source.heated.centroid[0]  # type: ignore[union-attr]
    assert x == pytest.approx(0.02, abs=1e-4)


def test_nothing_is_predicted_of_a_blanket_or_thermocouple_that_is_wrong(door: OpenRepair) -> None:
    for move in (
        Move("blanket", 0.12, 0.0, operation=1),
        Move("thermocouple", 0.03, 0.06, operation=1, sensor="T1"),
        Move("thermocouple", 0.5, 0.0, operation=1, sensor="T2"),
    ):
        made = _moved(door, move)
        assert made.plan.work is not None
        assert made.plan.work.cure.operations[0].problem is None
        assert {"B410", "B412", "B414", "B415"} & {f.code for f in made.plan.findings}


def test_the_first_thermocouple_moved_writes_where_all_of_them_lie(door: OpenRepair) -> None:
    before = sensors_now(door.made.plan, _bag(door.made))
    made = _moved(door, Move("thermocouple", -0.004, -0.003, operation=1, sensor="T1"))
    after = sensors_now(made.plan, _bag(made))
    assert list(after) == list(before) == ["T1", "T2", "T3"]
    for name, (dx, dy) in {"T1": (-0.004, -0.003), "T2": (0.0, 0.0), "T3": (0.0, 0.0)}.items():
        assert after[name][0] - before[name][0] == pytest.approx(dx, abs=6e-5)
        assert after[name][1] - before[name][1] == pytest.approx(dy, abs=6e-5)
    assert not any(f.code.startswith("B41") for f in made.plan.findings)


def test_what_is_put_back_is_as_if_it_had_never_been_moved(door: OpenRepair) -> None:
    first = door.made
    door.change(
        changes_moved(first.plan, first.text, Move("blanket", 0.01, 0.0, operation=2)), first.plan.case.digest
    )
    moved = door.made
    door.change(
        changes_moved(moved.plan, moved.text, Move("thermocouple", 0.004, 0.0, operation=2, sensor="T2")),
        moved.plan.case.digest,
    )
    assert "blanket_centre" in door.made.text
    assert "thermocouples = [" in door.made.text
    for what in ("thermocouple", "blanket"):
        made = door.made
        door.change(placed_as_planned(made.plan, 2, what), made.plan.case.digest)
    assert door.made.plan.digest == first.plan.digest


def test_a_cure_without_a_choice_of_its_own_gets_one(tmp_path: Path) -> None:
    door = _opened(tmp_path)
    made = door.made
    start, end = made.text.index("[[choice.heat]]"), made.text.index("[[confirm]]")
    door.path.write_text(made.text[:start] + made.text[end:], encoding="utf8")
    bare = door.made
    kept = door.change(
        changes_moved(bare.plan, bare.text, Move("blanket", 0.01, 0.0, operation=2)), bare.plan.case.digest
    )
    assert [h.cure for h in kept.plan.case.document.choice.heat] == [_bag(kept, 2).name]
    assert float(_bag(kept, 2).hand.off[0]) == pytest.approx(0.01 * math.cos(math.radians(5)), abs=1e-4)
    again = door.change(
        changes_moved(kept.plan, kept.text, Move("blanket", 0.0, 0.01, operation=1)), kept.plan.case.digest
    )
    assert len(again.plan.case.document.choice.heat) == 2


def test_places_by_hand_are_fields_that_can_be_typed(door: OpenRepair) -> None:
    made = _moved(door, Move("thermocouple", -0.004, 0.0, operation=1, sensor="T1"))
    door.change(
        changes_moved(
            door.made.plan, door.made.text, Move("thermocouple", -0.004, 0.0, operation=1, sensor="T1")
        ),
        door.made.plan.case.digest,
    )
    now = door.made
    shown = [e for e in entries(now.plan, now.text) if e.key == "thermocouple"]
    assert [e.name for e in shown] == ["T1", "T2", "T3"]
    assert shown[0].kind == "point"
    typed = door.tried(changes_typed(now.plan, now.text, {"choice.heat.0.thermocouples.1": "610 mm, 404 mm"}))
    assert sensors_now(typed.plan, _bag(typed))["T2"] == pytest.approx((0.610, 0.404), abs=1e-9)
    assert sensors_now(typed.plan, _bag(typed))["T1"] == sensors_now(made.plan, _bag(made))["T1"]


def test_only_what_is_on_the_panel_is_moved(door: OpenRepair) -> None:
    made = door.made
    for move in (
        Move("blanket", 0.01, 0.0, operation=9),
        Move("thermocouple", 0.01, 0.0, operation=1, sensor="T9"),
    ):
        with pytest.raises(InputError):
            changes_moved(made.plan, made.text, move)


def test_seen_from_the_inside_a_move_goes_the_way_it_is_drawn(tmp_path: Path) -> None:
    """A document drawn from the inside has its y turned over; standard axes have not."""
    door = _opened(tmp_path)
    text = door.made.text.replace('seen_from = "outside"', 'seen_from = "inside"')
    door.path.write_text(text, encoding="utf8")
    turned = _moved(door, Move("blanket", 0.0, 0.01, operation=1))
    here, before = _bag(turned), _bag(door.made)
    a = next(x.outline for x in before.layers if x.use == "heat blanket")
    b = next(x.outline for x in here.layers if x.use == "heat blanket")
    assert a is not None
    assert b is not None
    assert b.centroid[1] - a.centroid[1] == pytest.approx(0.01, abs=1e-4)


def test_a_cure_is_predicted_with_the_thermocouples_where_they_were_placed(door: OpenRepair) -> None:
    work = door.made.plan.work
    assert work is not None
    problem = work.cure.operations[0].problem
    assert problem is not None
    places = (("T1", (0.43, 0.29)), ("T2", (0.61, 0.40)), ("T3", (0.42, 0.48)))
    spots = choose(replace(problem, sensors=places, placed=True))
    assert [(s.id, s.at) for s in spots if s.face == "repair side"] == list(places)
    assert {s.id for s in spots if s.count and s.face == "far face"} == {"B1", "B2", "B3"}
    assert sum(not s.count for s in spots) == 1


def test_a_row_is_written_behind_the_last_of_a_list_and_no_further() -> None:
    text = "[[a.b]]\nn = 1\n\n[c]\nd = 2\n"
    assert written(text, {("a", "b", 1): {"n": 2}}).endswith("[[a.b]]\nn = 2\n")
    assert written("[c]\nd = 2\n", {("a", "b", 0): {"n": 2}}).endswith("[[a.b]]\nn = 2\n")
    with pytest.raises(InputError):
        written(text, {("a", "b", 3): {"n": 2}})


def test_the_card_says_where_a_blanket_goes_that_was_placed_by_hand(door: OpenRepair) -> None:
    def said(made: PlanMade) -> str:
        return " ".join(str(line) for step in made.plan.card.steps for line in step.words)

    assert "placed the blanket by hand" not in said(door.made)
    assert "placed the blanket by hand" in said(_moved(door, Move("blanket", 0.02, 0.0, operation=1)))
