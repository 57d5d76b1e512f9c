"""The small questions by which a row cut short is read: each at its limit."""

from __future__ import annotations

import math
from types import SimpleNamespace as Made
from typing import Any

import pytest

from panelmend.curelog.broken import BrokenRows, _numbers_stand

NAN = math.nan


def rows(form: str = "clock") -> Any:
    """Of a table whose first column is its time."""
    made: Any = object.__new__(BrokenRows)
    made.how = Made(decimal=".", thousands="", time=Made(form=form, columns=(0,)))
    made.columns = [0, 1, 2, 3]
    return made


def test_a_column_spans_from_the_least_to_the_most_of_its_numbers() -> None:
    assert rows()._span(["82.0", "", "80.1", "81.0"]) == (80.1, 82.0)
    assert all(math.isnan(x) for x in rows()._span(["", "open"]))


@pytest.mark.parametrize(
    ("cell", "fits"),
    [("98.0", True), ("97.9", False), ("104.0", False), ("103.0", True), ("103.02", True), ("103.1", False)],
)
def test_a_number_fits_within_two_in_a_hundred_of_those_beside_it(cell: str, fits: bool) -> None:
    """Beside it 100 and 101: from 98 to 103.02."""
    assert rows()._fits(cell, [(100.0, 101.0)], 0) is fits


def test_a_number_fits_no_column_that_is_not_there_and_a_word_none_that_holds_numbers() -> None:
    beside = [(100.0, 101.0), (NAN, NAN)]
    assert [rows()._fits("100.0", beside, i) for i in (-1, 0, 1, 2)] == [False, True, False, False]
    assert [rows()._fits("open", beside, i) for i in (-1, 0, 1, 2)] == [True, False, True, True]


def test_numbers_may_stand_anywhere_where_nothing_is_known_beside() -> None:
    beside = [(1.0, 2.0), (NAN, NAN)]
    assert [_numbers_stand(beside, i) for i in (-1, 0, 1, 2)] == [False, True, False, False]
    assert _numbers_stand([], 7)


@pytest.mark.parametrize(
    ("form", "cell", "beside", "time"),
    [
        ("clock", "09:15:20", [], True),
        ("clock", "09:1?", [], True),  # what is left of one
        ("clock", "ALARM", [], False),
        ("clock", "CH1", [], False),
        ("clock", "93.0", [], False),
        ("elapsed", "120", [], True),
        ("elapsed", "120", [(119.0, 121.0)], True),
        ("elapsed", "120", [(900.0, 920.0)], False),
        ("elapsed", "12:", [(900.0, 920.0)], True),
        ("elapsed", "n1", [(900.0, 920.0)], False),
    ],
)
def test_a_cell_in_the_place_of_the_time_may_be_one(form: str, cell: str, beside: Any, time: bool) -> None:
    assert rows(form)._is_time(cell, 0, beside) is time
