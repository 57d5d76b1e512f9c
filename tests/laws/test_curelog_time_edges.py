"""Times and numbers of a cure log as they are written: each limit from both sides, worked out by hand."""

from __future__ import annotations

import math
from collections import Counter
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest

from panelmend.curelog import clocks, numerals, stamps
from panelmend.curelog.readas import TimeAs
from panelmend.errors import ReadingError

DAY = 86400.0


def seconds(text: str, what: str = "clock", order: str = "ymd") -> float | None:
    read = float(stamps.read_stamps([text], what, order)[0])
    return None if math.isnan(read) else read


def since(*parts: int) -> float:
    return datetime(*parts, tzinfo=UTC).timestamp()  # type: ignore[misc,arg-type]


@pytest.mark.parametrize(
    ("text", "order", "expected"),
    [
        ("01/02/69 00:00", "dmy", (2069, 2, 1)),
        ("01/02/70 00:00", "dmy", (1970, 2, 1)),
        ("01/02/99 00:00", "mdy", (1999, 1, 2)),
        ("26-03-04 00:00", "ymd", (2026, 3, 4)),
        (" 2026-03-04 00:00", "dmy", (2026, 3, 4)),
        ("2026-03-04 00:00", "dmy", (2026, 3, 4)),  # a year of four digits in front says its own order
        ("1900-01-01 00:00", "ymd", (1900, 1, 1)),
        ("1899-12-31 00:00", "ymd", None),
        ("2200-12-31 00:00", "ymd", (2200, 12, 31)),
        ("2201-01-01 00:00", "ymd", None),
        ("2024-02-29 00:00", "ymd", (2024, 2, 29)),
        ("2023-02-29 00:00", "ymd", None),
        ("2026-12-31 00:00", "ymd", (2026, 12, 31)),
        ("2026-13-01 00:00", "ymd", None),
        ("2026-01-31 00:00", "ymd", (2026, 1, 31)),
        ("2026-01-32 00:00", "ymd", None),
        ("2026-00-10 00:00", "ymd", None),
        ("2026-01-00 00:00", "ymd", None),
        ("20260304", "ymd", (2026, 3, 4)),
        ("4-MAR-2026 00:00", "dmy", (2026, 3, 4)),
        ("Mar 4, 2026 00:00", "dmy", (2026, 3, 4)),
    ],
)
def test_a_date(text: str, order: str, expected: tuple[int, ...] | None) -> None:
    text = stamps.plain_months(text)
    assert seconds(text, "clock", order) == (None if expected is None else since(*expected))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("24:00", DAY),
        ("25:00", None),
        ("23:59:59", DAY - 1),
        ("12:00 am", 0.0),
        ("12:30 PM", 12.5 * 3600),
        ("1:00 AM", 3600.0),
        ("11:00 p.m.", 23 * 3600.0),
        ("0:30 PM", None),
        ("13:00 PM", None),
        ("10:59", 10 * 3600 + 59 * 60),
        ("10:00:00.25", 36000.25),
        ("10:00:00,125", 36000.125),
        ("10:00:00:5", 36000.5),
    ],
)
def test_a_clock_of_one_day(text: str, expected: float | None) -> None:
    assert seconds(f"1970-01-01 {text}") == expected


def test_hours_from_the_start_go_on_past_a_day() -> None:
    assert seconds("25:00:00", "time") == 25 * 3600
    assert seconds("100:30", "time") == 100 * 3600 + 1800


def test_a_compact_stamp_has_its_parts_by_their_places() -> None:
    assert seconds("20260304T070809") == since(2026, 3, 4, 7, 8, 9)
    assert seconds("202603040708") == since(2026, 3, 4, 7, 8)
    assert (stamps.looks_like("20260304070809"), stamps.looks_like("20260304")) == ("clock", "date")
    assert stamps.looks_like("18991231") == ""


@pytest.mark.parametrize(("spaces", "kind"), [(32, "time"), (33, "")])
def test_a_stamp_has_forty_characters_at_most(spaces: int, kind: str) -> None:
    text = "10:00:00".ljust(8 + spaces)
    assert stamps.looks_like(text) == kind
    assert (seconds(text, "time") is None) is (kind == "")


def test_forty_ways_of_writing_and_more_are_read() -> None:
    """Each stamp its own form: dots, digits and blanks."""
    texts = [f"1970-01-01 00:00:00.{'0' * (k % 9)}{'5'}{' ' * (k // 9)}" for k in range(9 * 5)]
    read = stamps.read_stamps(texts, "clock", "ymd")
    assert read.tolist() == pytest.approx([5 * 10.0 ** -(k % 9 + 1) for k in range(45)])
    assert np.isnan(stamps.read_stamps(["x", "y", "1970-01-01 00:00:00"], "clock", "ymd")).tolist() == [
        True,
        True,
        False,
    ]


def test_an_offset_is_read_from_the_stamp_that_carries_one() -> None:
    assert stamps.offset_of("2026-01-01 10:00:00+05:30") == 19800
    assert stamps.offset_of("2026-01-01 10:00:00") == 0
    assert stamps.offset_of("10:00:00+05:30") == 0


