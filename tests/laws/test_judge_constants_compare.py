"""Every number by which a thermocouple is held against its neighbours, from both sides."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from panelmend.physics.thermocouple import Wire, reading, reversed_reading, twice_reversed_reading
from panelmend.plan.judge import Channel, ChannelRole, CureLog, codes
from panelmend.plan.judge import faults_compare as fc
from panelmend.plan.judge.fault import Fault

Array = NDArray[np.float64]
T = np.arange(0.0, 8000.0, 20.0)
AIR, TOP = 295.0, 393.0


def neighbours(top: float = TOP, *, held: float = 3000.0) -> Array:
    """The middle of the others: shop air, up, held, down."""
    return np.interp(T, [600.0, 2600.0, 2600.0 + held, 7600.0], [AIR, top, top, 315.0])


M = neighbours()
HEAT = (M - AIR) / (TOP - AIR)
LOG = CureLog(T, (Channel("T1", ChannelRole.THERMOCOUPLE, "temperature", M.copy()),))


def names(found: list[Fault]) -> set[str]:
    return {f.finding.code for f in found}


def compared(v: Array, m: Array = M, t: Array = T) -> set[str]:
    log = CureLog(t, (Channel("T1", ChannelRole.THERMOCOUPLE, "temperature", v.copy()),))
    return names(fc.compare_faults(log, "T1", v, m))


def test_twenty_readings_and_thirty_kelvin_are_compared() -> None:
    far = M + 20.0
    for count, said in ((20, {codes.OFFSET.code}), (19, set())):
        few = far.copy()
        few[np.setdiff1d(np.arange(T.size), np.linspace(0, T.size - 1, count).astype(int))] = np.nan
        assert compared(few) == said
    for rise, said in ((31.0, {codes.OFFSET.code}), (29.0, set())):  # below: an offset all through is 8 K
        assert compared(neighbours(AIR + rise) + 7.0, neighbours(AIR + rise)) == said


def as_f(m: Array) -> Array:
    return np.asarray((m - 273.15) * 1.8 + 32.0)


def as_c(m: Array) -> Array:
    return np.asarray((m - 273.15 - 32.0) / 1.8)


@pytest.mark.parametrize("m", [M, np.full(T.size, TOP)], ids=["cure", "hot"])
@pytest.mark.parametrize("as_it_is", [as_f, as_c])
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_wrong_unit_fits_within_4_kelvin_and_3_percent(
    m: Array, as_it_is: Callable[[Array], Array], sign: float
) -> None:
    shown = as_it_is(m)
    allowed = 4.0 + 0.03 * np.abs(shown)
    for share, said in ((0.96, True), (1.04, False)):
        assert bool(fc._unit(LOG, "T1", T, 273.15 + shown + sign * share * allowed, m)) is said


def test_a_wrong_unit_fits_nine_tenths_and_lies_12_kelvin_away() -> None:
    for share, said in ((0.91, True), (0.89, False)):
        v = 273.15 + as_f(M)
        v[np.arange(T.size) >= share * T.size] += 60.0
        assert bool(fc._unit(LOG, "T1", T, v, M)) is said
    for off, said in ((12.5, True), (11.5, False)):  # where both scales nearly meet
        m = np.full(T.size, 273.15 - 40.0 + off / 0.8)
        assert bool(fc._unit(LOG, "T1", T, 273.15 + as_f(m), m)) is said


def test_swapped_legs_fall_by_three_tenths_of_the_rise() -> None:
    for share, said in ((0.31, True), (0.29, False)):
        assert bool(fc._swapped(LOG, "T1", T, AIR - share * (M - AIR), M)) is said
    lowest = min(reversed_reading(w, TOP, AIR) for w in Wire)
    for off, named in ((0.115, True), (0.125, False)):
        v = AIR + (lowest - off * (TOP - AIR) - AIR) * HEAT
        (f,) = fc._swapped(LOG, "T1", T, v, M)
        assert ("with its legs swapped" in f.finding.words) is named


def test_the_top_is_the_last_twentieth_and_steady_for_five_minutes() -> None:
    top = TOP - 0.05 * (TOP - AIR)
    for level, there in ((top + 0.2, True), (top - 0.2, False)):
        m = np.where(level < M, level, M)
        m[200] = TOP
        assert fc._steady(T, m) is there
    for held, steady in ((310.0, True), (290.0, False)):
        m = np.full(T.size, AIR)
        m[100 : 100 + round(held / 20.0) + 1] = TOP
        assert fc._steady(T, m) is (100 * 0 + round(held / 20.0) * 20.0 >= 300.0) is steady
    creeps = np.interp(T, [600.0, 2600.0, 5600.0, 5620.0], [AIR, TOP - 8.0, TOP, AIR])
    rows = np.flatnonzero(top <= creeps)
    assert fc._at_level(creeps, 1.0) == rows[len(rows) // 2], "the middle of the last twentieth"
    assert fc._at_level(M, 0.5) == int(np.argmax(M >= AIR + 0.5 * (TOP - AIR)))


def wired(wire: Wire, instrument: Wire, m: Array, start: float = AIR) -> Array:
    knots = np.linspace(m.min(), m.max(), 60)
    return np.interp(m, knots, [reading(wire, instrument, float(k), start) for k in knots])


def test_a_wrong_wire_is_fifteen_kelvin_or_fifteen_percent_away_and_right_in_the_cold() -> None:
    j = wired(Wire.J, Wire.K, M)
    assert names(fc._wrong_wire(LOG, "T1", T, j, M)) == {codes.WRONG_WIRE.code}
    for off, said in ((4.8, True), (5.2, False)):
        assert bool(fc._wrong_wire(LOG, "T1", T, j - off * (1 - HEAT), M)) is said
    # 15 K count where the rise is below 100 K, 15 % where it is more
    edge = next(
        k for k in np.arange(340.0, 393.0, 0.5) if abs(reading(Wire.J, Wire.K, float(k), AIR) - k) > 15.0
    )
    for top, said in ((edge + 1.0, True), (edge - 1.0, False)):
        m = neighbours(top)
        assert bool(fc._wrong_wire(LOG, "T1", T, wired(Wire.J, Wire.K, m), m)) is said
    cold = AIR + (-4.5) * (1 - HEAT)
    assert cold.size == T.size


def test_a_wrong_wire_far_up_is_fifteen_percent_of_the_rise_away() -> None:
    m = neighbours(560.0)
    rise = 560.0 - AIR
    heat = (m - AIR) / rise
    for share, said in ((0.155, True), (0.145, False)):
        found = [
            bool(fc._wrong_wire(LOG, "T1", T, m + share * rise * heat * sign, m)) for sign in (1.0, -1.0)
        ]
        shown = [reading(w, i, 560.0, AIR) - 560.0 for w in Wire for i in Wire if w is not i]
        near = [abs(abs(x) - share * rise) < 0.06 * rise + 3.0 for x in shown]
        assert any(near)
        assert any(found) is said


def test_a_wrong_wire_fits_at_three_levels_within_6_percent_and_3_kelvin() -> None:
    j = wired(Wire.J, Wire.K, M)
    for level in fc.LEVELS:
        at = fc._at_level(M, level)
        allowed = 0.06 * (M[at] - M[0]) + 3.0
        for share, said in ((0.96, True), (1.04, False)):
            v = j.copy()
            v[at] += share * allowed  # farther from the others, so that the distance is not in question
            assert bool(fc._wrong_wire(LOG, "T1", T, v, M)) is said, (level, share)
    assert fc.LEVELS == (0.5, 0.75, 1.0)


def test_wires_are_told_apart_from_where_they_read_as_far_off() -> None:
    start = 294.15
    for pair in ((Wire.J, Wire.K), (Wire.K, Wire.J), (Wire.J, Wire.T), (Wire.T, Wire.J)):
        told = fc.told_apart_from(*pair)
        assert start + 30.0 < told < 533.0

        def off(true: float, pair: tuple[Wire, Wire] = pair) -> float:
            return abs(reading(*pair, true, start) - true) - max(15.0, 0.15 * (true - start))

        assert off(told) >= 0.0 > off(told - 1.0)
    assert [round(fc.told_apart_from(*p) - 273.15) for p in ((Wire.J, Wire.K), (Wire.T, Wire.K))] == [75, 188]


def test_a_place_that_stays_cold_rises_by_35_percent() -> None:
    for share, said in ((0.34, True), (0.36, False)):
        assert bool(fc._cold(LOG, "T1", T, AIR + share * (M - AIR), M)) is said
    for top, said in ((AIR + 82.0, True), (AIR + 78.0, False)):  # not steady: only a great rise counts
        m = np.interp(T, [600.0, 2600.0, 4600.0], [AIR, top, AIR])
        assert not fc._steady(T, m)
        assert bool(fc._cold(LOG, "T1", T, AIR + 0.2 * (m - AIR), m)) is said


def came_off(
    by: float, *, at: float = 4000.0, until: float = 9e9, m: Array = M, before: float = 0.0, **more: float
) -> bool:
    v = m.copy() + more.get("beside", 0.0)
    v[(at <= T) & (until >= T)] -= by
    v[(at - before <= T) & (at > T)] -= more.get("early", 0.0)
    return bool(fc._came_off(LOG, "T1", T, v, m))


def test_one_that_came_off_lies_20_kelvin_below_for_two_minutes() -> None:
    assert [came_off(20.5), came_off(19.5)] == [True, False]
    assert [came_off(30.0, until=4130.0), came_off(30.0, until=4110.0)] == [True, False]
    assert came_off(30.0, at=T[np.argmax(M > AIR + 31.0)])
    assert not came_off(30.0, at=T[np.argmax(M > AIR + 28.0)], until=T[np.argmax(M > AIR + 29.5)])


def test_one_that_came_off_was_with_the_others_ten_minutes_before() -> None:
    def of(before: float, beside: float) -> bool:
        """On its way for so long at 17 K, and beside the others before."""
        v = M.copy()
        v[T >= 4000.0] -= 30.0
        v[(4000.0 - before <= T) & (T < 4000.0)] -= 17.0
        v[4000.0 - before > T] -= beside
        return bool(fc._came_off(LOG, "T1", T, v, M))

    assert [of(580.0, 0.0), of(620.0, 0.0)] == [True, False]
    assert [of(580.0, 14.5), of(580.0, 15.5)] == [True, False]


def test_one_that_came_off_fell_by_5_kelvin_while_the_others_did_not() -> None:
    def of(own: float, theirs: float) -> bool:
        """At 16 K below until it leaves, the others cool by as much as is told."""
        m = M - np.where(T >= 4000.0, theirs, 0.0)
        v = m.copy()
        v[T >= 4000.0] = M[199] - own
        v[T < 4000.0] = m[T < 4000.0]
        return bool(fc._came_off(LOG, "T1", T, v, m))

    assert [of(26.0, 4.8), of(26.0, 5.2)] == [True, False]
    away = np.full(T.size, 0.0)
    for fell, said in ((5.3, True), (4.7, False)):
        m = M + np.interp(T, [3900.0, 4000.0], [0.0, 20.2 - fell])
        v = M - np.where(T >= 4000.0, fell, 0.0) + away
        assert bool(fc._came_off(LOG, "T1", T, v, m)) is said


def test_one_that_came_off_left_where_it_last_was_beside_the_others() -> None:
    v = M.copy()
    v -= np.interp(T, [3000.0, 3400.0, 3420.0, 3500.0, 3600.0], [0.0, 4.8, 5.2, 9.0, 30.0])
    (f,) = fc._came_off(LOG, "T1", T, v, M)
    assert f.time == 3400.0, "5 K"
    v = M - np.interp(T, [3000.0, 3001.0, 3400.0, 3401.0, 3560.0, 3600.0], [0, 5.5, 5.5, 7.9, 8.3, 30.0])
    (f,) = fc._came_off(LOG, "T1", T, v, M)
    assert f.time == 3000.0
    v = M - np.interp(T, [3000.0, 3001.0, 3500.0, 3600.0], [12.0, 7.8, 7.8, 30.0])
    (f,) = fc._came_off(LOG, "T1", T, v, M)
    assert f.time == 3500.0, "never within 5 K: where it last was within 8 K"
    v = M - np.interp(T, [3000.0, 3500.0, 3600.0], [8.2, 8.2, 30.0])
    (f,) = fc._came_off(LOG, "T1", T, v, M)
    assert f.time > 3500.0, "never within 8 K: the last within 15 K"


def test_an_offset_is_8_kelvin_all_through_or_6_in_the_first_minutes() -> None:
    flat = np.full(T.size, AIR)
    for off, said in ((8.2, True), (7.8, False)):
        assert bool(fc._offset(LOG, "T1", flat + off, flat)) is said
        assert bool(fc._offset(LOG, "T1", flat - off, flat)) is said
    for share, said in ((0.09, True), (0.11, False)):  # a tenth lies 4 K further off
        v = flat + 10.0
        v[: round(share * T.size)] += 6.0
        assert bool(fc._offset(LOG, "T1", v, flat)) is said
    for by, said in ((3.9, True), (4.1, False)):
        v = flat + 10.0
        v[: T.size // 3] += by
        assert bool(fc._offset(LOG, "T1", v, flat)) is said
    for off, said in ((6.2, True), (5.8, False)):
        assert bool(fc._offset_heated(LOG, "T1", T, M + off, M)) is said
    first = np.where(T <= 120.0, 7.0, 0.0)
    assert fc._offset_heated(LOG, "T1", T, M + first, M)
    assert fc._offset_heated(LOG, "T1", T, M + np.where(T <= 60.0, 7.0, 0.0), M)
    assert not fc._offset_heated(LOG, "T1", T, M + np.where(T <= 50.0, 7.0, 0.0), M), "half of two minutes"
    (f,) = fc._offset_heated(LOG, "T1", T, M + 7.0 - np.where(M >= TOP - 2.9, 4.0, 0.0), M)
    assert "+7 K in the first minutes, +3 K at the top" in f.finding.words
    (f,) = fc._offset_heated(LOG, "T1", T, M + 7.0 - np.where(M >= TOP, 4.0, 0.0), M)
    assert "+3 K at the top" in f.finding.words


def test_a_drift_is_6_kelvin_in_twenty_minutes_and_goes_on() -> None:
    top = np.flatnonzero(M >= TOP - 5.0)
    span = T[top[-1]] - T[top[0]]
    grows = np.clip((T - T[top[0]]) / span, 0.0, 1.0)
    for by, said in ((6.2, True), (5.8, False)):
        assert bool(fc._drift(LOG, "T1", T, M + by * grows, M)) is said
        assert bool(fc._drift(LOG, "T1", T, M - by * grows, M)) is said
    for start, said in ((-2.8, True), (-3.2, False)):  # crosses over: 4 K further off than at its start
        by = 2 * abs(start) + 4.1 if said else 2 * abs(start) + 3.9
        assert bool(fc._drift(LOG, "T1", T, M + start + by * grows, M)) is said
    for width, said in ((1220.0, True), (1180.0, False)):
        m = np.interp(
            T, [600.0, 2500.0, 2520.0, 2520.0 + width, 2540.0 + width], [AIR, TOP - 9, TOP, TOP, AIR]
        )
        v = m + 12.0 * np.clip((T - 2520.0) / width, 0.0, 1.0)
        assert bool(fc._drift(LOG, "T1", T, v, m)) is said
    for below, said in ((4.8, True), (5.2, False)):  # with the time up to 5 K below the top it is long enough
        knots = [600.0, 1480.0, 1500.0, 2500.0, 2520.0, 4000.0, 4020.0]
        m = np.interp(T, knots, [AIR, TOP - 20, TOP - below, TOP - below, TOP, TOP, AIR])
        v = m + 9.0 * np.clip((T - 1500.0) / 2500.0, 0.0, 1.0)
        assert bool(fc._drift(LOG, "T1", T, v, m)) is said
    for steps, said in ((20, True), (19, False)):
        t = np.concatenate(
            [np.linspace(0.0, 2000.0, 30), np.linspace(2100.0, 4100.0, steps), [4200.0, 4300.0]]
        )
        m = np.concatenate([np.linspace(AIR, TOP - 6.0, 30), np.full(steps, TOP), [TOP - 20.0, TOP - 30.0]])
        v = m + 12.0 * np.clip((t - 2100.0) / 2000.0, 0.0, 1.0)
        log = CureLog(t, (Channel("T1", ChannelRole.THERMOCOUPLE, "temperature", v.copy()),))
        assert bool(fc._drift(log, "T1", t, v, m)) is said


def test_a_drift_is_no_noise() -> None:
    top = np.flatnonzero(M >= TOP - 5.0)
    grows = np.clip((T - T[top[0]]) / (T[top[-1]] - T[top[0]]), 0.0, 1.0)
    wave = (-1.0) ** np.arange(T.size)
    for spread, said in ((0.245, True), (0.255, False)):  # of what it moved
        v = M + 20.0 * grows + 20.0 * spread * wave
        assert bool(fc._drift(LOG, "T1", T, v, M)) is said


def test_a_lead_swapped_at_both_ends_is_right_in_the_cold_and_4_to_40_kelvin_low_in_the_heat() -> None:
    assert [bool(fc._lead(LOG, "T1", T, M - by * HEAT, M)) for by in (4.1, 3.9)] == [True, False]
    assert [bool(fc._lead(LOG, "T1", T, M - by * HEAT, M)) for by in (39.5, 40.5)] == [True, False]
    for cold, said in ((1.9, True), (2.1, False)):
        assert bool(fc._lead(LOG, "T1", T, M - 12.0 * HEAT + cold * (1 - HEAT), M)) is said
    joint = 303.0
    shown = twice_reversed_reading(Wire.K, TOP, joint, AIR)
    (f,) = fc._lead(LOG, "T1", T, M + (shown - TOP) * HEAT, M)
    assert "joint 8 K" in f.finding.words or "joint 8 C" in f.finding.words or "8" in f.finding.words
    v = np.where(M >= TOP - 3.0, M - 12.0, M)
    v[np.flatnonzero(M < TOP - 3.3)[-40:]] = AIR
    assert fc._lead(LOG, "T1", T, v, M), "only the last 3 K count"


def test_one_that_is_slow_passes_six_tenths_of_the_rise_ten_minutes_late() -> None:
    for late, said in ((620.0, True), (580.0, False)):
        assert bool(fc._slow(LOG, "T1", T, np.interp(T - late, T, M), M)) is said
    level = AIR + 0.6 * (TOP - AIR)
    v = np.where(level > M, M, np.interp(T - 700.0, T, M))
    assert fc._slow(LOG, "T1", T, v, M)
    below = np.where(level - 3.0 > M, np.interp(T - 700.0, T, M), M)
    assert not fc._slow(LOG, "T1", T, below, M), "late below, in time at six tenths"
