"""Names of columns: a head shorter than its rows, and thermocouples named after what they lie on."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelmend.curelog import ChannelRole
from panelmend.curelog.short_head import nameless, unitless
from panelmend.errors import ReadingError
from typed_logs import proposed, taken, units, warm


@pytest.mark.parametrize(
    ("head", "stamp"),
    [
        ("Time TC1 TC2", "2026-11-25 14:{:02d}:00"),
        ("Datum TC1 TC2", "2026-11-25 14:{:02d}:00"),
        ("Date Time TC1 TC2", "11/25/2026 02:{:02d}:00 PM"),
    ],
)
def test_a_time_in_two_columns_under_one_name_moves_no_other_name(
    tmp_path: Path, head: str, stamp: str
) -> None:
    """The first thermocouple's readings stood under the second one's name."""
    log = tmp_path / "a.csv"
    made = proposed(log, head, lambda i: f"{stamp.format(i)} {warm(i)} {warm(i) + 1:.1f}")
    read_log = taken(log, made)
    assert read_log.started == "2026-11-25T14:00:00"
    assert read_log.channel("TC1").values[0] == pytest.approx(273.15 + 20.3)
    assert read_log.channel("TC2").values[0] == pytest.approx(273.15 + 21.3)


def test_a_counter_without_a_name_moves_no_other_name(tmp_path: Path) -> None:
    log = tmp_path / "a.csv"
    made = proposed(log, "Time,TC1,TC2", lambda i: f"{i},14:{i:02d}:00,{warm(i)},{warm(i) + 1:.1f}")
    read_log = taken(log, made)
    assert read_log.channel("TC1").values[0] == pytest.approx(273.15 + 20.3)
    assert read_log.channel("column 1").role is ChannelRole.OTHER


def test_a_last_column_of_words_or_nothing_may_lack_its_name(tmp_path: Path) -> None:
    for end in ("", "ok"):
        made = proposed(
            tmp_path / "a.csv",
            "Time,TC1,TC2",
            lambda i, e=end: f"14:{i:02d}:00,{warm(i)},{warm(i) + 1:.1f},{e}",
        )
        assert list(units(made))[:2] == ["TC1", "TC2"]


def test_no_name_is_used_where_nothing_tells_which_column_lacks_one(tmp_path: Path) -> None:
    log = tmp_path / "a.csv"
    made = proposed(
        log, "Time,TC1,TC2", lambda i: f"14:{i:02d}:00,{warm(i)},{warm(i) + 1:.1f},{warm(i) + 2:.1f}"
    )
    assert list(units(made)) == ["column 2", "column 3", "column 4"]
    with pytest.raises(ReadingError, match="a cell less") as refused:
        proposed(log, "Time,TC1,TC2", lambda i: f"{i},{10 * i},{warm(i)},{warm(i) + 1:.1f}")
    assert "4 names" in refused.value.sentence()


def test_a_row_of_units_that_begins_behind_the_time(tmp_path: Path) -> None:
    """The vacuum's unit stood over the thermocouple."""
    log = tmp_path / "a.csv"
    made = proposed(log, "Time,TC1,Vacuum\nC,inHg", lambda i: f"14:{i:02d}:00,{warm(i)},{24 + i / 100:.2f}")
    assert units(made) == {"TC1": "C", "Vacuum": "inHg"}
    made = proposed(log, "Time,TC1,Vacuum\ns,C", lambda i: f"{10 * i},{warm(i)},{24 + i / 100:.2f}")
    assert units(made) == {"TC1": "C", "Vacuum": ""}
    made = proposed(
        log, "Time TC1 Vacuum\n- C inHg", lambda i: f"2026-11-25 14:{i:02d}:00 {warm(i)} {24 + i / 100:.2f}"
    )
    assert units(made) == {"TC1": "C", "Vacuum": "inHg"}


