"""Next taps: on known damages 48 asked taps narrow the compact line more than 152 taps of a finer grid; a
set of taps narrows the line for any shape."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from known_damage import Truth, damage, grid, tapped
from panelmend.job.survey.next_taps import next_taps, set_of
from panelmend.job.survey.readings import SkinReadings, joined_passes, taps
from panelmend.job.survey.trace import Line, trace
from panelmend.shapes import rectangle

STEP = 0.02


def excess(read: SkinReadings, truth: Truth, line: Line) -> float:
    made = trace(replace(read, at=read.at * STEP), line=line)
    return made.areas[0].outer.area / (truth.area * STEP**2) - 1.0


def test_asked_taps_save_taps() -> None:
    """Of the compact line; the line for any shape asks for a set of taps (below)."""
    asked, finer = [], []
    for i in range(10):
        rng = np.random.default_rng(i)
        truth = damage(rng)
        read = tapped(truth, grid(8.0), 0.0, rng)
        for _ in range(6):
            made = trace(replace(read, at=read.at * STEP), line="compact")
            more = np.array([t.at for t in next_taps(made, 8)]) / STEP
            read = joined_passes([read, tapped(truth, more, 0.0, rng)])
        asked.append(excess(read, truth, "compact"))
        finer.append(excess(tapped(truth, grid(8.0, 0.8), 0.0, rng), truth, "compact"))
    assert len(grid(8.0)) + 48 == 337
    assert len(grid(8.0, 0.8)) == 441
    assert np.mean(asked) < np.mean(finer)


def test_places_are_new_ranked_by_gain_and_near_the_line() -> None:
    truth = Truth((0.0, 0.0), 3.0, 3.0, 0.0, ())
    read = tapped(truth, grid(7.0), 0.0, np.random.default_rng(0))
    made = trace(replace(read, at=read.at * STEP), line="compact")
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


def test_the_set_that_is_asked_for_narrows_the_line_for_any_shape() -> None:
    """Once the asked taps widened it: 1.34 to 1.62 of the damage's area beyond it, on the mean."""
    before, after, saved = [], [], 0
    for i in range(6):
        rng = np.random.default_rng(8_140_000 + i)
        truth = damage(rng)
        read = tapped(truth, grid(8.0), 0.0, rng)
        before.append(excess(read, truth, "any shape"))
        made = trace(replace(read, at=read.at * STEP))
        asked = set_of(made)
        assert asked is not None
        assert asked.whole
        assert len(next_taps(made)) == len(asked.at)
        more = np.array([t.at for t in next_taps(made)]) / STEP
        read = joined_passes([read, tapped(truth, more, 0.0, rng)])
        after.append(excess(read, truth, "any shape"))
        saved += len(grid(8.0, 2.0**-0.5)) - len(grid(8.0)) - len(more)
    assert np.mean(after) < 0.9 * np.mean(before)
    assert saved > 6 * 100, "fewer than tapping the whole sweep as closely"


def test_the_area_it_promises_is_the_one_where_all_of_them_sound() -> None:
    truth = Truth((0.5, 0.5), 2.2, 2.2, 0.0, ())
    read = tapped(truth, grid(7.0), 0.0, np.random.default_rng(0))
    made = trace(replace(read, at=read.at * STEP))
    asked = set_of(made)
    assert asked is not None
    sound = taps(asked.at / STEP, np.zeros(len(asked.at)))
    again = joined_passes([read, sound])
    line = trace(replace(again, at=again.at * STEP)).areas[0].outer
    assert line.area < made.areas[0].outer.area
    assert line.area == pytest.approx(asked.area, rel=0.15)


def test_no_place_off_the_panel_is_asked_for() -> None:
    truth = Truth((0.0, 0.0), 3.0, 3.0, 0.0, ())
    at = grid(7.0)
    at = at[at[:, 1] >= -2.0]
    read = tapped(truth, at, 0.0, np.random.default_rng(0))
    panel = rectangle((0.0, 0.5 * (8.0 - 2.3) * STEP), 18.0 * STEP, (8.0 + 2.3) * STEP)
    for line in ("any shape", "compact"):
        made = trace(replace(read, at=read.at * STEP), line=line, panel=panel)  # type: ignore[arg-type]
        assert next_taps(made, 8)
        assert all(panel.contains(t.at) for t in next_taps(made, 8))
