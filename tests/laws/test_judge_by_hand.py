"""Parts of the judge on input made for them, each answer written by hand: the limit itself counts as it is
written, a stay may begin with the first reading, and what the data leaves open is marked as practice."""

from __future__ import annotations

import inspect
import json
from datetime import datetime, timedelta
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from panelmend.errors import InputError
from panelmend.plan.judge import SegmentKind, approved, codes, faults_sensor, judge, no_readings, order, said
from panelmend.plan.judge.doubt import SeenOfSensor
from panelmend.plan.judge.evidence import gather
from panelmend.plan.judge.fault import Fault, fault
from panelmend.plan.judge.holes import crossing_between
from panelmend.plan.judge.recipe import (
    CureRecipe,
    LeakRule,
    RecipeLimit,
    RecipeSegment,
    SensorRule,
    VacuumRule,
)
from panelmend.plan.judge.rules_job import JobTimes
from panelmend.plan.judge.spans import Span, first_at
from panelmend.plan.judge.verdict import VerdictRecorder

NAN = float("nan")


@pytest.mark.parametrize(("samples", "told"), [(29, False), (30, True), (60, True)])
def test_a_thermocouple_may_stand_still_from_the_first_reading_on(samples: int, told: bool) -> None:
    """Five minutes and twenty readings, counted from the very first."""
    times = np.arange(0.0, 3000.0, 10.0)
    others = np.column_stack([300.0 + times / 10.0 + k for k in range(3)])
    values = 300.0 + times / 10.0
    values[: samples + 1] = 300.0
    log = Made(times=times, __len__=lambda: times.size)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(faults_sensor, "fault", lambda log, code, words, **more: (code.code, more.get("time")))
        found = faults_sensor.stuck_faults(log, "T1", values, others)  # type: ignore[arg-type]
    assert found == [(codes.STUCK.code, 0.0)] * told


@pytest.mark.parametrize(
    ("step", "still", "could"),
    [
        (10.0, 28, True),
        (10.0, 27, False),
        (100.0, 0, False),
        (100.1, 0, True),
        (60.0, 3, True),
        (60.0, 2, False),
    ],
)
def test_whether_some_of_the_readings_could_be_a_stay(step: float, still: int, could: bool) -> None:
    """Five minutes less a step at each end; readings farther apart than 100 s rule nothing out."""
    for first in (0, 5):
        values = np.arange(60.0)
        values[first : first + still + 1] = values[first]
        assert faults_sensor.could_be_stuck(np.arange(60.0) * step, values) is could


def test_temperatures_that_no_thermocouple_reads() -> None:
    hottest = 2093.15  # 1820 C
    values = np.array([0.0, 300.0, hottest, NAN])
    assert not no_readings.no_temperature(values).any()
    beyond = np.array([-1e-9, 300.0, hottest * (1 + 1e-12), NAN])
    assert no_readings.no_temperature(beyond).tolist() == [True, False, True, False]
    assert no_readings.no_temperature(np.array([])).size == 0


@pytest.mark.parametrize(
    ("odd", "count", "whole", "taken"),
    [
        (120e3, 2, 100, False),  # the limit itself is a vacuum still
        (-120e3, 2, 100, False),
        (120e3 + 1.0, 2, 100, True),  # two in a hundred are few
        (-120e3 - 1.0, 2, 100, True),
        (120e3 + 1.0, 49, 100, True),  # of one value: a code of the logger
        (120e3 + 1.0, 50, 100, False),
        (120e3 + 1.0, 0, 0, False),
    ],
)
def test_a_vacuum_that_no_air_gives(odd: float, count: int, whole: int, taken: bool) -> None:
    values = np.full(whole, 80e3)
    values[:count] = odd
    assert no_readings.no_vacuum(values).sum() == count * taken
    if count == 49:
        values[:count] += np.arange(count) * odd * 2e-6  # many different ones are a wrong unit
        assert not no_readings.no_vacuum(values).any()
        values[:count] = odd * (1.0 + 1e-6 * np.linspace(0.0, 0.99, count))
        assert no_readings.no_vacuum(values).sum() == count


