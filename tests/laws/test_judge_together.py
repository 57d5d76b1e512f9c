"""Several thermocouples, not all, that stop in one row and go on in one row: an input card that hung. A
reading each 10 s, written in tenths, with two tenths of noise unless said otherwise."""

from __future__ import annotations

import numpy as np
import pytest

from judge_case import noisy
from judge_lines import limit, made, recipe
from made_curelog import INHG, Made
from panelmend.plan.judge import CureLog, Outcome, VacuumRule, alarms, find_faults, judge
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.evidence import gather
from panelmend.plan.judge.faults_quiet import no_chance
from panelmend.plan.judge.faults_together import (
    Stay,
    _beyond_chance,
    _left_behind,
    _overlap,
    _stays,
    _warm,
    together_faults,
)

FIRST = 500  # a row in the dwell


def stopped(
    m: Made, columns: list[int], rows: int, first: int = FIRST, late: int = 0, longer: int = 0
) -> Made:
    """So many steps without a change; ``late``: the last column stops so many rows later; ``longer``: it goes
    on so many rows later."""
    for i in columns:
        a = first + (late if i == columns[-1] else 0)
        b = first + rows + (longer if i == columns[-1] else 0)
        m.temps[a : b + 1, i] = m.temps[a, i]
        m.temps[[a - 1, b + 1], i] = m.temps[a, i] + 0.3  # by chance nothing repeats beside it
    return m


def told(m: Made) -> list[str]:
    log = m.log()
    names = tuple(m.names)
    found = together_faults(log, names, m.temps)
    assert {f.finding.code for f in found} <= {c.STOOD_TOGETHER.code}
    assert all(f.lost and not f.sensor_lost and not f.doubt for f in found)
    return [f.channel for f in found]


RULE = VacuumRule(limit(22 * INHG))


@pytest.mark.parametrize(("sensors", "still"), [(3, 2), (4, 3), (5, 4), (6, 4), (8, 5), (8, 7)])
def test_a_part_that_went_cold_while_most_stood_does_not_conform(sensors: int, still: int) -> None:
    """All of them stop at 3,100 s; the places fall 25 K and are back before the readings go on."""
    how = recipe(vacuum=RULE)
    m = noisy(made(sensors=sensors))
    assert judge(how, m.log()).outcome is Outcome.CONFORMS
    rows = np.flatnonzero((m.times > 3100) & (m.times < 6500))
    fell = m.temps.copy()
    fell[:, :still] -= np.interp(m.times, [3200, 3500, 5700, 6000], [0, 25, 25, 0])[:, None]
    m.temps = fell.copy()
    assert judge(how, m.log()).outcome is Outcome.DOES_NOT
    m.temps[np.ix_(rows, range(still))] = fell[rows[0], :still]
    found = judge(how, m.log())
    assert found.outcome is Outcome.UNKNOWN
    assert [f.code for f in found.findings].count(c.STOOD_TOGETHER.code) == still


@pytest.mark.parametrize(("rows", "said"), [(29, False), (30, True)])  # 290 s and 300 s
def test_five_minutes(rows: int, said: bool) -> None:
    assert told(stopped(noisy(made()), [1, 2], rows)) == ["T2", "T3"] * said


@pytest.mark.parametrize(("rows", "said"), [(7, False), (8, True)])
def test_eight_rows_where_they_are_far_apart(rows: int, said: bool) -> None:
    """Two minutes between readings, noise of five digits."""
    m = noisy(made(), sigma=1.0)
    m.times = m.times * 12
    assert told(stopped(m, [1, 2], rows)) == ["T2", "T3"] * said


@pytest.mark.parametrize("columns", [[1], [1, 2], [0, 1, 2], [0, 1, 2, 3]])
def test_two_and_more_and_not_all(columns: list[int]) -> None:
    """One alone and all together are told by other rules."""
    m = stopped(noisy(made()), columns, 120)
    assert told(m) == ([f"T{i + 1}" for i in columns] if len(columns) in (2, 3) else [])
    codes = {f.finding.code for f in find_faults(m.log())}
    assert codes & {c.STUCK.code, c.STOOD_TOGETHER.code, c.FROZEN.code} == {
        {1: c.STUCK, 4: c.FROZEN}.get(len(columns), c.STOOD_TOGETHER).code
    }


