"""The predictions kept beside the examples are those the model makes today."""

from __future__ import annotations

import pytest

from examples_here import FOLDER
from panelmend.app import service
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
