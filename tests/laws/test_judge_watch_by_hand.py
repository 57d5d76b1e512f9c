"""What is said of a running cure at its very edges: which channels are told of, and which not; each answer is
written by hand."""

from __future__ import annotations

from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, recipe
from panelmend.plan.judge import ChannelRole, SegmentKind, alarms, codes, standing, unjudged, watch
from panelmend.plan.judge.log import Channel
from panelmend.plan.judge.recipe import RecipeLimit, RecipeSegment, VacuumRule
from panelmend.plan.judge.spans import Span

NAN = float("nan")
RATE = 1.0 / 64.0  # K/s
TIMES = np.arange(1000.0, 1641.0, 8.0)


def _e(*couples: Any, **more: Any) -> Any:
    """Thermocouples [K] at those times, or of one value all the time."""
    temps = np.column_stack([np.broadcast_to(np.asarray(c, float), TIMES.shape) for c in couples])
    given = {
        "times": TIMES, "temps": temps, "highest": temps.max(axis=1), "lowest": temps.min(axis=1),
        "names": tuple(f"T{i + 1}" for i in range(len(couples))), "working": np.ones(temps.shape, np.bool_),
        "slowest_at": lambda at: "T1", "fastest_at": lambda at: "T1", "checked": Made(faults=()),
    }  # fmt: skip
    return Made(**(given | more))


def _to(end: float, rate: float = RATE) -> Any:
    return end + rate * (TIMES - TIMES[-1])


def test_on_a_ramp_the_band_of_the_dwell_it_leads_to_counts() -> None:
    cycle = recipe(dwell={"band_high": limit(393.0)})
    found = alarms._heat(_e(_to(392.0)), cycle, cycle.segments[0])
    assert [a.finding.code for a in found] == [codes.TOP_SOON.code]
    assert alarms._heat(_e(_to(392.0)), recipe(), cycle.segments[0]) == []


@pytest.mark.parametrize(
    ("channel", "lost", "doubt", "told"),
    [
        ("T1", True, False, True),
        ("T1", False, True, True),
        ("T1", False, False, False),  # only said
        ("VAC", True, False, False),  # no thermocouple
        ("VAC", False, False, False),
    ],
)
def test_a_thermocouple_that_is_lost_or_in_doubt(channel: str, lost: bool, doubt: bool, told: bool) -> None:
    fault = Made(channel=channel, sensor_lost=lost, doubt=doubt, finding=Made(words="it stands still"))
    e = _e(390.0, 390.0, checked=Made(faults=(fault,)))
    assert [a.finding.code for a in alarms.lost_now(e)] == [codes.SENSOR_NOW.code] * told


