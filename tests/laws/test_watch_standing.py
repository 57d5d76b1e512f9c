"""The watch keeps saying what is out of its limits, also when it no longer moves: a look that comes late sees
what happened."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from judge_cases_watch import unjudged
from judge_lines import made as exact
from made_curelog import INHG, Made, made_cure
from panelmend.plan.judge import ChannelRole, CureLog, look
from panelmend.plan.judge import codes as c
from recipe_curelog import RECIPE, at, f, two_step


def seen(log: CureLog, until: float) -> dict[str, str]:
    rows = int(np.searchsorted(log.times, until, side="right"))
    channels = tuple(dataclasses.replace(x, values=x.values[:rows].copy()) for x in log.channels)
    part = dataclasses.replace(
        log, times=log.times[:rows].copy(), lines=log.lines[:rows].copy(), channels=channels
    )
    return {a.finding.code: a.finding.words for a in look(RECIPE, part).alarms}


def level(top: float) -> Made:
    """A cure whose hottest thermocouple comes up to ``top`` [K] in its dwell and stays there."""
    made = made_cure(1, noise=0.02)
    hot = made.temps.max(axis=1)
    begin = made.times[np.argmax(hot > f(245))] + 900.0
    share = np.clip((made.times - begin) / 600.0, 0, 1)
    made.temps[:, 0] += share * (top - made.temps[:, 0]) * (made.times < begin + 2400.0)
    return made


@pytest.mark.parametrize(("above", "told"), [(0.3, True), (-0.3, False)])
def test_heat_that_stands_above_the_top_of_the_band_is_a_stop_though_it_no_longer_rises(
    above: float, told: bool
) -> None:
    made = level(f(260) + above)
    made.temps[:, 0] = np.minimum(made.temps[:, 0], f(260) + above - 0.1 * np.abs(np.sin(made.times / 45.0)))
    at = made.times[np.argmax(made.temps[:, 0] >= f(260) + above - 0.15)] + 1200.0
    found = seen(made.log(), at)
    assert (c.TOP_NOW.code in found) is told, found
    if told:
        assert "TC1" in found[c.TOP_NOW.code]


def test_a_ceiling_that_was_passed_stays_on_the_screen() -> None:
    made = level(f(275) + 3.0)
    at = made.times[int(np.argmax(made.temps[:, 0]))]
    back = made.times[np.flatnonzero((made.times > at) & (made.temps[:, 0] < f(258)))[0]]
    assert c.TOP_NOW.code in seen(made.log(), at)
    late = seen(made.log(), back + 60.0)
    assert c.TOP_NOW.code not in late
    assert "TC1 stood at" in late[c.TOP_WAS.code]
    clean = made_cure(1)
    assert not {c.TOP_NOW.code, c.TOP_WAS.code} & set(seen(clean.log(), float(clean.times[-1])))


@pytest.mark.parametrize(("vacuum", "told"), [(21.9, True), (22.0, False)])
def test_vacuum_that_stands_below_its_least_is_a_stop_though_it_no_longer_falls(
    vacuum: float, told: bool
) -> None:
    made = made_cure(1)
    low = made.times > 3000.0
    made.vacuum[low] = vacuum * INHG + 20.0 * np.abs(np.sin(made.times[low] / 40.0)) * (0.0 if told else 1.0)
    made.vacuum[low] -= 20.0 * np.abs(np.sin(made.times[low] / 40.0)) * (1.0 if told else 0.0)
    found = seen(made.log(), 4200.0)
    assert (c.VACUUM_NOW.code in found) is told, found
    assert c.VACUUM_SOON.code not in found


def test_vacuum_is_not_asked_of_a_cold_bag_nor_after_the_release() -> None:
    made = made_cure(1, before=1200.0)
    made.vacuum[made.times < 1000.0] = 0.0
    assert c.VACUUM_NOW.code not in seen(made.log(), 900.0)
    assert c.VACUUM_NOW.code not in seen(made.log(), float(made.times[-1]))


def test_vacuum_that_is_no_longer_read_is_a_stop() -> None:
    made = made_cure(1)
    made.vacuum[made.times > 3900.0] = np.nan
    assert "not known" in seen(made.log(), 4200.0)[c.VACUUM_NOW.code]


@pytest.mark.parametrize(("below", "told"), [(0.3, True), (-0.3, False)])
def test_the_slowest_below_the_band_is_a_stop_though_it_no_longer_falls(below: float, told: bool) -> None:
    made = made_cure(1, noise=0.02)
    slowest = made.temps.min(axis=1)
    begin = made.times[np.argmax(slowest > f(240) + 0.5)] + 600.0
    inside = (made.times > begin) & (made.times < begin + 1800.0)
    made.temps[inside, 1] = f(240) - below + 0.02 * np.sin(made.times[inside] / 30.0)
    found = seen(made.log(), begin + 1500.0)
    assert (c.BAND_NOW.code in found) is told, found


def test_a_part_that_went_cold_in_its_dwell_stays_a_stop_to_the_end_of_the_log() -> None:
    """All fell out of the band at once: it was taken for the cool-down, and nothing was said any more."""
    made = made_cure(1)
    begin = made.times[np.argmax(made.temps.min(axis=1) > f(240))]
    made.temps -= np.clip((made.times - begin - 2400.0) / 900.0, 0.0, 1.0)[:, None] * 20.0
    log = made.log()
    for late in (3600.0, 4500.0, 6000.0, float(made.times[-1]) - begin):
        words = seen(log, begin + late)[c.LEFT_EARLY.code]
        assert "60.0 min required" in words
    assert c.LEFT_EARLY.code not in seen(log, begin + 2400.0), "still in its band"


@pytest.mark.parametrize(("least", "told"), [(1200.0, False), (7200.0, True)])
def test_a_dwell_left_for_a_hotter_one_too_early_is_told(least: float, told: bool) -> None:
    r = two_step()
    soak = dataclasses.replace(r.segments[1], dwell_least=at(least, "step 1"), dwell_most=None)
    r = dataclasses.replace(r, segments=(r.segments[0], soak, *r.segments[2:]))
    made = made_cure(1)
    reached = float(made.times[np.argmax(made.temps.min(axis=1) > f(180))])
    late = np.where(made.times > reached, np.maximum(reached, made.times - 1500.0), made.times)
    made.temps = np.column_stack([np.interp(late, made.times, x) for x in made.temps.T])
    made.temps += 0.01 * np.sin(made.times[:, None] / 9.0)
    found = {a.finding.code for a in look(r, made.log()).alarms}
    assert (c.LEFT_EARLY.code in found) is told, found


def test_no_segment_is_known_and_the_ceiling_is_watched_all_the_same() -> None:
    made = made_cure(1)
    names = [x for x in made.log().channels if x.role is ChannelRole.THERMOCOUPLE]
    assert names
    hot = np.full(40, f(300)) + 0.05 * np.sin(np.arange(40))
    channels = tuple(dataclasses.replace(x, values=hot + 0.1 * i) for i, x in enumerate(names))
    log = CureLog(np.arange(40) * 10.0, channels, started="2026-11-25T08:00:00")
    assert c.TOP_NOW.code in {a.finding.code for a in look(RECIPE, log).alarms}


@pytest.mark.parametrize(("time", "told"), [(2400.0, False), (4000.0, True), (8500.0, False)])
def test_a_cold_channel_that_is_not_judged_is_told_in_the_dwell_and_not_before_or_after(
    time: float, told: bool
) -> None:
    m = exact()
    own = 300.0 + (m.temps[:, 0] - 300.0) * 0.9
    found = {f.code: f.words for f in unjudged(m, None, own, time)}
    assert (c.UNJUDGED_OUT.code in found) is told
    if told:
        assert "Spare at 107.8 C, below 111.9 C" in found[c.UNJUDGED_OUT.code]


def test_shop_air_and_a_program_that_are_no_part_are_not_told() -> None:
    m = exact()
    mild = 300.0 + (m.temps[:, 0] - 300.0) * 0.3
    assert c.UNJUDGED_OUT.code not in {f.code for f in unjudged(m, ChannelRole.AIR, mild, 4000.0)}
    program = np.round(m.temps[:, 0] + 0.2, 1) + 8.0  # above the band and smooth
    found = unjudged(m, ChannelRole.SET_POINT, program, 4000.0)
    assert c.UNJUDGED_OUT.code not in {f.code for f in found}
