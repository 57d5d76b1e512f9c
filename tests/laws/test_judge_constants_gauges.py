"""Constants that tell a gauge of the vacuum that shows nothing: probed on both sides."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from judge_columns import Array, N, T, log_of
from panelmend.plan.judge import codes
from panelmend.plan.judge import faults_frozen as ff
from panelmend.plan.judge import faults_vacuum as fv

HOT = np.column_stack([300.0 + np.interp(T, [1000, 4000, 6000, 9000], [0, 90, 90, 10])] * 2)


def gauge(v: Array, *, ambient: float = 101325.0, temps: Array = HOT) -> dict[str, str]:
    log = log_of(T, *temps.T, vacuum=v, ambient=ambient)
    return {f.finding.code: f.finding.words for f in fv.vacuum_faults(log, log.channel("V"), temps)}


WAVE = 30.0 * np.sin(np.arange(N) / 3.0)


def test_a_turned_sign_and_an_absolute_gauge() -> None:
    assert [codes.V_SENSE.code in gauge(np.full(N, x) + WAVE / 10) for x in (-3.2e3, -2.8e3)] == [True, False]

    def starts(first: float, rest: float, top: float = 0.0) -> bool:
        v = np.full(N, rest) + WAVE
        v[0] = first
        v[5:50] = max(top, rest)
        return "absolute pressure" in gauge(v).get(codes.V_SENSE.code, "")

    air = 101325.0
    assert [starts(x * air, 2e4) for x in (0.91, 0.89)] == [True, False]
    assert [starts(95e3, x * 95e3) for x in (0.49, 0.51)] == [True, False]
    assert [starts(95e3, 2e4, x * air) for x in (1.04, 1.06)] == [True, False]


def test_a_gauge_that_shows_air_before_or_after() -> None:
    air = 101325.0

    def of(shown: float, cure: float, *, count: int = 40, least: float = 0.0, end: bool = False) -> bool:
        v = np.full(N, cure) + WAVE / 10
        v[300:400] -= least
        if end:
            v[-count:] = shown
        else:
            v[:count] = shown
        v[0] = min(v[0], 0.85 * air)
        return codes.V_SENSE.code in gauge(v)

    assert [of(x * air, 6e4) for x in (0.96, 0.94)] == [True, False]
    assert [of(x * air, 6e4, end=True) for x in (0.96, 0.94)] == [True, False]
    assert [of(98e3, 98e3 - x * air, least=2e4) for x in (0.064, 0.056)] == [True, False]
    assert [of(98e3, 6e4, count=k) for k in (7, 5)] == [True, False], "the middle of the first ten"


def test_how_many_readings_at_the_ends_show_air() -> None:
    air = 101325.0

    def of(*last: float, n: int = N) -> bool:
        v = np.full(n, 2e4) + WAVE[:n] / 10
        v[n - len(last) :] = last
        log = log_of(T[:n], *HOT[:n].T, vacuum=v, ambient=air)
        found = fv.vacuum_faults(log, log.channel("V"), HOT[:n])
        return "the gauge shows air" in " ".join(f.finding.words for f in found)

    assert of(*[0.93 * air] * 5, *[air] * 5), "ten, half of them a little less"
    assert not of(*[0.93 * air] * 6, *[air] * 4)
    assert of(98e3, 98e3, 98e3, 2e4, 2e4, n=40), "an eighth of forty"
    assert of(98e3, 98e3, 2e4, n=16), "three at least"
    assert not of(98e3, 2e4, 2e4, n=16)
    assert of(98e3, 98e3, n=8)
    assert not of(98e3, 98e3, n=7), "too few to tell"


def test_when_a_vacuum_began_that_cannot_be() -> None:
    v = np.full(N, 8e4) + WAVE
    v[300:315], v[315:345] = 101325.0 + 1.05e3, 101325.0 + 5e3
    log = log_of(T, *HOT.T, vacuum=v, ambient=101325.0)
    told = [
        f for f in fv.vacuum_faults(log, log.channel("V"), HOT) if f.finding.code == codes.V_IMPOSSIBLE.code
    ]
    assert [f.time for f in told] == [T[300]]


def test_a_stay_is_held_against_twenty_samples_of_about_as_much_vacuum() -> None:
    def of(rows: int, share: float = 1.0) -> bool:
        v = 5.0 * (np.arange(N) % 2)
        v[400 : 400 + rows] = share * 8e4 + 10.0 * (np.arange(rows) % 2)
        v[600:700] = 8e4
        return codes.FROZEN.code in gauge(v)

    assert [of(20), of(19)] == [True, False]
    assert [of(60, x) for x in (0.79, 0.81, 1.18, 1.21)] == [False, True, True, False]


def test_steady_needs_two_readings_to_be_told() -> None:
    values = np.full(20, np.nan)
    values[4] = 350.0
    assert not ff._steady(T[:20], values).any()
    values[6] = 350.0
    assert ff._steady(T[:20], values).all()


def test_more_than_the_air_can_give_and_less_than_a_pump_does() -> None:
    air = 101325.0
    assert [codes.V_IMPOSSIBLE.code in gauge(np.full(N, air + x) + WAVE / 30) for x in (1.1e3, 0.9e3)] == [
        True,
        False,
    ]
    v = np.full(N, 8e4) + WAVE
    v[300:315] = air + 5e3
    assert codes.V_IMPOSSIBLE.code not in gauge(v), "98 of a hundred samples"
    v[300:330] = air + 5e3
    assert codes.V_IMPOSSIBLE.code in gauge(v)
    told = gauge(np.full(N, 3.386389 * 24e3) * 3.386389 + WAVE)
    assert "would give" in told[codes.V_IMPOSSIBLE.code]
    unknown = [
        codes.V_IMPOSSIBLE.code in gauge(np.full(N, x) + WAVE / 30, ambient=math.nan)
        for x in (105.1e3, 104.9e3)
    ]
    assert unknown == [True, False], "the highest air at sea level"
    assert [codes.V_UNIT.code in gauge(np.full(N, x) + WAVE / 30) for x in (7.9e3, 8.1e3)] == [True, False]
    assert [codes.V_UNIT.code in gauge(np.full(N, x) + WAVE / 30) for x in (106.0, 94.0)] == [True, False]
    for share, told_ in ((0.53, True), (0.47, False)):
        v = np.full(N, share * 5e3)
        v[:100] = 5e3
        assert (codes.V_UNIT.code in gauge(v + WAVE / 30)) is told_


def test_a_gauge_with_one_value_all_through() -> None:
    for count, told in ((61, True), (60, False)):
        log = log_of(T[:count], *HOT[:count].T, vacuum=np.full(count, 8e4), ambient=101325.0)
        found = {f.finding.code for f in fv.vacuum_faults(log, log.channel("V"), HOT[:count])}
        assert (codes.V_STUCK.code in found) is told
    assert [codes.V_STUCK.code in gauge(np.full(N, x)) for x in (1.1e3, 0.9e3)] == [True, False]


def stay(
    rows: int, *, share: float = 0.9, begin: int = 450, level: float = 8e4, temps: Array = HOT, **how: float
) -> bool:
    """A gauge that changes in a share of its samples and then stands for so many steps."""
    dice = np.random.default_rng(2)
    moves = dice.random(N) < share
    v = level + np.cumsum(np.where(moves, 10.0 * (-1.0) ** np.cumsum(moves), 0.0))
    if "other" in how:
        a = int(how["other"])
        v[200 : 200 + a + 1] = v[200]
    v[begin : begin + rows + 1] = v[begin]
    return codes.FROZEN.code in gauge(v, temps=temps)


def test_a_gauge_stands_for_ten_minutes_that_changed_before() -> None:
    assert [stay(r) for r in (62, 58)] == [True, False]
    assert [stay(120, share=x) for x in (0.34, 0.26)] == [True, False]
    assert [stay(120, level=x) for x in (3.2e3, 2.8e3)] == [True, False]
    assert [stay(90, other=x) for x in (27, 33)] == [True, False], "three times any other stay"


def test_a_gauge_that_stands_through_heat_and_cooling_to_the_end() -> None:
    def of(up: float, down: float, last: int = 0) -> bool:
        heat = 300.0 + np.interp(T, [1000, 4000, 6000, 9990], [0, up, up, up - down])
        temps = np.column_stack([heat, heat])
        v = np.full(N, 8e4)
        v[0] = 7e4
        if last:
            v[-last:] += 7.0 * np.arange(last) + 7.0
        return codes.FROZEN.code in gauge(v, temps=temps)

    assert [of(31.0, 31.0), of(29.0, 40.0), of(40.0, 29.0)] == [True, False, False]
    assert [of(60.0, 60.0, k) for k in (1, 2)] == [True, False], "to the last sample or the one before"


def test_scaled_units_name_what_fits() -> None:
    for name, scale in (
        ("kPa taken as inHg", 3.386389),
        ("mbar taken as kPa", 10.0),
        ("mbar taken as inHg", 33.86389),
        ("mmHg taken as inHg", 25.4),
    ):
        assert fv._scaled(20.0 * scale, name) == pytest.approx(20.0)
    log = dataclasses.replace(log_of(T, *HOT.T, vacuum=np.full(N, 2e5) + WAVE), ambient=101325.0)
    words = " ".join(f.finding.words for f in fv.vacuum_faults(log, log.channel("V"), HOT))
    assert "kPa taken as inHg" in words
    for name, scale, share, fits in (
        ("kPa taken as inHg", 3.386389, 0.97, True),
        ("kPa taken as inHg", 3.386389, 0.99, False),
        ("mmHg taken as inHg", 25.4, 0.41, True),
        ("mmHg taken as inHg", 25.4, 0.39, False),
    ):
        told = gauge(np.full(N, share * 101325.0 * scale) + WAVE / 30).get(codes.V_IMPOSSIBLE.code, "")
        assert (name in told) is fits
