"""Rules of the judge at their very edges, each outcome written by hand: what is lost and read again, vacuum
from the start of heat to its release, rates and spans."""

from __future__ import annotations

import dataclasses
import math
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_whole import NO, OPEN, YES, blank, whole
from panelmend.plan.judge import (
    codes,
    evidence,
    rules_vacuum,
    spans,
)
from panelmend.plan.judge.recipe import LeakRule, VacuumRule
from panelmend.plan.judge.rules_vacuum import LeakReading
from panelmend.plan.judge.verdict import Outcome

NAN = float("nan")


# what is lost


def _fault(channel: str = "T1", time: float = 0.0, until: float = 1e9, **more: Any) -> Any:
    given: dict[str, Any] = {
        "sensor_lost": False,
        "doubt": False,
        "reckoned": False,
        "code": codes.STUCK,
    } | more
    return Made(channel=channel, time=time, until=until, finding=Made(code=given.pop("code").code), **given)


def _gathered(
    *faults: Any, values: Any = None, without: tuple[str, ...] = (), back: bool = False
) -> evidence.Evidence:
    """Of two thermocouples with a reading every ten seconds from 0 to 300 s."""
    times = np.arange(0.0, 301.0, 10.0)

    class Log(Made):
        def __len__(self) -> int:
            return int(times.size)

    temps = np.full((times.size, 2), 300.0) if values is None else values
    checked = Made(
        faults=faults, names=("T1", "T2"), temps=temps, vacuum=np.zeros((times.size, 0)),
        step=10.0, sure=True, log=Log(times=times, stamp_step=1.0),
    )  # fmt: skip
    return evidence.gather(checked.log, 25.0, without=without, checked=checked, back=back)  # type: ignore[arg-type]


LATE = _fault(until=50.0, sensor_lost=True, code=codes.LATE)
UNTIL_50 = [False] * 6 + [True] * 25  # the sample at 50 s is still one of those before


@pytest.mark.parametrize(
    ("faults", "without", "works"),
    [
        ([LATE], (), UNTIL_50),
        ([LATE, _fault("T2", sensor_lost=True)], (), UNTIL_50),  # what another loses is nothing of this one
        ([LATE, _fault("T1")], (), UNTIL_50),  # told, not lost
        ([LATE, _fault("T1", 100.0, doubt=True)], (), UNTIL_50),  # a doubt that nobody acts on
        ([LATE, _fault("T1", 100.0, doubt=True)], ("T1",), [False] * 31),
        ([LATE, _fault("T1", 100.0, sensor_lost=True)], (), [False] * 31),
        ([LATE, _fault("T1", 100.0, sensor_lost=True), _fault("T1")], (), [False] * 31),
        (
            [_fault("T1", 200.0, sensor_lost=True), _fault("T1", 100.0, sensor_lost=True)],
            (),
            [True] * 10 + [False] * 21,
        ),
        (
            [_fault("T1", 200.0, doubt=True), _fault("T1", 100.0, doubt=True)],
            ("T1",),
            [True] * 10 + [False] * 21,
        ),
        ([_fault("T1", 200.0, doubt=True)], (), [True] * 31),
        ([_fault("T1", 100.0, doubt=True), _fault("T2")], ("T1",), [True] * 10 + [False] * 21),
        (
            [_fault("T2", 200.0, doubt=True)],
            ("T1",),
            [False] * 31,
        ),  # left out without a doubt: from the first
    ],
)
def test_until_when_a_thermocouple_counts_as_lost(
    faults: list[Any], without: tuple[str, ...], works: list[bool]
) -> None:
    e = _gathered(*faults, without=without)
    assert e.working[:, 0].tolist() == works
    assert np.isfinite(e.temps[:, 0]).tolist() == works


@pytest.mark.parametrize(("until", "again"), [(220.0, 0), (230.0, 13)])
def test_a_lost_thermocouple_that_reads_again_for_two_minutes(until: float, again: int) -> None:
    """The reading at which it was lost is none of those that count again."""
    values = np.full((31, 2), 300.0)
    values[int(until / 10.0) + 1 :, 0] = NAN
    e = _gathered(_fault("T1", 100.0, sensor_lost=True), values=values, back=True)
    assert e.working[:, 0].sum() == 10 + again


