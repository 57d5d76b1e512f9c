"""Small parts of the cure log's reader, each at its limit and just past it, worked out by hand."""

from __future__ import annotations

import math
from datetime import timedelta

import numpy as np
import pytest

from panelmend.curelog import clocks, roles, sniff, stamps
from panelmend.curelog.cells import cell_text
from panelmend.curelog.live import Buffer, Point, Sample
from panelmend.curelog.longform import Long
from panelmend.errors import ReadingError
from panelmend.plan.judge.log import ChannelRole

DAY = 86400.0


@pytest.mark.parametrize(
    ("zone", "seconds"),
    [("Z", 0), ("local", 0), ("+02:00", 7200), ("-0530", -19800), ("+05:45", 20700), ("-00:30", -1800)],
)
def test_a_zone_is_east_of_utc(zone: str, seconds: int) -> None:
    assert stamps.zone_seconds(zone) == seconds


def test_a_stamp_with_its_offset_is_brought_to_utc() -> None:
    noon = stamps.read_stamps(["1970-01-02 12:00:00Z"], "clock", "ymd")[0]
    assert noon == DAY + 12 * 3600
    east, west = stamps.read_stamps(
        ["1970-01-02 14:00:00+02:00", "1970-01-02 06:30:00-05:30"], "clock", "ymd"
    )
    assert (east, west) == (noon, noon)


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("10:59:60", 10 * 3600 + 59 * 60 + 60),  # a leap second
        ("10:59:61", None),
        ("10:60:00", None),
        ("00:00:01.5", 1.5),
    ],
)
def test_a_time_of_day_at_its_limits(text: str, seconds: float | None) -> None:
    read = stamps.read_stamps([text], "time", "ymd")[0]
    assert math.isnan(read) if seconds is None else read == seconds


def test_stamps_of_two_forms_are_each_read_in_their_own() -> None:
    mixed = ["1970-01-02 00:00:00", "1970-01-02 00:00:09", "02/01/1970 00:00", "1970-01-0a 00:00:00"]
    read = stamps.read_stamps(mixed, "clock", "dmy")
    assert read[:3].tolist() == [DAY, DAY + 9, DAY]
    assert math.isnan(read[3])


@pytest.mark.parametrize(
    ("seconds", "text"), [(0.0, "0:00:00.000000"), (3661.5, "1:01:01.500000"), (-59.0, "-0:00:59.000000")]
)
def test_a_length_of_time_in_a_sheet(seconds: float, text: str) -> None:
    assert cell_text(timedelta(seconds=seconds)) == text


@pytest.mark.parametrize(
    ("high", "middle", "unit", "sense"),
    [
        (32.0, 27.0, "inHg", "below ambient"),
        (5.1, 4.0, "inHg", "absolute"),
        (5.0, 4.0, "", ""),
        (12.0, 10.0, "", ""),
        (15.0, 14.0, "", ""),
        (15.1, 14.0, "inHg", "below ambient"),
        (32.1, 20.0, "kPa", "absolute"),
        (110.0, 80.0, "kPa", "below ambient"),
        (110.1, 80.0, "", ""),
        (200.1, 150.0, "mbar", "absolute"),
        (1100.0, 900.0, "mbar", "below ambient"),
        (1.2, 0.9, "bar", "below ambient"),
        (1.0, 0.1, "bar", "absolute"),
    ],
)
def test_what_vacuum_readings_speak_for(high: float, middle: float, unit: str, sense: str) -> None:
    read = np.array([middle, middle, high])
    assert roles.vacuum_evidence(read)[:2] == (unit, sense)
    assert roles.vacuum_evidence(-read)[:2] == (unit, sense)


def found(first: float, step: float = 1.0, rows: int = 20) -> clocks.ProposedClock:
    columns = [[repr(first + step * i) for i in range(rows)], ["20.5"] * rows]
    return clocks.find_clock(columns, ("time", "TC1"), ("", ""), ".")


@pytest.mark.parametrize(
    ("first", "form", "unit"),
    [
        (1.7e9, "epoch", "s"),
        (3.9e9, "epoch", "s"),
        (1.7e12, "epoch", "ms"),
        (3.9e12, "epoch", "ms"),
        (4.1e12, "elapsed", None),
    ],
)
def test_what_a_rising_number_counts(first: float, form: str, unit: str | None) -> None:
    time = found(first).time
    assert time.form == form
    assert unit is None or time.unit == unit


