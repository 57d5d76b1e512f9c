"""Rows cut short, by hand: what they are compared with, how many readings make one part of a sample, and
where in the table the time stands; times in two columns, flags far from their number, and broken stamps."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from panelmend.curelog import ColumnAs, ReadAs, propose, read_log
from panelmend.curelog.broken import BrokenRows
from panelmend.curelog.cells import Block, block_of
from panelmend.curelog.numerals import block_times, flagged_number
from panelmend.curelog.readas import TimeAs
from panelmend.curelog.unstamped import NO_SAMPLE, NO_STAMP, timed_by_place, unread_times
from panelmend.plan.judge.log import ChannelRole, CureLog

NAN = math.nan
AT = 30  # the row that is changed


def stamp(k: int) -> str:
    return f"2026-11-25 09:{k // 2:02d}:{30 * (k % 2):02d}"


def log_of(path: Path, head: str, row: str, changed: str, times: str = "") -> CureLog:
    """Sixty equal rows half a minute apart, of which the thirty-first is changed; {} stands for the time."""
    lines = [row.replace("{}", times.format(30 * k) or stamp(k)) for k in range(60)]
    lines[AT] = changed.replace("{}", times.format(30 * AT) or stamp(AT))
    file = path / "log.csv"
    file.write_text("\n".join([head, *lines]) + "\n", "utf8")
    made = propose(file)
    answers = {q.key: str(q.suggested or q.choices[0][0]) for q in made.questions}
    answers |= {k: "below ambient" for k in answers if k.startswith("sense of")}
    return read_log(file, made.confirm(answers))


def held(log: CureLog) -> list[str]:
    """Thermocouples [C] and vacuum [mbar] of each row that was left out."""
    table = [
        [float(v) / 100.0 if c.role is ChannelRole.VACUUM else float(v) - 273.15 for v in c.values]
        for c in log.left_out
    ]
    return sorted(str(tuple(round(x, 1) for x in row)) for row in zip(*table, strict=True))


def told(*rows: tuple[float, ...]) -> list[str]:
    return sorted(map(str, rows))


# what a row is compared with


def broken(*roles: ChannelRole) -> BrokenRows:
    """Of a table of a time, and one column of each role."""
    columns = tuple(ColumnAs(i, f"C{i}", role, "C") for i, role in enumerate(roles, 1))
    return BrokenRows(ReadAs("text", TimeAs((0,), "clock"), columns, len(roles) + 1))


def block(*lines: int) -> Block:
    """Whole rows, which say ten times the number of their line."""
    return Block(lines, [[stamp(n) for n in lines], [str(10 * n) for n in lines]])


@pytest.mark.parametrize(
    ("line", "span"),
    [
        (6, (40.0, 80.0)),  # two rows above, two below
        (4, (20.0, 70.0)),  # the first two of the block above it: none of the block before
        (3, (20.0, 1000.0)),  # one of this block
        (1, (20.0, 1000.0)),
        (11, (90.0, 100.0)),
        (10, (80.0, 90.0)),
    ],
)
def test_a_row_is_compared_with_two_above_and_two_below(line: int, span: tuple[float, float]) -> None:
    made = broken(ChannelRole.THERMOCOUPLE)
    made.take(block(98, 99, 100))
    assert made._last == [(stamp(99), "990"), (stamp(100), "1000")]
    lines = [n for n in (2, 3, 4, 5, 7, 8, 9, 10) if n != line]
    assert made._beside(block(*lines), line)[1] == span


def test_the_last_rows_of_the_block_before_stand_until_others_come() -> None:
    made = broken(ChannelRole.THERMOCOUPLE)
    assert made._beside(block(), 2) == []
    made.take(block(2))
    assert made._beside(block(), 3)[1] == (20.0, 20.0)
    made.take(block(3, 4))
    assert made._beside(block(), 5)[1] == (30.0, 40.0)
    made.take(Block(broken=[(5, [stamp(5)])]))
    assert made._beside(block(), 6)[1] == (30.0, 40.0), "no whole row came"
    made.take(block(6))
    assert made._beside(block(), 7)[1] == (60.0, 60.0)


def test_ten_thousand_rows_are_compared_and_no_more() -> None:
    made, beside = broken(ChannelRole.THERMOCOUPLE), block(2, 3)
    assert [bool(made._beside(beside, 4)) for _ in range(10_001)] == [True] * 10_000 + [False]


# how many readings a row must hold

FOUR = "Time,T1 (°C),T2 (°C),T3 (°C),Vacuum (mbar)"


@pytest.mark.parametrize(
    ("cells", "rows"),
    [
        ("Average,95.0", []),
        ("Average,95.0,95.0", [(95.0, 95.0, NAN, NAN)]),  # half of the four
        ("{},95.0", [(95.0, NAN, NAN, NAN), (NAN, NAN, NAN, 95.0)]),  # one behind a time
    ],
)
def test_half_of_the_readings_make_a_remark_part_of_a_sample(
    tmp_path: Path, cells: str, rows: list[tuple[float, ...]]
) -> None:
    assert held(log_of(tmp_path, FOUR, "{},81.0,82.0,83.0,850", cells)) == told(*rows)


@pytest.mark.parametrize(
    ("door", "rows"),
    [
        ("closed", [(93.0, NAN, NAN, NAN), (NAN, NAN, NAN, 93.0)]),
        ("-5", []),  # where the door has numbers, the word stands at none from either side
    ],
)
def test_a_word_that_stands_where_words_do_from_one_side_is_no_remark(
    tmp_path: Path, door: str, rows: list[tuple[float, ...]]
) -> None:
    """From the left it stands at T2; from the right at the door. A remark needs two readings."""
    log = log_of(tmp_path, FOUR + ",Door", "{},81.0,82.0,83.0,850," + door, "{},93.0,closed")
    assert held(log) == told(*rows)


def test_a_log_of_nothing_that_is_judged_keeps_no_row() -> None:
    made = broken(ChannelRole.SET_POINT)
    made.take(Block([2], [[stamp(2)], ["80.0"]], broken=[(3, [stamp(3)]), (4, ["Average"])]))
    assert made.lines().size == 0
    assert made.readings().shape == (0, 0)


def test_of_a_long_log_one_reading_is_held(tmp_path: Path) -> None:
    """Cut before its unit: T1 is named in it."""
    rows = [f"{stamp(k)},{n},{v}" for k in range(60) for n, v in (("T1", "81.0,°C"), ("T2", "82.0,°C"))]
    rows.insert(60, f"{stamp(30)},T1,93.0")
    file = tmp_path / "long.csv"
    file.write_text("\n".join(["Time,Channel,Value,Unit", *rows]) + "\n", "utf8")
    made = propose(file)
    assert made.read_as.long is not None
    log = read_log(file, made.confirm({q.key: str(q.suggested or q.choices[0][0]) for q in made.questions}))
    assert log.left_lines.tolist() == [62]
    assert held(log) == told((93.0, NAN))


# where the time stands


def test_a_time_from_the_start_is_no_temperature(tmp_path: Path) -> None:
    """T1 is missing and T2 too hot, so that both ways are held: from the right the 900 s stand at T1."""
    log = log_of(tmp_path, FOUR, "{},81.0,82.0,83.0,850", "{},95.0,83.0,850", "{}")
    assert held(log) == told((95.0, 83.0, 850.0, NAN), (NAN, 95.0, 83.0, 850.0))


def test_a_first_column_may_be_a_thermocouple(tmp_path: Path) -> None:
    """T1 is too hot for the rows beside it: held as the cells stand from the left, and from the right."""
    head = "T1 (°C),Time,T2 (°C),T3 (°C),Vacuum (mbar)"
    log = log_of(tmp_path, head, "81.0,{},82.0,83.0,850", "95.0,{},82.0,83.0")
    assert held(log) == told((95.0, 82.0, 83.0, NAN), (NAN, NAN, 82.0, 83.0))


def test_a_row_may_lack_the_time_in_the_last_column(tmp_path: Path) -> None:
    head = "T1 (°C),T2 (°C),T3 (°C),Vacuum (mbar),Time"
    log = log_of(tmp_path, head, "81.0,82.0,83.0,850,{}", "81.0,82.0,83.0,840")
    assert held(log) == told((81.0, 82.0, 83.0, 840.0))
    assert log.times.size == 59


@pytest.mark.parametrize(("half", "hour"), [("AM", 8.0), ("PM", 20.0)])
def test_a_half_of_the_day_in_a_column_of_its_own(half: str, hour: float) -> None:
    lines = [f"08:00:{k:02d},{half},81.0" for k in range(3)]
    made = block_of(lines, 2, ",", 3)
    assert made.plain is not None, "what is read the quick way where one column has all of the time"
    times = block_times(made, TimeAs((0, 1), "time of day"), ".", "")
    assert times.tolist() == [3600.0 * hour, 3600.0 * hour + 1.0, 3600.0 * hour + 2.0]


# flags and labels


@pytest.mark.parametrize(("spaces", "value"), [(35, 95.0), (36, NAN)])
def test_a_cell_of_forty_signs_may_be_a_number_with_a_flag(spaces: int, value: float) -> None:
    """A sign before it, and four of the number."""
    assert flagged_number(">" + " " * spaces + "95.0") == pytest.approx(value, nan_ok=True)


def test_words_with_a_space_or_a_point_are_no_time() -> None:
    assert unread_times(["Running average", "Avg.", "...", ""]).tolist() == [
        NO_SAMPLE, NO_SAMPLE, NO_STAMP, NO_STAMP,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("room", "back"),
    [
        (17.0, 0.0),
        (15.0, 0.0),  # a step and a half for the broken stamp alone
        (14.9, 5.1),  # of two steps
        (1.0, 19.0),
    ],
)
def test_the_clock_was_set_back_where_the_broken_stamps_alone_have_no_room(room: float, back: float) -> None:
    """Samples ten seconds apart; a broken stamp and a row without one, with no room for both."""
    times = np.array([0.0, 10.0, 20.0, NAN, NO_STAMP, 20.0 + room, 30.0 + room, 40.0 + room])
    made, lost = timed_by_place(times, 0.0)
    assert np.isnan(made[3:5]).all()
    assert lost == pytest.approx(back)


def test_no_clock_was_set_back_by_rows_without_a_stamp() -> None:
    times = np.array([0.0, 10.0, 20.0, NO_STAMP, NO_STAMP, 21.0, 31.0, 41.0])
    assert timed_by_place(times, 0.0)[1] == 0.0


@pytest.mark.parametrize(("second", "back"), [(NO_STAMP, 0.0), (NAN, 90.0)])
def test_stamps_of_whole_minutes_leave_a_minute_more_room(second: float, back: float) -> None:
    """Two samples in a minute, 30 s each: between two equal stamps lie up to 60 s. A broken stamp asks for
    45 s; two ask for 75 s, and three steps of 30 s were passed in none."""
    times = np.array([0.0, 0.0, 60.0, 60.0, 120.0, NAN, second, 120.0, 180.0])
    assert timed_by_place(times, 60.0)[1] == back