def _cure(**more: Any) -> Any:
    dwell = {"kind": "dwell", "to": 390.0, "low": None, "high": None, "least": 3600.0, "most": None}
    given: dict[str, Any] = {
        "name": "cure", "place": "table 1", "bagged": True, "vacuum": None, "thermocouples_least": None,
        "may_fail": 1, "model_fields_set": set(), "ceiling": None, "release_below": None, "longest_gap": None,
        "rate_window": None, "spread_most": None,
        "segment": (Made(**dwell, summed=False, rate_least=None, rate_most=None),),
    }  # fmt: skip
    return Made(**(given | more))


def _bag(vacuum: float | None = None, drop: float | None = None, time: float | None = None) -> Any:
    def of(value: float | None) -> Any:
        return None if value is None else Made(value=value, place="bag 2")

    return Made(bag=Made(least_vacuum=of(vacuum), leak_drop=of(drop), leak_time=of(time)))


@pytest.mark.parametrize(
    ("bagged", "own", "bag", "least", "leak"),
    [
        (True, None, _bag(70e3, 3e3, 300.0), (70e3, "bag 2"), (3e3, 300.0)),
        (True, 75e3, _bag(70e3, 3e3, 300.0), (75e3, "table 1"), (3e3, 300.0)),
        (True, None, _bag(None, 3e3, None), None, None),
        (True, None, _bag(None, None, 300.0), None, None),
        (True, None, Made(bag=None), None, None),
        (True, 75e3, Made(bag=None), (75e3, "table 1"), None),
        (False, None, _bag(70e3, 3e3, 300.0), None, None),
        (False, 75e3, _bag(70e3, 3e3, 300.0), None, None),
    ],
)
def test_vacuum_and_leak_that_the_data_asks_of_a_cure(
    bagged: bool,
    own: float | None,
    bag: Any,
    least: tuple[float, str] | None,
    leak: tuple[float, float] | None,
) -> None:
    made_of = approved.recipe_of(bag, _cure(bagged=bagged, vacuum=own))
    found = None if made_of.vacuum is None else (made_of.vacuum.least.value, made_of.vacuum.least.place)
    told = None if made_of.leak is None else (made_of.leak.fall_most.value, made_of.leak.over)
    assert (found, told, made_of.bagged) == (least, leak, bagged)


@pytest.mark.parametrize(("low", "high"), [(None, None), (385.0, None), (None, 396.0), (385.0, 396.0)])
def test_a_band_that_the_data_leaves_open_is_practice(low: float | None, high: float | None) -> None:
    cure = _cure()
    cure.segment[0].low, cure.segment[0].high = low, high
    (dwell,) = approved.recipe_of(_bag(), cure).segments
    assert dwell.band_low is not None
    assert dwell.band_high is not None
    assert (dwell.band_low.value, dwell.band_low.default) == (low or 390.0 - 50.0 / 9.0, low is None)
    assert (dwell.band_high.value, dwell.band_high.default) == (high or 390.0 + 50.0 / 9.0, high is None)
    assert dwell.band_low.place == ("table 1" if low else approved.PRACTICE)
    assert dwell.rate_window == 600.0
    cure.rate_window = 60.0
    assert approved.recipe_of(_bag(), cure).segments[0].rate_window == 60.0


@pytest.mark.parametrize(
    ("asked", "told", "least", "default"), [(None, set(), 3, True), (4, {"may_fail"}, 4, False)]
)
def test_sensors_that_the_data_leaves_open_are_practice(
    asked: int | None, told: set[str], least: int, default: bool
) -> None:
    rule = approved.recipe_of(_bag(), _cure(thermocouples_least=asked, model_fields_set=told)).sensors
    assert (rule.least, rule.default, rule.may_fail_default) == (least, default, default)
    place = approved.PRACTICE if default else "table 1"
    assert (rule.place, rule.may_fail_place) == (place, place)


def test_a_dwell_without_its_least_time_is_refused() -> None:
    cure = _cure()
    cure.segment[0].least = None
    with pytest.raises(InputError, match="least time"):
        approved.recipe_of(_bag(), cure)