def test_how_far_a_time_may_be_off_its_stamp() -> None:
    even, uneven = np.arange(0.0, 50.0, 10.0), np.array([0.0, 10.0, 20.0, 35.0])
    for times, step, blur in (
        (even, 5.0, 0.0),
        (uneven, 1.0, 0.0),  # to the second
        (uneven, 1.5, 1.5),
        (np.array([0.0, 10.0, 10.0]), 1.0, 1.0),
        (np.array([0.0]), 60.0, 0.0),
        (np.array([-1e-6, 0.0, 2e-6]), 60.0, 0.0),  # uneven by a millionth of a second: rounding
    ):
        e = dataclasses.replace(_gathered(), log=Made(times=times, stamp_step=step, set_back=0.0))  # type: ignore[arg-type]
        assert e.blur == blur


# vacuum


def _vacuum(
    low: list[int], value: float, monkeypatch: pytest.MonkeyPatch, **more: Any
) -> tuple[Outcome, str]:
    """Heat is on from 1000 s and vacuum is needed until 2000 s: samples 100 to 200, both counted."""
    vacuum = np.full(len(whole().times), 80e3)
    vacuum[low] = value
    rule = VacuumRule(limit(70e3), **more.pop("rule", {}))
    monkeypatch.setattr(rules_vacuum, "heat_start", lambda e: 1000.0)
    monkeypatch.setattr(rules_vacuum, "needed_until", lambda e, recipe, walked: (2000.0, True))
    e, book = dataclasses.replace(whole(), vacuum=vacuum, **more), blank()
    out = rules_vacuum.judge_vacuum(e, book, recipe(vacuum=rule), ())
    assert out is not None
    return out, " ".join(r.words for r in book.reasons)


