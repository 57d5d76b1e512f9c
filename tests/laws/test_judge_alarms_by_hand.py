"""Alarms of a running cure exactly at what they go by and one step to either side, on straight lines whose
rates are sums of halves, so that a rate found is the rate drawn; each answer is written by hand."""

from __future__ import annotations

import math
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_channels import codes_told as _told
from judge_lines import limit, recipe
from panelmend.plan.judge import SegmentKind, alarms, codes, standing
from panelmend.plan.judge.recipe import RecipeLimit, RecipeSegment, VacuumRule

RATE = 1.0 / 64.0  # K/s, as much above the noise as a slow ramp
STEP = 1.0 / 64.0
TIMES = np.arange(1000.0, 1641.0, 8.0)
AGO = TIMES[-1] - TIMES
NAN = float("nan")


def _e(values: Any, vacuum: Any = None, times: Any = TIMES, faults: tuple[Any, ...] = ()) -> Any:
    values = np.broadcast_to(np.asarray(values, float), times.shape)
    return Made(
        times=times,
        highest=values,
        lowest=values,
        temps=values[:, None],
        names=("T1",),
        vacuum=np.full(times.shape, NAN) if vacuum is None else np.asarray(vacuum, float),
        fastest_at=lambda at: "T1",
        slowest_at=lambda at: "T1",
        checked=Made(faults=faults, vacuum_names=("VAC",)),
        log=Made(clock=lambda t: f"{t:.0f}"),
    )


def _to(end: float, rate: float = RATE) -> Any:
    """A straight line that ends at a value."""
    return end + rate * (TIMES - TIMES[-1])


def _dwell(high: float = 405.0, low: float = 385.0) -> RecipeSegment:
    return RecipeSegment(
        "hold",
        SegmentKind.DWELL,
        390.0,
        band_low=limit(low),
        band_high=limit(high),
        dwell_least=limit(3600.0),
    )


@pytest.mark.parametrize(
    ("high", "band", "said"),
    [
        (391.0, 393.0, []),  # one kelvin past the target is no more than a control does
        (391.0 + STEP, 393.0, [codes.TOP_SOON]),
        (392.0, 392.0 + 180 * RATE, [codes.TOP_SOON]),  # three minutes: still a stop
        (392.0, 392.0 + 181 * RATE, [codes.TOP_NEARS]),
        (392.0, 392.0 + 600 * RATE, [codes.TOP_NEARS]),  # ten minutes are looked ahead
        (392.0, 392.0 + 601 * RATE, []),
        (392.0, 392.0, [codes.TOP_SOON]),
    ],
)
def test_heat_that_rises_towards_its_limit(high: float, band: float, said: list[Any]) -> None:
    segment = _dwell(band)
    assert _told(alarms._heat(_e(_to(high)), recipe(), segment)) == [c.code for c in said]