def test_a_recipe_whose_least_is_its_most_is_one() -> None:
    """A limit may be met by one value alone; one step past it the two are the wrong way round."""
    for name, first, second in (("rate", "rate_least", "rate_most"), ("dwell", "dwell_least", "dwell_most")):
        kind = SegmentKind.DWELL if name == "dwell" else SegmentKind.RAMP
        given = {"band_low": limit(385.0), "dwell_least": limit(60.0)} if name == "dwell" else {}
        made_of = RecipeSegment("s", kind, 390.0, **(given | {first: limit(60.0), second: limit(60.0)}))  # type: ignore[arg-type]
        assert getattr(made_of, first) == getattr(made_of, second)
        with pytest.raises(InputError, match="wrong way round"):
            RecipeSegment("s", kind, 390.0, **(given | {first: limit(60.0), second: limit(59.999)}))  # type: ignore[arg-type]


@pytest.mark.parametrize("what", ["vacuum", "leak"])
def test_nothing_of_a_bag_is_asked_without_one(what: str) -> None:
    asked = {"vacuum": VacuumRule(limit(70e3)), "leak": LeakRule(limit(3e3), 300.0)}[what]
    with pytest.raises(InputError, match="without a bag"):
        recipe(bagged=False, **{what: asked})
    assert recipe(bagged=False).bagged is False


@pytest.mark.parametrize(
    ("after", "fits"),
    [
        (timedelta(days=7), True),
        (timedelta(days=7, seconds=1), False),
        (timedelta(seconds=1), True),
        (timedelta(0), False),
    ],
)
def test_a_bag_is_opened_within_a_week(after: timedelta, fits: bool) -> None:
    on = datetime(2026, 11, 25, 8)
    if fits:
        assert JobTimes(on, on + after).bag_opened == on + after
    else:
        with pytest.raises(InputError, match="do not fit"):
            JobTimes(on, on + after)
    assert JobTimes(None, on).vacuum_on is None


def test_a_verdict_is_written_in_one_way_alone() -> None:
    """Names in order, signs of other alphabets as they are, what is no number as null."""
    m = made()
    m.names[0] = "T1 Löt°"
    text = judge(recipe(), m.log()).to_json()
    data = json.loads(text)
    assert text == json.dumps(data, indent=2, sort_keys=True, ensure_ascii=False) + "\n"
    assert "T1 Löt°" in text
    assert "NaN" not in text
    assert "Infinity" not in text


@pytest.mark.parametrize(
    ("ran", "same"),
    [
        ("A. Reyes", True),
        ("a reyes", True),
        ("Reyes, A.", True),
        ("\u0410. Reyes", True),  # with the letter of another alphabet that looks like it
        ("B. Reyes", False),
        ("", False),
    ],
)
def test_who_ran_the_cure_states_nothing_of_its_thermocouples_however_it_is_typed(
    ran: str, same: bool
) -> None:
    def state() -> SeenOfSensor:
        return SeenOfSensor("T1", "lead found cut", "A. Reyes", "inspector", ran=ran)

    if same:
        with pytest.raises(InputError, match="who ran the cure"):
            state()
    else:
        assert state().ran == ran


@pytest.mark.parametrize(
    ("of", "usual"),
    [
        (gather, {"live": False, "back": False}),
        (Fault, {"lost": False, "sensor_lost": False, "doubt": False, "reckoned": False}),
        (fault, {"lost": False, "doubt": False, "reckoned": False}),
        (crossing_between, {"falling": False}),
        (first_at, {"falling": False}),
        (order.times_in_order, {"live": False}),
        (RecipeLimit, {"default": False}),
        (RecipeSegment, {"summed": False}),
        (SensorRule, {"default": False, "may_fail_default": False}),
        (CureRecipe, {"bagged": True}),
        (JobTimes, {"bagged": True}),
        (said.apart, {"signed": False}),
        (Span, {"open_start": False, "open_end": False}),
        (VerdictRecorder.enter, {"default": False}),
        (VerdictRecorder.note, {"limited": True}),
    ],
)
def test_what_counts_where_nothing_is_said(of: Any, usual: dict[str, bool]) -> None:
    """Nothing is lost, in doubt, reckoned, only practice or cut by a hole unless somebody says so."""
    given = inspect.signature(of).parameters
    flags = {n: p.default for n, p in given.items() if isinstance(p.default, bool)}
    assert flags == usual
