"""Rows of a log that were drawn, filled up or moved, and joints, at the very edges of what tells
them: each outcome is written by hand for rows that lie exactly on the edge, and beside it."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from judge_channels import codes_told as _told
from judge_channels import log_of_columns as _log
from panelmend.plan.judge import (
    codes,
    faults_drawn,
    faults_filled,
    faults_frozen,
    faults_joint,
    faults_moved,
    faults_replayed,
)
from panelmend.plan.judge.log import FloatArray

NAN = float("nan")


# rows on straight lines: a reading each five seconds, which counts as unbroken for a minute


def _rows(*parts: int) -> list[float]:
    """So many rows that go up and down by a hundred kelvins, then so many at one level, and so on."""
    out = [300.0]
    for i, n in enumerate(parts):
        out += [350.0] * n if i % 2 else [400.0 if k % 2 == 0 else 300.0 for k in range(n)]
    return out


def _drawn(rows: list[float], missing: int = 0) -> tuple[list[str], int]:
    temps = np.column_stack([np.array(rows) + k for k in range(3)])
    temps[1 : 1 + missing, 2] = NAN
    times = np.arange(len(rows)) * 5.0
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(faults_drawn, "digit_of", lambda values: 1.0)
        found, out = faults_drawn.drawn_faults(_log(times), temps, np.zeros(len(rows), np.bool_))
    return _told(found), int(out.sum())


@pytest.mark.parametrize(("level", "told"), [(13, False), (14, True)])
def test_a_line_of_more_than_a_minute_is_told(level: int, told: bool) -> None:
    assert _drawn(_rows(61, level, 41)) == ([codes.DRAWN.code] * told, (level - 2) * told)


def test_a_line_of_a_minute_with_a_bend_behind_it_is_none() -> None:
    rows = _rows(61, 13, 41)
    at = 1 + max(i for i, x in enumerate(rows) if x == 350.0)
    assert _drawn([*rows[:at], 352.0, *rows[at + 1 :]]) == ([], 0)
    assert _drawn([*rows[:at], 350.0, *rows[at + 1 :]]) == ([codes.DRAWN.code], 12)


@pytest.mark.parametrize(("level", "told"), [(13, 0), (14, 16)])
def test_rows_that_are_straight_for_a_minute_at_a_time_show_what_chance_does(level: int, told: int) -> None:
    """Longer ones are looked at themselves and show none: of those that are told four are named."""
    found, rows = _drawn(_rows(61, *([level, 3] * 15), 25, 41))
    assert (len(found), rows) == (min(told, 4), told and 15 * (level - 2) + 23)


def test_a_surprise_at_its_limit_is_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Twelve rows of three channels of which less than one in a thousand lies straight."""
    limit = 12 / 3.0 * -float(np.log(np.full(3, 1e-3)).sum())
    for surprise, told in ((limit, True), (float(np.nextafter(limit, np.inf)), False)):
        monkeypatch.setattr(faults_drawn, "SURPRISE", surprise)
        assert len(_drawn(_rows(61, 14, 41))[0]) == told


@pytest.mark.parametrize("rows", [200])
def test_a_channel_read_in_nine_of_ten_rows_shows_no_line(rows: int) -> None:
    made = _rows(101, 40, 61)
    made = made[:rows] if len(made) >= rows else [*made, *made[1 : 1 + rows - len(made)]]
    assert len(made) == rows
    assert len(_drawn(made, missing=20)[0]) == 0
    assert len(_drawn(made, missing=19)[0]) == 1


@pytest.mark.parametrize(
    ("first", "last", "warm"),
    [(310.0, 310.0, False), (310.5, 300.0, True), (300.0, 310.5, True), (300.0, 300.0, False)],
)
def test_a_line_with_a_warm_end_is_warm(first: float, last: float, warm: bool) -> None:
    assert faults_drawn._warm([np.array([NAN, 300.0, first, last])] * 3, 2, 3) is warm


