"""A potting warms itself through its depth: predicted where its constants are given, refused where not."""

from __future__ import annotations

import math
import re
from functools import cache

import pytest

from examples_here import case_from, text
from panelmend.job.cure.part import CureOperation
from panelmend.job.cure.prediction import Prediction
from panelmend.job.cure.problem import HeatProblem
from panelmend.plan.make import make_plan
from panelmend.predict.model import QUICK, Fineness
from panelmend.predict.predict import predict

POTTED = (
    'replace = { value = true, place = "52-10-17 fig 203" }',
    'pot_limit = { value = "150 mm", place = "52-10-17 fig 203" }',
)
MILD = ('heat = "350 kJ/kg"', 'heat = "60 kJ/kg"')  # the demonstration's own paste runs away


@cache
def operations(*changes: tuple[str, str], diameter: float = 25.0) -> tuple[CureOperation, ...]:
    """The demonstration's cures, with a round damage [mm] that is potted."""
    made = re.sub(
        r"shape = \{ outline = \{ unit.*?\] \} \}",
        f'shape = {{ circle = {{ centre = "485, 385 mm", diameter = "{diameter} mm" }} }}',
        text("gear_door"),
        count=1,
        flags=re.DOTALL,
    )
    for old, new in (POTTED, *changes):
        assert old in made, old
        made = made.replace(old, new)
    work = make_plan(case_from(made)).work
    assert work is not None
    return work.cure.operations


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
    assert any("hollow filler conducts less and gets hotter" in note for note in made.notes)


def test_the_potting_is_the_hottest_and_all_of_it_counts() -> None:
    made = predicted(MILD)
    assert made.hottest.layer == "potting"
    assert made.hottest.at == pytest.approx((0.485, 0.385), abs=0.004), "its middle"
    assert made.hottest.kelvin > 273.15 + 66.0 + 5.0, "well above the set point"
    assert abs(made.energy_unbalanced) < 1e-6
    (state,) = made.cured
    assert 0.99 < state.least <= state.most <= 1.0


def test_more_heat_and_a_wider_hole_are_hotter() -> None:
    less = predicted(('heat = "350 kJ/kg"', 'heat = "30 kJ/kg"')).hottest.kelvin
    plain = predicted(MILD).hottest.kelvin
    narrow = predicted(MILD, diameter=13.0).hottest.kelvin
    assert less + 2.0 < plain
    assert narrow < plain, "the honeycomb round it holds its heat nearly as well as more compound"


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


def test_a_potting_that_ends_within_the_core_is_not_predicted() -> None:
    found = operation(MILD, ('depth = "skin and core"', 'depth = "skin and core"\ncore_depth = "12 mm"'))
    assert found.problem is None
    assert [m.what for m in found.missing] == ["the heat of a potting that ends within the core"]


def test_plies_over_a_potting_cured_before_find_its_cells_filled() -> None:
    later = operations(MILD)[1].problem
    assert later is not None
    assert later.core is not None
    assert later.core.plug is not None
    assert later.core.plug.k_through == pytest.approx(0.2), "the compound, not the core"
    assert not any(c.layer == "core" for c in later.curing), "its heat was set free before"