@pytest.mark.parametrize(
    ("text", "decimal", "thousands", "value"),
    [
        ("1,234.5", ".", ",", 1234.5),
        ("1.234,5", ",", ".", 1234.5),
        ("1.234,5", ",", "", None),
        ("20,5", ",", "", 20.5),
        ("\u221240.5 °C", ".", "", -40.5),
        ("1 234,5", ",", " ", 1234.5),
        ("9.9E+29", ".", "", 9.9e29),
        ("1e30", ".", "", None),
        ("-9.9E+37", ".", "", None),
        ("20.5 ok", ".", "", None),
        ("1_000", ".", "", None),
    ],
)
def test_a_number(text: str, decimal: str, thousands: str, value: float | None) -> None:
    alone = numerals.number_in_cell(text, decimal, thousands)
    many = numerals.numbers([text, "7"], decimal, thousands, Counter())
    for read in (alone, many[0]):
        assert math.isnan(read) if value is None else read == pytest.approx(value)
    assert many[1] == 7.0


def test_a_number_has_forty_characters_at_most() -> None:
    assert numerals.number_in_cell("0." + "1" * 38) == pytest.approx(1 / 9)
    assert math.isnan(numerals.number_in_cell("0." + "1" * 39))


def test_cells_that_are_no_number_are_counted_and_marks_for_missing_are_not() -> None:
    words: Counter[str] = Counter()
    numerals.numbers(["1", "open", "open", "---", "", "NaN", "x" * 30], ".", "", words)
    assert words == {"open": 2, "x" * 20: 1}


@pytest.mark.parametrize(
    ("form", "unit", "cells", "seconds"),
    [
        ("elapsed", "s", ["90"], 90.0),
        ("elapsed", "min", ["1.5"], 90.0),
        ("elapsed", "ms", ["1500"], 1.5),
        ("elapsed", "min", ["0:01:30"], 90.0),
        ("epoch", "ms", ["1500"], 1.5),
        ("serial", "s", ["25569.5"], 43200.0),
        ("time of day", "s", ["00:01:30"], 90.0),
    ],
)
def test_how_a_time_is_counted(form: str, unit: str, cells: list[str], seconds: float) -> None:
    assert numerals.read_times([cells], TimeAs((0,), form, unit=unit), ".", "")[0] == seconds


def clock(*columns: list[str], names: tuple[str, ...] = (), units: tuple[str, ...] = ()) -> Any:
    blank = ("",) * len(columns)
    return clocks.find_clock(columns, names or blank, units or blank, ".")


@pytest.mark.parametrize(("good", "form"), [(18, "clock"), (17, None)])
def test_nine_in_ten_cells_of_a_column_of_stamps_are_stamps(good: int, form: str | None) -> None:
    cells = [f"2026-01-13 10:00:{i:02d}" for i in range(good)] + ["?"] * (20 - good)
    if form is None:
        with pytest.raises(ReadingError, match="no column of times"):
            clock(cells)
    else:
        assert clock(cells).time.form == form


@pytest.mark.parametrize(("days", "form"), [(3, "clock"), (4, "time of day")])
def test_a_column_of_eight_digits_is_a_date_where_it_holds_three_at_most(days: int, form: str) -> None:
    dates = [f"2026010{1 + i % days}" for i in range(12)]
    times = [f"10:00:{i:02d}" for i in range(12)]
    found = clock(dates, times).time
    assert (found.form, len(found.columns)) == (form, 2 if form == "clock" else 1)


@pytest.mark.parametrize(
    ("cells", "order", "asked"),
    [
        (["13/01/2026 10:00"], "dmy", False),
        (["01/13/2026 10:00"], "mdy", False),
        (["2026-01-02 10:00"], "ymd", False),
        (["26-01-13 10:00"], "ymd", True),  # 2013 stands there as well
        (["4-Mar-2026 10:00"], "ymd", False),
        (["20260304 1000"], "ymd", False),
        (["01/02/2026 10:00", "01/02/2026 10:01"], "dmy", True),
        (["01/02/2026 23:59", "02/02/2026 00:01"], "dmy", True),
        (["02/01/2026 23:59", "02/02/2026 00:01"], "mdy", True),
    ],
)
def test_the_order_of_a_date_is_what_exists_and_keeps_together(
    cells: list[str], order: str, asked: bool
) -> None:
    found = clock(cells)
    assert found.time.order == order or (asked and len(cells) == 1)
    questions = {q.key: q for q in found.questions}
    assert ("date order" in questions) is asked
    if len(cells) == 2:
        steady = cells[0][:5] != cells[1][:5]
        assert questions["date order"].suggested == (order if steady else "")


@pytest.mark.parametrize(("bad", "asked"), [(1, True), (2, False)])
def test_an_order_may_fail_for_one_stamp_in_fifty(bad: int, asked: bool) -> None:
    cells = ["01/02/2026 10:00"] * (100 - bad) + ["13/02/2026 10:00"] * bad
    assert any(q.key == "date order" for q in clock(cells).questions) is asked