@pytest.mark.parametrize(
    ("first", "last", "found"), [(0, 6, None), (0, 7, (0, 7)), (10, 16, None), (10, 17, (10, 17))]
)
def test_a_line_is_of_more_than_six_steps(first: int, last: int, found: tuple[int, int] | None) -> None:
    times, values = np.arange(20.0), np.full(20, 300.0)
    assert faults_drawn.line_between(times, [values], [0.1], first, last, 0) == found
    assert faults_drawn.line_between(np.zeros(20), [values], [0.1], first, last, 0) is None


# rows filled up with the readings of the row before


def _filled(
    groups: list[int], third: Any = None, *, stamp: float = 0.0, more: Any = None
) -> faults_filled.FilledRows:
    """Readings of which each is repeated so many times, whichever way they would be told."""
    times = np.arange(sum(groups)) * 10.0
    base = np.repeat(300.0 + 8.0 * np.arange(len(groups)), groups)
    columns = [base, base + 1.0, base + 2.0 if third is None else third(base)]
    temps = np.column_stack([*columns, *([more(base)] if more else [])])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            faults_filled, "_jumped", lambda log, temps, begins, ends: np.ones(begins.size, np.bool_)
        )
        return faults_filled.filled_faults(
            _log(times, stamp_step=stamp), temps, np.zeros(times.size, np.bool_)
        )


@pytest.mark.parametrize(("read", "told"), [(24, False), (25, True)])
def test_rows_are_filled_in_three_channels_read_in_more_than_half_of_them(read: int, told: bool) -> None:
    found = _filled([3] * 16, lambda base: np.where(np.arange(48) < read, base, NAN))
    assert (bool(found.faults), bool(found.couples.any())) == (told, told)


def test_a_channel_read_in_few_rows_hides_no_row_that_was_filled() -> None:
    found = _filled([3] * 16, more=lambda base: np.where(np.arange(48) < 20, 300.0 + np.arange(48), NAN))
    assert int(found.couples.sum()) == 30  # two of three rows, but for the last


@pytest.mark.parametrize(("stamp", "told"), [(5.0, False), (4.0, True)])
def test_rows_no_further_apart_than_a_gap_are_not_told(stamp: float, told: bool) -> None:
    """Two and a half steps and what the stamps blur: thirty seconds from reading to reading."""
    assert bool(_filled([3] * 16, stamp=stamp).couples.any()) is told


@pytest.mark.parametrize(("groups", "step"), [([3, 1] * 12, 10.0), ([3, 1] * 10 + [4, 4, 1], 30.0)])
def test_the_step_is_that_between_the_others_once_more_than_half_are_filled(
    groups: list[int], step: float
) -> None:
    found = _filled(groups)
    assert bool(found.couples.mean() > 0.5) is (step == 30.0)
    assert found.step == step


def _chance(channels: int, moved: int, read: int, blank: int = 0) -> bool:
    """Whether a stay of ten rows is told among rows that all change; in the row that ends it so many of those
    read move; ``blank`` rows without a reading come shortly before."""
    temps = np.column_stack([300.0 + k + (np.arange(80) % 9) * 2.0 for k in range(channels)])
    temps[39 - blank : 39] = NAN
    temps[40:50] = temps[39]
    temps[50] = temps[39]
    temps[50, :moved] += 1.0
    temps[50, read:] = NAN
    still = faults_frozen.still_rows(temps)
    still[50] = False
    found = faults_filled._no_chance(temps, still, np.array([40]), np.array([49]))
    return bool(found[0])


def test_a_stay_ends_where_half_of_what_is_read_moves() -> None:
    assert _chance(4, 2, 4)
    assert not _chance(4, 1, 4)
    assert _chance(4, 1, 2)  # two are missing in that row
    assert not _chance(4, 1, 3)
    assert _chance(3, 3, 3, blank=4)  # rows without a reading are none of those beside it


@pytest.mark.parametrize(("after", "told"), [(330.0, True), (331.0, False)])
def test_a_jump_is_quicker_than_the_five_rows_behind_it(after: float, told: bool) -> None:
    """Ten kelvins in ten seconds are two and a half times as quick as twenty in fifty."""
    values = np.array([*[300.0] * 6, 310.0, 310.0, 310.0, 310.0, 320.0, after, 400.0, 500.0])
    found = _jumped(values, 1, 5)
    assert found is told


