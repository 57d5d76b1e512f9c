"""Numbers of the running watch, of an open bag and of repeated channels: each from both sides."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_lines import made, recipe
from panelmend.plan.judge import Channel, ChannelRole, CureLog, alarms, codes, faults
from panelmend.plan.judge.alarms import slope
from panelmend.plan.judge.evidence import gather
from panelmend.plan.judge.faults_sensor import moved_meanwhile, noise_of
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.recipe import RecipeLimit
from panelmend.plan.judge.rules_gauge import shows_open_bag
from panelmend.plan.judge.standing import _backwards, _unanswered

E = gather(made().log())


def told(patch: pytest.MonkeyPatch, within: float, *, share: float = 1.0, before: float = -math.inf) -> str:
    """The code told of a rise that comes to the limit in so many seconds, of whose rate five minutes have a
    share, where the hottest stood at ``before`` [K] earlier."""
    rate = 0.05
    high = 400.0 - rate * within
    e: Any = SimpleNamespace(times=E.times, highest=np.full(len(E.times), high), fastest_at=lambda _: "T1")
    patch.setattr(alarms, "slope", lambda t, v, span, least=4: share * rate if span == 300.0 else rate)
    patch.setattr(alarms, "_levels_off", lambda *_: False)
    patch.setattr(alarms, "_last_peak", lambda _: before)
    how = recipe(dwell={"target": 350.0}, ceiling=RecipeLimit(400.0, "table 1"))
    found = alarms._heat(e, how, how.segments[1])
    return found[0].finding.code if found else ""


def test_a_rise_is_a_stop_three_minutes_before_its_limit_and_a_swing_two_and_a_half(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    stop, warning = codes.TOP_SOON.code, codes.TOP_NEARS.code
    assert [told(monkeypatch, x) for x in (179.0, 181.0)] == [stop, warning]
    assert [told(monkeypatch, x, share=0.4) for x in (149.0, 151.0)] == [stop, warning]
    assert [told(monkeypatch, 165.0, share=x) for x in (0.49, 0.51)] == [warning, stop]
    assert [told(monkeypatch, x) for x in (599.0, 601.0)] == [warning, ""]
    assert [told(monkeypatch, x, before=400.0) for x in (89.0, 91.0)] == [stop, warning]


def test_the_sampling_of_late_is_that_of_ten_stamps() -> None:
    for late, step in ((4, 10.0), (5, 20.0)):
        times = np.cumsum([*[10.0] * 20, *[20.0] * late])
        assert alarms._late_step(times) == step


def test_a_rate_reaches_back_a_tenth_further_than_its_steps() -> None:
    """Of readings 100 s apart four are asked, of which one may be missing."""
    for age, known in ((430.0, True), (450.0, False)):
        times = 5000.0 - np.array([1000.0, 900.0, 800.0, 700.0, 600.0, age, 350.0, 200.0, 100.0, 0.0])
        values = 300.0 + 0.02 * times
        values[6] = np.nan
        assert math.isfinite(slope(times, values, 300.0)) is known


def test_a_thermocouple_ten_kelvins_below_its_beginning_reads_backwards() -> None:
    for fell, said in ((9.9, False), (10.1, True)):
        temps = np.full((100, 2), 300.0)
        temps[50:, 1] = 300.0 - fell
        e: Any = SimpleNamespace(names=("A", "B"), temps=temps)
        assert bool(_backwards(e)) is said


def unanswered(*, asked: float = 21.0, rows: int = 61, answer: float = 0.0, apart: float = 0.0) -> bool:
    """Whether a set point that rose for so many readings of ten seconds is said to be answered by nothing."""
    n = 200
    wanted, temps = np.full(n, 300.0), np.full((n, 2), 300.0)
    wanted[n - rows :] = 300.0 + asked
    temps[n - 1, 0] += answer
    highest = temps.max(axis=1)
    highest[60] += apart
    channel = Channel("SP", ChannelRole.SET_POINT, "temperature", wanted)
    log = CureLog(10.0 * np.arange(n), (channel,))
    e: Any = SimpleNamespace(log=log, times=log.times, temps=temps, highest=highest)
    return bool(_unanswered(e))


def test_a_set_point_twenty_kelvins_up_for_ten_minutes_is_answered_by_five() -> None:
    assert [unanswered(asked=x) for x in (19.9, 20.0, 20.1)] == [False, False, True]
    assert [unanswered(rows=x) for x in (60, 61)] == [False, True]
    assert [unanswered(answer=x) for x in (4.9, 5.0, 5.1)] == [True, False, False]
    assert [unanswered(apart=x) for x in (9.9, 10.1)] == [True, False]


def gauge(*low: float) -> Channel:
    """A gauge that reads 80 kPa but for some readings [kPa]."""
    return Channel("V", ChannelRole.VACUUM, "pressure", 1e3 * np.array([80.0, 79.0, *low, 78.0]))


def test_two_readings_of_half_of_the_highest_show_the_open_bag() -> None:
    assert [shows_open_bag(gauge(*low)) for low in ((40.0, 40.0), (40.1, 40.0), (1.0,), (1.0, 0.0))] == [
        True,
        False,
        False,
        True,
    ]
    assert not shows_open_bag(Channel("V", ChannelRole.VACUUM, "pressure", np.full(5, np.nan)))


def test_a_steady_middle_spans_eight_times_its_noise() -> None:
    random = np.random.default_rng(4).normal(0.0, 0.1, 400)
    times = 10.0 * np.arange(400)
    inner = random[30:370]
    moved = float(np.ptp(inner)) - 8.0 * noise_of(inner)
    assert moved_meanwhile(times, random, 3990.0) == pytest.approx(moved, abs=1e-9)


@pytest.mark.parametrize(("noise", "said"), [(0.0099, False), (0.0101, True)])
def test_curves_without_a_hundredth_of_a_kelvin_of_noise_repeat_nothing(
    monkeypatch: pytest.MonkeyPatch, noise: float, said: bool
) -> None:
    def given(_: FloatArray) -> float:
        return noise

    monkeypatch.setattr(faults, "noise_of", given)
    a = 0.1 * np.arange(100.0)
    assert bool(faults._repeats(a, a + 1.0)) is said
