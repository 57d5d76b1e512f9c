"""What nobody knows is asked, and is no failure: a clock that moved by an hour or stood, a vacuum let go
while no thermocouple was read, thermocouples that drop cells together."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_readings import book_of, dwell, shown, stretch
from judge_whole import NO, OPEN, YES
from panelmend.curelog.stamps import days_passed
from panelmend.plan.judge import (
    SensorRule,
    codes,
    rules_dwell,
    rules_rate,
    rules_sensors,
    rules_spread,
    rules_vacuum,
)
from panelmend.plan.judge.evidence import hour_moved
from panelmend.plan.judge.fault import fault
from panelmend.plan.judge.faults_clock import clock_faults, stood_before_gaps
from panelmend.plan.judge.faults_joint import jump_faults
from panelmend.plan.judge.recipe import RecipeSegment, SegmentKind, VacuumRule
from panelmend.plan.judge.verdict import Outcome
from panelmend.plan.judge.walk import Stretch, _dwell, walk

NAN = float("nan")
HOUR = [0.0, 100.0, 200.0, 3800.0, 3900.0]


def _with_hour(*couples: list[float], code: Any = codes.CLOCK_HOUR) -> Any:
    e = shown(*couples, times=HOUR, gap=110.0)
    moved = fault(e.log, code, "3600 s without a sample", time=200.0, until=3800.0)
    return shown(*couples, times=HOUR, gap=110.0, faults=(moved,))


@pytest.mark.parametrize(
    ("start", "end", "moved"),
    [(200.0, 3800.0, 3600.0), (200.1, 3800.0, 0.0), (200.0, 3799.9, 0.0), (0.0, 3900.0, 3600.0)],
)
def test_an_hour_lies_between_two_times(start: float, end: float, moved: float) -> None:
    e = _with_hour([300.0] * 5)
    assert hour_moved(e, start, end) == moved
    assert hour_moved(_with_hour([300.0] * 5, code=codes.GAP), 0.0, 3900.0) == 0.0


@pytest.mark.parametrize(
    ("least", "code", "outcome"),
    [
        (0.01935, codes.CLOCK_HOUR, YES),
        (0.01936, codes.CLOCK_HOUR, OPEN),
        (0.2727, codes.CLOCK_HOUR, OPEN),
        (0.2728, codes.CLOCK_HOUR, NO),
        (0.01936, codes.GAP, NO),  # a gap of another length is one
    ],
)
def test_a_mean_rise_over_an_hour_of_which_nobody_knows_that_it_passed(
    least: float, code: Any, outcome: Outcome
) -> None:
    """5 K above the start at 25 s, 380 K at 3900 s: 75 K in 3875 s make 0.019355 K/s, in 275 s
    0.27273 K/s."""
    e = _with_hour([300.0, 320.0, 340.0, 360.0, 380.0], code=code)
    up = RecipeSegment("up", SegmentKind.RAMP, 380.0, rate_least=limit(least))
    s = Stretch(up, 0.0, 3900.0, (("T1", 3900.0),), (), True, 380.0)
    values = e.temps[:, 0]
    assert rules_rate._mean_up(e, book_of(e), s, "T1", values, 3900.0) is outcome


@pytest.mark.parametrize(("most", "outcome"), [(99.0, NO), (100.0, OPEN), (3699.0, OPEN), (3700.0, YES)])
def test_a_last_one_behind_the_first_by_an_hour_and_more(most: float, outcome: Outcome) -> None:
    """The first at 200 s, the last at 3900 s: 3700 s, or a hundred without the hour."""
    e = _with_hour([380.0, 380.0, 385.0, 390.0, 390.0], [300.0, 320.0, 340.0, 360.0, 385.0])
    s = stretch(dwell(lag_most=limit(most)), 200.0, 3900.0, entries=[("T1", 200.0), ("T2", 3900.0)])
    assert rules_spread.judge_lag(e, book_of(e), s) is outcome


# a vacuum that is let go while none is read


def _let_go(vacuum: list[float], hole: slice, **rule: Any) -> Outcome | None:
    """Down by 5 K every ten seconds from 340 K at 100 s, through 310 K at 160 s; none is read in the hole."""
    up = [300.0, 320.0, 340.0, 360.0, 390.0, 390.0, 390.0, 390.0, 380.0, 360.0]
    down = [340.0 - 5.0 * k for k in range(11)]
    one = np.array(up + down)
    one[hole] = NAN
    e = shown(one, one, vacuum=vacuum, gap=15.0)
    cycle = recipe(vacuum=VacuumRule(limit(75e3), **rule), release_most=limit(310.0))
    band = dwell(dwell_least=limit(10.0))
    cycle = dataclasses.replace(cycle, segments=(cycle.segments[0], band, cycle.segments[2]))
    book = book_of(e)
    rules_vacuum.judge_vacuum(e, book, cycle, walk(e, cycle))
    found = [r for r in book.reasons if r.rule == "vacuum"]
    return NO if NO in [r.outcome for r in found] else OPEN if OPEN in [r.outcome for r in found] else YES


def _held(until: int) -> list[float]:
    return [80e3] * until + [0.0] * (21 - until)


@pytest.mark.parametrize(
    ("let_go", "hole", "outcome"),
    [
        (16, slice(0, 0), YES),  # 310 K is read at 160 s
        (15, slice(0, 0), NO),
        # none read from 140 s to 180 s: 325 K at 130 s, 30 s more with the blanket off; cool at 190 s
        (16, slice(14, 19), NO),
        (17, slice(14, 19), OPEN),
        (19, slice(14, 19), OPEN),
        (20, slice(14, 19), YES),
    ],
)
def test_a_vacuum_let_go_while_none_is_read(let_go: int, hole: slice, outcome: Outcome) -> None:
    assert _let_go(_held(let_go), hole) is outcome


@pytest.mark.parametrize(
    ("lost_at", "rule", "outcome"),
    [
        (17, {"dip_least": limit(0.0).value, "dip_longest": 15.0}, OPEN),  # 20 s and more, but not surely
        (17, {"dip_least": 0.0, "dip_longest": 500.0}, YES),
        (15, {"dip_least": 0.0, "dip_longest": 5.0}, NO),  # ten seconds at the least
    ],
)
def test_a_dip_while_none_is_read(lost_at: int, rule: dict[str, Any], outcome: Outcome) -> None:
    assert _let_go(_held(lost_at), slice(14, 19), **rule) is outcome


# thermocouples that drop cells together


def _loose(*silent: tuple[float, float], least: int = 3, **rule: Any) -> list[Outcome]:
    """Four thermocouples; what is said of those that work, of those that were lost and of the second. Each of
    the first few has no reading at the first and the last of two times [s], and is loose."""
    couples = np.full((4, 60), 300.0)
    couples += np.linspace(0.0, 80.0, 60)
    for k, (first, last) in enumerate(silent):
        couples[k, [int(first / 10), int(last / 10)]] = NAN
    e = shown(*couples)
    loose = tuple(
        fault(e.log, codes.LOOSE, "x", channel=f"T{k + 1}", time=a, until=590.0, sensor_lost=True)
        for k, (a, _) in enumerate(silent)
    )
    e = shown(*couples, faults=loose)
    e = dataclasses.replace(e, log=dataclasses.replace(e.log))
    book = book_of(e)
    cycle = dataclasses.replace(recipe(), sensors=SensorRule(least, "p", **rule))
    hold = stretch(dwell(), 0.0, 590.0)
    rules_sensors.judge_sensors(e, book, cycle, (hold,))
    return [r.outcome for r in book.reasons]


@pytest.mark.parametrize(
    ("second", "outcome"),
    [
        ((220.0, 420.0), OPEN),  # from two minutes after the first one on, to two minutes before
        ((230.0, 420.0), NO),
        ((220.0, 410.0), NO),
        ((100.0, 540.0), OPEN),
    ],
)
def test_two_that_drop_cells_from_the_same_time_to_the_same(
    second: tuple[float, float], outcome: Outcome
) -> None:
    found = _loose((100.0, 540.0), second, may_fail=1, must_work=("T2",))
    assert found == [outcome, outcome, outcome]


def test_one_that_drops_cells_alone_was_lost() -> None:
    assert _loose((100.0, 540.0), least=4, may_fail=0) == [NO, NO]
    assert _loose((100.0, 540.0), least=3, may_fail=1) == [YES, YES]


def test_one_more_that_was_lost_alone_fails_as_before() -> None:
    """Two together and one for itself, where none may be lost, and one."""
    three = (100.0, 540.0), (100.0, 540.0), (300.0, 310.0)
    assert _loose(*three, least=4, may_fail=0) == [NO, NO]
    assert _loose(*three, least=3, may_fail=1) == [OPEN, OPEN]


# a clock that stood


def _stood(rows: int, *, after: float = 100.0, step: float = 10.0, stamp_step: float = 1.0) -> Any:
    """Ten samples, so many more with the stamp of the last of them, and ten after a while."""
    times = np.concatenate(
        [np.arange(10) * step, np.full(rows, 9 * step), 9 * step + after + np.arange(10) * step]
    )
    temps = [390.0] * (10 + rows // 2) + [380.0] * (20 + rows - 10 - rows // 2)
    return shown(temps, temps, times=times, gap=50.0, stamp_step=stamp_step)


@pytest.mark.parametrize(
    ("rows", "stamp_step", "after", "stood"),
    [
        (0, 1.0, 100.0, []),
        (1, 1.0, 100.0, [(9, 10)]),
        (4, 1.0, 50.1, [(9, 13)]),
        (4, 1.0, 50.0, []),  # no gap after it
        (3, 29.9, 100.0, [(9, 12)]),
        (3, 30.0, 100.0, []),  # four samples ten seconds apart, as many as a stamp holds
    ],
)
def test_a_clock_that_stood_before_a_gap(
    rows: int, stamp_step: float, after: float, stood: list[tuple[int, int]]
) -> None:
    e = _stood(rows, after=after, stamp_step=stamp_step)
    assert stood_before_gaps(e.log, 50.0) == stood
    known = np.ones(len(e.log) - 1, np.bool_)
    known[9 + rows] = after <= 50.0
    for a, b in stood:
        known[a:b] = False
    assert e.known.tolist() == known.tolist()


def test_a_clock_that_stood_is_said_as_that() -> None:
    found = {f.finding.code: f for f in clock_faults(_stood(4, after=400.0).log)}
    assert codes.REPEATED.code not in found
    said = found[codes.CLOCK_STOOD.code]
    assert (said.time, said.until) == (90.0, 490.0)
    assert "5 samples have one stamp, and none comes for 7 min" in said.finding.words
    even = {f.finding.code for f in clock_faults(_stood(4, after=20.0).log)}
    assert codes.REPEATED.code in even
    assert codes.CLOCK_STOOD.code not in even


@pytest.mark.parametrize(("after", "jumps"), [(100.0, 0), (20.0, 1)])
def test_what_jumps_while_the_clock_stood_is_no_change_of_unit(after: float, jumps: int) -> None:
    """Down by ten kelvin between two samples of one stamp."""
    e = _stood(4, after=after)
    assert len(jump_faults(e.log, e.checked.temps, 50.0)) == jumps


@pytest.mark.parametrize(
    ("least", "outcome"), [(89.5, YES), (89.6, OPEN), (90.6, OPEN), (180.5, OPEN), (180.6, NO)]
)
def test_a_dwell_that_ends_while_the_clock_stood(least: float, outcome: Outcome) -> None:
    """In the band from 0.56 s before the stamps on until they stay at 90 s, which are good to a second. 5 K
    below it at 190 s: ten seconds with the blanket off before that it can have been in the band."""
    e = _stood(4)
    times = np.concatenate([[-10.0], e.times])
    temps = np.concatenate([[300.0], e.temps[:, 0]])
    e = shown(temps, times=times, gap=50.0, stamp_step=1.0)
    cycle = dataclasses.replace(recipe(), segments=(dwell(dwell_least=limit(least)),))
    s = _dwell(e, cycle, 0, -10.0)
    assert rules_dwell._time(e, book_of(e), s) is outcome


# midnight


@pytest.mark.parametrize(
    ("hours", "days"),
    [
        ([22.0, 23.0, 0.0, 1.0], [0, 0, 1, 1]),
        ([22.0, 10.0], [0, 0]),  # half a day back is a clock set back
        ([22.0, 9.9], [0, 1]),
        ([9.0, 23.0, 9.1, 9.2], [0, -1, 0, 0]),  # a stamp that leaves the clock ahead, and comes back
        ([9.0, 23.0, 23.1, 23.2], [0, 0, 0, 0]),  # a gap of fourteen hours
        ([9.0, 21.0, 9.1], [0, 0, 0]),  # twelve hours ahead are no more than half a day
        ([23.9, 0.1, 23.95, 0.2, 0.3], [0, 1, 0, 1, 1]),  # rows about midnight that changed places
        ([9.0, 23.0, 23.1, 23.2, 23.3, 23.4, 0.1], [0, -1, -1, -1, -1, -1, 0]),  # back five rows after it
        (
            [9.0, 23.0, 23.1, 23.2, 23.3, 23.4, 23.5, 0.1],
            [0, 0, 0, 0, 0, 0, 0, 1],
        ),  # six: a gap, and midnight
    ],
)
def test_how_often_midnight_was_passed(hours: list[float], days: list[int]) -> None:
    assert days_passed(np.array(hours) * 3600.0).tolist() == days
