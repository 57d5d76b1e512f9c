"""Names of columns: a head shorter than its rows, and thermocouples named after what they lie on."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelmend.curelog import ChannelRole
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