@pytest.mark.parametrize(
    "name", ["Heater 1 temp", "Sample temp", "Blanket heater TC3", "Alarm TC1", "Output t/c"]
)
def test_a_thermocouple_named_after_what_it_lies_on_is_one(tmp_path: Path, name: str) -> None:
    """Without a unit it was power or nothing, and a cold place in it was never judged."""
    log = tmp_path / "a.csv"
    made = proposed(log, f"Time [s],T1,{name}", lambda i: f"{10 * i},{warm(i)},{warm(i) + 1:.1f}")
    assert made.read_as.columns[1].role is ChannelRole.THERMOCOUPLE
    made = proposed(log, f"Time [s],T1,{name}", lambda i: f"{10 * i},{warm(i)},{i % 2}")
    assert made.read_as.columns[1].role is not ChannelRole.THERMOCOUPLE, "a flag"


def test_a_panels_temperature_without_a_unit_is_looked_at_too(tmp_path: Path) -> None:
    """As one with a unit: the judge compares what was set aside with the heat of the part."""
    log = tmp_path / "a.csv"
    for head, aside in (
        ("Panel temp", ("Panel temp",)),
        ("Scan", ()),
        ("Panel temp [C]", ("Panel temp [C]",)),
    ):
        made = proposed(log, f"Time [s],T1,{head}", lambda i: f"{10 * i},{warm(i)},{warm(i) + 1:.1f}")
        assert made.confirm(made.suggested()).set_aside == aside


STAMPS = ["14:00:00", "14:01:00"]
DATES = ["2026-11-25", "2026-11-25"]
COLD, WARM = ["20.5", "21.5"], ["30.5", "31.5"]


@pytest.mark.parametrize(
    ("names", "columns", "bare"),
    [
        (["Time", "TC1"], [STAMPS, COLD, ["", ""]], 2),
        (["Time", "TC1"], [STAMPS, COLD, ["fine", ""]], 2),
        (["Time", "TC1"], [STAMPS, COLD, ["", "31.5"]], -1),  # a reading now and then is a reading
        (["Time", "TC1"], [STAMPS, COLD, ["open", "31.5"]], -1),
        (["Time", "TC1"], [STAMPS, COLD, WARM], -1),
        (["Time", "TC1"], [DATES, STAMPS, COLD], 1),
        (["Stand", "TC1"], [DATES, STAMPS, COLD], -1),  # no name of a time
        (["Date", "Time"], [DATES, STAMPS, COLD], -1),
        (["Date", "Time", "TC1"], [DATES, STAMPS, ["PM", "PM"], COLD], 2),
        (["Time", "TC1"], [["1", "2"], STAMPS, COLD], 0),
        (["Scan", "TC1"], [["1", "2"], STAMPS, COLD], -1),
        (["Time", "Time"], [["1", "2"], STAMPS, COLD], -1),
        (["Time", "TC1"], [["1", "2"], COLD, WARM], None),  # no stamp tells the time
        (["Time", "TC1"], [["1", "2"], COLD, ["", ""]], 2),
    ],
)
def test_which_column_has_no_name(names: list[str], columns: list[list[str]], bare: int | None) -> None:
    sample = [list(r) for r in zip(*columns, strict=True)]
    if bare is None:
        with pytest.raises(ReadingError, match="which column has no name"):
            nameless(names, len(columns), sample, ".")
    else:
        assert nameless(names, len(columns), sample, ".") == bare


@pytest.mark.parametrize(
    ("units", "first", "bare"),
    [
        (["C", "inHg"], STAMPS, 0),
        (["inHg", "C"], STAMPS, 0),
        (["C", "inHg"], ["1", "2"], 2),  # a number may be anything
        (["s", "C"], STAMPS, 2),
        (["", "C"], STAMPS, 2),
    ],
)
def test_which_column_has_no_unit(units: list[str], first: list[str], bare: int) -> None:
    assert unitless(units, [[a, *b] for a, b in zip(first, (COLD, WARM), strict=True)]) == bare


@pytest.mark.parametrize(("odd", "stamped"), [(0, True), (1, True), (2, False)])
def test_nine_in_ten_stamps_make_a_column_of_times(odd: int, stamped: bool) -> None:
    cells = ["14:00:00"] * (10 - odd) + ["?"] * odd
    columns = [["1"] * 10, cells, [str(20.5 + i) for i in range(10)]]
    sample = [list(r) for r in zip(*columns, strict=True)]
    if stamped:
        assert nameless(["Time", "TC1"], 3, sample, ".") == 0
    else:
        with pytest.raises(ReadingError):
            nameless(["Time", "TC1"], 3, sample, ".")
