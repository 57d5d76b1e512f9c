"""Places of the readers of cure logs that no other test was seen to notice, each by hand."""

from __future__ import annotations

import dataclasses
import json
import pickle
import subprocess
from collections import Counter
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from zipfile import ZipFile

import numpy as np
import pytest

from panelmend.curelog import ReadAs, cells, read_log
from panelmend.curelog.build import Builder
from panelmend.curelog.cells import block_of, open_unbuffered, sheet_names, split_line
from panelmend.curelog.head import other_head
from panelmend.curelog.longform import Long
from panelmend.curelog.plain import unquoted
from panelmend.curelog.readas import ColumnAs, TimeAs
from panelmend.curelog.sniff import with_channels
from panelmend.curelog.stamps import halves
from panelmend.errors import InputError, ReadingError
from panelmend.plan.judge import ChannelRole
from typed_logs import proposed, taken, units, warm

T1 = ColumnAs(1, "T1", ChannelRole.THERMOCOUPLE, "C")
CLOCK = ReadAs("text", TimeAs((0,), "clock", zone="stamped"), (T1,), 2, confirmed=True)


def test_parts_of_a_second_may_stand_in_the_first_column(tmp_path: Path) -> None:
    log = tmp_path / "a.csv"
    made = proposed(log, "us,Time,T1 [C]", lambda i: f"{i % 2 * 250000},14:{i:02d}:00,{warm(i)}")
    assert made.read_as.time.fraction == 0
    assert np.diff(taken(log, made).times)[:2].tolist() == [60.25, 59.75]


@pytest.mark.parametrize(
    ("zone", "begun"), [("Z", "2026-11-25T14:00:00+00:00"), ("+02:00", "2026-11-25T14:00:00+02:00")]
)
def test_a_log_begins_by_the_offset_of_its_first_stamp(zone: str, begun: str) -> None:
    """Also where the clock was put back in a later part of the file."""
    builder = Builder(CLOCK, "a.csv")
    builder.take(block_of([f"2026-11-25 14:0{i}:00{zone},20.{i}" for i in range(3)], 2, ",", 2))
    builder.take(block_of([f"2026-11-25 15:0{i}:00+01:00,21.{i}" for i in range(3)], 5, ",", 2))
    assert builder.finish("").started == begun


def test_a_thermocouple_given_another_role_is_kept_twice(tmp_path: Path) -> None:
    log = tmp_path / "a.csv"
    made = proposed(log, "Time,T1 [C],T2 [C]", lambda i: f"14:{i:02d}:00,{warm(i)},{warm(i) + 1:.1f}")
    how = made.confirm({**made.suggested(), "zone": "local", "role of T2 [C]": "other"})
    found = read_log(log, how)
    wanted = np.array([round(warm(i) + 1, 1) for i in range(60)])
    assert np.allclose(found.set_aside[0].values, wanted + 273.15)
    assert np.allclose(found.channel("T2 [C]").values, wanted)


@pytest.mark.parametrize(
    ("cell", "said"),
    [("72.5 F", "no number in C,"), ("bad", "no number,"), ("bad,72.5 F", "no number in C,")],
)
def test_what_is_no_number_is_said_with_the_unit_that_it_lacks(cell: str, said: str) -> None:
    builder = Builder(dataclasses.replace(CLOCK, time=TimeAs((0,), "elapsed")), "a.csv")
    odd = cell.split(",")
    rows = [f"{i},20.{i}" for i in range(5)] + [f"{5 + i},{c}" for i, c in enumerate(odd)]
    builder.take(block_of(rows, 2, ",", 2))
    assert any(f"cells that are {said}" in n for n in builder.finish("").notes)


def test_why_a_file_cannot_be_opened_is_said(tmp_path: Path) -> None:
    with pytest.raises(ReadingError) as refused:
        open_unbuffered(tmp_path)
    assert "irectory" in refused.value.sentence()


def test_blanks_behind_a_comma_are_the_cell_s_own() -> None:
    assert split_line('"a", 1', ",") == ["a", " 1"]
    assert split_line('"a"  "b c" 1', " ") == ["a", "b c", "1"]


