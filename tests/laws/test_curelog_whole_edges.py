"""What the reader of cure logs says of a whole file: extremes, rows shown, notes; worked out by hand."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from panelmend.curelog import build, cells, propose
from panelmend.curelog.longform import Long
from panelmend.curelog.propose import _decimal_of_texts, _Survey
from panelmend.curelog.readas import ColumnAs, ReadAs, TimeAs
from panelmend.errors import InputError, ReadingError
from panelmend.plan.judge.log import ChannelRole


def described(**more: Any) -> ReadAs:
    columns = (ColumnAs(1, "TC1", ChannelRole.THERMOCOUPLE, "C"),)
    given = {"form": "text", "time": TimeAs((0,), "elapsed"), "columns": columns, "width": 2} | more
    return ReadAs(**given)


@pytest.mark.parametrize(("cell", "mark"), [("20,5", ","), ("20.5", "."), ("20", "."), ("1,2,3", ".")])
def test_the_decimal_mark_of_a_sheet_is_that_of_all_its_texts(cell: str, mark: str) -> None:
    assert _decimal_of_texts([["name", 1.5, cell], [cell]]) == mark
    assert _decimal_of_texts([[cell, "20.5"]]) == "."


def test_extremes_missing_readings_and_rows_shown_are_those_of_the_file() -> None:
    survey = _Survey(2, ".")
    for first in (0, 300):
        lines = [f"{i};{100 - i}" if i != 7 else "7;-" for i in range(first, first + 300)]
        survey.take(cells.block_of(lines, first + 1, ";", 2))
    assert (survey.rows, survey.missing.tolist()) == (600, [0, 1])
    assert (survey.least.tolist(), survey.most.tolist()) == ([0, -499], [599, 100])
    assert survey.first == [("0", "100"), ("1", "99"), ("2", "98")]
    assert list(survey.last) == [("597", "-497"), ("598", "-498"), ("599", "-499")]
    sampled = survey.values(0)
    assert sampled[:200].tolist() == list(range(200)), "two hundred rows of a block one after the other"
    assert 299.0 in sampled
    assert 599.0 in sampled


def test_a_proposal_shows_the_extremes_and_what_is_missing(tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_text("time s;TC1 C;TC2 C\n" + "".join(f"{i};{20 + i}.5;-\n" for i in range(20)))
    first, second = propose(file).ranges
    assert (first.least, first.most, first.missing) == (20.5, 39.5, 0)
    assert (np.isnan(second.least), np.isnan(second.most), second.missing) == (True, True, 20)


def test_five_lines_that_are_no_samples_are_shown_and_all_are_counted() -> None:
    made = build.Builder(described(), "log.csv")
    for first, count in ((1, 3), (11, 4), (21, 2)):
        made._leave([(first + i, "x") for i in range(count)])
    assert [n for n, _ in made.left_out] == [1, 2, 3, 11, 12]
    assert made.left_count == 9
    made._leave([(31, "x")], 40)
    assert (made.left_count, len(made.left_out)) == (49, 5)
    made.take(cells.Block(short=list(range(50, 91))))
    assert made._notes(np.zeros(0, np.int32)) == [
        "49 lines are no samples and were left out: "
        "line 1 'x', line 2 'x', line 3 'x', line 11 'x', line 12 'x'",
        "41 lines have fewer cells than the table and were set aside, since it is not certain which reading "
        f"is missing: line {', '.join(map(str, range(50, 90)))} ...",
    ]


def test_a_channel_set_aside_is_kept_as_a_temperature_in_its_unit_or_that_of_the_others() -> None:
    columns = (
        ColumnAs(1, "TC1", ChannelRole.THERMOCOUPLE, "F"),
        ColumnAs(2, "TC2", ChannelRole.OTHER, ""),
        ColumnAs(3, "TC3", ChannelRole.OTHER, "C"),
    )
    how = described(columns=columns, width=4, set_aside=("TC2", "TC3"))
    made = build.Builder(how, "log.csv")
    made.take(cells.block_of(["0;212;32;100", "60;212;212;0"], 1, ";", 4))
    two, three = made.finish("0" * 64).set_aside
    assert two.values.tolist() == pytest.approx([273.15, 373.15])
    assert three.values.tolist() == pytest.approx([373.15, 273.15])


@pytest.mark.parametrize(
    ("rows", "fine"), [([["a", ""], ["", ""]], True), ([["", ""], ["", ""]], False), ([["a", "b"]], True)]
)
def test_a_sheet_with_one_cell_is_read(
    rows: list[list[str]], fine: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    answer: Callable[..., Any] = lambda path, sheet: ("rows", rows)  # noqa: E731
    monkeypatch.setattr(cells, "_asked", answer)
    if fine:
        assert cells.sheet_rows(Path("x.xlsx"), "one") == rows
    else:
        with pytest.raises(ReadingError, match="without cells"):
            cells.sheet_rows(Path("x.xlsx"), "one")


@pytest.mark.parametrize(
    ("more", "fault"),
    [
        ({}, ""),
        ({"unit": -2}, "column of names"),
        ({"unit": 3}, "column of names"),
        ({"unit": 2}, "column of names"),  # the readings stand there
        ({"name": -1}, "column of names"),
        ({"value": 3}, "column of names"),
        ({"channels": ()}, "without channels"),
        ({"unit": 0, "units": ()}, "units are not those"),
    ],
)
def test_a_long_table_has_a_column_of_names_one_of_readings_and_one_of_times(
    more: dict[str, Any], fault: str
) -> None:
    width = 4 if "units" in more else 3
    long = Long(**({"name": 1, "value": 2, "channels": ("TC1",)} | more))
    if fault:
        with pytest.raises(InputError, match=fault):
            described(width=width, long=long)
    else:
        made = described(width=width, long=long)
        assert made.long is not None
        assert ReadAs.from_json(made.to_json()) == made or np.isnan(made.ambient)