@pytest.mark.parametrize(
    ("rate", "left"),
    [
        (-RATE, None),  # as slow as the noise
        (-RATE - 2**-12, 10.0 / (RATE + 2**-12)),
        (RATE, None),
    ],
)
def test_how_long_the_hottest_still_needs(
    rate: float, left: float | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(watch, "CREEP", RATE)
    cool = RecipeSegment("down", SegmentKind.COOL, 315.0)
    found, how = watch._left(_e(_to(325.0, rate)), cool, recipe(), 0.0, 0.0)
    assert how.startswith("the hottest does not fall") is (left is None)
    assert np.isnan(found) if left is None else found == left
    assert watch._left(_e(_to(315.0, rate)), cool, recipe(), 0.0, 0.0)[0] == 0.0


@pytest.mark.parametrize(
    ("steady", "said"),
    [
        (1.0, codes.TOP_SOON),  # as fast over five minutes as it has to be: no swing of the control
        (1.0 + 2**-10, codes.TOP_NEARS),  # carried on for two and a half minutes only
    ],
)
def test_a_rise_that_is_steady_enough(steady: float, said: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """At its rate it passes the top of the band in 160 s."""
    monkeypatch.setattr(alarms, "STEADY", steady)
    cycle = recipe(dwell={"band_high": limit(392.0 + 160.0 * RATE)})
    found = alarms._heat(_e(_to(392.0)), cycle, cycle.segments[1])
    assert [a.finding.code for a in found] == [said.code]


# what stays said


@pytest.mark.parametrize(("least", "since"), [(70e3, "80 s"), (70e3 - 1.0, "3 min")])
def test_since_when_a_vacuum_is_too_low(least: float, since: str) -> None:
    """The least itself, ten readings back, is a vacuum still."""
    vacuum = np.where(TIMES[-1] - 160.0 < TIMES, 60e3, 80e3)
    vacuum[-11] = least
    values = np.where(TIMES < 1100.0, 300.0, 390.0)
    e = _e(values, vacuum=vacuum, checked=Made(faults=(), vacuum_names=("VAC",)))
    (found,) = standing._vacuum(e, recipe(vacuum=VacuumRule(limit(70e3))))
    assert found.finding.words.endswith(f"for {since}")


@pytest.mark.parametrize(("dead", "told"), [((), True), ((0,), True), ((1,), True), ((0, 1), False)])
def test_a_set_point_that_nothing_answers(dead: tuple[int, ...], told: bool) -> None:
    """A thermocouple that is not read any more hides none that is."""
    wanted = np.where(TIMES < 1032.0, 300.0, 390.0)
    couples = [np.full(TIMES.size, 300.0), np.full(TIMES.size, 300.0)]
    for i in dead:
        couples[i][-3:] = NAN
    point = Channel("SP", ChannelRole.SET_POINT, "temperature", wanted)
    e = _e(*couples, log=Made(of_role=lambda role: (point,)))
    e.highest = np.full(TIMES.size, 300.0)
    assert [a.finding.code for a in standing._unanswered(e)] == [codes.UNANSWERED.code] * told


@pytest.mark.parametrize(("hottest", "was"), [(330.0, False), (330.0 + RATE, True)])
def test_what_was_hot_stood_above_the_release(hottest: float, was: bool) -> None:
    e = _e(np.where(TIMES < 1100.0, hottest, 310.0))
    assert standing._was_hot(e, recipe(release_most=limit(330.0))) is was


@pytest.mark.parametrize(
    ("read", "held", "told"),
    [
        (True, 3599.9, True),
        (True, 3600.0, False),  # it was held for its least time
        (False, 3599.9, False),  # nothing is read
        (False, 3600.0, False),
    ],
)
def test_the_slowest_below_the_band_of_a_dwell(read: bool, held: float, told: bool) -> None:
    values = np.full(TIMES.size, 380.0)
    if not read:
        values[-3:] = NAN
    found = standing._band(_e(values), recipe().segments[1], held)
    assert [a.finding.code for a in found] == [codes.BAND_NOW.code] * told


# channels that no rule looks at


def _now(*, dwell: bool = True, spans: bool = True) -> Any:
    kind = SegmentKind.DWELL if dwell else SegmentKind.RAMP
    segment = Made(kind=kind, band_low=limit(385.0), band_high=limit(395.0), ceiling=None)
    return Made(segment=segment, spans=(Span(1000.0, 1640.0),) if spans else (), found=True, end=1640.0)


@pytest.mark.parametrize(
    ("here", "dwell", "spans", "told"),
    [
        (385.0, True, True, False),  # at the foot of the band it is in it
        (384.999, True, True, True),
        (384.0, True, False, False),  # the slowest is not in the band yet
        (384.0, False, True, False),  # on the way up it is none of it
        (395.0, True, True, False),
        (395.001, True, True, True),
        (395.001, True, False, False),
        (395.001, False, True, False),
    ],
)
def test_a_channel_out_of_the_band(
    here: float, dwell: bool, spans: bool, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(unjudged, "follows_thermocouples", lambda log, values: True)
    c = Channel("X9", ChannelRole.THERMOCOUPLE, "temperature", np.full(TIMES.size, here))
    found = unjudged._out(_e(390.0, log=Made()), c, recipe(), _now(dwell=dwell, spans=spans))
    assert [a.finding.code for a in found] == [codes.UNJUDGED_OUT.code] * told


@pytest.mark.parametrize(("ceiling", "told"), [(396.0, False), (395.999, True)])
def test_a_channel_above_the_maximum_temperature(
    ceiling: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(unjudged, "follows_thermocouples", lambda log, values: True)
    c = Channel("X9", ChannelRole.THERMOCOUPLE, "temperature", np.full(TIMES.size, 396.0))
    cycle = recipe(ceiling=RecipeLimit(ceiling, "table 1"))
    assert bool(unjudged._out(_e(390.0, log=Made()), c, cycle, _now(dwell=False))) is told


@pytest.mark.parametrize(
    ("role", "name", "program", "told"),
    [
        (ChannelRole.THERMOCOUPLE, "X9", False, True),
        (ChannelRole.THERMOCOUPLE, "X9", True, True),  # no set point of the log
        (ChannelRole.THERMOCOUPLE, "SP", False, True),  # a set point, and no program
        (ChannelRole.THERMOCOUPLE, "SP", True, False),
        (ChannelRole.VACUUM, "X9", False, False),  # no temperature at all
        (ChannelRole.VACUUM, "SP", False, False),
    ],
)
def test_which_channels_with_another_role_are_told_of(
    role: ChannelRole, name: str, program: bool, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(unjudged, "follows_thermocouples", lambda log, values: True)
    monkeypatch.setattr(unjudged, "programmed", lambda values, couples, recipe: program)
    monkeypatch.setattr(unjudged, "no_program", lambda log, values, s: False)
    values = np.full(TIMES.size, 400.0)
    point = Channel("SP", ChannelRole.SET_POINT, "temperature", values)
    aside = Channel(name, role, "temperature", values)
    log = Made(set_aside=(aside,), of_role=lambda r: (point,) if r is ChannelRole.SET_POINT else ())
    found = unjudged.unjudged_now(_e(390.0, log=log), recipe(), _now(), ())
    assert [a.finding.code for a in found] == [codes.UNJUDGED_OUT.code] * told
