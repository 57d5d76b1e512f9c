"""Long tables (one reading per row) and times whose parts of a second stand in a column of their own."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from panelmend.curelog import ChannelRole, CureLog, ReadAs, propose, read_log
from panelmend.curelog.live import GrowingFile
from panelmend.errors import ReadingError

N = 60
NAMES = ("TC1", "TC2", "TC3", "Bag vacuum inHg")


def table() -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    rise = np.minimum(20.0 + 1.5 * np.arange(N), 80.0)
    return np.column_stack([rise, rise + 0.5, rise - 0.7, np.full(N, 24.5) + 0.1 * (np.arange(N) % 3)])


def long_lines(separator: str = ",", head: str = "Time,Channel,Value") -> list[str]:
    lines = [head.replace(",", separator)]
    for i, row in enumerate(table()):
        stamp = f"2026-11-25 08:{i // 2:02d}:{30 * (i % 2):02d}"
        lines += [separator.join((stamp, name, f"{x:.1f}")) for name, x in zip(NAMES, row, strict=True)]
    return lines


def taken(path: Path) -> CureLog:
    made = propose(path)
    how = made.confirm(
        {**made.suggested(), "temperature unit": "C", "sense of Bag vacuum inHg": "below ambient"}
    )
    assert ReadAs.from_json(how.to_json()) == how
    return read_log(path, how)


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_a_long_table_is_read_as_the_wide_one(tmp_path: Path, separator: str) -> None:
    path = tmp_path / "long.txt"
    path.write_text("\n".join(long_lines(separator)) + "\n", "utf8")
    log = taken(path)
    assert [c.name for c in log.channels] == list(NAMES)
    assert [c.role for c in log.channels] == [ChannelRole.THERMOCOUPLE] * 3 + [ChannelRole.VACUUM]
    assert log.times.tolist() == [30.0 * i for i in range(N)]
    assert np.allclose(log.channels[1].values, np.round(table()[:, 1], 1) + 273.15)
    assert log.lines.tolist() == [2 + 4 * i for i in range(N)]


def test_a_reading_that_is_missing_or_comes_twice_shifts_no_other(tmp_path: Path) -> None:
    lines = long_lines()
    del lines[1 + 4 * 10 + 1]  # TC2 of the 11th moment
    lines.insert(1 + 4 * 5, lines[1 + 4 * 5])  # TC1 of the 6th twice: a row of its own
    path = tmp_path / "long.csv"
    path.write_text("\n".join(lines) + "\n", "utf8")
    log = taken(path)
    assert len(log) == N + 1
    by = {c.name: c.values for c in log.channels}
    assert np.isnan(by["TC2"][11])
    assert np.isfinite(by["TC2"]).sum() == N - 1
    assert np.isfinite(by["TC1"]).all()
    assert by["TC3"][11] == pytest.approx(round(table()[10, 2], 1) + 273.15)


def test_readings_with_times_of_their_own_are_refused_in_words(tmp_path: Path) -> None:
    lines = [
        x if i == 0 else f"2026-11-25 {8 + i // 60:02d}:{i % 60:02d}:00,{x.split(',', 1)[1]}"
        for i, x in enumerate(long_lines())
    ]
    path = tmp_path / "own.csv"
    path.write_text("\n".join(lines) + "\n", "utf8")
    with pytest.raises(ReadingError, match="each with a time of its own"):
        propose(path)


def test_a_long_table_is_followed_while_it_grows(tmp_path: Path) -> None:
    lines = long_lines()
    path = tmp_path / "live.csv"
    path.write_text("\n".join(lines) + "\n", "utf8")
    made = propose(path)
    how = made.confirm(
        {**made.suggested(), "temperature unit": "C", "sense of Bag vacuum inHg": "below ambient"}
    )
    path.write_text("\n".join(lines[:103]) + "\n", "utf8")
    growing = GrowingFile(path, how)
    growing.poll()
    assert len(growing.log()) == 25, "a moment counts when the next has begun"
    with path.open("a", encoding="utf8") as out:
        out.write("\n".join(lines[103:110]) + "\n")
    growing.poll()
    log = growing.log()
    assert len(log) == 27
    assert all(np.isfinite(c.values).all() for c in log.channels)


@pytest.mark.parametrize(("name", "unit"), [("us", 1e-6), ("Microseconds", 1e-6), ("ms", 1e-3)])
def test_a_column_of_parts_of_a_second_belongs_to_the_time(tmp_path: Path, name: str, unit: float) -> None:
    """Four samples a second with stamps of whole seconds."""
    rows = [f"Time,{name},TC1 (C),TC2 (C)"]
    for i in range(400):
        part = round(0.25 * (i % 4) / unit)
        rows.append(
            f"2026-11-25 08:{i // 240:02d}:{i // 4 % 60:02d},{part},{20 + 0.1 * i:.1f},{20.4 + 0.1 * i:.1f}"
        )
    path = tmp_path / "fast.csv"
    path.write_text("\n".join(rows) + "\n", "utf8")
    made = propose(path)
    log = read_log(path, made.confirm(made.suggested()))
    assert [c.name for c in log.channels] == ["TC1 (C)", "TC2 (C)"]
    assert np.allclose(np.diff(log.times), 0.25)


def test_a_count_beyond_a_second_is_no_part_of_one(tmp_path: Path) -> None:
    rows = ["Time,ms,TC1 (C),TC2 (C)"]
    rows += [
        f"2026-11-25 08:{i // 60:02d}:{i % 60:02d},{1000 * i},{20 + 0.1 * i:.1f},{20.4 + 0.1 * i:.1f}"
        for i in range(400)
    ]
    path = tmp_path / "count.csv"
    path.write_text("\n".join(rows) + "\n", "utf8")
    made = propose(path)
    log = read_log(path, made.confirm(made.suggested()))
    assert np.allclose(np.diff(log.times), 1.0)
