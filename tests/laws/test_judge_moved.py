"""Rows that lost a cell and were filled up at their end: readings under the wrong names are no evidence."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np
import pytest

from judge_lines import curve, limit, made, recipe
from made_curelog import Made
from panelmend.curelog import propose, read_log
from panelmend.plan.judge import ChannelRole, CureLog, Outcome, SensorRule, find_faults, judge
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.faults_moved import moved_faults

BEGUN = np.datetime64("2026-11-25T08:00:00")
APART = np.array([0.0, 0.9, 0.4, 1.6])  # K


def cure(step: float = 10.0) -> Made:
    """A cure with a set point above its four thermocouples, which have a noise of their own."""
    m = made()
    dice = np.random.default_rng(370)
    m.temps += APART + dice.normal(0.0, 0.05, m.temps.shape)
    m.set_point = np.round(m.temps[:, 0] + 2.4, 1)
    m.vacuum += dice.normal(0.0, 30.0, m.vacuum.size)
    return m


def written(
    m: Made,
    path: Path,
    rows: slice,
    without: int | None,
    *,
    filled: bool = True,
    again: bool = False,
    bag: bool = False,
) -> CureLog:
    """The log as a file in which some rows lost one cell (None: only their last) and were filled up again,
    with nothing or ``again`` with their last cell; ``bag``: the vacuum stands last."""
    names = ["Vacuum (mbar)", "T1 (C)", "T2 (C)", "T3 (C)", "T4 (C)", "Set point (C)"]
    lines = ["Time," + ",".join(names[1:] + names[:1] if bag else names)]
    for k, t in enumerate(m.times):
        cells = [f"{m.vacuum[k] / 100:.1f}", *(f"{x - 273.15:.2f}" for x in m.temps[k])]
        cells.append(f"{m.set_point[k] - 273.15:.1f}")
        cells = cells[1:] + cells[:1] if bag else cells
        if rows.start <= k < rows.stop:
            cells.pop(len(cells) - 1 if without is None else without + (not bag))
            cells += [cells[-1] if again else ""] if filled else []
        lines.append(",".join([str(BEGUN + np.timedelta64(round(t), "s")).replace("T", " "), *cells]))
    path.write_text("\n".join(lines) + "\n", "utf8")
    made_of_it = propose(path)
    given = {q.key: q.suggested for q in made_of_it.questions}
    given.update({k: "below ambient" for k in given if k.startswith("sense of")})
    return read_log(path, made_of_it.confirm(given))


def codes_of(log: CureLog) -> set[str]:
    return {f.finding.code for f in find_faults(log)}


ROWS = slice(500, 620)  # of the dwell


@pytest.mark.parametrize("without", [0, 1, 2, 3])
def test_a_row_filled_up_at_its_end_tells_nothing(without: int, tmp_path: Path) -> None:
    """The thermocouple whose cells were left out stood below the band meanwhile; one may be lost."""
    m = cure()
    m.temps[ROWS, without] -= 12.0
    how = recipe(dwell={"dwell_least": limit(3600.0)})
    how = dataclasses.replace(how, sensors=SensorRule(3, "table 1", may_fail=1))
    log = written(m, tmp_path / "log.csv", ROWS, without)
    assert c.MOVED.code in codes_of(log)
    assert judge(how, log).outcome is not Outcome.CONFORMS
    assert moved_faults(log, 60.0)[1].sum() == ROWS.stop - ROWS.start
    short = written(m, tmp_path / "short.csv", ROWS, without, filled=False)
    assert c.MOVED.code not in codes_of(short), "such rows are set aside when they are read"
    assert judge(how, short).outcome is not Outcome.CONFORMS


@pytest.mark.parametrize("bag", [False, True])
@pytest.mark.parametrize("without", [0, 1, 2, 3])
def test_a_row_filled_up_with_its_last_cell_once_more_tells_nothing(
    without: int, bag: bool, tmp_path: Path
) -> None:
    """It conformed: the thermocouple whose cells were left out stood below the band meanwhile."""
    m = cure()
    m.temps[ROWS, without] -= 12.0
    log = written(m, tmp_path / "log.csv", ROWS, without, again=True, bag=bag)
    assert log.ends_twice.sum() == ROWS.stop - ROWS.start
    assert c.MOVED.code in codes_of(log)
    assert moved_faults(log, 60.0)[1].sum() == ROWS.stop - ROWS.start
    assert judge(recipe(), log).outcome is not Outcome.CONFORMS


def test_a_row_that_ends_twice_by_itself_is_a_reading(tmp_path: Path) -> None:
    """A thermocouple beside its set point, both to a tenth, agrees now and then."""
    m = cure()
    m.temps = np.round(m.temps - 273.15, 1) + 273.15
    m.set_point = (
        np.round(m.temps[:, 3] - 273.15 + np.random.default_rng(1).normal(0.0, 0.2, m.times.size), 1) + 273.15
    )
    log = written(m, tmp_path / "log.csv", slice(0, 0), None)
    assert log.ends_twice.sum() > 50
    assert c.MOVED.code not in codes_of(log)


@pytest.mark.parametrize(("digit", "noise"), [(1.0, 0.2), (1.0, 0.5), (0.5, 0.5)])
def test_a_set_point_that_the_last_thermocouple_meets_by_itself_moves_nothing(
    digit: float, noise: float
) -> None:
    """In coarse digits sound rows were told as moved: of 216 such logs 98."""
    m = made()
    temps = (
        m.temps + np.array([0.0, 0.9, 0.4, -0.6]) + np.random.default_rng(0).normal(0, noise, m.temps.shape)
    )
    coarse = [np.round((x - 273.15) / digit) * digit + 273.15 for x in (temps, curve(m.times + 300.0))]
    log = dataclasses.replace(m, temps=coarse[0], set_point=coarse[1]).log()
    vacuum = [x for x in log.channels if x.role is ChannelRole.VACUUM]
    order = (*vacuum, *(x for x in log.channels if x.role is not ChannelRole.VACUUM))
    twice = order[-1].values == order[-2].values
    assert twice.sum() > 50
    assert not moved_faults(dataclasses.replace(log, channels=order, ends_twice=twice), 60.0)[0]


@pytest.mark.parametrize("rows", [ROWS, slice(0, 40), slice(60, 61), slice(900, 1200)])
def test_a_set_point_that_is_not_written_moves_nothing(rows: slice, tmp_path: Path) -> None:
    log = written(cure(), tmp_path / "log.csv", rows, None)
    assert np.isnan(log.channels[-1].values[rows]).all()
    assert c.MOVED.code not in codes_of(log)
    assert judge(recipe(), log).outcome is Outcome.CONFORMS


def test_rows_at_either_end_of_the_log_have_one_side_to_tell_by(tmp_path: Path) -> None:
    for rows in (slice(0, 30), slice(1170, 1200)):
        log = written(cure(), tmp_path / f"{rows.start}.csv", rows, 1)
        assert moved_faults(log, 60.0)[1].sum() == 30
        found = moved_faults(log, 60.0)[0]
        assert "30 rows" in found[0].finding.words
    all_of_it = written(cure(), tmp_path / "all.csv", slice(0, 1200), 1)
    assert moved_faults(all_of_it, 60.0) == ([], pytest.approx(np.zeros(1200)))


def test_a_last_channel_that_is_seldom_read_tells_nothing(tmp_path: Path) -> None:
    """Where most rows have no last cell, one that has none is as it should be."""
    for rows, told in ((slice(0, 599), True), (slice(0, 601), False)):
        log = written(cure(), tmp_path / f"{rows.stop}.csv", rows, 0)
        assert bool(moved_faults(log, 60.0)[0]) is told


def test_rows_further_apart_than_a_gap_tell_nothing_about_each_other(tmp_path: Path) -> None:
    for step, told in ((60.0, True), (61.0, False)):
        m = cure()
        m.times[ROWS.start :] += step - 10.0
        m.times[ROWS.stop :] += step - 10.0
        log = written(m, tmp_path / f"{step:.0f}.csv", ROWS, 0)
        assert bool(moved_faults(log, 60.0)[0]) is told


def test_five_rows_are_carried_on_and_three_held_against_them(tmp_path: Path) -> None:
    for rows, told in ((slice(494, 495), False), (slice(495, 496), True), (slice(502, 503), True)):
        m = cure()
        m.temps[rows] += 30.0
        found = moved_faults(written(m, tmp_path / "a.csv", slice(500, 512), None), 60.0)[0]
        assert bool(found) is told
    m = cure()
    m.temps[503] += 30.0
    m.temps[508] += 30.0
    assert not moved_faults(written(m, tmp_path / "b.csv", slice(500, 512), None), 60.0)[0]


def test_four_runs_are_named_and_all_set_aside(tmp_path: Path) -> None:
    log = written(cure(), tmp_path / "c.csv", slice(500, 501), 0)
    values = [x.values.copy() for x in log.channels]
    for at in (600, 700, 800, 900, 1000):
        for v in values:
            v[at] = v[500]
    channels = tuple(dataclasses.replace(x, values=v) for x, v in zip(log.channels, values, strict=True))
    found, out = moved_faults(dataclasses.replace(log, channels=channels), 60.0)
    assert len(found) == 4
    assert out.sum() == 6
