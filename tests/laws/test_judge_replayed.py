"""Readings that come twice are no evidence the second time."""

from __future__ import annotations

import numpy as np
import pytest

from made_curelog import Made, made_cure
from panelmend.plan.judge import Outcome, find_faults, judge
from panelmend.plan.judge import codes as c
from recipe_curelog import RECIPE, f

# written out: a number taken from the code would move with it
CHANNELS, ROWS = 3, 12


def pasted(rows: int, *, digits: int = 1, sensors: int = 6) -> Made:
    """In the dwell the readings of ``rows`` samples put where later ones were."""
    made = made_cure(1, sensors=sensors)
    made.temps = np.round(made.temps, digits)
    at = int(np.argmax(made.temps.min(axis=1) > f(240))) + 60
    made.temps[at + 80 : at + 80 + rows] = made.temps[at : at + rows]
    return made


def named(made: Made) -> bool:
    return c.REPLAYED.code in {x.finding.code for x in find_faults(made.log())}


def test_a_block_of_the_dwell_put_over_another_is_a_hole() -> None:
    made = pasted(60)
    verdict = judge(RECIPE, made.log())
    assert verdict.outcome is Outcome.UNKNOWN
    words = next(x.words for x in verdict.findings if x.code == c.REPLAYED.code)
    assert "are those from" in words
    assert "10 min" in words


def test_cells_without_a_reading_repeat_nothing() -> None:
    """An hour of them was told as readings that are those from an earlier time on."""
    made = pasted(0)
    at = int(np.argmax(made.temps.min(axis=1) > f(240))) + 20
    made.temps[at : at + 200] = np.nan
    told = {x.finding.code for x in find_faults(made.log())}
    assert c.REPLAYED.code not in told
    assert c.BLANK.code in told
    for cell in (slice(None), 1):  # a row that is missing in both, or a cell
        twice = pasted(60)
        twice.temps[int(np.argmax(twice.temps.min(axis=1) > f(240))) + 60 + 5 :: 80][:2, cell] = np.nan
        assert named(twice)


@pytest.mark.parametrize(("rows", "told"), [(ROWS - 1, False), (ROWS, True)])
def test_the_shortest_repeat_is_probed(rows: int, told: bool) -> None:
    assert named(pasted(rows)) is told


@pytest.mark.parametrize(("sensors", "told"), [(CHANNELS - 1, False), (CHANNELS, True)])
def test_the_fewest_thermocouples_are_probed(sensors: int, told: bool) -> None:
    assert named(pasted(40, sensors=sensors)) is told


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("digits", [0, 1, 2])
@pytest.mark.parametrize("step", [1.0, 10.0])
def test_sound_logs_do_not_repeat_themselves(seed: int, digits: int, step: float) -> None:
    made = made_cure(seed, sensors=3, step=step, noise=(0.03, 0.1, 0.2)[seed])
    made.temps = np.round(made.temps, digits)
    assert not named(made)