@pytest.mark.parametrize("rows", [3, 4, 60])
def test_what_no_chance_explains_may_stop_and_go_on_one_by_one(rows: int) -> None:
    assert told(stopped(noisy(made()), [1, 2], 120, late=rows)) == ["T2", "T3"]
    assert told(stopped(noisy(made()), [1, 2], 120, longer=rows)) == ["T2", "T3"]


@pytest.mark.parametrize(("late", "said"), [(90, True), (91, False)])
def test_they_stand_together_for_five_minutes(late: int, said: bool) -> None:
    """Of 20 min each, 300 s and 290 s of them together; one alone is asked about."""
    m = stopped(noisy(made()), [1], 120)
    m = stopped(m, [2], 120, first=FIRST + late)
    assert told(m) == ["T2", "T3"] * said


def test_what_is_no_evidence_begins_behind_the_first_reading_and_ends_with_the_last() -> None:
    m = stopped(noisy(made()), [0, 1, 2], 120)
    first, *_ = together_faults(m.log(), tuple(m.names), m.temps)
    assert (first.time, first.until) == (m.times[FIRST + 1], m.times[FIRST + 120])
    assert (
        "T1: T1, T2, T3 stood at one value each, this one for 20 min, others went on" in first.finding.words
    )


def test_one_that_reads_nothing_goes_on_with_nothing() -> None:
    m = stopped(noisy(made()), [0, 1, 2], 120)
    m.temps[:, 3] = np.nan
    assert told(m) == []
    assert c.FROZEN.code in {f.finding.code for f in find_faults(m.log())}


@pytest.mark.parametrize(("above", "said"), [(9.95, False), (10.05, True)])
def test_what_stands_cold_is_not_looked_at(above: float, said: bool) -> None:
    """Warm by 10 K over its first reading."""
    m = noisy(made())
    m.temps[0] = np.round(m.temps[FIRST] - above, 4)
    m = stopped(m, [1, 2], 120)
    m.temps[0, :] = m.temps[FIRST, :] - above
    assert told(m) == ["T2", "T3"] * said


@pytest.mark.parametrize(("fell", "said"), [(4.9, False), (5.1, True)])
def test_in_whole_degrees_they_are_told_by_what_the_others_did_meanwhile(fell: float, said: bool) -> None:
    """No noise that a degree shows: two of four stand for 50 min, the others fall and come back."""
    m = made()
    m.temps = np.round(m.temps - 273.15) + 273.15
    rows = np.arange(FIRST, FIRST + 301)
    m.temps[np.ix_(rows, [2, 3])] = m.temps[FIRST, 2]
    m.temps[:, 2:] += np.where(np.isin(np.arange(m.times.size), [FIRST - 1, FIRST + 301]), 1.0, 0.0)[:, None]
    m.temps[rows, :2] = (
        m.temps[FIRST, :2] - np.interp(rows, [540, 600, 700, 760], [0, fell, fell, 0])[:, None]
    )
    assert told(m) == ["T3", "T4"] * said


@pytest.mark.parametrize(("late", "said"), [(3, True), (4, False), (-3, True), (-4, False)])
@pytest.mark.parametrize("end", [False, True])
def test_in_whole_degrees_they_stop_and_go_on_within_three_rows(late: int, said: bool, end: bool) -> None:
    m = made()
    m.temps = np.round(m.temps - 273.15) + 273.15
    level = m.temps[FIRST, 2]
    m.temps[:, :2] = (
        level - np.interp(np.arange(m.times.size), [540, 600, 700, 760], [0, 9.0, 9.0, 0])[:, None]
    )
    m.temps[:, 0] += np.arange(m.times.size) % 2  # the two of them together stand, each changes
    m.temps[:, 1] -= np.arange(m.times.size) % 2
    m.temps[0] = 294.0
    for i, by in ((2, 0), (3, late)):
        a, b = FIRST + (0 if end else by), FIRST + 300 + (by if end else 0)
        m.temps[a - 30 : b + 30, i] += np.where(np.arange(b - a + 60) % 2, 1.0, 0.0)
        m.temps[a : b + 1, i] = level
    assert told(m) == ["T3", "T4"] * said


