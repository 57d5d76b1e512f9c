"""Numbers and comparisons of the judge that faults planted once more changed unnoticed."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from made_curelog import Made
from panelmend.errors import InputError
from panelmend.plan.judge import CureLog, RecipeSegment, SegmentKind, find_faults, judge, look
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.faults_quiet import _go_on, quiet_faults
from panelmend.plan.judge.faults_vacuum import vacuum_faults
from panelmend.plan.judge.log import Channel, ChannelRole
from panelmend.plan.judge.no_readings import no_vacuum
from panelmend.plan.judge.pieces import place_of_least
from panelmend.plan.judge.rules_vacuum import _read_after
from panelmend.plan.judge.standing import _band
from panelmend.plan.judge.walk import _way_to_hotter


def words(m: Made, code: str) -> str:
    return next(f.finding.words for f in find_faults(m.log()) if f.finding.code == code)


@pytest.mark.parametrize("target", [-1.0, 0.0, math.inf, math.nan])
def test_a_target_is_a_temperature(target: float) -> None:
    with pytest.raises(InputError, match="target"):
        RecipeSegment("up", SegmentKind.RAMP, target, rate_window=300.0)


def test_missing_cells_are_counted_each() -> None:
    m = made()
    m.temps[500:502, 0] = np.nan
    assert "2 cells, the longest run 30 s" in words(m, c.MISSING.code)


def test_a_missing_vacuum_is_told_from_the_reading_before_to_the_one_after() -> None:
    m = made()
    m.vacuum[500] = np.nan
    assert "1 cells, the longest run 20 s" in words(m, c.V_MISSING.code)


def test_two_in_a_hundred_beyond_the_air_are_few() -> None:
    assert no_vacuum(np.concatenate([80e3 + np.arange(98.0), 9e5 + np.arange(2.0)])).sum() == 2


@pytest.mark.parametrize("missing", [0, 1, 3])
def test_a_dip_ends_with_the_next_vacuum_that_is_read(missing: int) -> None:
    vacuum = np.full(20, 80e3)
    vacuum[6 : 6 + missing] = np.nan
    e: Any = SimpleNamespace(vacuum=vacuum, times=10.0 * np.arange(20))
    assert _read_after(e, 5) == 10.0 * (6 + missing)
    vacuum[6:] = np.nan
    assert _read_after(e, 5) == 190.0


def test_a_clock_set_back_is_told_of_now() -> None:
    m = made()
    m.times = m.times - np.where(np.arange(m.times.size) >= 500, 3600.0, 0.0)
    (alarm,) = [a for a in look(recipe(), m.log()).alarms if a.finding.code == c.CLOCK_BACK.code]
    assert alarm.within == 0.0


def test_without_a_segment_there_is_no_band() -> None:
    e: Any = None
    assert _band(e, None, 0.0) == []


def test_a_column_with_few_readings_is_not_asked_for_its_noise() -> None:
    temps = 393.0 + np.random.default_rng(2).normal(0, 0.3, (23, 3)).round(1)
    temps[0] -= 50.0
    temps[6:18, 0] = 393.0
    log = CureLog(60.0 * np.arange(23), ())
    assert quiet_faults(log, "T1", temps[:, 0], temps[:, 1:]) == []


def test_half_of_the_others_go_on() -> None:
    noise = np.random.default_rng(3).normal(0, 0.3, (200, 1))
    quiet = noise.copy()
    quiet[100:120] = 0.0
    for count, told in ((1, False), (2, True)):
        others = np.column_stack([noise] * count + [quiet] * (3 - count))
        assert _go_on(others, 100, 119) is told


def test_what_may_count_ends_on_the_way_to_the_next_hotter_dwell() -> None:
    """The band's low end of the first hotter segment is where the way ends; its top is where it begins."""
    segments = tuple(
        RecipeSegment(n, SegmentKind.DWELL, t, band_low=limit(t - 5), dwell_least=limit(600.0))
        for n, t in (("one", 350.0), ("two", 380.0), ("three", 400.0))
    )
    r: Any = SimpleNamespace(segments=segments)
    times = 10.0 * np.arange(100)
    for reach, until in ((376.0, None), (374.0, 990.0)):
        # where it came as high as the next dwell asks, what comes after is that dwell's
        hot = np.interp(times, [0, 100, 500, 600, 700, 800, 990], [300, 350, 350, reach, 350, 350, reach])
        e: Any = SimpleNamespace(times=times, highest=hot)
        end = _way_to_hotter(e, r, 0, 100.0)
        middle = 0.5 * (350.0 + 380.0)
        rise = [500.0, 600.0] if until is None else [800.0, 990.0]
        crossed = float(np.interp(middle, [350.0, reach], rise))
        assert end == pytest.approx(crossed, abs=10.0), until
    e = SimpleNamespace(times=times, highest=np.full(100, 350.0))
    assert _way_to_hotter(e, r, 0, 100.0) == 990.0


def test_a_dwell_begins_where_the_first_thermocouple_enters_the_band() -> None:
    m = made()
    m.temps[:, 1] = np.interp(m.times - 300.0, m.times, m.temps[:, 1])
    row = next(s for s in judge(recipe(), m.log()).segments if s.kind == "dwell")
    first = float(np.interp(385.0, m.temps[:600, 0], m.times[:600]))
    assert row.start == pytest.approx(first, abs=10.0)


def test_the_least_of_a_long_column_is_looked_for_in_every_piece() -> None:
    values = np.full(200_000, 5.0)
    values[[10, 150_000, 190_000]] = 3.0, 1.0, 2.0
    assert place_of_least(values, np.ones(values.size, np.bool_)) == 150_000


def test_a_clock_without_a_date_goes_on_from_its_beginning() -> None:
    log = CureLog(np.array([0.0, 60.0]), (), started="T08:30:00")
    assert log.clock(60.0) == "08:31:00"


@pytest.mark.parametrize(("turns", "told"), [(True, True), (False, False)])
def test_a_gauge_that_only_changed_while_the_bag_was_pumped_may_stand(turns: bool, told: bool) -> None:
    """Of 5,400 readings of a sound cure none changed, after those of the pump-down had."""
    n = 400
    v = np.full(n, 84e3)
    v[:60] = 84e3 - 200.0 * np.arange(60)[::-1]
    if turns:
        v[:60] = 84e3 - 200.0 * (np.arange(60) % 2) - 100.0
    times = 30.0 * np.arange(n)
    log = CureLog(times, (Channel("V", ChannelRole.VACUUM, "pressure", v),))
    hot = np.full((n, 3), 390.0)
    found = vacuum_faults(log, log.channel("V"), hot)
    assert (c.FROZEN.code in {f.finding.code for f in found}) is told
