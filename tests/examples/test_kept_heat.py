"""The predictions kept beside the examples are those the model makes today."""

from __future__ import annotations

import pytest

from examples_here import FOLDER, case_from, text
from panelmend.app import service
from panelmend.plan.make import make_plan
from panelmend.predict.predict import predict


@pytest.mark.parametrize(("name", "cures"), [("gear_door", 2), ("flap_rib_bay", 1)])
def test_kept_predictions_are_current(name: str, cures: int) -> None:
    work = service.plan(FOLDER / name / "repair.toml").work
    assert work is not None
    assert len(work.cure.operations) == cures
    for operation in work.cure.operations:
        kept, problem = operation.prediction, operation.problem
        assert problem is not None
        assert kept is not None, "an old problem or an old model: run panelmend heat on the example again"
        if kept.holds:
            assert kept.likelihood is not None, "one run alone is not shown as held"
            assert kept.likelihood.cases >= 60, "fewer where the quick method errs too much"
        again = predict(problem, advice=False)
        assert again.hottest.kelvin == pytest.approx(kept.hottest.kelvin, abs=0.02)
        assert again.coldest.kelvin == pytest.approx(kept.coldest.kelvin, abs=0.02)
        assert again.duration == pytest.approx(kept.duration, abs=1.0)
        assert again.worst == pytest.approx(kept.worst, abs=0.02)
        assert [s.id for s in again.sensors] == [s.id for s in kept.sensors]


def test_the_demonstration_s_drying_is_kept_too() -> None:
    work = service.plan(FOLDER / "gear_door" / "repair.toml").work
    assert work is not None
    problem, kept = work.cure.drying, work.cure.dried
    assert problem is not None
    assert kept is not None
    again = predict(problem, advice=False)
    assert again.coldest.kelvin == pytest.approx(kept.coldest.kelvin, abs=0.02)


@pytest.mark.parametrize(
    ("chosen", "holds"),
    [("", False), ('rate = "1.05 F/min"', True), ('blanket = "HB-24"\nrate = "1.05 F/min"', True)],
)
def test_what_is_told_of_the_flap_makes_it_hold(chosen: str, holds: bool) -> None:
    choice = '\n[[choice.heat]]\ncure = "Fill and repair plies"\n'
    document = text("flap_rib_bay") + (choice + chosen + "\n" if chosen else "")
    work = make_plan(case_from(document)).work
    assert work is not None
    problem = work.cure.operations[0].problem
    assert problem is not None
    made = predict(problem, advice=False)
    assert made.holds == holds
    least = {"": -2.4, 'rate = "1.05 F/min"': 2.2}.get(chosen, 3.7)
    assert made.worst == pytest.approx(least, abs=0.05)