@pytest.mark.parametrize(("rows", "said"), [(19, False), (20, True)])
def test_nineteen_rows_are_too_few_to_be_told_by_it(rows: int, said: bool) -> None:
    """A reading each minute, in whole degrees, the others 20 K down and back."""
    m = made()
    m.times = m.times * 6
    m.temps = np.round(m.temps - 273.15) + 273.15
    m.temps[FIRST : FIRST + rows + 1, 2:] = m.temps[FIRST, 2]
    m.temps[[FIRST - 1, FIRST + rows + 1], 2:] += 1.0
    half = FIRST + rows / 2
    m.temps[:, :2] -= np.interp(
        np.arange(m.times.size), [FIRST, half - 2, half + 2, FIRST + rows], [0, 20.0, 20.0, 0]
    )[:, None]
    assert told(m) == ["T3", "T4"] * said


def test_in_whole_degrees_places_that_rest_are_not_told() -> None:
    m = made()
    m.temps = np.round(m.temps - 273.15) + 273.15
    m.temps[FIRST + 50, 0] += 1.0
    assert told(m) == []


def test_of_two_thermocouples_none_is_told() -> None:
    """With one left nothing shows which is wrong: said by other rules."""
    assert told(stopped(noisy(made(sensors=2)), [0, 1], 120)) == []


@pytest.mark.parametrize("ago", [0, 1])
def test_the_watch_calls_as_long_as_they_stand(ago: int) -> None:
    m = stopped(noisy(made()), [0, 1, 2], 120)
    upto = FIRST + 121 + ago
    log: CureLog = Made(m.times[:upto], m.temps[:upto], m.vacuum[:upto], m.set_point[:upto], m.names).log()
    found = alarms.clock_now(gather(log, live=True))
    words = [a.finding.words for a in found if a.finding.code == c.STOOD_TOGETHER.code]
    assert len(words) == 1 - ago
    assert all("T1, T2, T3 for 20 min, others go on" in w for w in words)


def test_a_stay_by_its_rows_and_its_time() -> None:
    """Eight steps and five minutes; one that begins the log is one too."""
    times = np.arange(40.0) * 44.0
    for first, steps, stays in ((0, 8, 1), (20, 8, 1), (20, 7, 0)):
        values = np.arange(40.0)
        values[first : first + steps + 1] = 99.0
        found = _stays(times, values, 2)
        assert found == [Stay(first, first + steps, 2)] * stays
        assert not _stays(times * 0.85, values, 2), "299.2 s"


@pytest.mark.parametrize(
    ("rows", "step", "together"), [(8, 60.0, True), (7, 60.0, False), (30, 10.0, True), (29, 10.0, False)]
)
def test_two_stays_are_together_for_eight_steps_and_five_minutes(
    rows: int, step: float, together: bool
) -> None:
    one, other = Stay(100, 200, 1), Stay(200 - rows, 300, 2)
    times = np.arange(400.0) * step
    assert _overlap(times, one, other) is together
    assert _overlap(times, other, one) is together


@pytest.mark.parametrize(("reads", "said"), [(23, False), (24, True)])
def test_how_many_readings_tell_the_last_digit_of_one(reads: int, said: bool) -> None:
    """Noise of five digits before a stay of ten rows; of 23 readings nothing is known."""
    values = 350.0 + np.array([0.0, 7.0, 1.0, 9.0, 4.0, 11.0] * 3)[: reads - 10]
    values = np.append(values, np.full(10, 352.0))
    assert _beyond_chance(values, reads - 10, reads - 1) is said


def test_a_stay_is_weighed_as_a_stay_not_as_a_line() -> None:
    """Noise of eight tenths of a digit is too little for a line, and enough for 100 rows that stay."""
    values = np.round(350.0 + 0.1 * np.round(np.random.default_rng(3).normal(0.0, 0.8, 300)), 4)
    values[100:201] = 350.0
    assert no_chance(values, 0.1, 100, 200, stays=True)
    assert not no_chance(values, 0.1, 100, 200, stays=False)
    assert _beyond_chance(values, 100, 200)


def test_two_that_stop_one_after_the_other_are_told_beside_the_longest() -> None:
    """T3 stands for 40 min, T2 for its first ten and T4 for its last ten."""
    m = stopped(noisy(made(sensors=5)), [2], 240)
    m = stopped(stopped(m, [1], 60), [3], 60, first=FIRST + 180)
    assert told(m) == ["T2", "T3", "T4"]


