"""Cures without a bag: what presses is said, and nothing of a bag is asked in card, kit, cure plan or log."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from card_plans import said, steps
from examples_here import case_from, text
from made_curelog import made_cure
from panelmend.errors import DocumentError, InputError
from panelmend.job.bag.formulas import mass_that_presses
from panelmend.plan.judge import Outcome, judge
from panelmend.plan.judge.approved import recipe_of
from panelmend.plan.judge.report import not_judged
from panelmend.plan.judge.rules_job import JobTimes
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.bench import bench_data
from panelmend.render.cure_plan import cure_plan_data
from panelmend.render.workings import workings_of
from panelmend.shapes import circle
from recipe_curelog import RECIPE

HEAD = 'name = "Repair plies"\nlays = ["plies"]\n'
OVEN = HEAD + 'heated_by = "oven"\nbagged = false\n'
PLACE = 'place = "51-30-04 fig 2 note 3"'
BEGUN = datetime(2026, 11, 25, 8)


def planned(pressed: str, head: str = OVEN) -> Plan:
    document = text("access_door_no_fit")
    assert HEAD in document
    typed = f"pressed = {{ {pressed}, {PLACE} }}\n" if pressed else ""
    return make_plan(case_from(document.replace(HEAD, head + typed)))


def words_of_cover(plan: Plan) -> str:
    return said(plan, next(s for s in steps(plan, "O21", 2) if s.title.endswith("cover it and hold it down")))


def test_weights_of_a_pressure_on_a_disc_weigh_as_much_as_by_hand() -> None:
    """1.5 kPa on a disc of 0.2 m: 1500 x 3.14159 x 0.01 / 9.80665 = 4.805 kg."""
    assert mass_that_presses(pressure=1500.0, outline=circle((0.0, 0.0), 0.2)) == pytest.approx(
        4.805, abs=0.001
    )


def test_weights_are_asked_for_by_mass_on_card_kit_and_cure_plan() -> None:
    plan = planned('by = "weights", what = "steel shot in bags", least = "1.5 kPa"')
    assert plan.work is not None
    bag = plan.work.bag.operations[-1]
    assert bag.weights is not None
    area = bag.patch.area
    assert float(bag.weights) == pytest.approx(1500.0 * area / 9.80665, rel=1e-9)
    printed = math.ceil(100.0 * float(bag.weights) - 1e-9) / 100.0  # kg, never less than what presses
    words = words_of_cover(plan)
    assert f"weights of {printed:.2f} kg or more in all" in words
    assert "51-30-04 fig 2 note 3" in words
    kit = next(x for x in plan.work.kit.lines if x.name == "weights: steel shot in bags")
    assert f"at least {printed:.2f} kg in all" in kit.purpose
    operation = cure_plan_data(plan)["operations"][-1]
    assert any("pressed by weights" in str(row) for row in operation["facts"])


@pytest.mark.parametrize(
    ("pressed", "expected"),
    [
        ('by = "clamps", least = "30 kPa"', "pressed by clamps"),
        ('by = "contact"', "held by contact alone"),
        ('by = "nothing"', "pressed by nothing"),
    ],
)
def test_what_presses_stands_in_the_step_that_covers_it(pressed: str, expected: str) -> None:
    assert expected in words_of_cover(planned(pressed))


def test_nothing_of_a_bag_is_left_in_an_operation_without_one() -> None:
    plan = planned('by = "weights", least = "1.5 kPa"')
    assert plan.work is not None
    own = " ".join(said(plan, s) for s in plan.card.steps if s.operation == 2 and s.id >= "O21")
    for word in ("vacuum base", "leak test", "sealing tape", "breather", "hoses"):
        assert word not in own
    blanks = [b.what for s in plan.card.steps if s.operation == 2 for b in s.blanks]
    assert "Weights in all" in blanks
    assert "What presses has not moved" in blanks
    assert not [b for b in blanks if "leak" in b.lower() or "Vacuum" in b]
    assert bool([b for s in plan.card.steps if s.operation == 1 for b in s.blanks if "Vacuum" in b.what])


@pytest.mark.parametrize(
    ("head", "pressed", "field"),
    [
        (HEAD, 'by = "weights", least = "1.5 kPa"', "pressed"),
        (OVEN, 'by = "contact", least = "1.5 kPa"', "least"),
        (OVEN, 'by = "nothing", least = "1.5 kPa"', "least"),
        (OVEN, 'by = "weights", least = "49 Pa"', "least"),
        (OVEN, 'by = "weights", least = "501 kPa"', "least"),
        (OVEN, 'by = "a vacuum"', "by"),
    ],
)
def test_what_contradicts_itself_is_refused_at_its_field(head: str, pressed: str, field: str) -> None:
    with pytest.raises(DocumentError) as refused:
        planned(pressed, head)
    assert "pressed" in str(refused.value)
    assert field in str(refused.value)


def test_the_recipe_of_a_cure_without_a_bag_asks_for_no_vacuum_and_no_leak_test() -> None:
    document = case_from(
        text("access_door_no_fit").replace(HEAD, OVEN + f'pressed = {{ by = "contact", {PLACE} }}\n')
    ).document
    bagged, bare = (recipe_of(document.data, c) for c in document.data.cure)
    assert bagged.bagged
    assert bagged.vacuum is not None
    assert bagged.leak is not None
    assert not bare.bagged
    assert bare.vacuum is None
    assert bare.leak is None
    with pytest.raises(InputError, match="without a bag"):
        replace(bagged, bagged=False)


def test_a_log_without_vacuum_conforms_where_there_was_no_bag_and_not_where_there_was_one() -> None:
    made = made_cure(1, before=1200.0).log()
    warm = replace(made, channels=tuple(x for x in made.channels if x.name != "Vacuum"))
    until = BEGUN + timedelta(seconds=float(warm.times[-1]) + 600.0)
    bare = replace(RECIPE, vacuum=None, leak=None, bagged=False)
    held = JobTimes(BEGUN, until, "A. Reyes", bagged=False)
    verdict = judge(bare, warm, job=held)
    assert verdict.outcome is Outcome.CONFORMS
    told = " ".join(not_judged(bare, verdict))
    assert "no log shows what pressed on it" in told
    assert "what held it came off" in told
    row = next(r for r in verdict.reasons if "covered and held" in r.words)
    assert "what held it taken off" in row.words
    assert judge(RECIPE, warm, job=JobTimes(BEGUN, until, "A. Reyes")).outcome is Outcome.UNKNOWN
    nobody = judge(bare, warm, job=JobTimes(None, None, "", bagged=False))
    assert nobody.outcome is Outcome.UNKNOWN
    assert any("covered and held" in r.words for r in nobody.reasons)


def test_steam_lifts_alike_everywhere_where_no_bag_takes_the_air_away() -> None:
    """Under a bag the core's air may be drawn off; without one the air presses all through."""
    plan = planned('by = "weights", least = "1.5 kPa"')
    assert plan.work is not None
    bare = [h for h in plan.work.drying.heatings if not h.bagged]
    assert bare
    for h in bare:
        assert h.lift_bridged is None
        assert float(h.lift_deepest) == pytest.approx(float(h.lift))
    bagged = [h for h in plan.work.drying.heatings if h.bagged]
    assert any(float(h.lift_deepest) > float(h.lift) + 1.0 for h in bagged)


ROOM = (
    HEAD + 'place = "51-30-04 fig 2, cure B"\nheated_by = "room temperature"\nbagged = false\n'
    f'sand_after = "24 h"\npressed = {{ by = "contact", {PLACE} }}\n'
    'segment = [ { kind = "dwell", to = "21 C", low = "18 C", high = "30 C", least = "24 h" } ]\n'
)


def test_the_bench_page_says_how_long_and_between_what_a_room_cures() -> None:
    """Time and band stood in the step alone."""
    document = text("access_door_no_fit")
    begin = document.index(HEAD)
    plan = make_plan(case_from(document[:begin] + ROOM + document[document.index("]\n\n", begin) + 2 :]))
    bench = bench_data(plan, workings_of(plan))
    assert bench is not None
    said = str(bench["cures"][-1]["stages"])
    assert "21 C" in said
    assert "18 C" in said
    assert "30 C" in said
    assert "24 h" in said
