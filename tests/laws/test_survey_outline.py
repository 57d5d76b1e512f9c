"""Survey: known damage is contained as often as stated, moving and turning changes nothing, taps narrow."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from known_damage import Truth, damage, grid, tapped
from panelmend.errors import RangeError
from panelmend.job.survey.calibration import calibration_table, level_at, reach_at
from panelmend.job.survey.field import Kernel, laplace, merged
from panelmend.job.survey.readings import Array, SkinReadings, joined_passes, measures, taps
from panelmend.job.survey.trace import trace
from panelmend.shapes import without_area
from tap_rule import plain_rule

STEP = 0.02
DISC = Truth((0.1, -0.2), 3.0, 3.0, 0.0, ())


def simulated_readings(
    truth: Truth, at: Array, rng: np.random.Generator, scatter: float = 0.03
) -> SkinReadings:
    """Contact-time ratios of a damage: 1 on sound places, 1.45 in it, with relative ``scatter`` [1]."""
    level = np.where(truth.contains(at), 1.45, 1.0) * (1.0 + scatter * rng.standard_normal(len(at)))
    return measures(at, level, 1.15, scatter)


def scaled(readings: SkinReadings) -> SkinReadings:
    return replace(readings, at=readings.at * STEP)


def contained(traced: object, truth: Truth) -> bool:
    edge = truth.edge(120) * STEP
    return any(all(a.outer.contains((float(x), float(y))) for x, y in edge) for a in traced.areas)  # type: ignore[attr-defined]


def test_laplace_is_that_of_a_general_library() -> None:
    from sklearn.gaussian_process import GaussianProcessClassifier  # late: seconds, for every worker
    from sklearn.gaussian_process.kernels import ConstantKernel, Matern

    rng = np.random.default_rng(3)
    at = rng.uniform(-3, 3, (60, 2))
    dull = (np.hypot(*at.T) < 1.6).astype(float)
    ours = laplace(merged(taps(at, dull)), Kernel(1.3, 2.0, mean=0.0))
    kernel = ConstantKernel(4.0, "fixed") * Matern(1.3, "fixed", nu=2.5)
    theirs = GaussianProcessClassifier(kernel, optimizer=None, max_iter_predict=200).fit(at, dull)
    places = rng.uniform(-3, 3, (40, 2))
    mean, sd = theirs.base_estimator_.latent_mean_and_variance(places)
    got = ours.latent(places)
    np.testing.assert_allclose(got[0], mean, atol=1e-4)  # both stop their iterations, and jitter, at will
    np.testing.assert_allclose(got[1], np.sqrt(sd), atol=1e-4)


@pytest.mark.parametrize(("wrong", "least"), [(0.0, 54), (0.03, 54), (-1.0, 54)])
def test_the_truth_is_contained_at_the_stated_rate(wrong: float, least: int) -> None:
    """The compact line on 60 damages of other seeds: at 95 % fewer than 54 has a chance below 3 %."""
    count = 0
    for i in range(60):
        rng = np.random.default_rng(5_000_000 + i)
        truth = damage(rng)
        read = (
            simulated_readings(truth, grid(9.0), rng) if wrong < 0 else tapped(truth, grid(9.0), wrong, rng)
        )
        count += contained(trace(scaled(read), line="compact"), truth)
    assert count >= least, f"{count} of 60"


def test_the_table_says_how_it_was_made_and_grows_with_confidence() -> None:
    assert calibration_table()["simulated"] >= 1200
    for of in (level_at, reach_at):
        levels = [of(c) for c in (0.8, 0.9, 0.95, 0.99)]
        assert levels == sorted(levels)
    with pytest.raises(RangeError, match="not calibrated"):
        level_at(0.5)


def test_wrong_taps_mislead_the_plain_rule() -> None:
    """3 % wrong taps: the plain rule calls every lone dull tap a damage, the outline calls them doubtful."""
    wrong = scaled(tapped(DISC, grid(10.0), 0.03, np.random.default_rng(1)))
    assert contained(trace(wrong), DISC)
    assert len(trace(wrong).areas) == 1 < len(plain_rule(wrong))
    read = scaled(tapped(DISC, grid(8.0), 0.0, np.random.default_rng(1)))
    assert trace(read).areas[0].middle[0].area == pytest.approx(DISC.area * STEP**2, rel=0.12)


@pytest.mark.parametrize("angle", [0.3, 1.2])
def test_turning_and_moving_the_panel_turns_and_moves_the_outline(angle: float) -> None:
    read = scaled(tapped(DISC, grid(7.0), 0.0, np.random.default_rng(2)))
    c, s = math.cos(angle), math.sin(angle)
    moved = replace(read, at=read.at @ np.array([[c, s], [-s, c]]) + np.array([0.4, -0.7]))
    a = trace(read).areas[0].outer.turned(angle).moved(0.4, -0.7)
    b = trace(moved).areas[0].outer
    # the traced grid of a quarter spacing does not turn with the panel: its steps are what differs
    assert a.area - without_area(a, b) > 0.985 * max(a.area, b.area)


def test_more_taps_on_consistent_data_narrow_the_line() -> None:
    at = [grid(8.0), grid(8.0, 0.5), grid(8.0, 0.25)]
    rng = np.random.default_rng(0)
    areas = [trace(scaled(tapped(DISC, a, 0.0, rng))).areas[0].outer.area for a in at]
    assert areas[0] > areas[1] > areas[2] > DISC.area * STEP**2


def test_two_damages_are_two_areas_and_one_lone_dull_tap_is_doubtful() -> None:
    at = grid(12.0)
    a, b = Truth((-6.0, 0.0), 2.5, 2.5, 0.0, ()), Truth((6.0, 1.0), 3.0, 2.5, 0.4, ())
    dull = (a.contains(at) | b.contains(at)).astype(float)
    lone = (at[:, 0] == 0) & (at[:, 1] == -10)
    dull[lone] = 1.0
    found = trace(scaled(taps(at, dull)))
    assert len(found.areas) == 2
    assert [tuple(round(v / STEP) for v in p) for p in found.doubtful] == [(0, -10)]


def test_damage_at_the_rim_of_the_survey_runs_off() -> None:
    read = scaled(tapped(Truth((7.0, 0.0), 2.5, 2.5, 0.0, ()), grid(7.0), 0.0, np.random.default_rng(0)))
    assert trace(read).areas[0].runs_off
    inner = scaled(tapped(DISC, grid(7.0), 0.0, np.random.default_rng(0)))
    assert not trace(inner).areas[0].runs_off


def test_contradictory_repeats_are_named() -> None:
    base = tapped(DISC, grid(7.0), 0.0, np.random.default_rng(0))
    again = taps(np.array([[5.0, 5.0], [0.0, 0.0]]), np.array([1.0, 1.0]))
    found = trace(scaled(joined_passes([base, again])))
    assert [tuple(round(v / STEP) for v in p) for p in found.contradictory] == [(5, 5)]


def test_all_dull_one_reading_and_all_sound() -> None:
    at = grid(2.0) * STEP
    with pytest.raises(RangeError, match="where the damage ends"):
        trace(taps(at, np.ones(len(at))))
    with pytest.raises(RangeError, match="three places"):
        trace(taps(at[:1], np.ones(1)))
    assert trace(taps(at, np.zeros(len(at)))).areas == ()


def test_tiles_give_what_one_piece_gives() -> None:
    """A survey too large for one piece, against the middle of it in one piece."""
    read = scaled(tapped(DISC, grid(18.0), 0.0, np.random.default_rng(0)))
    small = scaled(tapped(DISC, grid(13.0), 0.0, np.random.default_rng(0)))
    a, b = trace(read).areas[0].outer, trace(small).areas[0].outer
    assert len(read) > 1000 > len(small)
    assert a.area - without_area(a, b) > 0.97 * max(a.area, b.area)