def test_a_creep_is_no_rise_and_no_fall(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is as slow as the noise is noise; one step faster is not. The rate is set to one that adds up."""
    monkeypatch.setattr(alarms, "CREEP", RATE)
    held = _dwell(393.0)
    assert _told(alarms._heat(_e(_to(392.0)), recipe(), held)) == []
    assert _told(alarms._heat(_e(_to(392.0, RATE + 2**-12)), recipe(), held)) == [codes.TOP_SOON.code]
    assert _told(alarms._dwell(_e(_to(386.0, -RATE)), held, 0.0)) == []
    assert _told(alarms._dwell(_e(_to(386.0, -RATE - 2**-12)), held, 0.0)) == [codes.BAND_SOON.code]


@pytest.mark.parametrize(
    ("peak", "seconds", "said"),
    [
        (392.0, 120, codes.TOP_NEARS),  # it stood as high before and came back
        (392.0 - STEP, 120, codes.TOP_SOON),
        (392.0, 90, codes.TOP_SOON),  # nearer than half of three minutes it does not matter
        (392.0, 91, codes.TOP_NEARS),
    ],
)
def test_an_overshoot_that_was_taken_back_before(peak: float, seconds: int, said: Any) -> None:
    values = _to(392.0)
    values[AGO > 300.0] = 380.0
    values[3] = peak
    segment = _dwell(392.0 + seconds * RATE)
    assert _told(alarms._heat(_e(values), recipe(), segment)) == [said.code]


def test_a_rise_that_slows_down_or_does_not() -> None:
    """Straight lines and a last stretch that stands still tell nothing of where a rise ends."""
    assert not alarms._levels_off(_e(_to(392.0)), 392.0, 400.0, swings=True)
    stands = np.where(AGO <= 104.0, 392.0, 390.0)
    assert not alarms._levels_off(_e(stands), 392.0, 400.0, swings=False)
    slows = np.where(AGO <= 104.0, _to(392.0), 392.0 - 104 * RATE + 4 * RATE * (TIMES - TIMES[-1] + 104))
    assert alarms._levels_off(_e(slows), 392.0, 400.0, swings=False)
    assert not alarms._levels_off(_e(slows), 392.0, 392.0, swings=False)


@pytest.mark.parametrize(
    ("rate", "above", "said"),
    [
        (-2.0, 400.0, False),  # 300 Pa in two minutes and a half are a reading's noise
        (-2.0625, 400.0, True),
        (-4.0, 2400.0, True),  # in ten minutes
        (-4.0, 2404.0, False),
    ],
)
def test_a_vacuum_that_falls(rate: float, above: float, said: bool) -> None:
    asked = recipe(vacuum=VacuumRule(limit(70e3)))
    e = _e(390.0, 70e3 + above + rate * (TIMES - TIMES[-1]))
    assert _told(alarms._vacuum(e, asked)) == [codes.VACUUM_SOON.code] * said


@pytest.mark.parametrize(("hottest", "said"), [(330.0, False), (330.0 + STEP, True)])
def test_a_vacuum_that_may_be_released(hottest: float, said: bool) -> None:
    asked = recipe(vacuum=VacuumRule(limit(70e3)), release_most=limit(330.0))
    e = _e(hottest, 70.4e3 - 4.0 * (TIMES - TIMES[-1]))
    assert _told(alarms._vacuum(e, asked)) == [codes.VACUUM_SOON.code] * said


@pytest.mark.parametrize(
    ("window", "risen", "end", "said"),
    [
        (300.0, 10.0 + STEP, 375.0 - STEP, True),
        (320.0, 10.0 + STEP, 375.0 - STEP, False),  # 640 s: twice the window, and no longer
        (300.0, 10.0, 375.0 - STEP, False),
        (300.0, 10.0 + STEP, 375.0, False),  # fifteen kelvin below the target it is about to arrive
    ],
)
def test_a_ramp_that_slows_down(window: float, risen: float, end: float, said: bool) -> None:
    values = _to(end, 2**-10)
    values[0] = end - risen
    ramp = RecipeSegment("up", SegmentKind.RAMP, 390.0, rate_window=window, rate_least=limit(RATE))
    assert _told(alarms._ramp(_e(values), ramp)) == [codes.RAMP_SLOWS.code] * said


@pytest.mark.parametrize(
    ("above", "said"), [(180, codes.BAND_SOON), (181, codes.BAND_NEARS), (600, codes.BAND_NEARS), (601, None)]
)
def test_a_dwell_whose_slowest_falls(above: int, said: Any) -> None:
    found = alarms._dwell(_e(_to(385.0 + above * RATE, -RATE)), _dwell(), 0.0)
    assert _told(found) == ([said.code] if said else [])


@pytest.mark.parametrize(
    ("low", "said"),
    [(380.0, []), (370.0, []), (370.0 - STEP, [codes.BEHIND]), (390.0 + STEP, [codes.AHEAD_OF_IT])],
)
def test_beside_what_was_predicted(low: float, said: list[Any]) -> None:
    assert _told(alarms.beside_prediction(_e(low), 380.0)) == [c.code for c in said]


def test_a_rate_needs_readings_over_two_fifths_of_its_span() -> None:
    times = np.arange(1000.0, 1101.0, 8.0)
    values = np.full(times.size, NAN)
    values[-5:] = RATE * times[-5:]  # 32 s
    assert alarms.slope(times, values, 80.0) == RATE
    assert math.isnan(alarms.slope(times, values, 80.5))


def test_a_span_is_longer_only_where_it_cannot_hold_its_readings() -> None:
    """Four readings 25 s apart just fit 100 s: what is missing among them does not make the span longer."""
    times = 1000.0 + np.array([0.0, 42.0, 50.0, 75.0, 100.0, 125.0, 150.0])
    values = RATE * times
    values[[3, 5]] = NAN
    assert math.isnan(alarms.slope(times, values, 100.0))
    assert alarms.slope(times, values, 99.0) == pytest.approx(RATE)


CEILING = RecipeLimit(400.0, "table 1")


@pytest.mark.parametrize(("now", "said"), [(400.0, []), (400.001, [codes.TOP_NOW])])
def test_a_ceiling_may_be_reached(now: float, said: list[Any]) -> None:
    values = np.full(TIMES.size, 390.0)
    values[-1] = now
    assert _told(standing._top(_e(values), recipe(ceiling=CEILING), None)) == [c.code for c in said]


@pytest.mark.parametrize(("low", "said"), [(385.0, []), (384.999, [codes.BAND_NOW])])
def test_the_foot_of_a_band_is_in_it(low: float, said: list[Any]) -> None:
    assert _told(standing._band(_e(low), _dwell(), 0.0)) == [c.code for c in said]


@pytest.mark.parametrize(
    ("hot", "vacuum", "said"),
    [
        (305.0, 60e3, False),  # five kelvin: the heat is not on yet
        (305.0 + STEP, 60e3, True),
        (390.0, 70e3, False),
        (390.0, 69.99e3, True),
    ],
)
def test_a_vacuum_that_is_asked_once_the_heat_is_on(hot: float, vacuum: float, said: bool) -> None:
    values = np.full(TIMES.size, hot)
    values[0] = 300.0
    e = _e(values, np.full(TIMES.size, vacuum))
    found = standing._vacuum(e, recipe(vacuum=VacuumRule(limit(70e3))))
    assert _told(found) == [codes.VACUUM_NOW.code] * said


@pytest.mark.parametrize(("now", "said"), [(290.0, False), (290.0 - STEP, True)])
def test_a_thermocouple_below_its_own_first_readings(now: float, said: bool) -> None:
    values = np.full(TIMES.size, 300.0)
    values[-1] = now
    assert _told(standing._backwards(_e(values))) == [codes.BACKWARDS.code] * said
