"""Next taps: on known damages 48 asked taps narrow the compact line more than 152 taps of a finer grid."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from panelmend.job.survey.next_taps import next_taps
from panelmend.job.survey.readings import Readings, joined, taps
from panelmend.job.survey.simulate import Truth, damage, grid, tapped
from panelmend.job.survey.trace import Line, trace

STEP = 0.02


def excess(read: Readings, truth: Truth, line: Line) -> float:
    made = trace(replace(read, at=read.at * STEP), line=line)
    return made.areas[0].outer.area / (truth.area * STEP**2) - 1.0


def test_asked_taps_save_taps() -> None:
    """Of the compact line; the line for any shape stands beyond every dull tap: it may move out."""
    asked, finer = [], []
    for i in range(10):
        rng = np.random.default_rng(i)
        truth = damage(rng)
        read = tapped(truth, grid(8.0), 0.0, rng)
        for _ in range(6):
            made = trace(replace(read, at=read.at * STEP))
            more = np.array([t.at for t in next_taps(made, 8)]) / STEP
            read = joined([read, tapped(truth, more, 0.0, rng)])
        asked.append(excess(read, truth, "compact"))
        finer.append(excess(tapped(truth, grid(8.0, 0.8), 0.0, rng), truth, "compact"))
    assert len(grid(8.0)) + 48 == 337
    assert len(grid(8.0, 0.8)) == 441
    assert np.mean(asked) < np.mean(finer)


def test_places_are_new_ranked_by_gain_and_near_the_line() -> None:
    truth = Truth((0.0, 0.0), 3.0, 3.0, 0.0, ())
    read = tapped(truth, grid(7.0), 0.0, np.random.default_rng(0))
    made = trace(replace(read, at=read.at * STEP))
    found = next_taps(made, 6)
    assert len(found) == 6
    for tap in found:
        assert 2.0 < np.hypot(*tap.at) / STEP < 4.5
        assert np.hypot(*(made.posterior.at - np.array(tap.at)).T).min() > 0.29 * STEP
        assert 0.0 < tap.narrows < 1.0
    assert found[0].narrows > 0.98 * max(t.narrows for t in found)  # greedy: later ones may tie


def test_nothing_is_asked_where_nothing_is_dull() -> None:
    at = grid(4.0) * STEP
    assert next_taps(trace(taps(at, np.zeros(len(at))))) == ()
