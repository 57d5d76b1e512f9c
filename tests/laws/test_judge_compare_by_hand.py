"""A thermocouple beside its neighbours, at the very edges of what tells a fault of it: each outcome is
written by hand for readings that lie exactly on the edge, and beside it."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from judge_channels import codes_told as _told
from judge_channels import log_of_columns as _log
from panelmend.physics.thermocouple import Wire
from panelmend.plan.judge import codes, faults_compare
from panelmend.plan.judge.log import FloatArray

HALF_MINUTE = 30.0


def _even(count: int, step: float = HALF_MINUTE) -> FloatArray:
    return np.arange(count) * step


def _held(count: int = 40, top: float = 400.0) -> FloatArray:
    """Neighbours at 300 K in the first sample and at the top from the second on."""
    m = np.full(count, top)
    m[0] = 300.0
    return m


@pytest.mark.parametrize(("top", "told"), [(330.0, True), (329.5, False)])
def test_neighbours_that_rose_thirty_kelvin_are_heated(top: float, told: bool) -> None:
    """Only then is one that stays cold told."""
    t, m = _even(40), _held(top=top)
    found = faults_compare.compare_faults(_log(t), "T1", np.full(40, 300.0), m)
    assert (codes.COLD.code in _told(found)) is told


@pytest.mark.parametrize(
    ("off", "count", "told"), [(4.0, 20, False), (3.5, 20, True), (3.5, 19, True), (3.5, 18, False)]
)
def test_a_unit_fits_within_four_kelvin_in_more_than_nine_of_ten(off: float, count: int, told: bool) -> None:
    """0 C where the neighbours show 32: Celsius that was taken as Fahrenheit."""
    t, m = _even(20), np.full(20, 273.15 + 32.0)
    v = np.full(20, 273.15 + 300.0)
    v[:count] = 273.15 + off
    assert _told(faults_compare._unit(_log(t), "T1", t, v, m)) == [codes.UNIT.code] * told


@pytest.mark.parametrize(
    ("edge", "span", "steady"), [(395.0, 300.0, True), (394.5, 300.0, False), (395.0, 299.0, False)]
)
def test_neighbours_stand_for_five_minutes_within_a_twentieth_of_their_rise(
    edge: float, span: float, steady: bool
) -> None:
    t = np.array([0.0, 100.0, 200.0, 100.0 + span])
    assert faults_compare._steady(t, np.array([300.0, edge, 400.0, 400.0])) is steady


def test_the_place_of_the_top_lies_in_the_middle_of_what_is_near_it() -> None:
    m = np.array([300.0, 395.0, 395.0, 400.0, 400.0, 394.5])
    assert faults_compare._at_level(m, 1.0) == 3  # of the first to the fourth
    assert faults_compare._at_level(m, 0.95) == 1


def _shown(by: dict[tuple[Wire, Wire], float], monkeypatch: pytest.MonkeyPatch) -> None:
    """Wires and instruments that read so much more at the top, and far off otherwise."""

    def reading(wire: Wire, instrument: Wire, true: float, start: float) -> float:
        return true + by.get((wire, instrument), 1000.0)

    monkeypatch.setattr(faults_compare, "reading", reading)


ONE, OTHER, *_ = Wire
FIRST, SECOND = (ONE, OTHER), (OTHER, ONE)


@pytest.mark.parametrize(
    ("first", "top", "told"),
    [(5.0, 15.0, True), (5.5, 15.0, False), (-5.0, 15.0, True), (-5.5, 15.0, False), (5.0, 14.5, False)],
)
def test_a_wrong_wire_begins_within_five_kelvin_and_is_fifteen_off(
    first: float, top: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    t, m = _even(40), _held()
    v = m + top
    v[0] = 300.0 + first
    _shown({FIRST: top}, monkeypatch)
    assert _told(faults_compare._wrong_wire(_log(t), "T1", t, v, m)) == [codes.WRONG_WIRE.code] * told


@pytest.mark.parametrize(("beside", "told"), [(9.0, False), (8.5, True), (-9.0, False), (-8.5, True)])
def test_a_wire_fits_within_a_share_of_the_rise_and_three_kelvin(
    beside: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of a rise of 100 K within 9 K."""
    t, m = _even(40), _held()
    v = m + 30.0
    v[0] = 300.0
    _shown({FIRST: 30.0 + beside}, monkeypatch)
    assert _told(faults_compare._wrong_wire(_log(t), "T1", t, v, m)) == [codes.WRONG_WIRE.code] * told


