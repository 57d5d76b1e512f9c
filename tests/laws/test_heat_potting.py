"""A potting warms itself through its depth: predicted where its constants are given, refused where not."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from functools import cache

import pytest

from examples_here import case_from, edited, text
from panelmend.job.cure import prediction
from panelmend.job.cure.part import CureOperation, CurePart
from panelmend.job.cure.prediction import Outlook, Prediction
from panelmend.job.cure.problem import HeatProblem
from panelmend.plan.make import make_plan
from panelmend.predict import sensors
from panelmend.predict.cases import outcome
from panelmend.predict.model import QUICK, Fineness, SensorSpot
from panelmend.predict.predict import UNTRIED, predict
from panelmend.predict.problem_grid import layout

POTTED = (
    'replace = { value = true, place = "52-10-17 fig 203" }',
    'pot_limit = { value = "150 mm", place = "52-10-17 fig 203" }',
)
MILD = ('heat = "350 kJ/kg"', 'heat = "60 kJ/kg"')  # the demonstration's own paste runs away


@pytest.fixture(scope="module", autouse=True)
def quick_places() -> Iterator[None]:
    """Thermocouples placed by a quick run: these laws hold for any places."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sensors, "MEDIUM", QUICK)
        yield


@cache
def cures(*changes: tuple[str, str], diameter: float = 25.0) -> CurePart:
    """The demonstration's cures, with a round damage [mm] that is potted."""
    made = re.sub(
        r"shape = \{ outline = \{ unit.*?\] \} \}",
        f'shape = {{ circle = {{ centre = "485, 385 mm", diameter = "{diameter} mm" }} }}',
        text("gear_door"),
        count=1,
        flags=re.DOTALL,
    )
    made = edited(made, POTTED, *changes)
    work = make_plan(case_from(made)).work
    assert work is not None
    return work.cure


def operations(*changes: tuple[str, str], diameter: float = 25.0) -> tuple[CureOperation, ...]:
    return cures(*changes, diameter=diameter).operations


def drying_of(*changes: tuple[str, str]) -> HeatProblem:
    found = cures(*changes).drying
    assert found is not None
    return found


def operation(*changes: tuple[str, str], diameter: float = 25.0) -> CureOperation:
    return operations(*changes, diameter=diameter)[0]


def problem(*changes: tuple[str, str], diameter: float = 25.0) -> HeatProblem:
    found = operation(*changes, diameter=diameter).problem
    assert found is not None
    return found


@cache
def predicted(*changes: tuple[str, str], diameter: float = 25.0) -> Prediction:
    return predict(problem(*changes, diameter=diameter), fine=QUICK, advice=False)


def test_the_heat_is_that_of_the_compound_in_the_hole() -> None:
    made = problem(MILD)
    (curing,) = (c for c in made.curing if c.layer == "core")
    ((joules, where),) = curing.parts
    across = 25e-3 + 2 * 6e-3  # damage and the margin the data gives round it
    assert where.area == pytest.approx(math.pi / 4 * across**2, rel=1e-3)
    # 900 kg/m3 with 12 parts of filler on 100 of paste, 20 mm deep
    assert joules == pytest.approx(0.020 * 900.0 / 1.12 * 60e3)
    assert made.core is not None
    assert made.core.plug is not None
    assert made.core.plug.outline == where
    assert made.core.plug.heat == pytest.approx(1.3e6 * 900 / 1150), "lighter than plain epoxy, less to warm"
    assert any("by its density beside that of plain epoxy it conducts less" in note for note in made.notes)


def test_the_potting_is_the_hottest_and_all_of_it_counts() -> None:
    made = predicted(MILD)
    assert made.hottest.layer == "potting"
    assert made.hottest.at == pytest.approx((0.485, 0.385), abs=0.004), "its middle"
    assert made.hottest.kelvin > 273.15 + 66.0 + 4.0, "well above the set point"
    assert abs(made.energy_unbalanced) < 1e-6
    (state,) = made.cured
    assert 0.99 < state.least <= state.most <= 1.0


