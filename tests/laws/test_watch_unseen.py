"""Heat that the thermocouples do not see: the watch was silent while all leads were swapped, or none rose."""

from __future__ import annotations

import numpy as np
import pytest

from made_curelog import Made, made_cure
from panelmend.errors import Severity
from panelmend.plan.judge import CureLog, look
from panelmend.plan.judge import codes as c
from recipe_curelog import RECIPE


def until(m: Made, time: float) -> CureLog:
    kept = m.times <= time
    m.times, m.temps, m.vacuum, m.set_point = (x[kept] for x in (m.times, m.temps, m.vacuum, m.set_point))
    return m.log()


def alarms(log: CureLog) -> dict[str, Severity]:
    return {a.finding.code: a.finding.severity for a in look(RECIPE, log).alarms}


@pytest.mark.parametrize("swapped", [1, 3, 5, 6])
def test_swapped_leads_are_told_however_many_they_are(swapped: int) -> None:
    m = made_cure(5)
    m.temps[:, :swapped] = 294.0 - 0.7 * (m.temps[:, :swapped] - 294.0)
    found = alarms(until(m, 2000.0))
    assert found.get(c.BACKWARDS.code) is Severity.STOP or c.SENSOR_NOW.code in found
    if swapped > 3:
        assert found[c.BACKWARDS.code] is Severity.STOP, "too many to be told by comparing"


def test_heat_that_no_thermocouple_answers_is_a_stop() -> None:
    m = made_cure(5)
    noise = np.random.default_rng(2).normal(0, 0.15, m.temps.shape)
    m.temps = 294.0 + noise
    assert c.UNANSWERED.code not in alarms(until(made_cure(5), 3000.0))
    assert alarms(until(m, 3000.0))[c.UNANSWERED.code] is Severity.STOP
    first = look(RECIPE, m.log()).alarms[0]
    assert first.finding.code == c.UNANSWERED.code
    assert first.finding.todo.startswith("heat off now")


def test_a_part_that_lags_is_no_heat_unseen() -> None:
    """A set point put to its end at once, and a part that takes 20 minutes for the first ten kelvins."""
    for minutes in (15, 25, 40):
        m = made_cure(5)
        m.set_point = np.where(m.times < 600.0, 294.0, 394.0)
        warmer = np.clip(m.times - 600.0, 0, None) * (0.5 / 60)
        m.temps = 294.0 + warmer[:, None] + 0.3 * np.arange(6)
        assert c.UNANSWERED.code not in alarms(until(m, 600.0 + 60.0 * minutes))


def test_a_watch_that_begins_in_the_heat_says_so() -> None:
    m = made_cure(5)
    kept = m.times >= 4500.0
    m.times, m.temps, m.vacuum, m.set_point = (x[kept] for x in (m.times, m.temps, m.vacuum, m.set_point))
    assert any(c.STARTS_HOT.title in words for words in look(RECIPE, until(m, 5000.0)).said)
