"""What is held of rows with fewer or more cells than the table, by hand: in which way they are read."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from panelmend.curelog import propose, read_log
from panelmend.curelog.longform import Long
from panelmend.curelog.numerals import flagged_number
from panelmend.curelog.sniff import find_long
from panelmend.curelog.unstamped import NO_SAMPLE, NO_STAMP, timed_by_place, unread_times
from panelmend.plan.judge.log import ChannelRole, CureLog

NAN = math.nan
HEAD = "Time,T1 (°C),T2 (°C),T3 (°C),T4 (°C),Set point (°C),Vacuum (mbar)"
AT = 30  # the row that is changed; its line is two more: from 1, and the head


def stamp(k: int) -> str:
    return f"2026-11-25 09:{k // 2:02d}:{30 * (k % 2):02d}"


def log_of(path: Path, rows: dict[int, str], tail: str = "") -> CureLog:
    """A part that stays at 81 to 84 C under 850 mbar, 60 samples half a minute apart; some rows changed."""
    lines = [f"{stamp(k)},81.0,82.0,83.0,84.0,80.0,850{tail}" for k in range(60)]
    for k, row in rows.items():
        lines[k] = row
    file = path / "log.csv"
    file.write_text("\n".join([HEAD + tail, *lines]) + "\n", "utf8")
    made = propose(file)
    answers = {q.key: str(q.suggested or q.choices[0]) for q in made.questions}
    answers |= {k: "below ambient" for k in answers if k.startswith("sense of")}
    return read_log(file, made.confirm(answers))


def held(log: CureLog) -> list[tuple[float, ...]]:
    """T1 to T4 [C] and vacuum [mbar] of each row that was left out."""
    table = [
        [float(v) / 100.0 if c.role is ChannelRole.VACUUM else float(v) - 273.15 for v in c.values]
        for c in log.left_out
    ]
    return sorted((tuple(round(x, 1) for x in row) for row in zip(*table, strict=True)), key=str)


def told(*rows: tuple[float, ...]) -> list[str]:
    return sorted(map(str, rows))


@pytest.mark.parametrize(
    ("cells", "rows"),
    [
        # power lost behind the set point: nothing is shifted
        ("81.0,82.0,83.0,84.0,80.0", [(81.0, 82.0, 83.0, 84.0, NAN)]),
        # 81.6 is 2 % more than the set point of 80.0 beside, and may still be the next one
        ("81.0,82.0,83.0,84.0,81.6", [(81.0, 82.0, 83.0, 84.0, NAN)]),
        # 81.7 is no set point by the rows beside: read from the right, it is a vacuum
        ("81.0,82.0,83.0,84.0,81.7", [(81.0, 82.0, 83.0, 84.0, NAN), (NAN, 81.0, 82.0, 83.0, 81.7)]),
        # the set point is missing and the vacuum is lost: 300 is no set point
        ("81.0,82.0,83.0,84.0,300", [(81.0, 82.0, 83.0, 84.0, NAN), (NAN, 81.0, 82.0, 83.0, 300.0)]),
        # T1 is missing: from the right all fits the rows beside
        ("82.0,83.0,84.0,80.0,850", [(NAN, 82.0, 83.0, 84.0, 850.0)]),
        # T1 is missing and T2 too hot: no way fits, both are held
        ("95.0,83.0,84.0,80.0,850", [(95.0, 83.0, 84.0, 80.0, NAN), (NAN, 95.0, 83.0, 84.0, 850.0)]),
        # a number more at the end
        (
            "81.0,82.0,83.0,84.0,80.0,850,9",
            [(81.0, 82.0, 83.0, 84.0, 850.0), (82.0, 83.0, 84.0, 80.0, 9.0)],
        ),
        # words more at the end
        ("81.0,82.0,83.0,84.0,80.0,850,door open", [(81.0, 82.0, 83.0, 84.0, 850.0)]),
        # a time and one number, which may be the first or the last
        ("9.0", [(9.0, NAN, NAN, NAN, NAN), (NAN, NAN, NAN, NAN, 9.0)]),
        # words where numbers stand: an event, unless half of the five are numbers, 2.5
        ("ALARM,93.0", []),
        ("Set point changed,180,82", []),
        ("ALARM,93.0,93.0,93.0", [(NAN, 93.0, 93.0, 93.0, NAN)]),
        ("ALARM", []),
    ],
)
def test_in_which_way_a_row_is_read(tmp_path: Path, cells: str, rows: list[tuple[float, ...]]) -> None:
    log = log_of(tmp_path, {AT: f"{stamp(AT)},{cells}"})
    assert list(map(str, held(log))) == told(*rows)
    assert set(log.left_lines.tolist()) == ({AT + 2} if rows else set())
    assert log.times.size == 59


@pytest.mark.parametrize(
    ("row", "rows"),
    [
        ("# limit 88.0, 93.0", []),
        ("Average,95.0,95.0", []),  # two of five
        ("Average,95.0,95.0,95.0", [(95.0, 95.0, 95.0, NAN, NAN)]),
        ("09:1,95.0", [(95.0, NAN, NAN, NAN, NAN), (NAN, NAN, NAN, NAN, 95.0)]),  # what is left of a time
        ("Average,81.0,82.0,83.0,84.0", [(81.0, 82.0, 83.0, 84.0, NAN)]),
        # a label stands where the time does: from the left alone, whatever fits; without one both ways
        ("Average,41.0,42.0,43.0,44.0", [(41.0, 42.0, 43.0, 44.0, NAN)]),
        (",41.0,42.0,43.0,44.0", [(41.0, 42.0, 43.0, 44.0, NAN), (NAN, NAN, 41.0, 42.0, 44.0)]),
    ],
)
def test_rows_that_begin_with_no_time(tmp_path: Path, row: str, rows: list[tuple[float, ...]]) -> None:
    assert list(map(str, held(log_of(tmp_path, {AT: row})))) == told(*rows)


def test_rows_that_lack_empty_cells_at_their_end_are_whole(tmp_path: Path) -> None:
    def trimmed(k: int, vacuum: int = 840) -> str:
        return f"{stamp(k)},81.0,82.0,83.0,84.0,80.0,{vacuum}"

    three = {AT: trimmed(AT), AT + 1: trimmed(AT + 1) + ",", AT + 9: trimmed(AT + 9)}
    log = log_of(tmp_path, three, ",,")
    vacuum = next(c.values for c in log.channels if c.role is ChannelRole.VACUUM)
    assert (log.times.size, held(log), round(float(vacuum[AT + 1]) / 100.0, 6)) == (60, [], 840.0)
    # two may have lost power in their last cell: no samples, and what is left of 850 is asked about
    two = log_of(tmp_path, {AT: trimmed(AT), AT + 9: trimmed(AT + 9, 85)}, ",,")
    assert (two.times.size, two.left_lines.tolist().count(AT + 2)) == (58, 1)
    assert 85.0 in [row[4] for row in held(two)]
    # one that lacks a reading is not whole
    short = log_of(tmp_path, {**three, AT + 4: trimmed(AT + 4).rsplit(",", 1)[0]}, ",,")
    assert (short.times.size, list(map(str, held(short)))) == (59, told((81.0, 82.0, 83.0, 84.0, NAN)))
    # nor are they where others have something in the cells that they lack
    other = log_of(tmp_path, {**three, AT + 5: trimmed(AT + 5) + ",x,"}, ",,")
    assert other.times.size == 57


# whole rows whose time cannot be read


def test_what_stands_for_a_time_that_cannot_be_read() -> None:
    cells = ["Average", "Maximum", "2026-11-2", "Interval 09:15", "", "?", "--:--", "NaN", " "]
    found = unread_times(cells)
    assert np.isnan(found[2:4]).all()
    assert found[[0, 1]].tolist() == [NO_SAMPLE] * 2
    assert found[4:].tolist() == [NO_STAMP] * 5


@pytest.mark.parametrize(
    ("times", "made", "back"),
    [
        # steps of 10 s: a row between 10 and 20 has no room: of a broken stamp the clock was set back
        ([0.0, 10.0, NAN, 20.0, 30.0], NAN, 10.0),
        ([0.0, 10.0, NO_STAMP, 20.0, 30.0], NAN, 0.0),
        ([0.0, 10.0, NO_SAMPLE, 20.0, 30.0], NAN, 0.0),
        # with room it is a sample, unless words say that it is none
        ([0.0, 10.0, NAN, 30.0, 40.0], 20.0, 0.0),
        ([0.0, 10.0, NO_STAMP, 30.0, 40.0], 20.0, 0.0),
        ([0.0, 10.0, NO_SAMPLE, 30.0, 40.0], NAN, 0.0),
        # a broken stamp in the room of one step, with an average beside it
        ([0.0, 10.0, NAN, NO_SAMPLE, 30.0, 40.0], 20.0, 0.0),
        # two rows in the room of one: the clock may have stood right, if only one of them is a sample
        ([0.0, 10.0, NAN, NO_STAMP, 30.0, 40.0], NAN, 0.0),
        ([0.0, 10.0, NAN, NAN, 30.0, 40.0], NAN, 10.0),
    ],
)
def test_only_broken_stamps_set_a_clock_back(times: list[float], made: float, back: float) -> None:
    found, lost = timed_by_place(np.array(times), 0.0)
    assert (found[2], lost) == pytest.approx((made, back), nan_ok=True)
    assert np.isfinite(found[np.isfinite(times)]).all()


@pytest.mark.parametrize(
    ("label", "rows", "back"),
    [("Average", 60, 0.0), ("", 60, 0.0), ("09:1?", 60, 30.0), ("2026-11-25 09:15:00", 61, 0.0)],
)
def test_a_row_of_averages_is_held_and_sets_no_clock_back(
    tmp_path: Path, label: str, rows: int, back: float
) -> None:
    average = f"{label},81.0,82.0,83.0,95.0,80.0,850"
    log = log_of(tmp_path, {AT: f"{stamp(AT)},81.0,82.0,83.0,84.0,80.0,850\n{average}"})
    assert (log.times.size, log.set_back) == (rows, back)
    assert held(log) == ([(81.0, 82.0, 83.0, 95.0, 850.0)] if rows == 60 else [])


# numbers with a flag


@pytest.mark.parametrize(
    ("cell", "decimal", "value"),
    [
        ("95.0 H", ".", 95.0),
        ("95.0H", ".", 95.0),
        ("-9.0 LO", ".", -9.0),
        ("9,5 LO", ",", 9.5),
        (">95.0", ".", 95.0),
        ("95.0 *", ".", 95.0),
        ("9.0 LOW-LOW", ".", 9.0),  # eight signs behind it
        ("9.0 LOW- LOW", ".", NAN),  # nine
        ("95.0", ".", NAN),  # a number is read as it is
        ("203 F", ".", NAN),  # in another unit than its column it stays no reading
        ("OL", ".", NAN),
        ("Err 7", ".", NAN),  # a code of a fault
        ("09:15", ".", NAN),
        ("1-2", ".", NAN),
        ("", ".", NAN),
    ],
)
def test_the_number_at_a_flag(cell: str, decimal: str, value: float) -> None:
    assert flagged_number(cell, decimal) == pytest.approx(value, nan_ok=True)


@pytest.mark.parametrize(
    ("cells", "rows"),
    [
        ("95.0 H,82.0,83.0,84.0,80.0,850", [(95.0, NAN, NAN, NAN, NAN)]),
        ("81.0,82.0,83.0,84.0,80.0,300 LO", [(NAN, NAN, NAN, NAN, 300.0)]),
        ("81.0,82.0,>93.5,84.0,80.0,300 LO", [(NAN, NAN, 93.5, NAN, NAN), (NAN, NAN, NAN, NAN, 300.0)]),
        ("81.0,82.0,83.0,84.0,80.0 H,850", []),  # a set point is not judged
        ("OL,82.0,83.0,84.0,80.0,850", []),
        # in a broken row it is no word
        ("95.0 H", [(95.0, NAN, NAN, NAN, NAN), (NAN, NAN, NAN, NAN, 95.0)]),
        ("81.0,95.0 H", [(81.0, 95.0, NAN, NAN, NAN), (NAN, NAN, NAN, NAN, 95.0)]),
    ],
)
def test_a_flagged_reading_is_held(tmp_path: Path, cells: str, rows: list[tuple[float, ...]]) -> None:
    log = log_of(tmp_path, {AT: f"{stamp(AT)},{cells}"})
    assert list(map(str, held(log))) == told(*rows)
    assert set(log.left_lines.tolist()) == ({AT + 2} if rows else set())
    whole = cells.count(",") == 5
    assert log.times.size == (60 if whole else 59)
    if whole and cells.startswith("95.0 H"):
        assert math.isnan(log.channel("T1 (°C)").values[AT])


# one reading in a row


def long_log(path: Path, change: Callable[[list[str]], None]) -> CureLog:
    names = [("T1", "81.0,°C"), ("T2", "82.0,°C"), ("Vacuum", "25.0,inHg")]
    rows = [f"{stamp(k)},{name},{value}" for k in range(60) for name, value in names]
    change(rows)
    file = path / "long.csv"
    file.write_text("\n".join(["Time,Channel,Value,Unit", *rows]) + "\n", "utf8")
    made = propose(file)
    assert made.read_as.long is not None
    answers = {q.key: str(q.suggested or q.choices[0]) for q in made.questions}
    return read_log(file, made.confirm(answers | {"sense of Vacuum": "below ambient"}))


def test_a_long_row_without_its_channel_is_held_of_each(tmp_path: Path) -> None:
    log = long_log(tmp_path, lambda rows: rows.insert(90, f"{stamp(30)},,93.0,°C"))
    assert (log.times.size, [c.name for c in log.channels]) == (60, ["T1", "T2", "Vacuum"])
    assert log.left_lines.tolist() == [92]
    assert [round(float(c.values[0]) - 273.15, 2) for c in log.left_out[:2]] == [93.0, 93.0]


def test_a_head_that_comes_again_leaves_a_long_log_one(tmp_path: Path) -> None:
    def power_lost(rows: list[str]) -> None:
        rows[90] = rows[90][:-4]  # its unit, and the last digit
        rows.insert(91, "Time,Channel,Value,Unit")

    log = long_log(tmp_path, power_lost)
    assert (log.times.size, [c.name for c in log.channels]) == (60, ["T1", "T2", "Vacuum"])
    assert np.isnan(log.channel("T1").values[30])
    assert all(np.isfinite(c.values[29]) and np.isfinite(c.values[31]) for c in log.channels)


@pytest.mark.parametrize(("lacking", "long"), [(17, True), (18, False)])  # of 180 rows: less than one in ten
def test_how_many_rows_of_a_long_log_may_lack_their_channel(lacking: int, long: bool) -> None:
    rows = [[stamp(k // 3), f"T{k % 3}" if k >= lacking else "", "81.0", "°C"] for k in range(180)]
    assert (find_long(rows, ".") is not None) == long


def test_a_table_whose_remarks_have_gaps_is_none_of_one_reading_in_a_row() -> None:
    rows = [[stamp(k), "81.0", ["on", "off", "on", ""][3 if k == 9 else k % 2]] for k in range(60)]
    assert find_long(rows, ".") is None


def test_a_head_may_say_another_unit_where_none_stands_beside_the_readings() -> None:
    head, reading = ["Time", "Channel", "Value (°F)", "Unit"], [stamp(1), "T9", "81.0", "°C"]
    beside, none = Long(1, 2, ("T1",), 3, ("°C",)), Long(1, 2, ("T1",))
    assert [x.of_channel(reading) for x in (beside, none)] == [True, True]
    assert [x.of_channel(head) for x in (beside, none)] == [False, True]
    assert not none.of_channel([stamp(1), " ", "81.0", "°C"])