@pytest.mark.parametrize(("most", "refused"), [(8, False), (7, True)])
def test_a_workbook_as_large_as_may_be(
    tmp_path: Path, most: int, refused: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    book = tmp_path / "a.xlsx"
    with ZipFile(book, "w") as pack:
        pack.writestr("a", "12345")
        pack.writestr("b", "123")
    assert cells.MOST_UNPACKED == 1 << 30
    monkeypatch.setattr(cells, "MOST_UNPACKED", most)
    done = SimpleNamespace(returncode=0, stdout=pickle.dumps(("names", ("one",))))
    monkeypatch.setattr(subprocess, "run", lambda *_, **__: done)
    if refused:
        with pytest.raises(ReadingError, match="gigabyte"):
            sheet_names(book)
    else:
        assert sheet_names(book) == ("one",)


@pytest.mark.parametrize(("code", "out"), [(1, pickle.dumps(("names", ("one",)))), (0, b"")])
def test_a_reader_of_workbooks_that_fell_over_is_not_believed(
    tmp_path: Path, code: int, out: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    book = tmp_path / "a.xls"
    book.write_bytes(b"\xd0\xcf\x11\xe0")
    done = SimpleNamespace(returncode=code, stdout=out)
    monkeypatch.setattr(subprocess, "run", lambda *_, **__: done)
    with pytest.raises(ReadingError, match="workbook"):
        sheet_names(book)


def test_a_second_head_by_one_unit_or_by_its_names() -> None:
    columns = [T1, ColumnAs(2, "C", ChannelRole.THERMOCOUPLE, "C")]
    assert other_head(["T1 [F]", "20.0"], columns)
    assert not other_head(["T1", "C"], columns)  # a thermocouple called C, under the same head again
    assert other_head(["C", "T1"], columns)


def test_quotes_that_only_count_up_to_those_of_cells_are_none() -> None:
    assert unquoted('""a\nb""', ",") is None
    assert unquoted('"a"\n"b"', ",") == "a\nb"


@pytest.mark.parametrize("units_row", [True, False])
def test_the_unit_of_a_long_table_stands_in_its_head_or_below_it(tmp_path: Path, units_row: bool) -> None:
    head = "Time,Channel,Value\n,,C" if units_row else "Time,Channel,Value [C]"
    made = proposed(tmp_path / "a.csv", head, lambda i: f"14:{i // 2:02d}:00,TC{1 + i % 2},{warm(i // 2)}")
    assert units(made) == {"TC1": "C", "TC2": "C"}


@pytest.mark.parametrize("field", ["encoding", "sheet", "zone", "head", "by"])
def test_a_description_whose_texts_are_none_is_refused(field: str) -> None:
    data: dict[str, Any] = json.loads(CLOCK.to_json())
    (data["time"] if field == "zone" else data)[field] = 5
    with pytest.raises(InputError, match=f"read as.*, {field}"):
        ReadAs.from_json(json.dumps(data))


@pytest.mark.parametrize(("index", "fine"), [(2, True), (3, False)])
def test_channels_of_a_long_table_lie_within_the_wide_one(index: int, fine: bool) -> None:
    """Time, name and reading: the time and two channels are three columns, from 0 to 2."""
    long = Long(1, 2, ("TC1", "TC2"))
    columns = (T1, ColumnAs(index, "T2", ChannelRole.THERMOCOUPLE, "C"))
    if fine:
        assert dataclasses.replace(CLOCK, columns=columns, width=3, long=long).long is long
    else:
        with pytest.raises(InputError, match="outside"):
            dataclasses.replace(CLOCK, columns=columns, width=3, long=long)


def test_units_may_stand_in_the_first_column_of_a_long_table() -> None:
    rows = [["C", "TC1", "20.1"], ["F", "TC2", "70.1"]]
    assert with_channels(Long(1, 2, (), 0), rows).units == ("C", "F")
    assert with_channels(Long(1, 2, (), -1), rows).units == ()


def test_a_column_of_am_and_pm_holds_nothing_else() -> None:
    assert halves(["AM", "", "p.m."])
    assert not halves(["AM", "x"])
    assert not halves([""])
    assert Counter(halves([c]) for c in ("AM", "pm", "a m", "noon")) == {True: 3, False: 1}
