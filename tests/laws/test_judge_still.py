"""Thermocouples that stood at one value in a dwell while others moved or changed: a caution, and what the
verdict rests on."""

from __future__ import annotations

import numpy as np
import pytest

from judge_lines import made, recipe
from panelmend.plan.judge import judge
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.rules_still import stood_beside


def _flicker(stands: dict[int, tuple[float, float]], m: int = 5) -> tuple[FloatArray, FloatArray]:
    """An hour of readings each 10 s in tenths that change every third row, but where they stand [s]."""
    times = np.arange(0.0, 3600.0, 10.0)
    temps = 390.0 + np.arange(m) + 0.1 * ((np.arange(times.size)[:, None] + np.arange(m)) % 6 < 3)
    for i, (a, b) in stands.items():
        temps[(times >= a) & (times <= b), i] = 390.0 + i
    return times, temps


@pytest.mark.parametrize(
    ("stands", "told"),
    [
        ({0: (600.0, 1500.0), 1: (600.0, 1500.0), 2: (600.0, 1500.0)}, [0, 1, 2]),
        ({0: (600.0, 2800.0), 1: (900.0, 2900.0), 2: (700.0, 3000.0)}, [0, 1, 2]),
        ({0: (600.0, 1500.0), 1: (600.0, 1500.0)}, []),  # two of five
        ({0: (600.0, 1450.0), 1: (600.0, 1450.0), 2: (600.0, 1450.0)}, []),
        ({0: (600.0, 1600.0), 1: (1800.0, 2800.0), 2: (1000.0, 2000.0)}, []),  # one after the other
        (dict.fromkeys(range(5), (600.0, 2800.0)), []),  # all: V576
    ],
)
def test_half_that_stood_for_a_quarter_of_an_hour_while_another_changed(
    stands: dict[int, tuple[float, float]], told: list[int]
) -> None:
    """A quiet log: no stay is beyond chance by its noise, and the verdict conformed without a word."""
    assert [x.column for x in stood_beside(*_flicker(stands))] == told


def test_a_log_that_stands_as_long_elsewhere_is_held_for_quiet() -> None:
    times, temps = _flicker(dict.fromkeys(range(3), (600.0, 1600.0)))
    temps[(times >= 2000.0) & (times <= 2400.0), :3] = 390.0 + np.arange(3)
    assert stood_beside(times, temps) == []


def test_one_that_moves_far_beside_those_that_stand_leaves_the_dwell_open() -> None:
    """T4 goes 7 or 4 K up and comes back, in ten minutes each, while T1 and then T2 show one value."""
    for far, open_ in ((7.0, True), (4.0, False)):
        m = made()
        m.temps += np.array([0.0, -0.3, 0.01, 0.3])
        m.temps += np.random.default_rng(2).normal(0.0, 0.03, m.temps.shape)
        for k in range(2):
            here = (m.times >= 3200.0 + 300.0 * k) & (m.times < 5500.0 + 300.0 * k)
            m.temps[here, k] = m.temps[here, k][0]
        m.temps[:, 3] += np.interp(m.times, [4000.0, 4600.0, 5200.0], [0.0, far, 0.0])
        m.temps = np.round((m.temps - 273.15) * 10.0) / 10.0 + 273.15
        found = [r for r in judge(recipe(), m.log()).against() if r.rule == "readings that stand"]
        assert bool(found) is open_, far
        rests = [x for x in judge(recipe(), m.log()).rests_on() if x.startswith("readings that may have")]
        assert any("T1, T2 stood at one value in hold" in x for x in rests) is not open_
