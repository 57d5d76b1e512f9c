"""The same cure written in every way a logger writes it is read as the same cure."""

from __future__ import annotations

import hashlib
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import xlsxwriter
from hypothesis import given, settings
from hypothesis import strategies as st

from made_curelog import AIR, INHG, made_cure, written
from panelmend.curelog import ChannelRole, ReadAs, propose, read_log
from panelmend.errors import InputError

MADE = made_cure(step=60.0)

WAYS: dict[str, dict[str, Any]] = {
    "plain": {},
    "semicolon, decimal comma": {"separator": ";", "decimal": ",", "stamp": "%d.%m.%Y %H:%M:%S"},
    "tab": {"separator": "\t", "header": "unit row"},
    "bar": {"separator": "|", "temperature": "F"},
    "comma, quoted, decimal comma": {"quoted": True, "decimal": ","},
    "fahrenheit, month first": {"temperature": "F", "stamp": "%m/%d/%Y %I:%M:%S %p"},
    "day first, two digits": {"stamp": "%d/%m/%y %H:%M"},
    "month in words": {"stamp": "%d-%b-%Y %H:%M:%S"},
    "month in words, first": {"stamp": "%b %d %Y %H:%M:%S", "separator": ";"},
    "compact": {"stamp": "%Y%m%d%H%M%S"},
    "with T and offset": {"stamp": "%Y-%m-%dT%H:%M:%S+01:00"},
    "fractions": {"stamp": "%Y/%m/%d %H:%M:%S.%f"},
    "elapsed seconds": {"stamp": "s", "header": "unit row"},
    "elapsed minutes": {"stamp": "min"},
    "elapsed h:m:s": {"stamp": "h:m:s"},
    "time of day": {"stamp": "%H:%M:%S"},
    "date and time in two": {"stamp": "%d.%m.%Y|%H:%M:%S", "two": True, "separator": ";", "decimal": ","},
    "kilopascal": {"vacuum": "kPa"},
    "millibar, unit row": {"vacuum": "mbar", "header": "unit row"},
    "deep header": {"above": ("Shop logger, invented", "Job;77", "", "Operator: none", "# 6 channels")},
    "windows ends": {"ends": "\r\n"},
    "old ends": {"ends": "\r"},
    "words below": {"below": ("End of record", "checked by nobody")},
}


