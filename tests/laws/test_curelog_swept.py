"""Readers of logs at the very places where a fault was planted and nothing told it: cells, blocks, heads of
files and what a proposal shows, each answer written by hand."""

from __future__ import annotations

import zipfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

from panelmend.curelog import cells, longform, numerals, plain, propose, rows, sniff, stamps
from panelmend.curelog.clocks import ProposedClock, find_clock
from panelmend.curelog.propose import _finite, _Survey, _with_fraction
from panelmend.curelog.readas import TimeAs
from panelmend.curelog.roles import unit_in_name
from panelmend.errors import ReadingError

# cells and blocks


@pytest.mark.parametrize(
    ("row", "kept", "strange"),
    [
        ("1,2", 1, 0),
        ("1,2,,", 1, 0),  # empty cells behind the table
        ("1,2,,7", 0, 1),  # one of them is filled
        ("1,2,7,7", 0, 1),
    ],
)
def test_a_row_with_more_cells_than_the_table(row: str, kept: int, strange: int) -> None:
    block = cells.block_of(["5,6", row], 1, ",", 2)
    assert (len(block.numbers) - 1, len(block.strange)) == (kept, strange)


@pytest.mark.parametrize(("length", "fine"), [(1 << 20, True), ((1 << 20) + 1, False)])
@pytest.mark.parametrize("where", ["first", "last"])
def test_the_longest_line(tmp_path: Path, length: int, fine: bool, where: str) -> None:
    file = tmp_path / "log.csv"
    long, short = "1" * length, "2"
    file.write_text(f"{long}\n{short}" if where == "first" else f"{short}\n{long}", "ascii")
    read = cells.lines_of(cells.Hashing(file), "ascii", "log.csv")
    if fine:
        assert [len(x) for lines in read for x in lines] == [
            len(x) for x in ((long, short) if where == "first" else (short, long))
        ]
    else:
        with pytest.raises(ReadingError, match="a million characters"):
            list(read)


@pytest.mark.parametrize(
    ("size", "told"), [((1 << 30) + 1, "more than a gigabyte"), (1 << 30, "not a workbook")]
)
def test_a_workbook_that_unpacks_to_too_much(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, size: int, told: str
) -> None:
    file = tmp_path / "log.xlsx"
    with zipfile.ZipFile(file, "w") as pack:
        pack.writestr("a", "b")
    half = zipfile.ZipInfo("a")
    half.file_size = size // 2
    rest = zipfile.ZipInfo("b")
    rest.file_size = size - size // 2
    monkeypatch.setattr(zipfile.ZipFile, "infolist", lambda _: [half, rest])

    def stopped(*_: object, **__: object) -> object:
        raise cells.subprocess.TimeoutExpired("", 1.0)

    monkeypatch.setattr(cells.subprocess, "run", stopped)
    with pytest.raises(ReadingError, match=told):
        cells.sheet_names(file)


def test_a_file_that_is_no_workbook_any_more_is_refused_in_words(tmp_path: Path) -> None:
    file = tmp_path / "log.xlsx"
    file.write_text("Time,T1\n", "ascii")
    with pytest.raises(ReadingError, match="not a workbook"):
        rows.log_rows(file, "Sheet1")


# numbers


def test_points_among_decimal_commas_are_no_numbers() -> None:
    """A whole block of them is as little a table of numbers as one cell."""
    block = cells.block_of(["0;20.5", "1;21.5"], 1, ";", 2)
    assert numerals.plain_table(block, [1], ",") is None
    whole = cells.block_of(["0;20", "1;21"], 1, ";", 2)
    table = numerals.plain_table(whole, [1], ",")
    assert table is not None
    assert table[:, 0].tolist() == [20.0, 21.0]


def test_numbers_with_exponents_are_read_as_a_table_but_for_overloads() -> None:
    block = cells.block_of(["0,2.05e1", "1,2.15E+01"], 1, ",", 2)
    table = numerals.plain_table(block, [0, 1])
    assert table is not None
    assert table.tolist() == [[0.0, 20.5], [1.0, 21.5]]
    for code in ("1e30", "-1e30"):
        assert numerals.plain_table(cells.block_of(["0,2.05e1", f"1,{code}"], 1, ",", 2), [0, 1]) is None
    assert numerals.plain_table(cells.block_of(["0,2.05e1", "1,x"], 1, ",", 2), [0, 1]) is None


@pytest.mark.parametrize(
    ("text", "bare"),
    [
        ('"1","2"', "1,2"),
        ('"a,b","c""d"', None),  # a separator and a quote inside: as many quotes as three cells have
        ('a"","b"', None),
        ('a"",""a', None),
        ('","\n","', None),  # each line one cell that holds a comma
        ('"1","2"\n"3","4"', "1,2\n3,4"),
        ('"1",2\n3,"4"', "1,2\n3,4"),
    ],
)
def test_quotes_are_taken_off_whole_cells_only(text: str, bare: str | None) -> None:
    assert plain.unquoted(text, ",") == bare