def test_of_wires_that_fit_the_one_is_named_whose_worst_place_fits_best(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The first fits exactly at half of the rise and by 8 K at the top, the second by 2 K everywhere."""
    t, m = _even(40), np.concatenate([[300.0], np.full(9, 350.0), np.full(30, 400.0)])
    v = m + 30.0
    v[0] = 300.0

    def reading(wire: Wire, instrument: Wire, true: float, start: float) -> float:
        more = {FIRST: 30.0 if true < 380.0 else 38.0, SECOND: 32.0}
        return true + more.get((wire, instrument), 1000.0)

    monkeypatch.setattr(faults_compare, "reading", reading)
    (found,) = faults_compare._wrong_wire(_log(t), "T1", t, v, m)
    assert f"type {SECOND[0]} wire on a type {SECOND[1]} input" in found.finding.words


def test_a_wire_is_told_apart_where_it_reads_fifteen_kelvin_off(monkeypatch: pytest.MonkeyPatch) -> None:
    def reading(wire: Wire, instrument: Wire, true: float, start: float) -> float:
        return true + (15.0 if true > 350.0 else 14.5)

    monkeypatch.setattr(faults_compare, "reading", reading)
    assert faults_compare.told_apart_from.__wrapped__(*FIRST) == 350.15


@pytest.mark.parametrize(
    ("own", "rise", "steady", "told"),
    [
        (35.0, 100.0, True, True),
        (35.5, 100.0, True, False),
        (10.0, 80.0, False, False),
        (10.0, 80.5, False, True),
    ],
)
def test_a_place_that_rose_by_a_third_of_the_others_is_cold(
    own: float, rise: float, steady: bool, told: bool
) -> None:
    """Once they stood for five minutes, or rose by more than eighty kelvins."""
    t = _even(40) if steady else _even(40) / HALF_MINUTE
    v = np.full(40, 300.0 + own)
    v[0] = 300.0
    assert (
        _told(faults_compare._cold(_log(t), "T1", t, v, _held(top=300.0 + rise))) == [codes.COLD.code] * told
    )


def _came_off(
    *, away: dict[int, float], neighbours: dict[int, float] | None = None, off: float = -30.0,
    span: float = 120.0, at: float = 350.0,
) -> list[Any]:  # fmt: skip
    """Neighbours at a level but for some samples; one is with them up to the tenth sample, which stands a
    minute before it is off for a span."""
    t = np.array([*np.arange(10) * 60.0, 600.0, 600.0 + span / 2, 600.0 + span, 660.0 + span])
    m = np.full(14, at)
    m[0] = 300.0
    for i, value in (neighbours or {}).items():
        m[i] = value
    apart = np.zeros(14)
    apart[10:13] = off
    for i, value in away.items():
        apart[i] = value
    return faults_compare._came_off(_log(t), "T1", t, m + apart, m)


FAR = dict.fromkeys(range(10), -16.0)  # with them nowhere
NEAR = FAR | {9: -1.0}


@pytest.mark.parametrize(
    ("how", "told"),
    [
        ({"away": NEAR}, True),
        ({"away": NEAR, "off": -20.0}, False),
        ({"away": NEAR, "off": -20.5}, True),
        ({"away": NEAR, "span": 119.0}, False),
        ({"away": NEAR, "at": 330.0}, True),  # thirty kelvins above where they began
        ({"away": NEAR, "at": 329.5}, False),
        ({"away": FAR}, False),
        ({"away": FAR | {9: -15.0}}, False),
        ({"away": FAR | {9: -14.5}}, True),
        ({"away": NEAR | {9: -7.0}, "off": -29.0, "neighbours": {9: 333.0}}, False),  # fell by five
        ({"away": NEAR | {9: -7.0}, "off": -29.0, "neighbours": {9: 333.5}}, True),
        ({"away": NEAR, "neighbours": {9: 355.0}}, False),  # the others fell by five too
        ({"away": NEAR, "neighbours": {9: 354.5}}, True),
        # one kelvin off counts before fourteen off; eight off do not
        ({"away": FAR | {8: -8.0, 9: -14.0}, "neighbours": {8: 356.0}}, True),
        ({"away": FAR | {8: -7.5, 9: -14.0}, "neighbours": {8: 356.0}}, False),
    ],
)
def test_one_that_came_off_the_part(how: dict[str, Any], told: bool) -> None:
    assert _told(_came_off(**how)) == [codes.CAME_OFF.code] * told


@pytest.mark.parametrize(("away", "left"), [(-5.0, 360.0), (-4.5, 540.0)])
def test_it_came_off_where_it_was_last_within_five_kelvin(away: float, left: float) -> None:
    (found,) = _came_off(away=FAR | {6: -4.0, 9: away})
    assert found.time == left


@pytest.mark.parametrize(("more", "told"), [(4.0, True), (4.5, False)])
def test_an_offset_stays_within_four_kelvin(more: float, told: bool) -> None:
    away = np.full(21, 10.0)
    away[:10] += more
    t, m = _even(21), np.full(21, 300.0)
    assert _told(faults_compare._offset(_log(t), "T1", m + away, m)) == [codes.OFFSET.code] * told


@pytest.mark.parametrize(("off", "told"), [(6.0, True), (-6.0, True), (5.5, False), (-5.5, False)])
def test_an_offset_in_the_first_minutes_is_of_six_kelvin(off: float, told: bool) -> None:
    t, m = _even(40), _held()
    found = faults_compare._offset_heated(_log(t), "T1", t, m + off, m)
    assert [(f.finding.code, f.shift) for f in found] == [(codes.OFFSET.code, off)] * told


def test_an_offset_says_what_it_is_at_the_top() -> None:
    """Three kelvins below the highest reading are the top too."""
    m = np.concatenate([np.full(6, 300.0), np.full(9, 396.5), np.full(9, 397.0), np.full(3, 400.0)])
    v = m + np.concatenate([np.full(6, 8.0), np.full(9, 11.0), np.full(9, 12.0), np.full(3, 20.0)])
    (found,) = faults_compare._offset_heated(_log(_even(m.size)), "T1", _even(m.size), v, m)
    assert "+8 K in the first minutes, +12 K at the top" in found.finding.words


@pytest.mark.parametrize(
    ("span", "start", "moved", "told"),
    [
        (1200.0, 0.0, 8.0, True),
        (1199.0, 0.0, 8.0, False),
        (2048.0, 0.0, 6.0, True),
        (2048.0, 0.0, -6.0, True),
        (2048.0, 0.0, 5.5, False),
        (2048.0, -2.0, 8.0, False),  # from two below to six above: four further off
        (2048.0, -2.0, 8.5, True),
        (2048.0, 2.0, -8.0, False),
    ],
)
def test_a_drift_is_six_kelvins_in_twenty_minutes_and_four_further_off(
    span: float, start: float, moved: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The line itself is given, so that the edge is met to the last bit."""
    t = np.linspace(0.0, span, 33)
    m = np.full(33, 400.0)
    monkeypatch.setattr(faults_compare.np, "polyfit", lambda *_: (moved / span, start))
    found = faults_compare._drift(_log(t), "T1", t, m + start + t * (moved / span), m)
    assert _told(found) == [codes.DRIFT.code] * told


def test_a_drift_is_told_from_scatter_and_from_a_step() -> None:
    t, m = np.linspace(1000.0, 3048.0, 33), np.full(33, 400.0)
    steady = (t - t[0]) / 256.0
    assert _told(faults_compare._drift(_log(t), "T1", t, m + steady, m)) == [codes.DRIFT.code]
    scatter = 4.0 * (-1.0) ** np.arange(33)  # eight kelvins are less than four times its spread
    assert faults_compare._drift(_log(t), "T1", t, m + steady + scatter, m) == []


def _lead(away: dict[float, float], first: float = 0.0) -> list[Any]:
    """Neighbours at 300 K, then mostly at 397 and at 400 K; so far off at each level."""
    m = np.concatenate([[300.0], np.full(30, 397.0), np.full(9, 400.0)])
    v = m + np.array([away.get(x, 0.0) for x in m.tolist()])
    v[0] += first
    t = _even(40)
    return faults_compare._lead(_log(t), "T1", t, v, m)


@pytest.mark.parametrize(
    ("away", "first", "told"),
    [
        ({397.0: -10.0, 400.0: -3.0}, 0.0, True),  # what is three kelvins below the top counts as the top
        ({397.0: -3.0, 400.0: -10.0}, 0.0, False),
        ({397.0: -10.0, 400.0: -10.0}, 2.0, True),
        ({397.0: -10.0, 400.0: -10.0}, -2.0, True),
        ({397.0: -10.0, 400.0: -10.0}, 2.5, False),
        ({397.0: -4.0, 400.0: -4.0}, 0.0, False),
        ({397.0: -4.5, 400.0: -4.5}, 0.0, True),
        ({397.0: -40.0, 400.0: -40.0}, 0.0, False),
        ({397.0: -39.5, 400.0: -39.5}, 0.0, True),
    ],
)
def test_a_lead_that_may_be_swapped_at_both_ends(
    away: dict[float, float], first: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = float(np.median([away[397.0]] * 30 + [away[400.0]] * 9))
    monkeypatch.setattr(faults_compare, "twice_reversed_reading", lambda wire, true, j, air: true + shown)
    assert _told(_lead(away, first)) == [codes.LEAD_SWAPPED.code] * told


@pytest.mark.parametrize(
    ("low", "high", "off", "told"),
    [
        (301.0, 301.0, 0.0, True),  # the first joint that is tried, a kelvin above the instrument
        (300.0, 300.5, 0.0, False),  # none lies below it
        (350.0, 350.0, 0.5, True),
        (350.0, 350.0, 1.0, False),
        (999.0, 999.0, 0.0, False),
    ],
)
def test_a_joint_explains_it_only_between_the_instrument_and_the_part(
    low: float, high: float, off: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    def reading(wire: Wire, true: float, joint: float, air: float) -> float:
        return true - 10.0 + off if low <= joint <= high else 0.0

    monkeypatch.setattr(faults_compare, "twice_reversed_reading", reading)
    assert _told(_lead({397.0: -10.0, 400.0: -10.0})) == [codes.LEAD_SWAPPED.code] * told


@pytest.mark.parametrize(("theirs", "told"), [(360.0, True), (359.5, False)])
def test_one_is_slow_from_where_the_others_are_at_six_tenths(theirs: float, told: bool) -> None:
    """They come there in the first minute or, just below it, in the second; it does ten minutes later."""
    t = np.array([0.0, 60.0, 120.0, 660.0, 700.0])
    m = np.array([300.0, theirs, 400.0, 400.0, 400.0])
    v = np.array([300.0, 300.0, 300.0, 360.0, 400.0])
    found = faults_compare._slow(_log(t), "T1", t, v, m)
    assert [(f.finding.code, f.time) for f in found] == [(codes.SLOW.code, 60.0)] * told


@pytest.mark.parametrize(("v", "told"), [(260.25, False), (260.5, True)])
def test_a_unit_is_told_by_more_than_twelve_kelvin(v: float, told: bool) -> None:
    """At -25 C shown as -13: what fits both is let pass."""
    t = _even(20)
    found = faults_compare._unit(_log(t), "T1", t, np.full(20, v), np.full(20, 248.25))
    assert _told(found) == [codes.UNIT.code] * told


@pytest.mark.parametrize(("fell", "told"), [(30.0, True), (29.5, False)])
def test_one_that_falls_by_three_tenths_of_the_rise_is_swapped(fell: float, told: bool) -> None:
    t, m = _even(40), _held()
    v = np.full(40, 350.0 - fell)
    v[0] = 350.0
    assert _told(faults_compare._swapped(_log(t), "T1", t, v, m)) == [codes.SWAPPED.code] * told


@pytest.mark.parametrize(("beside", "named"), [(12.0, False), (11.5, True), (-12.0, False), (-11.5, True)])
def test_swapped_legs_of_a_type_are_named_within_a_share_of_the_rise(
    beside: float, named: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(faults_compare, "reversed_reading", lambda wire, true, start: 250.0 + beside)
    t, m = _even(40), _held()
    v = np.full(40, 250.0)
    v[0] = 300.0
    (found,) = faults_compare._swapped(_log(t), "T1", t, v, m)
    assert ("with its legs swapped would show" in found.finding.words) is named


def test_a_wire_is_looked_for_from_thirty_kelvin_of_rise_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(faults_compare, "reading", lambda wire, instrument, true, start: true + 16.0)
    assert faults_compare.told_apart_from.__wrapped__(*FIRST) == 324.15


@pytest.mark.parametrize(("off", "told"), [(8.0, True), (-8.0, True), (7.5, False), (-7.5, False)])
def test_an_offset_of_a_cold_log_is_of_eight_kelvin(off: float, told: bool) -> None:
    t, m = _even(21), np.full(21, 300.0)
    found = faults_compare._offset(_log(t), "T1", m + off, m)
    assert [(f.finding.code, f.shift) for f in found] == [(codes.OFFSET.code, off)] * told


@pytest.mark.parametrize(("first", "told"), [(395.0, True), (394.5, False)])
def test_what_is_five_kelvin_below_the_top_is_hot(first: float, told: bool) -> None:
    """Twenty minutes with its first reading, less without."""
    t = np.linspace(0.0, 1200.0, 31)
    m = np.full(31, 400.0)
    m[0] = first
    found = faults_compare._drift(_log(t), "T1", t, m + t / 120.0, m)
    assert _told(found) == [codes.DRIFT.code] * told


@pytest.mark.parametrize(("scatter", "told"), [(2.0, True), (2.125, False)])
def test_a_drift_is_four_times_its_scatter(
    scatter: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Eight kelvins; the line itself is given."""
    t = 64.0 * np.array([*range(16), *range(17, 33)])
    m = np.full(32, 400.0)
    monkeypatch.setattr(faults_compare.np, "polyfit", lambda *_: (1.0 / 256.0, 0.0))
    v = m + t / 256.0 + scatter * (-1.0) ** np.arange(32)
    assert _told(faults_compare._drift(_log(t), "T1", t, v, m)) == [codes.DRIFT.code] * told


def test_a_joint_is_named_by_what_it_is_warmer_than_the_instrument(monkeypatch: pytest.MonkeyPatch) -> None:
    def reading(wire: Wire, true: float, joint: float, air: float) -> float:
        return true - 10.0 if joint == 320.0 else 0.0

    monkeypatch.setattr(faults_compare, "twice_reversed_reading", reading)
    (found,) = _lead({397.0: -10.0, 400.0: -10.0})
    assert "with its joint 20" in found.finding.words