def answers_of(proposal: Any, way: dict[str, Any]) -> dict[str, str]:
    answers = dict(proposal.suggested())
    stamp = way.get("stamp", "%Y")
    keys = [q.key for q in proposal.questions]
    if "date order" in keys:
        answers["date order"] = "mdy" if stamp.startswith("%m") else "dmy"
    return answers


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS)
def test_every_way_of_writing_gives_the_same_log(way: dict[str, Any], tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_bytes(written(MADE, **way).encode())
    proposal = propose(file)
    log = read_log(file, proposal.confirm(answers_of(proposal, way)))
    assert len(log) == len(MADE.times)
    np.testing.assert_allclose(log.times, MADE.times, atol=0.01)
    roles = [c.role for c in log.channels]
    assert roles == [ChannelRole.THERMOCOUPLE] * 6 + [ChannelRole.VACUUM, ChannelRole.SET_POINT]
    for i in range(6):
        np.testing.assert_allclose(log.channels[i].values, MADE.temps[:, i], atol=6e-4)
    np.testing.assert_allclose(log.of_role(ChannelRole.VACUUM)[0].values, MADE.vacuum, atol=0.2)
    assert log.digest == hashlib.sha256(file.read_bytes()).hexdigest()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le", "utf-16-be"])
def test_every_encoding(encoding: str, tmp_path: Path) -> None:
    file = tmp_path / "log.txt"
    file.write_bytes(written(MADE, header="unit row").encode(encoding))
    proposal = propose(file)
    log = read_log(file, proposal.confirm(proposal.suggested()))
    assert len(log) == len(MADE.times)
    np.testing.assert_allclose(log.channels[0].values, MADE.temps[:, 0], atol=6e-4)


@pytest.mark.parametrize("decimal_texts", [False, True])
def test_a_workbook_with_an_info_sheet(decimal_texts: bool, tmp_path: Path) -> None:
    file = tmp_path / "log.xlsx"
    book = xlsxwriter.Workbook(str(file))
    info = book.add_worksheet("Info")
    info.write(0, 0, "invented")
    sheet = book.add_worksheet("Data")
    sheet.write_row(0, 0, ["Date/Time", *MADE.names, "Bag vacuum gauge"])
    sheet.write_row(1, 0, ["", *["°F"] * 6, "inHg"])
    shape = book.add_format({"num_format": "yyyy-mm-dd hh:mm:ss"})
    for i, t in enumerate(MADE.times):
        sheet.write_datetime(i + 2, 0, datetime.fromtimestamp(1.8e9 + t).replace(microsecond=0), shape)
        for j in range(6):
            value = round((MADE.temps[i, j] - 273.15) * 1.8 + 32, 3)
            if decimal_texts and j == 0:
                sheet.write_string(i + 2, 1, f"{value:.3f}".replace(".", ","))
            else:
                sheet.write_number(i + 2, j + 1, value)
        sheet.write_number(i + 2, 7, MADE.vacuum[i] / INHG)
    book.close()
    proposal = propose(file)
    assert proposal.read_as.sheet == "Data"
    log = read_log(file, proposal.confirm(proposal.suggested()))
    np.testing.assert_allclose(log.times, MADE.times, atol=0.01)
    for j in range(6):
        np.testing.assert_allclose(log.channels[j].values, MADE.temps[:, j], atol=6e-4)
    np.testing.assert_allclose(log.of_role(ChannelRole.VACUUM)[0].values, MADE.vacuum, atol=0.2)


def test_ambiguous_things_are_asked_and_block_the_reading(tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    rows = [f"03/04/2026 08:{m:02d};{70 + m},125;{70 + m},250;{min(m, 22)},500" for m in range(60)]
    file.write_text("Time;TC1;TC2;Vacuum\n" + "\n".join(rows))
    proposal = propose(file)
    keys = {q.key for q in proposal.questions}
    assert keys == {"comma", "date order", "zone", "temperature unit", "unit of Vacuum", "sense of Vacuum"}
    assert "date order" not in proposal.suggested()
    with pytest.raises(InputError, match="date order"):
        proposal.confirm(proposal.suggested())
    with pytest.raises(InputError, match="not confirmed"):
        read_log(file, proposal.read_as)
    with pytest.raises(InputError, match="one of the choices"):
        proposal.confirm({**proposal.suggested(), "unit of Vacuum": "inHg", "date order": "yes"})
    both = [
        read_log(
            file,
            proposal.confirm({**proposal.suggested(), "unit of Vacuum": "inHg", "date order": order}),
        ).started
        for order in ("dmy", "mdy")
    ]
    assert both == ["2026-04-03T08:00:00", "2026-03-04T08:00:00"]


def test_a_comma_that_may_mean_thousands_is_asked(tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_text("Elapsed [s];TC1 [C];Load\n" + "\n".join(f"{i};{20 + i};1,{200 + i}" for i in range(50)))
    proposal = propose(file)
    assert [q.key for q in proposal.questions] == ["comma"]
    decimal = read_log(file, proposal.confirm({"comma": "decimal"}))
    thousands = read_log(file, proposal.confirm({"comma": "thousands"}))
    assert decimal.channel("Load").values[0] == 1.2
    assert thousands.channel("Load").values[0] == 1200.0


def test_absolute_vacuum_needs_the_air_pressure(tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    kpa = (AIR - MADE.vacuum) / 1e3
    rows = [f"{t:.0f},{MADE.temps[i, 0] - 273.15:.2f},{kpa[i]:.4f}" for i, t in enumerate(MADE.times)]
    file.write_text("Elapsed s,TC1 C,Bag pressure abs [kPa]\n" + "\n".join(rows))
    proposal = propose(file)
    assert [q.key for q in proposal.questions] == ["ambient"]
    log = read_log(file, proposal.confirm({"ambient": "101.325 kPa"}))
    np.testing.assert_allclose(log.of_role(ChannelRole.VACUUM)[0].values, MADE.vacuum, atol=0.1)


@pytest.mark.parametrize(
    ("air", "read_as"), [("84 kPa", 64.0e3), ("101.325 kPa", 81.325e3), ("24.8 inHg", 24.8 * INHG - 20e3)]
)
def test_an_absolute_gauge_counts_from_the_air_of_the_bay_and_not_of_the_sea(
    tmp_path: Path, air: str, read_as: float
) -> None:
    """20 kPa absolute are 64 kPa of vacuum in air of 84 kPa; from sea level they would be 81."""
    file = tmp_path / "log.csv"
    rows = [f"{10 * i},{20 + i % 7}.{i % 10},{20 + i % 2}.0" for i in range(40)]
    file.write_text("Elapsed s,TC1 C,Bag pressure abs [kPa]\n" + "\n".join(rows))
    proposal = propose(file)
    log = read_log(file, proposal.confirm({"ambient": air}))
    found = log.of_role(ChannelRole.VACUUM)[0].values
    assert found[::2] == pytest.approx(read_as)
    assert found[1::2] == pytest.approx(read_as - 1e3)


def test_time_of_day_passes_midnight(tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_text(written(MADE, stamp="%H:%M:%S", start=datetime(2026, 11, 25, 23, 10)))
    proposal = propose(file)
    log = read_log(file, proposal.confirm(proposal.suggested()))
    np.testing.assert_allclose(log.times, MADE.times)
    assert any("midnight" in n for n in log.notes)
    assert log.clock(3600) == "00:10:00"


@pytest.mark.parametrize(("quarters", "nights"), [(3, 0), (4, 1), (99, 1), (100, 2), (240, 3)])
def test_every_midnight_of_a_long_cure_adds_its_day(tmp_path: Path, quarters: int, nights: int) -> None:
    """From 23:10 every quarter of an hour: the fourth is 00:10 of the next day, the hundredth a day on."""
    file = tmp_path / "log.csv"
    begun = datetime(2026, 11, 25, 23, 10)
    rows = [
        f"{begun + timedelta(minutes=15 * i):%H:%M:%S},{20 + i % 7}.{i % 10}" for i in range(quarters + 1)
    ]
    file.write_text("Time,TC1 [C]\n" + "\n".join(rows) + "\n")
    proposal = propose(file)
    log = read_log(file, proposal.confirm(proposal.suggested()))
    assert log.times.tolist() == [900.0 * i for i in range(quarters + 1)]
    told = [n for n in log.notes if "midnight" in n]
    assert told == ([f"midnight was passed {nights} times; a day was added each time"] if nights else [])


def test_missing_cells_stay_missing_and_words_are_named(tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_text(
        "Elapsed [s],TC1 [C],TC2 [C]\n0,20.0,20.1\n10,,20.2\n20,OPEN,20.3\n30,NaN,20.4\n40,20.9\n"
        "50,inf,20.6\n60,1_0,20.7\n70,21.2 C,20.8\n"
    )
    proposal = propose(file)
    log = read_log(file, proposal.confirm(proposal.suggested()))
    one, two = (c.values - 273.15 for c in log.channels)
    assert np.isnan(one).tolist() == [False, True, True, True, True, True, False]
    assert not np.isnan(two).any()
    assert any("OPEN" in n for n in log.notes)
    assert any("fewer cells" in n and "line 6" in n for n in log.notes), "whose 20.9 is nobody knows"
    assert log.lines.tolist() == [2, 3, 4, 5, 7, 8, 9]


@settings(derandomize=True, database=None, deadline=None, max_examples=60)
@given(
    separator=st.sampled_from([",", ";", "\t", "|"]),
    decimal=st.sampled_from([".", ","]),
    stamp=st.sampled_from(["%Y-%m-%d %H:%M:%S", "%d-%b-%Y %H:%M:%S", "%Y%m%d %H%M%S", "s", "min"]),
    temperature=st.sampled_from(["C", "F"]),
    header=st.sampled_from(["names with units", "unit row"]),
    quoted=st.booleans(),
    above=st.integers(0, 6),
)
def test_any_mix_reads_the_same(tmp_path_factory: pytest.TempPathFactory, above: int, **way: Any) -> None:
    if way["separator"] == "," and way["decimal"] == ",":
        way["quoted"] = True
    made = made_cure(step=240.0)
    file = tmp_path_factory.mktemp("mix") / "log.csv"
    file.write_text(written(made, above=tuple(f"line {i}: text" for i in range(above)), **way), "utf-8")
    proposal = propose(file)
    log = read_log(file, proposal.confirm(proposal.suggested()))
    np.testing.assert_allclose(log.times, made.times, atol=0.01)
    np.testing.assert_allclose(log.channels[2].values, made.temps[:, 2], atol=6e-4)


def test_the_description_goes_through_json_unchanged(tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_text(written(MADE))
    proposal = propose(file)
    how = proposal.confirm(proposal.suggested())
    again = ReadAs.from_json(how.to_json())
    assert again.to_json() == how.to_json()
    first, second = read_log(file, how), read_log(file, again)
    assert all(
        np.array_equal(a.values, b.values, equal_nan=True)
        for a, b in zip(first.channels, second.channels, strict=True)
    )


def test_the_block_size_does_not_matter(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "log.csv"
    file.write_text(written(MADE, ends="\r\n"), newline="")
    proposal = propose(file)
    how = proposal.confirm(proposal.suggested())
    whole = read_log(file, how)
    for size in (1, 7, 100, 4096):
        monkeypatch.setattr("panelmend.curelog.cells.BLOCK", size)
        parts = read_log(file, how)
        assert np.array_equal(parts.times, whole.times)
        assert np.array_equal(parts.lines, whole.lines)
        assert parts.digest == whole.digest


@settings(derandomize=True, database=None, deadline=None, max_examples=60)
@given(
    cells=st.lists(
        st.tuples(
            st.sampled_from(
                ["1", "-2.5", "1e3", "1_0", "", "nan", "inf", "0x1", "1.5 C", "OL", "+.5", "5.", " 7 "]
            ),
            st.floats(-1e6, 1e6).map(repr),
        ),
        min_size=3,
        max_size=30,
    )
)
def test_reading_a_block_at_once_gives_what_reading_cell_by_cell_gives(
    tmp_path_factory: pytest.TempPathFactory, cells: list[tuple[str, str]]
) -> None:
    file = tmp_path_factory.mktemp("fast") / "log.csv"
    rows = [f"{i},{a},{b}" for i, (a, b) in enumerate(cells)]
    file.write_text("Elapsed [s],TC1 [K],TC2 [K]\n" + "\n".join(["-2,1,1", "-1,1,1", *rows]))
    proposal = propose(file)
    how = proposal.confirm(proposal.suggested())
    fast = read_log(file, how)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("panelmend.curelog.build.plain_table", lambda *_: None)
        slow = read_log(file, how)
    for a, b in zip(fast.channels, slow.channels, strict=True):
        assert np.array_equal(a.values, b.values, equal_nan=True)
    assert fast.notes == slow.notes
