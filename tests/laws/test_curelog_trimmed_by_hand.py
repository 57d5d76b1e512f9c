"""Rows without the empty cells at their end, and rows of a long table that do not fit: which are whole, and
where their reading stands; each by hand."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from panelmend.curelog.cells import Block, Hashing, _filled, block_of_rows, text_blocks
from panelmend.curelog.longform import Long, Widener
from panelmend.curelog.sniff import _header, _starts, find_long, separator_of
from panelmend.curelog.stamps import days_passed

# rows without the empty cells at their end


@pytest.mark.parametrize(
    ("row", "filled"),
    [(["t", "1", ""], 2), (["t", "", ""], 1), (["t"], 1), (["", " "], 0), ([], 0), (["", "1"], 2)],
)
def test_how_many_cells_a_row_has_without_the_empty_ones_at_its_end(row: list[str], filled: int) -> None:
    assert _filled(row) == filled


@pytest.mark.parametrize(
    ("more", "whole"),
    [
        ([], 5),
        ([["t", "1", "2", "", "", ""]], 6),
        (
            [["t", "1", "2", "", "", "x"]],
            2,
        ),  # longer than the table: something stands where they have nothing
        ([["t", "1", "2", "3", ""]], 3),
        ([["t", "1"]], 5),  # one shorter still is no measure of the others
    ],
)
def test_rows_that_lack_cells_where_all_others_are_empty_are_whole(more: list[list[str]], whole: int) -> None:
    """Two rows of five cells, the last two empty, and three without those."""
    rows = [["t", "1", "2", "", ""]] * 2 + [["t", "1", "2"]] * 3 + more
    made = block_of_rows(rows, 2, 5)
    assert len(made.numbers) == whole
    assert all(len(c) == whole for c in made.cells)
    assert len(made.cells) == 5


def test_where_no_row_is_as_wide_as_the_table_none_is_whole() -> None:
    made = block_of_rows([["t"]] * 4, 2, 3)
    assert (list(made.numbers), made.short) == ([], [2, 3, 4, 5])


def test_a_whole_row_gets_the_cells_it_lacks() -> None:
    made = block_of_rows([["t", "1", "", ""], *[["t", "2"]] * 3], 2, 4)
    assert made.rows(range(4)) == [("t", "1", "", ""), *[("t", "2", "", "")] * 3]


@pytest.mark.parametrize(("rows_ago", "cut"), [(20, False), (21, True), (22, True)])
def test_a_last_line_is_compared_with_the_last_twenty(tmp_path: Path, rows_ago: int, cut: bool) -> None:
    """Nothing ends it, and 6 may be what is left of 65.3, unless one of them said as little."""
    lines = [f"{stamp(k)},65.3" for k in range(30)]
    lines[-rows_ago] = f"{stamp(30 - rows_ago)},6"
    file = tmp_path / "log.csv"
    file.write_text("\n".join([*lines, f"{stamp(30)},6"]), "utf8")
    opened = Hashing(file)
    blocks = list(text_blocks(opened, "log.csv", "utf-8", ",", 2, 0))
    opened.close()
    assert sum(len(b.numbers) for b in blocks) == (30 if cut else 31)
    assert [n for b in blocks for n, _ in b.strange] == [31] * cut


# long rows that do not fit


def wide(long: Long, row: list[str], width: int = 4) -> list[list[str]]:
    """The wide rows made of one that has fewer or more cells than the others."""
    return [cells for _, cells in Widener(long).take(Block(broken=[(9, row)], width=width)).broken]


LAST = Long(1, 2, ("T1", "T2"), 3, ("C", "C"))  # time, name, reading, unit
FIRST = Long(1, 0, ("T1", "T2"), 2, ("C", "C"))  # reading, name, unit, time


@pytest.mark.parametrize(
    ("row", "made"),
    [
        # without its name: as it stands from the left, and from the right, of each channel
        (["t", "93.0", "C"], [["", "93.0", "93.0"], ["", "C", "C"]]),
        # with a cell too many before it
        (["t", "x", "T1", "93.0", "C"], [["", "T1", ""], ["", "93.0", ""]]),
        # cut before its reading
        (["t", "T1"], [["", "t", ""], ["", "", ""]]),
        (["t", "T1", "93.0"], [["", "T1", ""], ["", "93.0", ""]]),
        (["t"], [["", "", ""], ["", "", ""]]),
    ],
)
def test_a_long_row_is_read_from_the_left_and_from_the_right(row: list[str], made: list[list[str]]) -> None:
    assert sorted(wide(LAST, row)) == sorted(made)


def test_the_reading_of_a_long_row_may_stand_first() -> None:
    """Without its time: from the right there is nothing before the first cell."""
    assert sorted(wide(FIRST, ["93.0", "T2", "C"])) == [["", "", ""], ["", "", "93.0"]]


def test_a_unit_may_stand_first() -> None:
    head, reading = ["Unit", "Channel", "Value", "Time"], ["C", "T9", "81.0", "09:00"]
    long = Long(1, 2, ("T1",), 0, ("C",))
    assert [long.of_channel(x) for x in (head, reading)] == [False, True]


# which logs are long


def stamp(k: int) -> str:
    return f"2026-11-25 09:{k // 2:02d}:{30 * (k % 2):02d}"


def rows_of() -> list[list[str]]:
    return [[stamp(k // 3), f"T{k % 3}", "81.0", "°C"] for k in range(60)]


def test_a_head_that_comes_again_leaves_a_long_table_one() -> None:
    rows = rows_of()
    rows.insert(30, ["Time", "Channel", "Value", "Unit"])
    found = find_long(rows, ".")
    assert found is not None
    assert (found.name, found.value, found.unit) == (1, 2, 3)


def test_rows_without_a_digit_are_no_long_table() -> None:
    assert find_long([["a", "b", "c"]] * 20, ".") is None
    assert find_long([], ".") is None


@pytest.mark.parametrize(("columns", "long"), [(4, True), (6, True), (7, False)])
def test_a_table_wider_than_six_columns_is_no_long_one(columns: int, long: bool) -> None:
    """Two of sixty rows lack the name of their channel."""
    rows = [[*r, "1", "2", "3"][:columns] for r in rows_of()]
    rows[7][1] = rows[8][1] = ""
    assert (find_long(rows, ".") is not None) is long


# where samples begin, and what parts their cells


@pytest.mark.parametrize(
    ("row", "begins"),
    [
        (["note", "", "x"], False),  # no samples, whatever cells are empty
        (["09:00", "", "81.0"], True),
        (["", "", ""], True),  # nothing is known of them
    ],
)
def test_where_samples_begin_most_of_what_follows_is_one(row: list[str], begins: bool) -> None:
    assert _starts([["08:00", "1.0", "2.0"], *[row] * 20], 0, 3, ".") is begins


def test_three_digits_behind_a_comma_are_a_decimal_comma_between_semicolons() -> None:
    """As thousands they count nine tenths of a number: 0.95 of four cells, where all are as decimals."""
    assert separator_of(["08:00:00;7;1,234;2,345"] * 20) == (";", ",")
    assert separator_of(["08:00:00;7;1.234;2.345"] * 20) == (";", ".")


@pytest.mark.parametrize(("commas", "decimal"), [(20, "."), (21, ",")])
def test_a_decimal_mark_must_read_two_in_a_hundred_more(commas: int, decimal: str) -> None:
    """Of a thousand cells of the last two hundred lines so many have a comma; the others read either way."""
    lines = [f"08:00:00;7;7;7;{'1,5' if k < commas else '7'}" for k in range(200)]
    assert separator_of(["x"] * 200 + lines) == (";", decimal)


@pytest.mark.parametrize("units", [["s", "C", "inHg"], ["C", "C", "inHg"]])
def test_units_as_wide_as_the_table_stand_where_they_are(units: list[str]) -> None:
    """One more that is no unit of a time, above stamps, too."""
    sample = [("08:00:00", "81.0", "25.0"), ("08:00:10", "82.0", "25.1")]
    names = ["Time", "T1", "Gauge"]
    assert _header([names, units], 3, ".", sample) == (tuple(names), tuple(units))


def test_a_file_that_is_hashed_ends_where_it_ends(tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_bytes(b"abc")
    opened = Hashing(file)
    assert [opened.readinto(bytearray(8)) for _ in range(3)] == [3, 0, 0]
    opened.close()


# midnight


H = 3600.0


@pytest.mark.parametrize(
    ("times", "days"),
    [
        ([12.0 * H, 0.0], [0, 0]),  # half a day back is no midnight
        ([12.0 * H + 1.0, 0.0], [0, 1]),
        ([H, 13.0 * H, 0.5 * H], [0, 0, 1]),  # half a day ahead is a gap, whatever follows
        ([H, 13.0 * H + 1.0, 0.5 * H], [0, -1, 0]),  # a stamp of the day before
    ],
)
def test_half_a_day_ahead_is_the_day_before_beside_one_back(times: list[float], days: list[int]) -> None:
    assert days_passed(np.array(times)).tolist() == days


def test_one_back_far_from_the_first_row_is_not_beside_one_ahead() -> None:
    """Ahead by half a day in the eighth row; back in the first, or in the twentieth."""
    times = np.full(30, 2.0 * H)
    times[0], times[8:] = 23.0 * H, 23.0 * H
    assert days_passed(times).tolist() == [0, *[1] * 29]
    times[0], times[20:] = 2.0 * H, H
    assert days_passed(times).tolist() == [0] * 20 + [1] * 10