def _jumped(values: FloatArray, begin: int, end: int) -> bool:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(faults_filled, "digit_of", lambda values: 1.0)
        temps = np.column_stack([values, values + 1.0])
        log = _log(np.arange(values.size) * 10.0)
        return bool(faults_filled._jumped(log, temps, np.array([begin]), np.array([end]))[0])


def test_a_jump_needs_a_row_behind_it() -> None:
    jump = np.array([300.0, 300.0, 310.0, 310.0, 310.0])
    assert _jumped(jump, 1, 1)
    assert _jumped(jump[:4], 1, 1)
    assert not _jumped(jump[:3], 1, 1)
    assert _jumped(np.array([300.0, 300.0, 303.0, 303.0]), 1, 1)
    assert not _jumped(np.array([300.0, 300.0, 302.5, 302.5]), 1, 1)


def test_further_stretches_are_said_from_the_first_of_them_on() -> None:
    begins = np.arange(10) * 10 + 1
    found = list(faults_filled._said(_log(np.arange(101) * 10.0), begins, begins + 6, 10.0))
    assert [f.time for f in found] == [k * 100.0 for k in range(9)]
    assert "2 further stretches" in found[-1].finding.words


# rows that stand one column too far to the left


def _moved(columns: list[list[float]], kinds: str = "") -> int:
    found, out = faults_moved.moved_faults(_log(np.arange(len(columns[0])) * 10.0, columns, kinds), 60.0)
    assert len(found) == len(list(faults_moved.runs(out)))
    return int(out.sum())


def test_rows_moved_in_two_channels_tell_nothing() -> None:
    def column(level: float, odd: float) -> list[float]:
        return [level] * 10 + [odd] + [level] * 9

    two = [column(300.0, 320.0), column(320.0, NAN)]
    assert _moved(two) == 0
    assert _moved([column(300.0, 320.0), column(320.0, 340.0), column(340.0, NAN)]) == 1


@pytest.mark.parametrize(("missing", "told"), [(10, 10), (11, 0)])
def test_a_last_channel_is_read_in_half_of_the_rows(missing: int, told: int) -> None:
    kept = 20 - missing
    columns = [[a] * kept + [b] * missing for a, b in ((300.0, 320.0), (320.0, 340.0), (340.0, NAN))]
    assert _moved(columns) == told


@pytest.mark.parametrize(("first", "second", "told"), [(301.0, 304.0, 1), (300.875, 303.875, 0)])
def test_a_row_stands_where_it_should_when_it_lies_twice_as_near(
    first: float, second: float, told: int
) -> None:
    """One kelvin from its own course and two from the next is not nearer than that."""
    assert _moved([[300.0, first], [303.0, second], [306.0, NAN]]) == told


def _off_course(read: list[float], own: list[float], kinds: str) -> bool:
    log = _log(np.arange(8.0), [[x] * 8 for x in own], kinds)
    warm = np.array([c.kind == "temperature" for c in log.channels])
    return faults_moved._off_course(log, np.array(read)[:, None], np.array(own)[:, None], warm)


@pytest.mark.parametrize(
    ("kinds", "read", "own", "told"),
    [
        ("TTV", [300.0, 305.0, 8e4], [300.0, 300.0, 8e4], False),  # five kelvins beside another kind
        ("TTV", [300.0, 305.5, 8e4], [300.0, 300.0, 8e4], True),
        ("TVT", [300.0, 75e3, 400.0], [300.0, 80e3, 400.0], False),  # and five thousand pascals
        ("TVT", [300.0, 74.5e3, 400.0], [300.0, 80e3, 400.0], True),
        ("TTS", [300.0, 300.5, 400.0], [300.0, 300.0, 400.0], False),  # half a kelvin beside a set point
        ("TTS", [300.0, 300.75, 400.0], [300.0, 300.0, 400.0], True),
        ("TTT", [300.25, 300.5, 300.5], [300.0, 300.25, 300.5], True),  # half a kelvin in all
        ("TTT", [300.125, 300.375, 300.5], [300.0, 300.25, 300.5], False),
        ("TTT", [300.5, 301.0, 301.0], [300.0, 300.5, 301.5], True),  # a half of what the own ones are off
        ("TTT", [300.5, 301.0, 301.0], [300.0, 300.5, 301.625], False),
    ],
)
def test_rows_that_end_twice_and_are_off_their_course(
    kinds: str, read: list[float], own: list[float], told: bool
) -> None:
    assert _off_course(read, own, kinds) is told


