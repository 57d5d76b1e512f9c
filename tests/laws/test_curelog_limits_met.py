"""Readers of cure logs at their very limits: what stands exactly on one, and the next step on either side.

No file is read here; each row gives a small question and what the rule in its words answers.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from panelmend.curelog import clocks, roles, stamps
from panelmend.errors import PanelmendError
from panelmend.plan.judge.log import ChannelRole

TC, OTHER = ChannelRole.THERMOCOUPLE, ChannelRole.OTHER
NAN = math.nan


def row(*values: float) -> np.ndarray:
    return np.array(values, float)


@pytest.mark.parametrize(
    ("values", "counts"),
    [
        (range(5), True),
        (range(4), False),
        (range(3, 8), True),
        ([0.5, 1.5, 2.5, 3.5, 4.5], False),  # no whole numbers
        ([0, 1, 2, 3, 5], False),
        ([0, 1, 2, 3, 3.5], False),
        ([NAN, 0, 1, 2, 3, 4], True),
        ([*range(150), 7], True),  # looked at: 150
        ([*range(149), 7], False),
    ],
)
def test_a_column_that_only_counts(values: Any, counts: bool) -> None:
    assert roles._counts(row(*values)) is counts


@pytest.mark.parametrize(
    ("low", "high", "kinds", "role"),
    [
        (0.0, 45.0, 11, TC),
        (-0.5, 45.0, 11, OTHER),
        (0.0, 44.5, 11, OTHER),
        (0.0, 600.0, 11, TC),
        (0.0, 600.5, 11, OTHER),
        (30.0, 45.0, 11, OTHER),  # fifteen apart are not more than fifteen
        (29.5, 45.0, 11, TC),
        (0.0, 45.0, 10, OTHER),
        (0.0, 45.0, 2, OTHER),
    ],
)
def test_values_that_look_like_a_cure(low: float, high: float, kinds: int, role: ChannelRole) -> None:
    assert roles._by_values(np.linspace(low, high, kinds))[0] is role


def test_three_numbers_are_looked_at_and_two_are_not() -> None:
    assert roles._by_values(row(1.0, 2.0, NAN))[1] == "almost no numbers"
    assert roles._by_values(row(1.0, 2.0, 3.0))[1] != "almost no numbers"


@pytest.mark.parametrize(
    ("values", "words", "sense"),
    [
        ([0.0], "vacuum", ""),
        ([-1.0], "vacuum", "below ambient, negative"),
        ([-1.0, 1.0], "vacuum", ""),
        ([-3.0, 1.0], "vacuum", "below ambient, negative"),
        ([0.0], "psig", "below ambient"),
        ([], "psig", "below ambient"),
        ([-1.0], "absolute", "absolute"),
    ],
)
def test_the_sense_of_a_gauge(values: list[float], words: str, sense: str) -> None:
    assert roles._sense(words, row(*values)) == sense


@pytest.mark.parametrize(
    ("start", "high", "unit"),
    [
        (5.0, 220.0, "C"),
        (4.0, 220.0, ""),
        (40.0, 220.0, "C"),
        (41.0, 220.0, ""),
        (20.0, 221.0, ""),
        (20.0, 230.0, ""),
        (20.0, 231.0, "F"),
        (278.0, 493.0, ""),
        (277.0, 493.0, "F"),
        (313.0, 493.0, ""),
        (314.0, 493.0, "F"),
        (300.0, 494.0, "F"),
        (50.0, 200.0, "F"),
        (49.0, 200.0, ""),
        (110.0, 200.0, "F"),
        (111.0, 200.0, ""),
    ],
)
def test_the_unit_of_temperatures(start: float, high: float, unit: str) -> None:
    assert roles.temperature_evidence([row(start, high, NAN), row(NAN)])[0] == unit


@pytest.mark.parametrize(
    ("values", "unit", "sense"),
    [
        ([11.0, 11.0], "inHg", "absolute"),
        ([11.5, 11.5], "", ""),
        ([15.0, 15.0], "", ""),
        ([15.5, 15.5], "inHg", "below ambient"),
        ([5.0, 5.0], "", ""),
        ([5.5, 5.5], "inHg", "absolute"),
        ([32.0, 32.0], "inHg", "below ambient"),
        ([33.0, 33.0], "kPa", "absolute"),
        ([110.0, 110.0], "kPa", "below ambient"),
        ([111.0, 111.0], "", ""),
        ([200.0, 200.0], "", ""),
        ([201.0, 201.0], "mbar", "absolute"),
        ([1100.0, 1100.0], "mbar", "below ambient"),
        ([1101.0, 1101.0], "", ""),
        ([1.2, 1.2], "bar", "below ambient"),
        ([1.3, 1.3], "", ""),
        ([-1.0], "", ""),
        ([-20.0, -20.0], "inHg", "below ambient"),
        ([1000.0, 0.4 * 1013.0, 0.0], "mbar", ""),  # exactly in the middle: neither
        ([1000.0, 406.0, 0.0], "mbar", "below ambient"),
        ([1000.0, 405.0, 0.0], "mbar", "absolute"),
    ],
)
def test_the_unit_and_sense_of_vacuum(values: list[float], unit: str, sense: str) -> None:
    assert roles.vacuum_evidence(row(*values))[:2] == (unit, sense)


@pytest.mark.parametrize(
    ("values", "sense", "shown"),
    [
        ([10132.5], "below ambient", True),
        ([10140.0], "below ambient", False),
        ([80000.0] * 9 + [0.0] + [80000.0] * 10, "below ambient", True),  # ten at either end
        ([80000.0] * 10 + [0.0] + [80000.0] * 10, "below ambient", False),
        ([80000.0] * 10 + [0.0] + [80000.0] * 9, "below ambient", True),
        ([0.65 * 101325.0], "absolute", True),
        ([65800.0], "absolute", False),
        ([0.65 * 101325.0, 0.0], "absolute", True),
        ([], "absolute", False),
    ],
)
def test_an_open_bag_in_the_readings(values: list[float], sense: str, shown: bool) -> None:
    assert roles.shows_air(row(*values), "Pa", sense) is shown
    assert not roles.shows_air(row(*values), "no unit", sense)


@pytest.mark.parametrize(
    ("text", "what", "order", "good"),
    [
        ("2026-11-29 23:59:60", "clock", "ymd", True),
        ("2026-11-29 23:59:61", "clock", "ymd", False),
        ("2026-11-29 23:60:00", "clock", "ymd", False),
        ("2026-11-29 24:00:00", "clock", "ymd", True),
        ("2026-11-29 25:00:00", "clock", "ymd", False),
        ("1900-01-01 00:00:00", "clock", "ymd", True),
        ("1899-12-31 00:00:00", "clock", "ymd", False),
        ("2200-12-31 00:00:00", "clock", "ymd", True),
        ("2201-01-01 00:00:00", "clock", "ymd", False),
        ("2026-12-31 08:00", "clock", "ymd", True),
        ("2026-13-01 08:00", "clock", "ymd", False),
        ("2026-00-01 08:00", "clock", "ymd", False),
        ("2026-01-01 08:00", "clock", "ymd", True),
        ("2026-01-00 08:00", "clock", "ymd", False),
        ("2026-02-28 08:00", "clock", "ymd", True),
        ("2026-02-29 08:00", "clock", "ymd", False),
        ("2028-02-29 08:00", "clock", "ymd", True),
        ("2026-04-31 08:00", "clock", "ymd", False),
        ("29.11.2026 01:00 PM", "clock", "dmy", True),
        ("29.11.2026 12:00 PM", "clock", "dmy", True),
        ("29.11.2026 13:00 PM", "clock", "dmy", False),
        ("29.11.2026 00:00 AM", "clock", "dmy", False),
        ("29.11.2026 01:00", "clock", "mdy", False),
    ],
)
def test_stamps_that_exist(text: str, what: str, order: str, good: bool) -> None:
    assert bool(np.isfinite(stamps.read_stamps([text], what, order)[0])) is good


def at(text: str, what: str = "clock", order: str = "ymd") -> float:
    return float(stamps.read_stamps([text], what, order)[0])


def test_what_stamps_say() -> None:
    day = at("2026-11-29 00:00:00")
    assert day == 1795910400.0
    assert at("2026-11-29 24:00:00") == day + 86400.0
    assert at("29.11.26 00:00", order="dmy") == day
    assert at("29.11.1926 00:00", order="dmy") == at("1926-11-29 00:00")
    assert at("01.01.69 00:00", order="dmy") == at("2069-01-01 00:00")
    assert at("01.01.70 00:00", order="dmy") == 0.0
    assert at("11/29/2026 12:00 AM", order="mdy") == day
    assert at("11/29/2026 12:30 pm", order="mdy") == day + 45000.0
    assert at("11/29/2026 01:05 pm", order="mdy") == day + 13 * 3600 + 300
    assert at("11/29/2026 11:05 am", order="mdy") == day + 11 * 3600 + 300
    assert at("2026-11-29T02:00:00+02:00") == day
    assert at("2026-11-28T22:30:00-01:30") == day
    assert at("2026-11-29T00:00:00Z") == day
    assert at("2026-11-29 00:00:01.25") == day + 1.25
    assert at("1:02:03", "time") == 3723.0
    assert at("30:00:00", "time") == 108000.0
    assert stamps.zone_seconds("-02:30") == -9000
    assert stamps.zone_seconds("+0530") == 19800
    assert stamps.offset_of("2026-11-29T00:00:00+02:00") == 7200
    assert stamps.offset_of("2026-11-29T00:00:00") == 0


def test_stamps_of_more_forms_than_are_read_together() -> None:
    forms = [
        f"2026-11-{d} {h}:00:0{s}{f}"
        for d in (1, 11)
        for h in (2, 12)
        for s in (1, 2)
        for f in ("", ".5", ".25")
    ]
    forms += [t.replace("-", sign) for t in forms for sign in ("/", ".")]
    forms += [t.replace(" ", "T") for t in forms]
    known = [at(t) for t in forms]
    assert np.isfinite(known).sum() > 40
    together = stamps.read_stamps(forms, "clock", "ymd")
    assert np.array_equal(together, known, equal_nan=True)


def test_a_cell_of_more_than_forty_characters_is_no_stamp() -> None:
    text = "2026-11-29 00:00:00."
    assert stamps.looks_like(text + "0" * 6) == "clock"
    long = text + "0" * 20
    assert stamps.looks_like(long + "0") == ""
    if stamps.looks_like(long):
        assert np.isfinite(at(long))
    assert not np.isfinite(at(long + "0"))


def test_bytes_written_alike() -> None:
    def of(*texts: str) -> Any:
        return stamps.alike_stamps(np.array([list(t.encode()) for t in texts], np.uint8), "clock", "ymd")

    both = of("2026-11-29 00:00:00", "2026-11-29 00:00:09")
    assert both is not None
    assert both[1] - both[0] == 9.0
    for odd in ("/", ":", "9", "0"):
        told = of("2026-11-29 00:00:00", f"2026-11-29 00:00:0{odd}")
        assert (told is not None) == odd.isdigit()
    assert of("2026-11-29 00:00:00", "2026-11-29T00:00:00") is None
    assert of("2026-11-29T00:00:00+01:00", "2026-11-29T00:00:00+02:00") is None
    assert of("2026-11-29T00:00:00+01:00", "2026-11-29T00:00:01+01:00") is not None
    assert of("no stamp") is None


DAY = "2026-11-29 08:00:00"


@pytest.mark.parametrize(
    ("column", "kind"),
    [
        ([DAY] * 9 + ["x"], "clock"),
        ([DAY] * 8 + ["x"], ""),
        ([DAY] * 18 + ["x", "x"], "clock"),
        ([DAY] * 18 + ["x", "x", "x"], ""),
        (["2026-11-29"] * 9 + [DAY], "date"),
        (["2026-11-29"] * 8 + [DAY] * 2, ""),
        (["08:00:00"] * 9 + [DAY], "time"),
        (["20261129", "20261130", "20261201"], "date"),
        (["20261129", "20261130", "20261201", "20261202"], ""),
        (["", " "], ""),
        (["", DAY], "clock"),
    ],
)
def test_what_kind_of_stamps_a_column_holds(column: list[str], kind: str) -> None:
    assert clocks._kind(column) == kind


def numeric(values: list[float], name: str = "t", unit: str = "") -> Any:
    return clocks.find_clock([[f"{v:.16g}" for v in values]], [name], [unit], ".")


@pytest.mark.parametrize(
    ("first", "step", "form", "unit"),
    [
        (9e8, 60.0, "elapsed", "s"),
        (9e8 + 1, 60.0, "epoch", "s"),
        (4e9 - 1, 60.0, "epoch", "s"),
        (4e9, 60.0, "elapsed", "s"),
        (9e11, 60.0, "elapsed", "s"),
        (9e11 + 1, 60.0, "epoch", "ms"),
        (4e12 - 1, 60.0, "epoch", "ms"),
        (4e12, 60.0, "elapsed", "s"),
        (30000.0, 0.0625, "elapsed", "s"),
        (30000.5, 0.0625, "serial", "s"),
        (79999.5, 0.0625, "serial", "s"),
        (80000.0, 0.0625, "elapsed", "s"),
        (40000.0, 0.125, "elapsed", "s"),
    ],
)
def test_numbers_that_are_times(first: float, step: float, form: str, unit: str) -> None:
    time = numeric([first + k * step for k in range(20)]).time
    assert (time.form, time.unit) == (form, unit)


def test_serial_days_span_less_than_forty() -> None:
    some = [40000.0 + k / 16 for k in range(9)]
    assert numeric([*some, 40039.5]).time.form == "serial"
    assert numeric([*some, 40040.0]).time.form == "elapsed"


def test_columns_that_rise() -> None:
    up = [float(k) for k in range(21)]
    assert numeric([*up[:19], 5.0, 6.0]).time.columns == (0,)  # 19 of 20 steps
    with pytest.raises(PanelmendError):
        numeric([*up[:10], *up[:1]])  # nine of ten steps
    with pytest.raises(PanelmendError):
        numeric([1.0])
    assert numeric([1.0, 2.0]).time.columns == (0,)
    cell = [str(k) for k in range(19)]
    assert clocks.find_clock([[*cell, "x"]], ["t"], [""], ".").time.columns == (0,)  # 19 of 20 are numbers
    with pytest.raises(PanelmendError):
        clocks.find_clock([[*cell[:18], "x"]], ["t"], [""], ".")


def of_day(cell: list[str], name: str = "t") -> Any:
    return clocks.find_clock([cell], [name], [""], ".")


@pytest.mark.parametrize(
    ("first", "last", "form", "asked", "suggested"),
    [
        ("0:00:00", "24:00:00", "elapsed", "elapsed or clock", "elapsed"),
        ("0:00:00", "24:00:01", "elapsed", "", ""),
        ("2:00:00", "3:00:00", "elapsed", "elapsed or clock", ""),
        ("2:00:01", "3:00:00", "time of day", "zone", "local"),
        ("0:00:59", "3:00:00", "elapsed", "elapsed or clock", "elapsed"),
        ("0:01:00", "3:00:00", "elapsed", "elapsed or clock", ""),
    ],
)
def test_times_without_a_date(first: str, last: str, form: str, asked: str, suggested: str) -> None:
    told = of_day([first, last])
    assert told.time.form == form
    assert [(q.key, q.suggested) for q in told.questions] == ([(asked, suggested)] if asked else [])
    assert of_day([first, last], "Elapsed").questions == ()
    assert of_day([first, last], "run time").questions == ()


def test_the_order_of_a_date() -> None:
    def told(dates: list[str]) -> Any:
        return clocks.find_clock([[f"{d} 08:00:{k % 60:02d}" for k, d in enumerate(dates)]], ["t"], [""], ".")

    assert told(["29.11.2026"] * 5).time.order == "dmy"
    assert told(["11.29.2026"] * 5).time.order == "mdy"
    # 49 of 50 stamps that exist are not more than 98 of a hundred
    once = told(["05.06.2026"] * 59 + ["29.11.2026"])
    assert {o for o, _ in once.questions[0].choices} == {"dmy", "mdy"}
    twice = told(["05.06.2026"] * 49 + ["29.11.2026"])
    assert twice.time.order == "dmy"
    assert "date order" not in {q.key for q in twice.questions}
    near = told(["01.02.2026"] * 3 + ["02.02.2026"] * 3)
    assert near.questions[0].suggested == "dmy"
    assert clocks._span(row(0.0, 10.0, 4.0)) == 22.0