def test_more_heat_and_a_wider_hole_are_hotter() -> None:
    less = predicted(('heat = "350 kJ/kg"', 'heat = "30 kJ/kg"')).hottest.kelvin
    plain = predicted(MILD).hottest.kelvin
    narrow = predicted(MILD, diameter=13.0).hottest.kelvin
    assert less + 2.0 < plain
    assert narrow < plain, "the honeycomb round it holds its heat nearly as well as more compound"


def test_what_conducts_less_is_hotter_and_its_conductivity_is_unknown() -> None:
    (unknown,) = (u for u in problem(MILD).unknowns if u.name == "potting")
    spots = tuple(SensorSpot(s.id, s.at, s.face, s.role != "check") for s in predicted(MILD).sensors)
    tops = [
        outcome(problem(MILD), spots, {"potting": f}, QUICK).hottest.max()
        for f in (unknown.low, 1.0, unknown.high)
    ]
    assert tops[0] > tops[1] + 0.5 > tops[2] + 1.0


def test_nothing_is_tried_on_one_that_runs_up(monkeypatch: pytest.MonkeyPatch) -> None:
    over = ('heat = "350 kJ/kg"', 'heat = "150 kJ/kg"')  # past the maximum by some kelvins
    assert predicted(over).outlook is Outlook.BREAKS
    assert not predicted(over).hopeless
    monkeypatch.setattr(prediction, "HOPELESS", 1.0)  # 50 K over take ten times as long
    made = predict(problem(over), fine=QUICK)
    assert made.outlook is Outlook.BREAKS
    assert made.hopeless
    assert made.advice == ()
    assert made.placing is None
    assert UNTRIED in made.notes


def test_neither_potting_nor_plug_is_there_while_it_dries() -> None:
    drying = drying_of(MILD)
    assert drying.core is not None
    assert drying.core.plug is None
    assert "potting" not in {u.name for u in drying.unknowns}


def test_finer_cells_find_the_same_peak() -> None:
    finer = predict(problem(MILD), fine=Fineness(0.015, 20.0, 2), advice=False)
    assert finer.hottest.kelvin == pytest.approx(predicted(MILD).hottest.kelvin, abs=0.4)


def test_a_compound_without_constants_is_not_predicted() -> None:
    paste = text("gear_door").split('name = "Paste epoxy with filler"')[1].split("[[")[0]
    density = re.search(r"\ndensity = [^\n]*", paste)
    assert density is not None
    found = operation(MILD, (density.group(), ""))
    assert found.problem is None
    assert [m.what for m in found.missing] == ["density of the potting compound Paste epoxy with filler"]
    kinetics = next(line for line in paste.splitlines() if line.startswith("kinetics"))
    found = operation((kinetics, ""))
    assert [m.what for m in found.missing] == ["heat of cure of the potting compound Paste epoxy with filler"]


def _deep(depth: float) -> tuple[str, str]:
    return ('depth = "skin and core"', f'depth = "skin and core"\ncore_depth = "{depth} mm"')


def test_a_potting_that_ends_within_the_core_is_predicted_to_its_depth() -> None:
    """Nearly through it is the one through the core; shallower it holds less heat and gets less hot, with
    core left under it."""
    through, nearly, half = predicted(MILD), predicted(MILD, _deep(19.0)), predicted(MILD, _deep(12.0))
    assert nearly.hottest.kelvin == pytest.approx(through.hottest.kelvin, abs=1.0)
    assert half.hottest.kelvin < nearly.hottest.kelvin - 0.5
    whole, part = (
        next(c for c in problem(MILD, *more).curing if c.layer == "core") for more in ((), (_deep(12.0),))
    )
    assert part.parts[0][0] == pytest.approx(0.6 * whole.parts[0][0])
    deep = layout(problem(MILD, _deep(12.0)), 0.03).layers
    assert (deep["core"].thickness + deep["core below"].thickness).max() == pytest.approx(0.020)
    assert deep["core below"].k_z.max() < 0.1, "core, not compound"
    assert "core below" not in layout(problem(MILD), 0.03).layers


def test_plies_over_a_potting_cured_before_find_its_cells_filled() -> None:
    later = operations(MILD)[1].problem
    assert later is not None
    assert later.core is not None
    assert later.core.plug is not None
    assert later.core.plug.k_through == pytest.approx(0.2 * 900 / 1150), "the compound, not the core"
    assert not any(c.layer == "core" for c in later.curing), "its heat was set free before"