@pytest.mark.parametrize("wrong", [1, 2])
def test_a_column_of_times_may_lack_one_row_in_twenty(wrong: int) -> None:
    cells = [str(i) for i in range(20 - wrong)] + ["?"] * wrong
    columns = [cells, ["20.5"] * 20]
    if wrong == 1:
        assert clocks.find_clock(columns, ("t", "TC1"), ("s", ""), ".").time.columns == (0,)
    else:
        with pytest.raises(ReadingError, match="no column of times"):
            clocks.find_clock(columns, ("t", "TC1"), ("s", ""), ".")


def test_the_first_column_may_hold_the_names() -> None:
    assert Long(0, 2, ("TC1",)).taken == (0, 2)
    assert Long(1, 0, ("TC1",), unit=3).taken == (1, 0, 3)


def test_names_are_few_words_that_come_at_least_three_times_each() -> None:
    assert sniff._named(["TC1", "TC2"] * 3, ".")
    assert not sniff._named(["TC1", "TC2"] * 2 + ["TC1"], "."), "five cells for two words"
    assert not sniff._named(["TC1"] * 6, ".")
    assert not sniff._named(["TC1", "1.5"] * 3, ".")


def test_bytes_that_are_cut_off_at_the_head_are_utf8_still() -> None:
    whole = "a" * (sniff.HEAD - 1) + "é"
    assert sniff.encoding_of(whole.encode("utf8")[: sniff.HEAD])[0] == "utf-8"
    assert sniff.encoding_of("ab\xe9cd".encode("cp1252"))[0] == "cp1252"
    assert sniff.encoding_of(b"\xe9" + b"a" * (sniff.HEAD - 1))[0] == "cp1252"


def test_the_separator_that_reads_every_row_is_taken() -> None:
    assert sniff.separator_of(["0;20,5;21,0", "1;20,6;21,1", "2;20,7;21,2"] * 5) == (";", ",")
    # a comma splits every row as well, into fewer usable cells
    assert sniff.separator_of(["0\t20.5\t21.0", "1\t20.6\t21.1"] * 5) == ("\t", ".")
    with pytest.raises(ReadingError, match="no table") as refused:
        sniff.separator_of(["x" * 80] * 3)
    assert "x" * 60 in str(refused.value)
    assert "x" * 61 not in str(refused.value)


TC = Point("TC1", ChannelRole.THERMOCOUPLE, "C")


def buffer(*times: float) -> Buffer:
    made = Buffer([TC])
    for t in times:
        assert made.add(Sample(t, (20.0 + t / 100,)))
    return made


@pytest.mark.parametrize(
    ("times", "late", "place"),
    [
        ((0.0, 10.0, 30.0), 20.0, 2),  # fills the gap
        ((0.0, 10.0, 20.0), 15.0, 3),  # no gap there: it stays as it came
        ((0.0, 10.0, 20.0, 70.0), 45.0, 3),  # 50 s ahead, five times the usual: still near
        ((0.0, 10.0, 20.0, 71.0), 45.0, 4),  # a lone stamp further ahead proves nothing
        ((0.0, 10.0, 20.0, 71.0, 81.0), 45.0, 3),  # two of them do
        ((0.0, 10.0, 20.0), -5.0, 3),  # before the first: the clock was set back
    ],
)
def test_a_reading_that_comes_late_fills_a_gap(times: tuple[float, ...], late: float, place: int) -> None:
    made = buffer(*times)
    assert made.add(Sample(late, (99.0,)))
    assert made.placed == place
    assert made.late == (place < len(times))


def test_a_reading_that_came_twice_is_kept_once() -> None:
    made = buffer(0.0, 10.0)
    assert not made.add(Sample(10.0, (20.1,)))
    assert (len(made), made.twice, made.late) == (2, 1, 0)


@pytest.mark.parametrize(
    ("sense", "raw", "pascal"),
    [("below ambient", 80.0, 80e3), ("below ambient, negative", -80.0, 80e3), ("absolute", 20.0, 81e3)],
)
def test_a_vacuum_is_counted_from_ambient(sense: str, raw: float, pascal: float) -> None:
    point = Point("V", ChannelRole.VACUUM, "kPa", sense=sense)
    assert point.si(raw, 101e3) == pytest.approx(pascal)
    assert math.isnan(point.si(math.nan, 101e3))
