"""Logs built from a description at the very places where a planted fault was not told: notes, times at their
limits, twice the same at a row's end, what a description may say; each answer written by hand."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from panelmend.curelog import (
    ChannelRole,
    ColumnAs,
    CureLog,
    ReadAs,
    TimeAs,
    clocks,
    numerals,
    propose,
    rows,
    sniff,
    stamps,
)
from panelmend.curelog.build import Builder
from panelmend.curelog.cells import block_of
from panelmend.curelog.longform import Long
from panelmend.curelog.propose import _grouped_cells, _Survey
from panelmend.errors import InputError, ReadingError
from typed_logs import proposed, taken, warm

T1 = ColumnAs(1, "T1", ChannelRole.THERMOCOUPLE, "C")
T2 = ColumnAs(2, "T2", ChannelRole.THERMOCOUPLE, "C")


def built(lines: list[str], **how: Any) -> CureLog:
    """The log of lines of cells between commas, by default seconds from the start and one channel."""
    given: dict[str, Any] = {"form": "text", "time": TimeAs((0,), "elapsed"), "columns": (T1,), "width": 2}
    read_as = ReadAs(**{**given, **how})
    builder = Builder(read_as, "log.csv")
    builder.take(block_of(lines, 1, read_as.separator, read_as.width))
    return builder.finish("")


@pytest.mark.parametrize(("short", "more"), [(40, False), (41, True), (45, True)])
def test_forty_short_lines_are_named(short: int, more: bool) -> None:
    lines = [x for i in range(short) for x in (f"{i},20.5", "7")]
    (note,) = built(lines).notes
    named = note.rpartition("line ")[2]
    assert note.startswith(f"{short} lines have fewer cells")
    assert named.removesuffix(" ...").split(", ") == [str(2 * i + 2) for i in range(40)]
    assert named.endswith(" ...") is more


def test_short_lines_of_two_blocks_are_named_together() -> None:
    builder = Builder(ReadAs("text", TimeAs((0,), "elapsed"), (T1,), 2), "log.csv")
    for begin in (1, 101):
        builder.take(block_of([x for i in range(25) for x in (f"{begin + i},20.5", "7")], begin, ",", 2))
    (note,) = builder.finish("").notes
    named = note.rpartition("line ")[2].removesuffix(" ...").split(", ")
    assert named == [*(str(2 * i + 2) for i in range(25)), *(str(102 + 2 * i) for i in range(15))]


@pytest.mark.parametrize(("part", "read"), [("0", True), ("999", True), ("1000", False), ("-1", False)])
def test_parts_of_a_second_are_less_than_one(part: str, read: bool) -> None:
    time = TimeAs((0,), "time of day", fraction=1, fraction_unit="ms")
    column = replace(T1, index=2)
    log = built(["14:00:00,0,20.5", f"14:00:01,{part},20.5"], time=time, columns=(column,), width=3)
    assert log.times.tolist() == pytest.approx([0.0, 1.0 + float(part) / 1000.0] if read else [0.0])


@pytest.mark.parametrize(
    ("time", "read"), [("99999999999", True), ("100000000000", False), ("-99999999999", True)]
)
def test_times_beyond_three_thousand_years_are_none(time: str, read: bool) -> None:
    assert built(["0,20.5", f"{time},20.5"]).times.size == 1 + read


@pytest.mark.parametrize(
    ("first", "second", "step"),
    [
        ("20:00:00", "07:59:59", 43199.0),  # twelve hours and a second back: midnight
        ("20:00:00", "08:00:00", -43200.0),  # twelve hours: a clock that was set back
        ("20:00:00", "08:00:01", -43199.0),
    ],
)
def test_a_time_of_day_that_falls_by_more_than_twelve_hours(first: str, second: str, step: float) -> None:
    log = built([f"{first},20.5", f"{second},20.5"], time=TimeAs((0,), "time of day"))
    assert log.times[1] == step
    assert any("midnight" in n for n in log.notes) is (step > 0)


def test_rows_whose_last_two_cells_say_the_same() -> None:
    both = {"columns": (T1, T2), "width": 3}
    assert built(["0,20.5,20.5", "1,20.5,21.5", "2,,"], **both).ends_twice.tolist() == [True, False, False]
    swapped = {"columns": (T2, T1, replace(T1, index=3, name="T3")), "width": 4}
    log = built(["0,20.5,21.5,21.5", "1,22.5,22.5,23.5"], **swapped)
    assert log.ends_twice.tolist() == [True, False], (
        "the last two of the file, in whatever order they are named"
    )
    assert built(["0,20.5", "1,20.5"]).ends_twice.tolist() == [False, False]


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ("-273.16", "below absolute zero"),
        ("1821", "hotter than any thermocouple"),
        ("-273.15", ""),
        ("1820", ""),
    ],
)
def test_codes_are_told_by_what_they_are(cell: str, words: str) -> None:
    log = built(["0,20.5", f"1,{cell}"])
    assert np.isnan(log.channels[0].values[1]) == bool(words)
    assert [words in n for n in log.notes] == ([True] if words else [])


@pytest.mark.parametrize(
    ("form", "zone", "stamp", "began"),
    [
        ("clock", "local", "2026-11-25 08:00:00.1234", "2026-11-25T08:00:00.123000"),
        ("clock", "+02:00", "2026-11-25 08:00:00.1236", "2026-11-25T08:00:00.124000+02:00"),
        ("clock", "Z", "2026-11-25 08:00:00", "2026-11-25T08:00:00+00:00"),
        ("clock", "stamped", "2026-11-25 08:00:00.1234+02:00", "2026-11-25T08:00:00.123000+02:00"),
        ("epoch", "Z", "1795593600.1234", "2026-11-25T08:00:00.123000+00:00"),
        ("elapsed", "local", "5", ""),
        ("time of day", "local", "23:59:59.6", "T00:00:00"),
    ],
)
def test_when_a_log_began(form: str, zone: str, stamp: str, began: str) -> None:
    """To the thousandth of a second."""
    assert built([f"{stamp},20.5"], time=TimeAs((0,), form, zone=zone)).started == began


# numbers with marks


@pytest.mark.parametrize(
    ("cells", "decimal", "thousands", "read"),
    [
        (["20.5", "21,5"], ",", "", [np.nan, 21.5]),
        (["20,5", "21,5"], ",", "", [20.5, 21.5]),
        (["1.020,5", "21,5"], ",", ".", [1020.5, 21.5]),
        (["1'000", "1,5"], ".", "'", [1000.0, np.nan]),
        (["1'000", "1.5"], ".", "'", [1000.0, 1.5]),
        (["1,000", "1.5"], ".", ",", [1000.0, 1.5]),
        (["1 000", "1,5"], ",", " ", [1000.0, 1.5]),
        (["1,000", "1.5"], ".", "", [np.nan, 1.5]),
    ],
)
def test_numbers_with_marks(cells: list[str], decimal: str, thousands: str, read: list[float]) -> None:
    from collections import Counter

    words: Counter[str] = Counter()
    found = numerals.numbers(cells, decimal, thousands, words)
    assert np.array_equal(found, read, equal_nan=True)
    assert words.total() == np.isnan(read).sum()


def test_a_cell_far_wider_than_the_first_is_read(tmp_path: Path) -> None:
    block = block_of(["1,2", "1," + " " * 40 + "3"], 1, ",", 2)
    table = numerals.plain_table(block, [0, 1])
    assert table is None or table.tolist() == [[1.0, 2.0], [1.0, 3.0]]
    assert built(["1,2", "2," + " " * 40 + "3"]).channels[0].values == pytest.approx([275.15, 276.15])


def test_a_year_of_three_figures_is_none() -> None:
    read = stamps.read_stamps(["25/11/026 10:00", "25/11/26 10:00", "25/11/2026 10:00"], "clock", "dmy")
    assert np.isnan(read[0])
    assert read[1] == read[2]


def test_dates_with_a_year_of_three_figures_exist_in_no_order() -> None:
    with pytest.raises(ReadingError, match="exist in no order"):
        clocks._order(["25/11/026 08:00", "25/11/026 08:01"], ["25/11/026 08:00", "25/11/026 08:01"])


# heads and proposals


def test_dates_of_which_some_are_bare_digits_are_dates() -> None:
    marked = [f"2026-11-{d:02d}" for d in range(10, 20)]
    assert clocks._kind([*marked, "20261121"]) == "date"
    assert clocks._kind(["20261121", "20261122", "20261123"]) == "date"
    assert clocks._kind(["20261121", "20261122", "20261123", "20261124"]) == "", "a counter"


def test_one_stamp_without_an_offset_leaves_the_zone_open() -> None:
    stamped = [f"2026-11-25 08:{i:02d}:00+02:00" for i in range(20)]
    found = clocks.find_clock([stamped, ["20.5"] * 20], ("Time", "T1"), ("", ""), ".")
    assert (found.time.zone, found.questions) == ("stamped", ())
    found = clocks.find_clock(
        [[*stamped[:-1], "2026-11-25 08:19:00"], ["20.5"] * 20], ("Time", "T1"), ("", ""), "."
    )
    assert (found.time.zone, [q.key for q in found.questions]) == ("local", ["zone"])


def test_an_offset_behind_a_time_in_its_own_column_is_an_offset() -> None:
    columns = [["2026-11-25"] * 20, [f"08:{i:02d}:00+02:00" for i in range(20)], ["20.5"] * 20]
    found = clocks.find_clock(columns, ("Date", "Time", "T1"), ("", "", ""), ".")
    assert (found.time.columns, found.time.zone, found.questions) == ((0, 1), "stamped", ())


def test_dates_of_which_some_begin_with_the_year_are_read_in_the_others_order() -> None:
    mixed = ["2026-11-25 08:00", "25-11-2026 08:01", "25-11-2026 08:02"]
    assert clocks._order(mixed, mixed)[0] == "dmy"
    assert clocks._order(mixed[:1], mixed[:1])[0] == "ymd"


def test_an_empty_cell_at_the_end_of_a_head_is_a_column_without_a_name() -> None:
    sample = [["14:00:00", "20.5", "7"], ["14:01:00", "21.5", "8"]]
    assert sniff._header([["Time", "TC1", ""]], 3, ".", sample)[0] == ("Time", "TC1", "")
    assert sniff._header([["Time", "TC1", "", ""]], 3, ".", sample)[0] == ("Time", "TC1", "")
    assert sniff._header([["Time", "TC1"]], 3, ".", sample)[0] == ("", "", "")


def test_two_columns_of_units_are_no_long_table() -> None:
    table = [[str(i // 2), "PQ"[i % 2], f"{20 + i}.5", "C"] for i in range(18)]
    assert sniff.find_long(table, ".") is not None
    assert sniff.find_long([[*r, "s"] for r in table], ".") is None


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        ([["1,234", "1,235"], ["20", "21"]], "1,234"),
        ([["1,234", "1,235"], ["20.5", "21"]], ""),  # a point tells that commas are thousands, or words
        ([["1,234", "1,23"], ["20", "21"]], ""),
        ([["20", "21"]], ""),
    ],
)
def test_which_comma_is_asked_about(cells: list[list[str]], told: str) -> None:
    survey = _Survey(len(cells), ".")
    survey.sample = cells
    columns = tuple(replace(T1, index=i, name=f"T{i}") for i in range(len(cells)))
    assert _grouped_cells(survey, columns) == told


def test_the_other_sheets_of_a_workbook_are_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    table = [["Time [s]", "T1 [C]"], *([float(10 * i), warm(i)] for i in range(20))]
    file = tmp_path / "log.made"
    file.write_bytes(b"MADE")
    for names, told in (
        (("A",), "sheet 'A'"),
        (("A", "B"), "sheet 'A' of A, B"),
        (("A", "B", "C"), "sheet 'A' of A, B, C"),
    ):
        form = rows.RowFormat(lambda head: head == b"MADE", lambda _, n=names: n, lambda *_: table)
        monkeypatch.setattr(rows, "ROW_FORMATS", (form,))
        assert propose(file).reasons[0] == told


# descriptions and answers


def test_a_description_is_kept_one_field_a_line() -> None:
    text = ReadAs("text", TimeAs((0,), "elapsed"), (T1,), 2).to_json()
    assert text.splitlines()[1] == '  "ambient": null,'
    assert ReadAs.from_json(text.replace("null", "95000", 1)).ambient == 95e3


@pytest.mark.parametrize(
    ("long", "width", "fault"),
    [
        (Long(2, 3, ("A", "B")), 4, ""),  # date, time, name, reading
        (Long(2, 3, ("A", "B"), 4, ("C", "C")), 6, ""),
        (Long(1, 2, ("A", "B"), 0, ("C", "C")), 3, "a column of names"),  # no column of the time is left
        (Long(1, 2, ("A", "B")), 2, "a column of names"),
        (Long(1, 2, ()), 4, "without channels"),
        (Long(1, 2, ("A", "B"), 4, ("C", "C")), 4, "a column of names"),
        (Long(1, 1, ("A", "B")), 4, "a column of names"),
    ],
)
def test_what_a_long_table_may_be(long: Long, width: int, fault: str) -> None:
    def made() -> ReadAs:
        return ReadAs("text", TimeAs((0,), "elapsed"), (T1,), width, long=long)

    if fault:
        with pytest.raises(InputError, match=fault):
            made()
    else:
        assert made().long == long


@pytest.mark.parametrize(("ambient", "fine"), [(95e3, True), (0.0, False), (-1.0, False), (np.nan, False)])
def test_an_absolute_pressure_needs_the_air(ambient: float, fine: bool) -> None:
    gauge = ColumnAs(1, "V", ChannelRole.VACUUM, "kPa", "absolute")
    how = {"columns": (gauge,), "ambient": ambient, "confirmed": True}
    if fine:
        assert built(["0,10"], **how).channels[0].values.tolist() == [85e3]
    else:
        with pytest.raises(InputError, match="needs 'ambient'"):
            built(["0,10"], **how)


@pytest.mark.parametrize(
    ("head", "answer", "answered"),
    [
        ("Vacuum [kPa gauge]", {}, ()),  # the file says it
        (
            "Vacuum [kPa gauge]",
            {"sense of Vacuum [kPa gauge]": "below ambient, negative"},
            ("Vacuum [kPa gauge]",),
        ),
        ("Vacuum [kPa]", {"sense of Vacuum [kPa]": "below ambient"}, ("Vacuum [kPa]",)),
    ],
)
def test_whose_word_the_sense_of_a_vacuum_is(
    tmp_path: Path, head: str, answer: dict[str, str], answered: tuple[str, ...]
) -> None:
    log = tmp_path / "a.csv"
    made = proposed(log, f"Time [s],T1 [C],{head}", lambda i: f"{10 * i},{warm(i)},{50 + i / 2:.1f}")
    assert taken(log, made, **answer).sense_answered == answered


@pytest.mark.parametrize(
    ("place", "value", "fault"),
    [
        ((), None, ""),
        (("width",), True, "read as, width"),
        (("width",), 6.5, "read as, width"),
        (("confirmed",), "yes", "read as, confirmed"),
        (("ambient",), None, ""),
        (("ambient",), 95000, ""),
        (("ambient",), "95000", "read as, ambient"),
        (("set_aside",), [5], "read as, set_aside, 0"),
        (("time", "columns"), [0.5], "read as, time, columns, 0"),
        (("columns", 0, "index"), "1", "read as, columns, 0, index"),
        (("columns", 0, "name"), 5, "read as, columns, 0, name"),
        (("columns", 0, "unit"), 5, "read as, columns, 0, unit"),
        (("columns", 0, "role"), "roll", "read as, columns, 0, role"),
        (("columns", 0, "sense"), "upwards", "column 1: 'upwards' is no sense of a vacuum"),
        (("columns", 0, "sense_written"), "yes", "read as, columns, 0, sense_written"),
        (("columns", 0, "overruled"), 1, "read as, columns, 0, overruled"),
        (("columns", 0, "odd"), 1, "read as, columns, 0, odd"),
        (("long", "channels"), ["A", 2], "read as, long, channels, 1"),
        (("odd",), 1, "read as, odd"),
    ],
)
def test_every_field_of_a_description_is_looked_at(
    place: tuple[str | int, ...], value: object, fault: str
) -> None:
    data = json.loads(
        ReadAs("text", TimeAs((0,), "elapsed"), (T1,), 6, long=Long(2, 3, ("A", "B"))).to_json()
    )
    at = data
    for key in place[:-1]:
        at = at[key]
    if place:
        at[place[-1]] = value
    if not fault:
        assert ReadAs.from_json(json.dumps(data)).columns == (T1,)
        return
    with pytest.raises(InputError) as refused:
        ReadAs.from_json(json.dumps(data))
    assert fault in (refused.value.where, refused.value.words)


def test_a_log_has_so_many_samples_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("panelmend.curelog.build.MOST_SAMPLES", 2)
    assert built(["0,20.5", "1,20.5"]).times.size == 2
    with pytest.raises(ReadingError, match="more than 2 samples"):
        built(["0,20.5", "1,20.5", "2,20.5"])


@pytest.mark.parametrize(
    ("cells", "last", "suggested", "why"),
    [
        (["0:00", "0:30"], clocks.LONGEST_CURE, "", "the log would last 48 h"),
        (["0:00", "0:30"], clocks.LONGEST_CURE + 1.0, "min", "the log would last 48 h"),
        (["0:00:00", "0:30"], 1800.0, "min", "other times of the file have three parts"),
    ],
)
def test_what_is_suggested_for_two_parts(cells: list[str], last: float, suggested: str, why: str) -> None:
    _, (question,) = clocks._first_of_two(cells, "Run", last)
    assert question.suggested == suggested
    assert why in question.why
    assert clocks._first_of_two(["0:00:00", "0:30:00"], "Run", last)[1] == ()


def test_a_column_that_is_no_named_time_is_told_as_one() -> None:
    """And one that is, is not."""
    rising = [str(10 * i) for i in range(20)]
    for name, told in (("Scan", True), ("Time", False)):
        found = clocks.find_clock([rising, ["20.5"] * 20], (name, "T1"), ("", ""), ".")
        assert [q.key for q in found.questions] == ["time unit"]
        assert ("no column is named as a time" in found.reasons) is told