@pytest.mark.parametrize(("length", "read"), [(40, True), (41, False)])
def test_stamps_up_to_forty_characters_are_read(length: int, read: bool) -> None:
    text = "2026-11-25 10:00:05".rjust(length)
    codes = np.array([list(text.encode("ascii"))] * 2, np.uint8)
    made = stamps.alike_stamps(codes, "clock", "ymd")
    assert (made is not None) is read
    assert np.isfinite(stamps.read_stamps([text], "clock", "ymd")[0]) == read


# long tables


def test_the_unit_may_stand_in_the_first_column() -> None:
    long = longform.Long(2, 3, ("A", "B"), 0, ("C", "F"))
    block = cells.block_of(["C,1,A,20.5", "F,1,B,70.5", "C,1,B,71.5"], 1, ",", 4)
    widener = longform.Widener(long)
    first, rest = widener.take(block), widener.rest()
    assert [n for n, _ in first.strange] == [3], "B in C is not the B of the head"
    assert [tuple(c) for c in zip(*rest.columns, strict=True)] == [("1", "20.5", "70.5")]


def long_rows(*columns: Sequence[str]) -> list[list[str]]:
    return [list(r) for r in zip(*columns, strict=True)]


MOMENTS = [str(i // 3) for i in range(18)]
READINGS = [f"{20 + i}.5" for i in range(18)]


def test_a_channel_whose_name_is_a_unit_is_a_channel() -> None:
    """Channels A, TC1 and V: two of them are words for units, and all three are names."""
    found = sniff.find_long(long_rows(MOMENTS, ["A", "TC1", "V"] * 6, READINGS), ".")
    assert found is not None
    assert (found.name, found.value, found.unit, found.channels) == (1, 2, -1, ("A", "TC1", "V"))


def test_a_remark_in_each_row_is_no_reading() -> None:
    found = sniff.find_long(long_rows(MOMENTS, ["P", "Q", "R"] * 6, READINGS, ["fine"] * 18), ".")
    assert found is not None
    assert (found.name, found.value) == (1, 2)
    stamped = [f"14:00:{i:02d}" for i in range(18)]
    found = sniff.find_long(long_rows(MOMENTS, ["P", "Q", "R"] * 6, READINGS), ".")
    assert found is not None
    with pytest.raises(ReadingError, match="a time of its own"):
        sniff.find_long(long_rows(MOMENTS, ["P", "Q", "R"] * 6, READINGS, stamped), ".")


def test_a_long_table_of_many_channels_is_proposed_whole(tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    lines = [f"2026-11-25,14:{i:02d}:00,T{k},{20.3 + i + k / 10:.1f}" for i in range(20) for k in range(8)]
    file.write_text("Date,Time,Channel,Value [C]\n" + "\n".join(lines) + "\n", "utf8")
    made = propose(file)
    assert [(c.name, c.index) for c in made.read_as.columns] == [(f"T{k}", 2 + k) for k in range(8)]
    assert [(r.least, r.most, r.missing) for r in made.ranges] == [
        (pytest.approx(20.3 + k / 10), pytest.approx(39.3 + k / 10), 0) for k in range(8)
    ]


# heads of files


@pytest.mark.parametrize(
    ("odd", "even", "encoding"),
    [
        (100, 9, "utf-16-le"),
        (100, 10, ""),
        (9, 100, "utf-16-be"),
        (10, 100, ""),
        (60, 0, ""),
        (61, 0, "utf-16-le"),
        (0, 60, ""),
        (0, 61, "utf-16-be"),
    ],
)
def test_zero_bytes_tell_the_encoding(odd: int, even: int, encoding: str) -> None:
    """400 bytes; three in ten of one half, a tenth of these in the other."""
    raw = bytearray(b"a" * 400)
    raw[1 : 2 * odd : 2] = bytes(odd)
    raw[0 : 2 * even : 2] = bytes(even)
    assert sniff.encoding_of(bytes(raw))[0] == encoding


@pytest.mark.parametrize("before_end", range(1, 9))
def test_a_letter_of_two_bytes_at_the_end_of_the_head_is_utf8(before_end: int) -> None:
    """The head ends, or is looked at to its end, within the letter."""
    raw = ("a" * (sniff.HEAD - before_end) + "ééééé").encode()[: sniff.HEAD]
    assert sniff.encoding_of(raw)[0] == "utf-8"


@pytest.mark.parametrize(("before_end", "encoding"), [(7, "utf-8"), (8, "cp1252"), (9, "cp1252")])
def test_a_byte_that_is_no_utf8_near_the_end_of_the_head(before_end: int, encoding: str) -> None:
    raw = b"a" * (sniff.HEAD - before_end) + b"\xe9" + b"a" * (before_end - 1)
    assert sniff.encoding_of(raw)[0] == encoding
    assert sniff.encoding_of(raw + b"a")[0] == "cp1252", "no head that was cut"


def test_the_half_line_at_the_end_of_the_head_is_not_looked_at(tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_bytes(b"one\n" + b"2" * sniff.HEAD)
    assert sniff.encoding_and_head(file)[1] == ["one"]
    file.write_bytes(b"2" * sniff.HEAD)
    assert [len(x) for x in sniff.encoding_and_head(file)[1]] == [sniff.HEAD]


def test_rows_with_an_empty_cell_tell_the_width() -> None:
    table = [["Time", "T1", "Remark"], *([str(i), f"{20 + i}.5", ""] for i in range(8))]
    layout = sniff.layout_of(table, ".", [" ".join(r) for r in table])
    assert (layout.width, layout.names) == (3, ("Time", "T1", "Remark"))


@pytest.mark.parametrize(
    ("name", "unit"), [("Bag Pa", "Pa"), ("Heater kW", "kW"), ("T1 C", "C"), ("T1 K", ""), ("P1 [V]", "V")]
)
def test_a_unit_behind_a_name(name: str, unit: str) -> None:
    assert unit_in_name(name) == unit


# what a proposal shows


def _block(first: int, count: int) -> cells.Block:
    return cells.block_of([f"{i},{i}.5" for i in range(first, first + count)], first + 1, ",", 2)


def test_first_and_last_rows_come_from_as_many_blocks_as_it_takes() -> None:
    survey = _Survey(2, ".")
    for first, count in ((0, 2), (2, 2), (4, 1), (5, 2)):
        survey.take(_block(first, count))
    assert [r[0] for r in survey.first] == ["0", "1", "2"]
    assert [r[0] for r in survey.last] == ["4", "5", "6"]
    assert (survey.rows, survey.least.tolist(), survey.most.tolist()) == (7, [0.0, 0.5], [6.0, 6.5])


@pytest.mark.parametrize("count", [200, 201, 500, 799])
def test_every_row_of_a_block_of_less_than_800_is_looked_at(count: int) -> None:
    survey = _Survey(2, ".")
    survey.take(_block(0, count))
    assert set(survey.sample[0]) == {str(i) for i in range(count)}
    survey.take(_block(1000, 2000))
    assert survey.sample[0][-1] == "2999", "and the last of each block"


def test_a_channel_that_stands_has_one_value_as_its_extremes() -> None:
    assert _finite(20.5, 20.5) == (20.5, 20.5)
    assert np.isnan(_finite(np.inf, -np.inf)).all()


@pytest.mark.parametrize(
    ("unit", "parts", "fraction"),
    [
        ("ms", [0, 500, 999], True),
        ("ms", [0, 500, 1000], False),
        ("ms", [0, 500, 1050], False),
        ("ms", [1, 500, 999], True),
        ("ms", [-1, 500, 999], False),
        ("us", [0, 999_999, 1], True),
        ("us", [0, 1_000_000, 1], False),
    ],
)
def test_when_a_column_counts_parts_of_a_second(unit: str, parts: list[int], fraction: bool) -> None:
    survey = _Survey(2, ".")
    survey.sample = [["14:00:00", "14:00:01", "14:00:02"], [str(x) for x in parts]]
    layout = sniff.TableLayout((), 2, 0, ("Time", unit), ("", ""), ())
    clock = ProposedClock(TimeAs((0,), "time of day"), (), ())
    found = _with_fraction(clock, layout, survey).time
    assert (found.fraction, found.fraction_unit) == ((1, unit) if fraction else (-1, ""))
    survey.sample[0][1] = "14:00:01.5"  # one stamp has its parts itself
    assert _with_fraction(clock, layout, survey).time.fraction == -1


# clocks


@pytest.mark.parametrize(
    ("first", "step", "form"),
    [
        (45000.0, 0.0625, "serial"),
        (45000.0, 0.105, "elapsed"),  # a sample each two and a half hours is none
        (30000.0, 0.0625, "elapsed"),
        (30001.0, 0.0625, "serial"),
        (79999.0, 0.0625, "serial"),
        (80000.0, 0.0625, "elapsed"),
        (45000.0, 39.9375 / 19, "elapsed"),
    ],
)
def test_days_since_1899(first: float, step: float, form: str) -> None:
    cells_ = [repr(first + step * i) for i in range(20)]
    assert find_clock([cells_, ["20.5"] * 20], ("Time", "T1"), ("", ""), ".").time.form == form


def test_what_is_read_where_no_column_of_times_is() -> None:
    for names, told in ((("T1", "T2"), "T1, T2"), (("", ""), "no names"), (("", "T2"), "T2")):
        with pytest.raises(ReadingError, match="no column of times") as refused:
            find_clock([["20.5"] * 5, ["21.5"] * 5], names, ("", ""), ".")
        assert refused.value.read == told
