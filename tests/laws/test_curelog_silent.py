"""What a log leaves open or says beside its head: asked, refused or read right, never taken in silence."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from panelmend.curelog import read_log
from panelmend.curelog.roles import unit_in_name
from panelmend.curelog.written import lettered_names, unit_above, unit_of_cells
from panelmend.errors import InputError, ReadingError
from typed_logs import proposed, taken, units, warm

# times of two parts


@pytest.mark.parametrize(("answer", "last"), [("min", 59 * 30.0), ("h", 59 * 1800.0)])
def test_two_parts_from_the_start_are_asked(tmp_path: Path, answer: str, last: float) -> None:
    """00:30 was half an hour without a question: a dwell of two minutes stood as one of two hours."""
    log = tmp_path / "a.csv"
    made = proposed(log, "Elapsed,T1 [C]", lambda i: f"{i // 2:02d}:{i % 2 * 30:02d},{warm(i)}")
    assert [(q.key, q.suggested) for q in made.questions] == [("time unit", "")]
    with pytest.raises(InputError, match="time unit"):
        made.confirm({})
    assert taken(log, made, time_unit=answer).times[-1] == last


@pytest.mark.parametrize(
    ("name", "last"),
    [
        ("Elapsed (mm:ss)", 59 * 60.0),
        ("Elapsed [m:ss]", 59 * 60.0),
        ("Time (min:sec)", 59 * 60.0),
        ("Elapsed (hh:mm)", 59 * 3600.0),
        ("Run time h:mm", 59 * 3600.0),
        ("Time hours:minutes", 59 * 3600.0),
    ],
)
def test_a_head_that_says_what_two_parts_are_is_believed(tmp_path: Path, name: str, last: float) -> None:
    made = proposed(tmp_path / "a.csv", f"{name},T1 [C]", lambda i: f"{i}:00,{warm(i)}")
    assert "time unit" not in {q.key for q in made.questions}
    assert taken(tmp_path / "a.csv", made).times[-1] == last


@pytest.mark.parametrize(("step", "suggested"), [(48, ""), (49, "min")])
def test_hours_longer_than_any_cure_are_likelier_minutes(tmp_path: Path, step: int, suggested: str) -> None:
    """60 rows, the last at 47:12 or 48:11."""
    made = proposed(
        tmp_path / "a.csv", "Elapsed,T1 [C]", lambda i: f"{step * i // 60}:{step * i % 60:02d},{warm(i)}"
    )
    assert [(q.key, q.suggested) for q in made.questions] == [("time unit", suggested)]


def test_two_parts_beside_three_are_minutes(tmp_path: Path) -> None:
    """59:50 before 1:00:00; the hour stands only where there is one."""

    def row(i: int) -> str:
        second = 3300 + 10 * i
        text = (
            f"{second // 60}:{second % 60:02d}"
            if second < 3600
            else f"1:{second // 60 - 60:02d}:{second % 60:02d}"
        )
        return f"{text},{warm(i)}"

    made = proposed(tmp_path / "a.csv", "Elapsed,T1 [C]", row)
    assert made.suggested() == {"time unit": "min"}
    assert np.diff(taken(tmp_path / "a.csv", made).times).tolist() == [10.0] * 59


def test_a_clock_of_two_parts_is_hours_and_minutes(tmp_path: Path) -> None:
    log = tmp_path / "a.csv"
    made = proposed(log, "Time,T1 [C]", lambda i: f"14:{i:02d},{warm(i)}")
    assert [q.key for q in made.questions] == ["zone"]
    assert taken(log, made).times[-1] == 59 * 60.0
    made = proposed(log, "Time,T1 [C]", lambda i: f"0:{i:02d},{warm(i)}")
    assert [q.key for q in made.questions] == ["elapsed or clock", "time unit"]
    clock = {"elapsed or clock": "time of day"}
    assert read_log(log, made.confirm(clock)).times[-1] == 59 * 60.0
    assert read_log(log, made.confirm({**clock, "time unit": "min"})).times[-1] == 59 * 60.0
    assert taken(log, made, time_unit="min").times[-1] == 59.0


def test_a_reading_kept_from_before_the_question_reads_no_such_times(tmp_path: Path) -> None:
    from dataclasses import replace

    log = tmp_path / "a.csv"
    how = proposed(log, "Elapsed,T1 [C]", lambda i: f"{i}:00,{warm(i)}").confirm({"time unit": "min"})
    with pytest.raises(ReadingError, match="propose how to read it again"):
        read_log(log, replace(how, time=replace(how.time, unit="s")))


# am and pm


@pytest.mark.parametrize("mark", ["PM", "pm", "p.m."])
@pytest.mark.parametrize("separator", [",", " ", ";", "\t"])
def test_an_afternoon_in_a_column_of_its_own_is_an_afternoon(
    tmp_path: Path, mark: str, separator: str
) -> None:
    """It began at one in the night, twelve hours before the times of the job."""
    log = tmp_path / "a.csv"
    head = separator.join(["Date", "Time", "Half", "T1_C", "T2_C"])
    made = proposed(
        log,
        head,
        lambda i: separator.join(["11/25/2026", f"01:{i:02d}:00", mark, f"{warm(i)}", f"{warm(i) + 1:.1f}"]),
    )
    assert made.read_as.time.columns == (0, 1, 2)
    assert taken(log, made).started == "2026-11-25T13:00:00"


@pytest.mark.parametrize(
    ("head", "stamp", "began"),
    [
        ("Time,Half,T1 [C],T2 [C]", "{h:02d}:{m:02d}:00,{p}", "T11:30:00"),
        ("Stamp,Half,T1 [C],T2 [C]", "2026-11-25 {h:02d}:{m:02d}:00,{p}", "2026-11-25T11:30:00"),
        ("Date,Time,Half,T1 [C],T2 [C]", "2026-11-25,{h:02d}:{m:02d}:00,{p}", "2026-11-25T11:30:00"),
    ],
)
def test_noon_is_passed_in_a_column_of_its_own(tmp_path: Path, head: str, stamp: str, began: str) -> None:
    """Not a long table with two channels AM and PM, and not a clock that was set back by twelve hours."""
    log = tmp_path / "a.csv"

    def row(i: int) -> str:
        hour, minute = 11 + (30 + i) // 60, (30 + i) % 60
        return stamp.format(h=hour, m=minute, p="AM" if hour < 12 else "PM") + f",{warm(i)},{warm(i) + 1:.1f}"

    read_log = taken(log, proposed(log, head, row))
    assert read_log.started == began
    assert np.diff(read_log.times).tolist() == [60.0] * 59


def test_a_row_without_its_am_or_pm_has_the_time_of_its_place(tmp_path: Path) -> None:
    log = tmp_path / "a.csv"
    made = proposed(
        log,
        "Time,Half,T1 [C],T2 [C]",
        lambda i: f"01:{i:02d}:00,{'PM' if i != 30 else ''},{warm(i)},{warm(i) + 1:.1f}",
    )
    read_log = taken(log, made)
    assert read_log.times.tolist() == [60.0 * n for n in range(60)]
    assert "1 lines have readings and a time that cannot be read" in " ".join(read_log.notes)


def test_a_date_without_its_time_is_no_midnight(tmp_path: Path) -> None:
    log = tmp_path / "a.csv"
    made = proposed(
        log,
        "Date,Time,T1 [C]",
        lambda i: f"2026-11-25,{f'13:{i:02d}:00' if i != 30 else ''},{warm(i)}",
    )
    assert taken(log, made).times.tolist() == [60.0 * n for n in range(60)]


def test_a_date_goes_with_the_clock_and_not_with_the_time_from_the_start(tmp_path: Path) -> None:
    """Date and elapsed time made a cure that began at midnight."""
    for head in ("Date,Elapsed,Time,T1 [C]", "Date,Run time,Clock,T1 [C]"):
        log = tmp_path / "a.csv"
        made = proposed(log, head, lambda i: f"2026-11-25,0:{i:02d}:00,13:{i:02d}:20,{warm(i)}")
        assert taken(log, made).started == "2026-11-25T13:00:20"


# units


def test_a_unit_behind_every_number_is_the_unit(tmp_path: Path) -> None:
    """27 kPa was suggested as 27 inHg, and 72 F as 72 C where nothing stood in the head."""
    log = tmp_path / "a.csv"
    made = proposed(log, "Time [s],T1,Vacuum", lambda i: f"{10 * i},{warm(i)} °F,{27 + i % 3 / 10:.1f} kPa")
    assert units(made) == {"T1": "F", "Vacuum": "kPa"}
    read_log = taken(log, made)
    assert read_log.channel("T1").values[0] == pytest.approx((20.3 + 459.67) / 1.8)
    assert read_log.channel("Vacuum").values[0] == pytest.approx(27e3)


def test_a_head_and_its_readings_in_two_units_are_refused(tmp_path: Path) -> None:
    with pytest.raises(ReadingError, match="two units") as refused:
        proposed(tmp_path / "a.csv", "Time [s],T1 [C]", lambda i: f"{10 * i},{warm(i)} F")
    assert "C in its head, F behind its readings" in refused.value.sentence()


def test_readings_in_another_unit_are_no_readings(tmp_path: Path) -> None:
    """Half of the way in C and half in F: nothing is suggested from cells, and the others are missing."""
    log = tmp_path / "a.csv"
    made = proposed(log, "Time [s],T1", lambda i: f"{10 * i},{warm(i)} {'C' if i < 30 else 'F'}")
    assert units(made) == {"T1": ""}
    read_log = taken(log, made, temperature_unit="C")
    values = read_log.channel("T1").values
    assert np.isfinite(values[:30]).all()
    assert np.isnan(values[30:]).all()
    assert "no number in C" in " ".join(read_log.notes)
    made = proposed(log, "Time [s],T1 [C]", lambda i: f"{10 * i},{warm(i)}{' F' if i == 7 else ''}")
    assert np.flatnonzero(np.isnan(taken(log, made).channel("T1 [C]").values)).tolist() == [7]


@pytest.mark.parametrize(
    ("head", "cells", "unit"),
    [
        ("", ["1 C"] * 9 + ["2"], "C"),  # nine in ten
        ("", ["1 C"] * 8 + ["2"] * 2, ""),
        ("", ["1 C"] * 9 + ["2"] + ["-"] * 9, "C"),  # marks for a missing reading do not count
        ("", ["1 C"] * 8 + ["2 F"] * 2, ""),
        ("", ["ok C"] * 9, ""),
        ("K", ["1"] * 9, "K"),
        ("C", ["1 F"] * 5 + ["2"] * 5, "C"),  # half: those are missing
        ("C", ["1 F"] * 6 + ["2"] * 5, None),
        ("mbar", ["1 kPa"] * 9, None),
        ("kPa", ["1 kPa"] * 9, "kPa"),
        ("C", ["1 V"] * 9, "C"),  # a mark, and no temperature
    ],
)
def test_which_unit_a_column_is_in(head: str, cells: list[str], unit: str | None) -> None:
    if unit is None:
        with pytest.raises(ReadingError, match="two units"):
            unit_of_cells("x", head, cells, ".", False)
    else:
        assert unit_of_cells("x", head, cells, ".", False) == unit


def test_a_mark_behind_a_reading_does_not_take_it_away(tmp_path: Path) -> None:
    """95.3A, hot and in alarm, is a reading: without it the excess would not be seen."""
    log = tmp_path / "a.csv"
    made = proposed(log, "Time [s],T1 [C]", lambda i: f"{10 * i},{warm(i)}{'A' if i > 55 else ''}")
    values = taken(log, made).channel("T1 [C]").values
    assert values[-1] == pytest.approx(273.15 + warm(59))
    assert np.isfinite(values).all()


def test_one_unit_under_two_names_is_one(tmp_path: Path) -> None:
    assert unit_of_cells("P", "hPa", ["850 mbar"] * 9, ".", False) == "hPa"
    log = tmp_path / "a.csv"
    made = proposed(log, "Time [s],T1 [C],Vacuum [hPa]", lambda i: f"{10 * i},{warm(i)},{850 + i} mbar")
    assert taken(log, made).channel("Vacuum [hPa]").values[0] == pytest.approx(85e3)


@pytest.mark.parametrize(
    ("names", "letters"),
    [
        (("TC A", "TC B", "TC C"), {"TC A", "TC B", "TC C"}),
        (("TC_A", "TC_C"), {"TC_A", "TC_C"}),
        (("Temp C", "Temp F"), set()),  # one temperature in both
        (("T1 C", "T2 C", "T3 F"), set()),
        (("T1 C", "Zone C"), {"Zone C"}),
        (("Set point C",), set()),
        (("zone f", "Position F"), {"zone f", "Position F"}),
        (("Zone [C]",), set()),
    ],
)
def test_letters_of_places_are_no_units(names: tuple[str, ...], letters: set[str]) -> None:
    assert lettered_names(names) == letters


def test_places_a_to_f_are_not_read_in_two_units(tmp_path: Path) -> None:
    """Place C was read in Celsius and place F in Fahrenheit beside it, without a question."""
    log = tmp_path / "a.csv"
    made = proposed(
        log,
        "Time [s]," + ",".join(f"TC {x}" for x in "ABCDEF"),
        lambda i: f"{10 * i}," + ",".join(f"{warm(i) + k:.1f}" for k in range(6)),
    )
    assert set(units(made).values()) == {""}
    read_log = taken(log, made, temperature_unit="C")
    assert [c.values[0] - read_log.channels[0].values[0] for c in read_log.channels] == pytest.approx(
        range(6)
    )


@pytest.mark.parametrize(
    ("line", "unit"),
    [
        ("Temperature unit: F", "F"),
        ("Temp units,deg F", "F"),
        ("Units = Celsius", "C"),
        ("Temperatureinheit;°C", "C"),
        ("Units: metric", ""),
        ("Operator: F", ""),
        ("Temperature units: C or F", ""),
    ],
)
def test_a_unit_above_the_table(line: str, unit: str) -> None:
    assert unit_above(["made by hand", line]) == unit
    assert unit_above([line, "Temperature unit: K"]) == ("" if unit else "K" if " or " not in line else "")


def test_a_unit_above_the_table_stands_against_what_the_readings_look_like(tmp_path: Path) -> None:
    log = tmp_path / "a.csv"
    made = proposed(log, "Temperature unit: F\nTime [s],T1", lambda i: f"{10 * i},{warm(i)}")
    asked = {q.key: q for q in made.questions}["temperature unit"]
    assert asked.suggested == ""
    assert asked.why.endswith("the lines above the table say F, not C")
    made = proposed(log, "Temperature unit: C\nTime [s],T1", lambda i: f"{10 * i},{warm(i)}")
    assert made.suggested()["temperature unit"] == "C"
    made = proposed(log, "Temperature unit: K\nTime [s],T1", lambda i: f"{10 * i},{warm(i) + 273:.1f}")
    assert made.suggested()["temperature unit"] == "K"


@pytest.mark.parametrize(
    ("name", "unit"), [("Part T/C", ""), ("T/C 1", ""), ("T/C 1 F", "F"), ("Part/C", "C")]
)
def test_a_thermocouple_in_short_is_not_in_celsius(name: str, unit: str) -> None:
    """A head "Part T/C" was read in Celsius without a question."""
    assert unit_in_name(name) == unit
