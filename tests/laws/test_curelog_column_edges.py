"""What the reader of cure logs takes columns, cells and answers for: each limit from both sides."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, datetime, time
from typing import Any

import numpy as np
import pytest

from panelmend.curelog import build, cells, head, questions, roles
from panelmend.curelog.readas import ColumnAs, ReadAs, TimeAs
from panelmend.errors import InputError
from panelmend.plan.judge.log import ChannelRole

TC = ChannelRole.THERMOCOUPLE
CURE = np.linspace(20.0, 120.0, 30)


def column(name: str, unit: str = "C", role: ChannelRole = TC, index: int = 1, sense: str = "") -> ColumnAs:
    return ColumnAs(index, name, role, unit, sense)


@pytest.mark.parametrize(
    ("words", "columns", "seen"),
    [
        ("TC9 TC8 TC7 _ _ _", 6, True),
        ("TC9 TC8 _ _ _ _", 6, False),  # half of the channels must be named
        ("TC9 TC8 TC7 _ _", 5, True),
        ("TC9 TC8 _ _ _", 5, False),
        ("TC9 TC8", 2, True),
        ("TC9 _", 2, False),
        ("TC9 20.5", 2, False),
        ("TC9 20,5", 2, False),
        ("TC1 TC2", 2, False),
        ("TC2 TC1", 2, True),
        ("stop stop", 2, False),
        ("avg max", 2, False),
        ("C C", 2, False),
        ("C F", 2, True),
    ],
)
def test_a_row_that_is_another_head(words: str, columns: int, seen: bool) -> None:
    row = [w.replace("_", "") for w in words.split()]
    assert head.other_head(row, [column(f"TC{i + 1}", index=i) for i in range(columns)]) is seen


def test_units_count_only_where_one_was_confirmed() -> None:
    assert not head.other_head(["F", "F"], [column("TC1", ""), column("TC2", "", index=2)])
    assert head.other_head(["F", "F"], [column("TC1", ""), column("TC2", "C", index=2)])
    twice = [column("TC1"), column("TC1 (2)", index=2)]
    assert not head.other_head(["TC1", "TC1"], twice)
    assert head.other_head(["TC1", "TC1 (2)x"], twice)


def test_a_digest_tells_a_changed_head_from_a_changed_first_sample() -> None:
    first = head.head_digest(["name a", "C", "1"])
    assert [len(x) for x in first.split(":")] == [32, 32]
    assert head.head_digest(["name a  ", "C", "1 "]) == first, "blanks at the end of a line say nothing"
    assert head.same_names(first, head.head_digest(["name a", "C", "2"]))
    assert first != head.head_digest(["name a", "C", "2"])
    assert not head.same_names(first, head.head_digest(["name a", "F", "1"]))


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (True, "True"),
        (20.0, "20"),
        (20.5, "20.5"),
        (9.99e14, "999000000000000"),
        (1e15, "1000000000000000.0"),
        (-1e15, "-1000000000000000.0"),
        (datetime(2026, 3, 4, 5, 6, 7), "2026-03-04 05:06:07"),
        (date(2026, 3, 4), "2026-03-04"),
        (time(5, 6, 7), "05:06:07"),
        ("x", "x"),
    ],
)
def test_a_cell_of_a_sheet_as_text(cell: object, text: str) -> None:
    assert cells.cell_text(cell) == text


def test_rows_that_do_not_fit_are_set_aside_with_their_lines() -> None:
    rows = [["0", "1"], ["", " "], ["0", "1", "2"], ["0", "1", " "], ["0"], ["2", "3"], ["x" * 70, "y", "z"]]
    block = cells.block_of_rows(rows, 5, 2)
    assert block.numbers == [5, 8, 10]
    assert block.columns == [("0", "0", "2"), ("1", "1", "3")]
    assert block.short == [9]
    assert block.strange == [(7, "0 1 2"), (11, "x" * 60)]
    whole = cells.block_of_rows([["0", "1"], ["2", "3"]], 5, 2)
    assert (list(whole.numbers), whole.columns) == ([5, 6], [("0", "2"), ("1", "3")])
    assert cells.block_of_rows([["", ""]][:0], 1, 3).columns == [(), (), ()]


@pytest.mark.parametrize("line", ["7;8;9", '7;"8";9', "7;8;9;"])
def test_a_block_of_lines_gives_its_cells_by_row_and_by_column(line: str) -> None:
    block = cells.block_of(["1;2;3", "4;5;6", line], 11, ";", 3)
    assert list(block.numbers) == [11, 12, 13]
    assert block.rows([0, 2]) == [("1", "2", "3"), ("7", "8", "9")]
    assert [list(block.column(i)) for i in range(3)] == [["1", "4", "7"], ["2", "5", "8"], ["3", "6", "9"]]
    assert [list(c) for c in block.columns] == [["1", "4", "7"], ["2", "5", "8"], ["3", "6", "9"]]
    assert block.rows([1]) == [("4", "5", "6")]
    assert list(block.column(1)) == ["2", "5", "8"]


@pytest.mark.parametrize("skip", [0, 1, 2])
def test_the_lines_above_the_table_are_left_and_counted(skip: int, tmp_path: Any) -> None:
    file = tmp_path / "log.csv"
    file.write_text("1;2\n3;4\n5;6")
    opened = cells.Hashing(file)
    blocks = list(cells.text_blocks(opened, "log.csv", "utf-8", ";", 2, skip))
    opened.close()
    assert [n for b in blocks for n in b.numbers] == [1, 2, 3][skip:]
    sheet = list(cells.sheet_blocks([["1", "2"], ["3", "4"], ["5", "6"]], 2, skip, "."))
    assert [n for b in sheet for n in b.numbers] == [1, 2, 3][skip:]


def test_a_long_sheet_comes_in_several_blocks_without_a_row_lost() -> None:
    blocks = list(cells.sheet_blocks([[i, 0] for i in range(20005)], 2, 3, "."))
    assert [b.numbers[0] for b in blocks] == [4, 20004]
    assert [c for b in blocks for c in b.columns[0]] == [str(i) for i in range(3, 20005)]


def test_a_line_of_quotes_and_blanks() -> None:
    assert cells.split_line('"a b"  2', " ") == ["a b", "2"]
    assert cells.split_line(" 1  2 ", " ") == ["1", "2"]
    assert cells.split_line('"a;b";2;', ";") == ["a;b", "2", ""]


@pytest.mark.parametrize(
    ("name", "unit", "values", "role", "told"),
    [
        ("x", "", [1, 2, 3, 4, 5], ChannelRole.OTHER, "only count"),
        ("x", "", [1, 2, 3, 4], ChannelRole.OTHER, "say nothing"),
        ("x", "", [1.5, 2.5, 3.5, 4.5, 5.5], ChannelRole.OTHER, "say nothing"),
        ("x", "", [20, 120], ChannelRole.OTHER, "almost no numbers"),
        ("x", "", CURE, TC, "like a cure"),
        ("x", "", CURE - 20.1, ChannelRole.OTHER, "say nothing"),
        ("x", "", CURE * 0.375, TC, "like a cure"),  # to 45
        ("x", "", CURE * 0.374, ChannelRole.OTHER, "say nothing"),
        ("x", "", CURE * 5.0, TC, "like a cure"),  # to 600
        ("x", "", CURE * 5.01, ChannelRole.OTHER, "say nothing"),
        ("x", "", np.linspace(80.0, 95.0, 30), ChannelRole.OTHER, "say nothing"),
        ("x", "", np.linspace(80.0, 95.1, 30), TC, "like a cure"),
        ("x", "", np.linspace(20.0, 120.0, 10), ChannelRole.OTHER, "say nothing"),
        ("x", "", np.linspace(20.0, 120.0, 11), TC, "like a cure"),
        ("x", "mV", CURE, ChannelRole.OTHER, "unit"),
        ("TC1", "V", CURE, ChannelRole.OTHER, "unit"),
        ("TC1", "", CURE, TC, "name"),
        ("x", "C", CURE, TC, "unit"),
        ("room", "C", CURE, ChannelRole.AIR, "name"),
        ("x", "kPa", CURE, ChannelRole.VACUUM, "unit"),
        ("barometer", "kPa", CURE, ChannelRole.OTHER, "name"),
        ("x", "%", CURE, ChannelRole.POWER, "unit"),
        ("alarm", "%", CURE, ChannelRole.OTHER, "name"),
        ("x", "furlong", CURE, ChannelRole.OTHER, "unit"),
        ("SP", "", np.arange(20.0, 40.0), ChannelRole.SET_POINT, "name"),
        ("cold junction", "C", CURE, ChannelRole.OTHER, "name"),
    ],
)
def test_what_a_column_is_taken_for(name: str, unit: str, values: Any, role: ChannelRole, told: str) -> None:
    found = roles.guess(name, unit, np.array(values, float))
    assert found.role is role
    assert told in found.why


def test_rows_are_counted_where_they_stand_together() -> None:
    counted = np.concatenate([np.arange(150.0), [400.0, 900.0]])
    assert roles._counts(counted)
    assert not roles._counts(np.concatenate([np.arange(149.0), [400.0, 900.0]]))
    assert not roles._counts(np.array([1.0, 2.0, 3.0, 4.0]))
    assert roles._counts(np.array([1.0, 2.0, math.nan, 3.0, 4.0, 5.0]))


@pytest.mark.parametrize(
    ("name", "values", "sense"),
    [
        ("vac [kPa abs]", [20.0], "absolute"),
        ("vac [kPa]", [-20.0], "below ambient, negative"),
        ("vac [kPa]", [20.0], ""),
        ("vac gauge", [20.0], "below ambient"),
        ("vac gauge", [-20.0], "below ambient, negative"),
        ("vac", [0.0, 0.0, 0.0], ""),
    ],
)
def test_how_a_vacuum_is_counted_by_its_words(name: str, values: list[float], sense: str) -> None:
    assert roles.guess(name, "", np.array(values)).sense == sense


@pytest.mark.parametrize(
    ("start", "high", "unit"),
    [
        (5.0, 120.0, "C"),
        (4.9, 120.0, ""),
        (40.0, 120.0, "C"),
        (40.1, 120.0, ""),
        (20.0, 220.0, "C"),
        (20.0, 221.0, ""),
        (20.0, 230.0, ""),
        (20.0, 230.1, "F"),
        (49.9, 200.0, ""),
        (50.0, 200.0, "F"),
        (110.0, 200.0, "F"),
        (110.1, 200.0, ""),
        (277.9, 360.0, "F"),
        (278.0, 360.0, ""),
        (292.1, 355.7, ""),  # a cure to 82 C in kelvin: it was taken for F
        (313.0, 493.0, ""),
        (313.1, 360.0, "F"),
        (313.0, 493.1, "F"),
    ],
)
def test_what_temperatures_speak_for(start: float, high: float, unit: str) -> None:
    assert roles.temperature_evidence([np.array([math.nan, start, high])])[0] == unit
    assert roles.temperature_evidence([np.array([math.nan])]) == ("", "no readings")


def test_vacuum_readings_that_are_too_few_say_nothing() -> None:
    assert roles.vacuum_evidence(np.array([25.0, math.nan]))[:2] == ("", "")
    assert roles.vacuum_evidence(np.array([25.0, 25.0]))[:2] == ("inHg", "below ambient")


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("TC1 [°C]", "C"),
        ("TC1 (F)", "F"),
        ("Vacuum_inHg", "inHg"),
        ("TC1 C", "C"),
        ("lead A", ""),  # a single letter behind a name is no unit, but for C and F
        ("lead (A)", "A"),
        ("vac, kPa", "kPa"),
    ],
)
def test_the_unit_in_a_name(name: str, unit: str) -> None:
    assert roles.unit_in_name(name) == unit


def described(**more: Any) -> ReadAs:
    given = {"form": "text", "time": TimeAs((0,), "elapsed"), "columns": (column("TC1"),), "width": 2} | more
    return ReadAs(**given)


LONG = {"name": 1, "value": 2, "channels": ["TC1"], "unit": -1, "units": []}


@pytest.mark.parametrize(
    ("more", "fault"),
    [
        ({"width": 2000}, ""),
        ({"width": 2001}, "usable counts"),
        ({"width": 0}, "usable counts"),
        ({"width": True}, "usable counts"),
        ({"lines_above": 10**6}, ""),
        ({"lines_above": 10**6 + 1}, "usable counts"),
        ({"lines_above": -1}, "usable counts"),
        ({"width": 1}, "outside the file's width"),
        ({"columns": (column("TC1", index=-1),)}, "outside the file's width"),
        ({"columns": (column("TC1", index=0),)}, "used twice"),
        ({"columns": ()}, "at least one channel"),
        ({"time": TimeAs((), "elapsed")}, "at least one channel"),
        ({"width": 4, "time": TimeAs((0, 2), "clock")}, ""),
        ({"width": 5, "time": TimeAs((0, 2, 3, 4), "clock")}, "one to three columns"),
        ({"width": 3, "columns": (column("TC1"), column("TC1", index=2))}, "same name"),
        ({"decimal": ",", "thousands": ","}, "same mark"),
        ({"time": TimeAs((0,), "elapsed", fraction=0, fraction_unit="ms")}, "used twice"),
        ({"time": TimeAs((0,), "elapsed", fraction=1, fraction_unit="s")}, "fraction of time"),
        ({"time": TimeAs((0,), "elapsed", fraction_unit="ms")}, "outside the file's width"),
        ({"time": TimeAs((0,), "clock", zone="+23:59")}, ""),
        ({"time": TimeAs((0,), "clock", zone="+24:00")}, "zone"),
        ({"encoding": "no such"}, "unknown encoding"),
        ({"confirmed": True, "columns": (column("TC1", ""),)}, "no unit"),
        ({"confirmed": True}, ""),
        ({"confirmed": True, "columns": (column("V", "kPa", ChannelRole.VACUUM),)}, "sense of V"),
        (
            {"confirmed": True, "columns": (column("V", "kPa", ChannelRole.VACUUM, sense="absolute"),)},
            "ambient",
        ),
        (
            {
                "confirmed": True,
                "ambient": 1e5,
                "columns": (column("V", "kPa", ChannelRole.VACUUM, sense="absolute"),),
            },
            "",
        ),
    ],
)
def test_a_description_that_cannot_be_is_refused(more: dict[str, Any], fault: str) -> None:
    if not fault:
        assert ReadAs.from_json(described(**more).to_json()) == described(**more) or "ambient" not in more
        return
    with pytest.raises(InputError, match=fault):
        described(**more)


def test_what_is_said_of_a_broken_description_is_short() -> None:
    with pytest.raises(InputError) as refused:
        ReadAs.from_json(described().to_json().replace('"thermocouple"', '"' + "x" * 100 + '"'))
    assert len(refused.value.read) == 80
    with pytest.raises(InputError, match="read as, odd"):
        ReadAs.from_json(described().to_json().replace('"form"', '"odd": 1, "form"', 1))


@pytest.mark.parametrize(
    ("pressure", "fine"), [("30 kPa", False), ("30.1 kPa", True), ("109.9 kPa", True), ("110 kPa", False)]
)
def test_an_air_pressure_people_work_at(pressure: str, fine: bool) -> None:
    if fine:
        assert questions._ambient({"ambient": pressure}, "x") == pytest.approx(float(pressure[:-4]) * 1e3)
    else:
        with pytest.raises(InputError, match="no air pressure"):
            questions._ambient({"ambient": pressure}, "x")


def test_which_questions_are_asked_of_the_channels() -> None:
    samples = {"TC1": CURE, "V": np.array([0.0, 80.0, 80.0, 80.0, 80.0])}
    vacuum = column("V", "", ChannelRole.VACUUM, 2)
    asked = questions.questions_of((column("TC1", ""), vacuum), samples, "1,234", True)
    assert [q.key for q in asked] == ["comma", "temperature unit", "unit of V", "sense of V"]
    assert [q.suggested for q in asked] == ["decimal", "C", "", "below ambient"]
    assert "it means 1.234" in asked[0].choices[0]
    known = replace(vacuum, unit="kPa", sense="absolute")
    asked = questions.questions_of((column("TC1"), known), samples, "1,234", False)
    assert [(q.key, q.suggested) for q in asked] == [("comma", ""), ("ambient", "")]
    assert questions.questions_of((column("TC1"),), samples, "", False) == ()


@pytest.mark.parametrize(
    ("times", "step"),
    [
        ([0, 60, 180], 60.0),
        ([30.0, 90.0], 1.0),
        ([0, 60, 61], 1.0),
        ([0, 60, 61.5], 0.001),
        ([0.2, 1.2], 0.001),
    ],
)
def test_the_step_that_stamps_can_show(times: list[float], step: float) -> None:
    assert build._step(np.array(times, float)) == step


@pytest.mark.parametrize(
    ("form", "zone", "offset", "told"),
    [
        ("elapsed", "local", 0, ""),
        ("time of day", "local", 0, "T01:02:03"),
        ("epoch", "Z", 0, "1970-01-02T01:02:03+00:00"),
        ("clock", "local", 0, "1970-01-02T01:02:03"),
        ("clock", "Z", 0, "1970-01-02T01:02:03+00:00"),
        ("clock", "+02:00", 0, "1970-01-02T01:02:03+02:00"),
        ("clock", "stamped", -1800, "1970-01-02T00:32:03-00:30"),
    ],
)
def test_when_a_log_began(form: str, zone: str, offset: int, told: str) -> None:
    how = described(time=TimeAs((0,), form, zone=zone))
    assert build._started(86400.0 + 3723.0, how, offset) == told


def test_numbers_come_back_in_the_order_they_came_in() -> None:
    many = np.arange(300_000.0)
    kept = build.NumberColumn(np.dtype(np.float64))
    for part in (many[:1], many[1:200_000], many[200_000:]):
        kept.add(part)
    assert np.array_equal(kept.taken(np.empty(many.size), False), many)
    assert np.array_equal(kept.taken(np.empty(many.size), True), many)