def test_by_the_same_rows_two_are_enough_whose_noise_ends_there() -> None:
    """The two others go on, without noise, by four tenths."""
    m = stopped(noisy(made()), [1, 2], 120)
    m.temps[FIRST : FIRST + 121, 0] = m.temps[FIRST, 1] + np.round(np.linspace(0.0, 0.4, 121), 1)
    m.temps[FIRST : FIRST + 121, 3] = m.temps[FIRST, 2] - np.round(np.linspace(0.0, 0.4, 121), 1)
    assert told(m) == ["T2", "T3"]


@pytest.mark.parametrize(("row", "said"), [(120, True), (121, False)])
def test_one_that_changes_in_the_last_row_of_the_stay_goes_on(row: int, said: bool) -> None:
    m = stopped(noisy(made()), [1, 2], 120)
    m.temps[:, [0, 3]] = m.temps[FIRST, 1]
    m.temps[FIRST + row :, 3] += 0.1
    assert told(m) == ["T2", "T3"] * said


@pytest.mark.parametrize("quiet", [0, 3])
def test_stopped_one_after_the_other_one_that_keeps_its_noise_is_enough(quiet: int) -> None:
    m = stopped(noisy(made()), [1, 2], 120, late=60)
    m.temps[FIRST : FIRST + 181, quiet] = m.temps[FIRST, quiet] + np.arange(181) * 0.05
    assert told(m) == ["T2", "T3"]


def test_one_of_them_that_was_warm_is_enough() -> None:
    m = noisy(made())
    m = stopped(m, [1, 2], 120)
    m.temps[0, 2] = m.temps[FIRST, 2]
    assert told(m) == ["T2", "T3"]


@pytest.mark.parametrize(("first", "warm"), [(310.0, True), (309.75, False)])
def test_warm_is_ten_kelvins_above_the_first_reading(first: float, warm: bool) -> None:
    assert _warm(np.array([np.nan, 300.0, first]), 2) is warm


@pytest.mark.parametrize(("fell", "moved"), [(5.0, False), (5.25, True)])
def test_more_than_five_kelvins_are_a_move(fell: float, moved: bool) -> None:
    """Of straight lines, which have no noise, in the middle third of ten minutes."""
    times = 6000.0 + np.arange(61.0) * 10.0
    others = 350.0 - np.interp(times, [6200.0, 6400.0], [0.0, fell])
    temps = np.column_stack([others, others, np.full(61, 350.0), np.full(61, 350.0)])
    stays = [Stay(0, 60, 2), Stay(0, 60, 3)]
    assert _left_behind(times, temps, stays[0], stays) is moved


@pytest.mark.parametrize(("rows", "moved"), [(19, False), (20, True)])
def test_so_few_rows_show_no_move(rows: int, moved: bool) -> None:
    """A straight fall of 40 K meanwhile, late in the log."""
    times = np.arange(200.0) * 60.0
    others = 400.0 - 40.0 * np.clip((np.arange(200.0) - 100.0) / rows, 0.0, 1.0)
    temps = np.column_stack([others, others, np.full(200, 350.0), np.full(200, 350.0)])
    stays = [Stay(100, 100 + rows, 2), Stay(100, 100 + rows, 3)]
    assert _left_behind(times, temps, stays[0], stays) is moved
    still = np.full((200, 4), 350.0)
    assert not _left_behind(times, still, stays[0], stays), "nothing else goes on"


@pytest.mark.parametrize(("row", "moved"), [(60, False), (61, True)])
def test_one_that_changes_after_the_stay_is_none_of_those_that_moved(row: int, moved: bool) -> None:
    """One falls by 8 K; the other, where it counts, halves that."""
    times = np.arange(62.0) * 10.0
    one = 350.0 - np.interp(times, [200.0, 400.0], [0.0, 8.0])
    other = np.where(np.arange(62) >= row, 351.0, 350.0)
    temps = np.column_stack([one, other, np.full(62, 350.0), np.full(62, 350.0)])
    stays = [Stay(0, 60, 2), Stay(0, 60, 3)]
    assert _left_behind(times, temps, stays[0], stays) is moved
