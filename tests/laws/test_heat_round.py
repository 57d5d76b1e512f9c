"""The demonstration's cure against rings written from its document, and a column through its thickness."""

from __future__ import annotations

import pytest

from heat_problem import demo
from heat_round import cured
from panelmend.predict.cases import outcome
from panelmend.predict.model import QUICK, SensorSpot


def test_the_cure_is_what_rings_of_another_hand_make_it_and_no_column() -> None:
    """A column keeps the heat that the caul sheet carries off to where no resin cures: 6 K too hot."""
    problem = demo(2)
    ours = outcome(problem, tuple(SensorSpot(n, at) for n, at in problem.sensors), {}, QUICK)
    rings, column = cured(), cured(lateral=False)
    assert ours.hottest.max() == pytest.approx(rings.hottest, abs=1.5)
    assert ours.coldest[ours.dwelling].min() == pytest.approx(rings.coldest, abs=1.5)
    assert column.hottest > rings.hottest + 4.0
