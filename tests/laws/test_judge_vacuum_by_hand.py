"""Faults of a vacuum gauge and of single thermocouples that are missing, late or stuck, at the very edges of
what tells them: each outcome is written by hand for what lies exactly on the edge, and beside it."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from judge_channels import codes_told as _told
from panelmend.plan.judge import codes, faults_sensor, faults_vacuum
from panelmend.plan.judge.log import Channel, ChannelRole, CureLog, FloatArray

NAN = float("nan")
AIR = 100e3  # Pa


def _log(count: int, step: float = 10.0, first: float = 0.0) -> CureLog:
    return CureLog(first + np.arange(count) * step, (), ambient=AIR)


def _gauge(values: Any) -> list[Any]:
    v = np.asarray(values, np.float64)
    channel = Channel("V1", ChannelRole.VACUUM, "pressure", v)
    return faults_vacuum.vacuum_faults(_log(v.size), channel, np.full((v.size, 1), 300.0))


# a gauge


@pytest.mark.parametrize(("middle", "told"), [(-3000.0, False), (-3000.5, True)])
def test_a_gauge_of_the_other_sign(middle: float, told: bool) -> None:
    values = np.full(40, middle)
    values[3] = 0.0
    assert (codes.V_SENSE.code in _told(_gauge(values))) is told


@pytest.mark.parametrize(("middle", "told"), [(2000.0, False), (2000.5, True), (100.0, False)])
def test_a_vacuum_far_too_small_all_through(middle: float, told: bool) -> None:
    """More than half of its highest in the middle."""
    values = np.full(41, middle)
    values[20:25] = 4000.0
    assert (codes.V_UNIT.code in _told(_gauge(values))) is told


@pytest.mark.parametrize(
    ("level", "told"), [(1000.0, False), (1000.5, True), (-1000.0, False), (-1000.5, True)]
)
def test_a_gauge_that_never_moves(level: float, told: bool) -> None:
    assert (codes.V_STUCK.code in _told(_gauge(np.full(61, level)))) is told


def test_the_longest_run_of_missing_cells_is_told() -> None:
    values = 60e3 + 64.0 * (np.arange(100) % 5)
    values[10:20], values[80:84] = NAN, NAN
    (found,) = _gauge(values)
    assert (found.finding.code, found.time) == (codes.V_MISSING.code, 100.0)
    assert ": 14 cells, the longest run 110 s" in found.finding.words


def test_eight_readings_show_the_air() -> None:
    for size, shown in ((8, True), (7, False)):
        v = np.full(size, 60e3)
        v[:3] = 96e3
        assert bool(faults_vacuum._air_shown(_log(size), v, AIR, 60e3, 60e3)) is shown


@pytest.mark.parametrize(("step", "steps", "told"), [(30.0, 20, True), (29.5, 20, False), (40.0, 19, False)])
@pytest.mark.parametrize("rest", [1, 2, 3])
def test_a_vacuum_that_stands_for_ten_minutes_and_twenty_samples(
    step: float, steps: int, told: bool, rest: int
) -> None:
    """Through heat and cooling, to the last sample or the one before."""
    v = np.array([60e3, *[80e3] * (steps + 1), *range(rest - 1)])
    temps = np.full(v.size, 300.0)
    temps[3:10] = 350.0
    found = faults_vacuum._stays(_log(v.size, step), "V1", v, temps[:, None])
    assert _told(found) == [codes.FROZEN.code] * (told and rest < 3)
    if found:
        assert "for 10 min: through heat and cooling" in found[0].finding.words


@pytest.mark.parametrize(("level", "told"), [(3000.0, True), (2999.0, False)])
def test_a_stay_without_a_vacuum_says_nothing(level: float, told: bool) -> None:
    temps = np.full(70, 300.0)
    temps[3:10] = 350.0
    found = faults_vacuum._stays(_log(70), "V1", np.full(70, level), temps[:, None])
    assert _told(found) == [codes.FROZEN.code] * told


def test_another_unit_gives_so_much() -> None:
    assert faults_vacuum._scaled(980.0, "mbar taken as kPa") == 98.0
    assert faults_vacuum._scaled(25.4, "mmHg taken as inHg") == 1.0


# missing, late, stuck


@pytest.mark.parametrize(
    ("odd", "told"),
    [
        (643.15, [codes.MISSING.code]),  # 370 C and -60 C are readings still
        (213.15, [codes.MISSING.code]),
        (643.5, [codes.OPEN.code]),
        (213.0, [codes.OPEN.code]),
    ],
)
def test_what_no_thermocouple_at_a_bond_line_reads(odd: float, told: list[str]) -> None:
    values = np.full(60, 300.0)
    values[20], values[40:44] = odd, NAN
    found = faults_sensor.absent_faults(_log(60), "T1", values, np.ones(60, np.bool_))
    assert _told(found) == told
    if told == [codes.MISSING.code]:
        assert ": 4 cells, the longest run 50 s" in found[0].finding.words


@pytest.mark.parametrize(
    ("first", "at", "warm", "told"),
    [
        (0.0, 13, 5.5, True),  # more than two minutes, and more than five kelvins
        (0.0, 12, 5.5, False),
        (0.0, 13, 5.0, False),
        (1000.0, 13, 5.5, True),
        (1000.0, 12, 5.5, False),
    ],
)
def test_a_thermocouple_that_begins_to_read_late(first: float, at: int, warm: float, told: bool) -> None:
    """Counted from the first sample; lost until the one before it reads."""
    temps = np.full((60, 2), 300.0)
    temps[10:, 0] += warm
    temps[:at, 1] = NAN
    found = faults_sensor.late_faults(_log(60, first=first), ("T1", "T2"), temps)
    assert [(f.finding.code, f.channel, f.until) for f in found] == (
        [(codes.LATE.code, "T2", first + 10.0 * (at - 1))] * told
    )
    if told:
        assert "no reading for the first 2 min" in found[0].finding.words


@pytest.mark.parametrize(("steps", "told"), [(60, True), (59, False)])
def test_a_stay_of_sixty_samples_while_all_others_are_lively(steps: int, told: bool) -> None:
    """Though they move no further; its readings stay in the judgement."""
    values = np.resize([300.0, 301.0, 300.0, 302.0], 100)
    values[20 : 21 + steps] = 305.0
    others = np.column_stack([np.resize([300.0, 302.0, 301.0, 304.0], 100) for _ in range(2)])
    found = faults_sensor.stuck_faults(_log(100, 20.0), "T1", values, others)
    assert [(f.finding.code, f.time, f.doubt) for f in found] == [(codes.STUCK.code, 400.0, True)] * told


@pytest.mark.parametrize(("moved", "told"), [(5.0, False), (5.5, True)])
def test_a_stay_while_the_others_move_by_more_than_five_kelvin(
    moved: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(faults_sensor, "moved_meanwhile", lambda *_: moved)
    values = np.arange(60.0)
    values[20:45] = 20.0
    found = faults_sensor.stuck_faults(_log(60, 15.0), "T1", values, np.arange(60.0)[:, None])
    assert [(f.finding.code, f.lost) for f in found] == [(codes.STUCK.code, True)] * told


@pytest.mark.parametrize(("after", "told"), [(304.0, False), (303.5, True), (296.0, False), (296.5, True)])
def test_a_spike_comes_back_within_four_kelvin(after: float, told: bool) -> None:
    """A wide one is none: where it does not come back it is a step."""
    values: FloatArray = np.array([300.0, 300.0, 340.0, *[after] * 9])
    assert bool(faults_sensor.spike_mask(_log(12), values)[2]) is told