def test_rows_beside_a_change_are_those_of_the_log_no_further_apart_than_a_gap() -> None:
    log = _log([0.0, 60.0, 120.0, 181.0, 200.0, 220.0], [[1.0] * 6])
    assert faults_moved._rows(log, 0, 1, 60.0).tolist() == [0, 1, 2]
    assert faults_moved._rows(log, 3, 1, 60.0).tolist() == [3, 4, 5]
    assert faults_moved._rows(log, 2, -1, 60.0).tolist() == [2, 1, 0]


# jumps and joints


@pytest.mark.parametrize(("by", "told"), [(38.0, False), (38.5, True), (-13.0, False), (-13.5, True)])
def test_all_jump_by_more_than_a_part_can_follow(by: float, told: bool) -> None:
    """In ten seconds thirty kelvins up and five down, and eight more."""
    temps = np.array([[300.0, 320.0], [300.0 + by, 320.0 + by], [300.0 + by, 320.0 + by]])
    found = faults_joint.jump_faults(_log([0.0, 10.0, 20.0]), temps, 60.0)
    assert [(f.finding.code, f.time) for f in found] == [(codes.JUMPED.code, 10.0)] * told


def test_a_log_without_a_sample_has_no_joint() -> None:
    assert faults_joint.joined_faults(_log([]), np.empty((0, 3)), 60.0) == []
    assert faults_joint.jump_faults(_log([]), np.empty((0, 3)), 60.0) == []


@pytest.mark.parametrize(("read", "told"), [(90, 0), (91, 1)])
def test_a_joint_is_told_by_three_that_read_in_more_than_nine_of_ten_rows(read: int, told: int) -> None:
    temps = np.column_stack([np.full(100, 350.0), np.full(100, 355.0), np.full(100, 360.0)])
    temps[50:, 0] += 4.0
    temps[50:, 2] -= 4.0
    temps[read:, 2] = NAN
    found = faults_joint.joined_faults(_log(np.arange(100) * 10.0), temps, 60.0)
    assert [(f.finding.code, f.time) for f in found] == [(codes.JOINED.code, 500.0)] * told


def test_lines_that_meet_half_way_between_two_rows_do_not_lie_apart() -> None:
    times = np.arange(8.0)
    bent = np.maximum(0.0, times - 3.5)
    apart = faults_joint._apart(
        times, np.column_stack([300.0 + bent, 300.0 + 0.0 * times, 300.0 - bent]), 4, 60.0
    )
    assert apart == pytest.approx([0.0], abs=1e-9)
    step = np.where(times > 3.5, 1.0, 0.0)
    apart = faults_joint._apart(
        times, np.column_stack([300.0 + step, 300.0 + 0.0 * times, 300.0 - step]), 4, 60.0
    )
    assert apart == pytest.approx([np.sqrt(0.5)], rel=1e-9)


# readings that come twice


@pytest.mark.parametrize(("channels", "rows", "told"), [(3, 12, 1), (3, 11, 0), (2, 30, 0)])
def test_a_dozen_rows_of_three_thermocouples_come_twice(channels: int, rows: int, told: int) -> None:
    """Two channels never tell it: eleven steps of two are fewer than 24 changes."""
    random = np.random.default_rng(1)
    temps = 300.0 + np.round(random.normal(0.0, 5.0, (100, channels)), 3)
    temps[60 : 60 + rows] = temps[10 : 10 + rows]
    found, out = faults_replayed.replayed_faults(_log(np.arange(100) * 10.0), temps)
    assert (len(found), int(out.sum())) == (told, rows * told)