@pytest.mark.parametrize(("at", "outcome"), [(99, YES), (100, NO), (150, NO), (200, NO), (201, YES)])
def test_vacuum_from_the_start_of_heat_to_its_release(
    at: int, outcome: Outcome, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert _vacuum([at], 60e3, monkeypatch)[0] is outcome


@pytest.mark.parametrize(("gap", "outcome"), [(40.0, YES), (39.9, OPEN)])
def test_vacuum_that_is_not_known(gap: float, outcome: Outcome, monkeypatch: pytest.MonkeyPatch) -> None:
    """Three readings are missing: 40 s from the one before to the one after."""
    out, words = _vacuum([150, 151, 152], NAN, monkeypatch, gap=gap)
    assert out is outcome
    assert ("not known for 40 s" in words) is (outcome is OPEN)


DIPS = {"dip_least": 60e3, "dip_longest": 20.0}


@pytest.mark.parametrize(
    ("low", "value", "outcome"),
    [
        ([150, 151], 60e3, YES),  # exactly as low and as long as allowed
        ([150, 151], 59.999e3, NO),
        ([150, 151, 152], 60e3, NO),
        ([150], 60e3, YES),
    ],
)
def test_a_dip_that_is_allowed(
    low: list[int], value: float, outcome: Outcome, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert _vacuum(low, value, monkeypatch, rule=DIPS)[0] is outcome


@pytest.mark.parametrize(("longest", "outcome"), [(24.0, YES), (23.9, OPEN)])
def test_stamps_that_are_coarse_count_for_every_dip(
    longest: float, outcome: Outcome, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two dips of ten seconds, ten seconds apart, each of which may be 2 s longer than its stamps say."""
    monkeypatch.setattr(evidence.Evidence, "blur", 2.0)
    rule = {"dip_least": 60e3, "dip_longest": longest}
    assert _vacuum([150, 152], 60e3, monkeypatch, rule=rule)[0] is outcome


@pytest.mark.parametrize(("ambient", "said"), [(70e3, False), (69.999e3, True)])
def test_an_air_that_cannot_give_the_vacuum(ambient: float, said: bool) -> None:
    e, book = (
        dataclasses.replace(whole(), log=dataclasses.replace(whole().log, ambient=ambient)),
        blank(),
    )
    vacuum = np.full(len(e.times), 60e3)
    rules_vacuum._enter(
        dataclasses.replace(e, vacuum=vacuum), book, recipe(vacuum=VacuumRule(limit(70e3))), 5, "", NO
    )
    assert ("cannot give it" in book.reasons[0].words) is said


@pytest.mark.parametrize(("next_read", "seconds"), [(1, 10.0), (2, 20.0), (5, 50.0), (6, 11990.0)])
def test_the_next_reading_of_a_gauge(next_read: int, seconds: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Looked for among the next samples, five here; else the log's last."""
    monkeypatch.setattr(rules_vacuum, "MOST_LOOKED", 5)
    vacuum = np.full(len(whole().times), NAN)
    vacuum[[0, next_read]] = 80e3
    assert rules_vacuum._read_after(dataclasses.replace(whole(), vacuum=vacuum), 0) == seconds


@pytest.mark.parametrize(
    ("fall", "over", "outcome"),
    [
        (3e3, 300.0, YES),
        (3.001e3, 300.0, NO),
        (3e3, 600.0, YES),  # longer than asked, and no more lost than allowed
        (3.001e3, 600.0, OPEN),  # not scaled
        (1e3, 299.0, OPEN),
    ],
)
def test_a_leak_test_and_its_time(fall: float, over: float, outcome: Outcome) -> None:
    rule = LeakRule(limit(3e3), 300.0)
    reading = LeakReading(80e3, 80e3 - fall, over)
    assert rules_vacuum.judge_leak(whole(), blank(), rule, VacuumRule(limit(70e3)), reading, None) is outcome


# measured against a limit


@pytest.mark.parametrize(
    ("value", "most", "kind", "unsure", "outcome"),
    [
        (0.05, 0.05, "temperature rate", 0.0, YES),
        (0.05 + 5e-7, 0.05, "temperature rate", 0.0, NO),  # of a rate a millionth of its limit is rounding
        (0.5 + 8e-7, 0.5, "ratio", 0.0, YES),  # of all else a millionth, or a millionth of its limit
        (0.5 + 2e-6, 0.5, "ratio", 0.0, NO),
        (4000.002, 4000.0, "time", 0.0, YES),
        (4000.005, 4000.0, "time", 0.0, NO),
        (3990.0, 4000.0, "time", 10.0, YES),  # as far within as the stamps are coarse
        (3990.0, 4000.0, "time", 10.1, OPEN),
        (4000.0, 4000.0, "time", 0.0, YES),
        (4000.0, 4000.0, "time", 1.0, OPEN),
    ],
)
def test_a_value_against_its_limit(
    value: float, most: float, kind: str, unsure: float, outcome: Outcome
) -> None:
    found = blank().measure("it", value, limit(most), kind, codes.LEAK, most=True, unsure=unsure)
    assert found is outcome
    if not unsure:
        below = blank().measure("it", 2 * most - value, limit(most), kind, codes.LEAK, most=False)
        assert below is outcome


# rates and places of a trace


def test_what_a_trace_shows_before_its_first_reading() -> None:
    times = np.array([0.0, 10.0, 20.0, 30.0])
    assert spans.trace_at(times, np.array([NAN, NAN, 5.0, 7.0]), 0.0) == 5.0
    assert spans.trace_at(times, np.array([5.0, 7.0, NAN, NAN]), 30.0) == 7.0
    assert math.isnan(spans.trace_at(times, np.full(4, NAN), 10.0))


@pytest.mark.parametrize(
    ("values", "found"),
    [
        ([380.0, 385.0, 380.0, 380.0], None),  # it touches the level and does not pass it
        ([380.0, 385.0, 390.0, 380.0], 10.0),
        ([385.0, 390.0, 380.0, 390.0], 25.0),
        ([390.0, 385.0, 384.0, 380.0], None),
    ],
)
def test_the_last_rise_through_a_level(values: list[float], found: float | None) -> None:
    assert spans.last_up(np.arange(4) * 10.0, np.asarray(values, np.float64), 385.0, 0.0, 30.0) == found


def test_what_sliding_windows_do_not_show() -> None:
    times, values = np.array([0.0, 10.0, 20.0, 40.0]), np.array([0.0, 1.0, 2.0, 4.0])
    for window, gap, unseen in ((10.0, 5.0, 20.0), (20.0, 5.0, 0.0), (10.0, 20.0, 0.0), (5.0, 9.0, 40.0)):
        _, rates, away = spans.window_rates(times, values, 0.0, 40.0, window, gap)
        assert away == unseen
        assert rates == pytest.approx(np.full(rates.size, 0.1))
    assert spans.window_rates(times, values, 5.0, 15.0, 10.0, 5.0)[2] == 10.0  # one reading: all of it