def test_a_jump_back_counts_double() -> None:
    assert clocks._span(np.array([0.0, 10.0, math.nan, 4.0, 5.0])) == 10 + 6 + 6 + 1


@pytest.mark.parametrize(
    ("first", "name", "form", "asked", "suggested"),
    [
        ("0:00:59", "t", "elapsed", True, "elapsed"),
        ("0:01:00", "t", "elapsed", True, ""),
        ("2:00:00", "t", "elapsed", True, ""),
        ("2:00:01", "t", "time of day", False, ""),
        ("2:00:01", "elapsed", "elapsed", False, ""),
        ("0:01:00 am", "t", "time of day", False, ""),
        ("24:00:00", "t", "time of day", False, ""),
        ("24:00:01", "t", "elapsed", False, ""),
    ],
)
def test_a_time_without_a_date(first: str, name: str, form: str, asked: bool, suggested: str) -> None:
    found = clock([first] * 3, names=(name,))
    assert found.time.form == form
    questions = [q for q in found.questions if q.key == "elapsed or clock"]
    assert bool(questions) is asked
    assert [q.suggested for q in questions] in ([], [suggested])


def test_one_stamp_with_am_or_pm_settles_that_it_is_the_time_of_day() -> None:
    assert clock(["0:01:00 am", "0:02:00", "0:03:00"]).time.form == "time of day"
    assert clock(["0:01:00"] * 20 + ["0:02:00 pm"]).time.form == "elapsed", "the first twenty are looked at"


def rising(first: float, step: float, rows: int = 20, fall: int = 0) -> list[str]:
    values = [first + step * i for i in range(rows)]
    for i in range(fall):
        values[2 * i + 1] = values[2 * i] - step
    return [repr(v) for v in values]


@pytest.mark.parametrize(
    ("first", "step", "rows", "form"),
    [
        (9.1e8, 1.0, 20, "epoch"),
        (8.9e8, 1.0, 20, "elapsed"),
        (4.1e9, 1.0, 20, "elapsed"),
        (9.1e11, 1.0, 20, "epoch"),
        (8.9e11, 1.0, 20, "elapsed"),
        (30001.0, 0.01, 20, "serial"),
        (30000.0, 0.01, 20, "elapsed"),
        (79999.0, 0.01, 20, "serial"),
        (80000.0, 0.01, 20, "elapsed"),
        (46000.0, 0.09, 20, "serial"),
        (46000.0, 0.11, 20, "elapsed"),
        (46000.0, 0.09, 440, "serial"),
        (46000.0, 0.09, 450, "elapsed"),
    ],
)
def test_what_a_rising_number_counts(first: float, step: float, rows: int, form: str) -> None:
    assert clock(rising(first, step, rows)).time.form == form


@pytest.mark.parametrize(("fall", "fine"), [(1, True), (2, False)])
def test_a_column_of_times_falls_at_one_row_in_ten_at_most(fall: int, fine: bool) -> None:
    cells = rising(0.0, 1.0, 21, fall)  # of twenty steps
    if fine:
        assert clock(cells).time.columns == (0,)
    else:
        with pytest.raises(ReadingError):
            clock(cells)


@pytest.mark.parametrize(
    ("names", "units", "column", "unit"),
    [
        (("count", "time"), ("", "min"), 1, "min"),
        (("count", "x"), ("min", ""), 0, "min"),
        (("t [ms]", "x"), ("", ""), 0, "ms"),
        (("elapsed hours", "x"), ("", ""), 0, "h"),
        (("x", "seconds"), ("", ""), 1, "s"),
    ],
)
def test_the_column_that_is_named_as_a_time_is_taken_and_its_unit_with_it(
    names: tuple[str, ...], units: tuple[str, ...], column: int, unit: str
) -> None:
    found = clock(rising(0.0, 1.0), rising(5.0, 1.0), names=names, units=units)
    assert (found.time.columns, found.time.unit, found.questions) == ((column,), unit, ())


def test_a_time_without_a_unit_is_asked_for_with_its_first_values_and_its_step() -> None:
    (question,) = clock(rising(2.0, 0.5)).questions
    assert question.key == "time unit"
    assert "2, 2.5, ..." in question.words
    assert "one step is 0.5" in question.why
    assert question.suggested == ""


@pytest.mark.parametrize(
    ("before", "after", "apart"),
    [
        ("09:59:30+01:00", "11:00:00+02:00", 30.0),  # the clock set on for the summer
        ("10:59:30+02:00", "10:00:00+01:00", 30.0),
        ("09:59:30+02:00", "10:00:00+01:00", 3630.0),  # the hands went on, an hour did not
        ("09:59:30+0100", "11:00:00+0200", 30.0),
        ("09:59:30Z", "11:00:00+01:00", 30.0),
    ],
)
def test_each_stamp_is_read_by_its_own_offset(before: str, after: str, apart: float) -> None:
    """All took the offset of the first: an hour that was missing between two rows was not seen."""
    rows = [f"2026-03-29T{x}" for x in (before, after, before, after)]
    first, second, third, fourth = stamps.read_stamps(rows, "clock", "ymd").tolist()
    assert second - first == fourth - third == apart
    assert third == first
