"""Tables read from their bytes, many rows at once: the same as cell by cell, or left alone."""

from __future__ import annotations

import random
from collections import Counter

import numpy as np
import pytest

from panelmend.curelog.cells import Block, block_of, block_of_rows, split_line
from panelmend.curelog.numerals import block_times, numbers, plain_table, read_times
from panelmend.curelog.plain import MOST_WIDE, PlainBytes, unquoted
from panelmend.curelog.readas import TimeAs


def plain(lines: list[str], separator: str = ",") -> PlainBytes | None:
    return PlainBytes.of(lines, "\n".join(lines), separator, lines[0].count(separator) + 1)


def column(cells: list[str]) -> list[float] | None:
    """Cells between two others."""
    made = plain([f"-9.9,{c},8." for c in cells])
    table = made.numbers([1]) if made is not None else None
    return None if table is None else table[:, 0].tolist()


def test_plain_numbers_are_to_the_last_bit_what_each_cell_says() -> None:
    dice = random.Random(7)
    for _ in range(300):
        digits = dice.randrange(6)
        cells = []
        for _ in range(dice.choice((1, 2, 40))):
            if dice.random() < 0.1:
                digits = dice.randrange(6)
            text = f"{dice.uniform(-10, 10) * 10 ** dice.randrange(6):.{digits}f}"
            cells.append(
                " " * dice.choice((0, 0, 2)) + dice.choice(("", "", "+" if text[0] != "-" else "")) + text
            )
        read = column(cells)
        assert read is not None, cells
        assert [x.hex() for x in read] == [float(c).hex() for c in cells], cells


@pytest.mark.parametrize("cell", ["0", "-0.0", ".5", "-.5", "007", "123456789012345", "0.00000000000001"])
def test_numbers_at_the_rim_are_read(cell: str) -> None:
    assert column([cell, "21.5"]) == [float(cell), 21.5]


@pytest.mark.parametrize(
    "cell",
    (
        ["", " ", "-", "+", ".", "-.", "5.", "1.2.3", "1 2", "--1", "1-", "1e3", "nan", "inf", "1_0", "+-1",
         "21.5 ", "- 1", "\t1", "1\x00", "21:30", "1234567890123456", "1" * (MOST_WIDE + 1), "OPEN", "0x1f"]
    ),
)  # fmt: skip
def test_anything_else_is_left_to_the_slower_way(cell: str) -> None:
    for cells in ([cell], [cell, "21.5"], ["21.5", "2", cell]):
        assert column(cells) is None


@pytest.mark.parametrize(
    ("cells", "read"),
    [
        (["21,5", "-3"], True),
        (["0,25", ",5"], True),
        (["21.5", "3,5"], False),
        (["1,2,3"], False),
        (["5,"], False),
    ],
)
def test_decimal_commas_are_read_from_their_bytes_to_the_last_bit(cells: list[str], read: bool) -> None:
    block = block_of([f"9;{c};1" for c in cells], 1, ";", 3)
    table = plain_table(block, [1], ",")
    slow = numbers(block.column(1), ",", "", Counter())
    assert (table is not None) is read
    if table is not None:
        assert (
            [x.hex() for x in table[:, 0]]
            == [x.hex() for x in slow]
            == [float(c.replace(",", ".")).hex() for c in cells]
        )


@pytest.mark.parametrize(
    ("lines", "bare"),
    [
        (['"1","2.5"', '"3","4"'], ["1,2.5", "3,4"]),
        (['1,"2.5"', '"3",4'], ["1,2.5", "3,4"]),
        (['"","2"', '"3",""'], [",2", "3,"]),
        (['"1,5","2"', '"3","4"'], None),
        (['"a,b","c"', '"d"'], None),
        (['"1""","2"'], None),
        (['"1"",""2","3"'], None),
        (['1"2,3', '4",5'], None),
        (['"1,2', '3",4'], None),
        (['"1","2', '3","4"'], None),
    ],
)
def test_quotes_are_taken_off_whole_cells_only(lines: list[str], bare: list[str] | None) -> None:
    assert unquoted("\n".join(lines), ",") == (None if bare is None else "\n".join(bare))
    width = len(split_line(lines[0], ","))
    block = block_of(lines, 1, ",", width)
    alone = block_of_rows([split_line(x, ",") for x in lines], 1, width)
    assert block.rows(range(len(block.numbers))) == alone.rows(range(len(alone.numbers)))
    assert (block.plain is not None) is (bare is not None)


def test_a_table_is_read_where_all_lines_have_its_width() -> None:
    assert plain(["1,2", "3,4"]) is not None
    for lines in (["1,2", "3"], ["1,2", "3,4,5"], ["1,2,3", "4", "5,6,7,8,9"], ["1,2", "", "5,6"]):
        assert PlainBytes.of(lines, "\n".join(lines), ",", lines[0].count(",") + 1) is None
    assert plain(["1,\u00b0", "3,4"]) is None
    block = block_of(["1,2", "3,x"], 5, ",", 2)
    assert block.plain is not None
    assert plain_table(block, [0, 1]) is None
    assert plain_table(block, [0]) is not None
    assert block.line_numbers().tolist() == [5, 6]
    assert Block([3, 9]).line_numbers().tolist() == [3, 9]
    assert numbers(block.column(1), ".", "", Counter())[0] == 2.0


@pytest.mark.parametrize(
    ("form", "order", "cells"),
    [
        ("clock", "ymd", ["2026-11-25 08:00:00", "2026-11-25 23:59:59", "2026-02-30 08:00:00"]),
        ("clock", "ymd", ["2026-11-25T08:00:00.25+01:00", "2026-11-25T08:00:01.25+02:00"]),
        ("clock", "dmy", ["25.11.2026 08:00", "1.12.2026 08:00", "xx.12.2026 08:00"]),
        ("clock", "mdy", ["11/25/2026 11:59:59 PM", "11/26/2026 12:00:00 AM", "11/26/2026 13:00:00 AM"]),
        ("clock", "dmy", ["25 Nov 2026 08:00:00", "26 Nov 2026 08:00:00"]),
        ("time of day", "ymd", ["08:00:00", "08:61:00", "8:00:00"]),
        ("time of day", "ymd", ["", ""]),
    ],
)
def test_stamps_are_the_same_from_bytes_and_from_cells(form: str, order: str, cells: list[str]) -> None:
    how = TimeAs((1,), form, order=order)
    block = block_of([f"7,{c},2.5" for c in cells], 1, ",", 3)
    assert block.plain is not None
    from_bytes = block_times(block, how, ".", "")
    from_cells = read_times([cells], how, ".", "")
    assert np.array_equal(from_bytes, from_cells, equal_nan=True)
