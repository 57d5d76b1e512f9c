"""A hole that was filled with straight lines is no evidence."""

from __future__ import annotations

import numpy as np
import pytest

from made_curelog import Made, made_cure
from panelmend.plan.judge import Outcome, find_faults, judge
from panelmend.plan.judge import codes as c
from recipe_curelog import RECIPE, f


def drawn(seed: int, rows: int, digits: int = 1, *, cold: bool = False) -> Made:
    """So many rows of the dwell, or of the cold before the heat, between two readings on lines."""
    made = made_cure(seed)
    made.temps = np.round(made.temps - 273.15, digits) + 273.15
    a = 1 if cold else int(np.argmax(made.temps.min(axis=1) > f(240))) + 60
    share = np.linspace(0.0, 1.0, rows + 2)[:, None]
    line = made.temps[a] + share * (made.temps[a + rows + 1] - made.temps[a])
    made.temps[a : a + rows + 2] = np.round(line - 273.15, digits) + 273.15
    return made


def told(made: Made) -> bool:
    return c.DRAWN.code in {x.finding.code for x in find_faults(made.log())}


@pytest.mark.parametrize("seed", range(4))
def test_ten_minutes_drawn_in_the_dwell_cannot_be_judged(seed: int) -> None:
    made = drawn(seed, 60)
    assert told(made)
    assert judge(RECIPE, made.log()).outcome is Outcome.UNKNOWN


@pytest.mark.parametrize("seed", range(4))
def test_a_cure_as_it_was_has_none(seed: int) -> None:
    made = made_cure(seed)
    made.temps = np.round(made.temps - 273.15, 1) + 273.15
    assert not told(made)
    assert judge(RECIPE, made.log()).outcome is Outcome.CONFORMS


def test_a_minute_counts_as_unbroken_and_nothing_is_asked_of_it() -> None:
    assert not told(drawn(1, 5))


def test_what_is_cold_before_the_heat_is_not_asked() -> None:
    assert not told(drawn(1, 12, cold=True))
