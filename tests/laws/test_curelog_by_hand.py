"""Readers of logs on cells made for them, each answer written by hand: order of dates, times of day, stamps
written alike, heads with empty cells behind, and which numbers a comma or a point parts."""

from __future__ import annotations

from collections import Counter
from types import SimpleNamespace as Made

import numpy as np
import pytest

from panelmend.curelog import build, clocks, numerals, readas, sniff, stamps


@pytest.mark.parametrize(
    ("last", "form"),
    [("24:00:00", "time of day"), ("24:00:01", "elapsed")],
)
def test_times_that_pass_a_day_are_times_from_the_start(last: str, form: str) -> None:
    found = clocks._of_day(0, [["22:00:00", "23:00:00", last]], ["time"])
    assert found.time.form == form
    if form == "elapsed":
        assert "pass 24 h" in found.reasons[0]
    named = clocks._of_day(0, [["00:00:00", "23:00:00", "24:00:00"]], ["elapsed"])
    assert "the column is called 'elapsed'" in named.reasons[0]


@pytest.mark.parametrize(
    ("cells", "order"),
    [
        (["25/11/26 08:00", "25/11/26 08:01"], None),  # 2025-11-26 or 25 November 2026: asked
        (["25/11/2026 08:00", "25/11/2026 08:01"], "dmy"),
        (["11/25/2026 08:00", "11/25/2026 08:01"], "mdy"),
        (["2026/11/25 08:00", "2026/11/25 08:01"], "ymd"),
        (["31/12/26 08:00", "31/12/2026 08:01"], "dmy"),  # one year of four digits is enough
    ],
)
def test_the_order_of_a_date(cells: list[str], order: str | None) -> None:
    """A year of two digits may stand first or last; one of four stands where it stands."""
    found, _, questions = clocks._order(cells, cells)
    assert bool(questions) is (order is None)
    if order is not None:
        assert found == order


def _codes(rows: list[str]) -> np.ndarray:
    return np.array([list(r.encode("ascii")) for r in rows], np.uint8)


@pytest.mark.parametrize("digit", "0123456789")
def test_stamps_are_alike_whatever_digit_the_first_has(digit: str) -> None:
    rows = [f"2026-11-25 10:00:0{digit}", "2026-11-25 10:00:05"]
    made = stamps.alike_stamps(_codes(rows), "clock", "ymd")
    assert made is not None
    assert made[1] - made[0] == 5 - int(digit)


@pytest.mark.parametrize("mark", "/:;.-T")
def test_stamps_with_another_mark_are_not_alike(mark: str) -> None:
    """The characters beside the digits in their table are no digits."""
    rows = ["2026-11-25 10:00:00", f"2026-11-25 10:00:0{mark}"]
    assert stamps.alike_stamps(_codes(rows), "clock", "ymd") is None


@pytest.mark.parametrize(("digits", "year"), [(2, 2026), (4, 26)])
def test_a_year_of_two_digits_is_this_or_the_last_century(digits: int, year: int) -> None:
    one = [np.array([n]) for n in (26, 11, 25)]
    days = stamps._days(*one, "ymd", digits)
    if digits == 2:
        assert days[0] == (np.datetime64("2026-11-25") - np.datetime64("1970-01-01")).astype(int)
        for short, full in ((69, 2069), (70, 1970), (99, 1999), (0, 2000)):
            (day,) = stamps._days(np.array([short]), one[1], one[2], "ymd", 2)
            assert day == (np.datetime64(f"{full}-11-25") - np.datetime64("1970-01-01")).astype(int)
    else:
        assert days[0] < -(10**9), "a year 26 there is not"
    (last,) = stamps._days(np.array([2200]), np.array([12]), np.array([31]), "ymd", 3)
    assert last > 0


def test_a_stamp_too_long_to_be_one_is_not_looked_at() -> None:
    text = "2026-11-25 10:00:00" + "." + "0" * 20
    assert len(text) == 40
    short = stamps.alike_stamps(_codes([text, text]), "clock", "ymd")
    long = stamps.alike_stamps(_codes([text + "0", text + "0"]), "clock", "ymd")
    assert long is None
    assert short is None or short.size == 2


def test_empty_cells_behind_a_head_are_not_columns() -> None:
    names, units = sniff._header([["Time", "T1", "T2", "", ""], ["s", "C", "C", ""]], 3, ".")
    assert names == ("Time", "T1", "T2")
    assert units == ("s", "C", "C")
    assert sniff._header([["Time", "T1", "T2", "x"]], 3, ".")[0] == ("", "", "")
    assert sniff._header([["Time", "T1", ""]], 3, ".")[0] == ("Time", "T1", "")


@pytest.mark.parametrize(
    ("cells", "decimal", "thousands", "values", "words"),
    [
        (["1,5", "2,25"], ",", "", [1.5, 2.25], 0),
        (["1,5", "2.5"], ",", "", [1.5, np.nan], 1),
        (["1.234,5", "2,5"], ",", ".", [1234.5, 2.5], 0),
        (["1,234.5", "2.5"], ".", ",", [1234.5, 2.5], 0),
        (["1.5", "2.5"], ".", "", [1.5, 2.5], 0),
        (["1 234.5", "1,5"], ".", " ", [1234.5, np.nan], 1),
        (["1 234,5", "1.5"], ",", " ", [1234.5, np.nan], 1),
        (["1.5", "1_0"], ".", "", [1.5, np.nan], 1),
        (["1.5", "--"], ".", "", [1.5, np.nan], 0),
    ],
)
def test_what_parts_a_number(
    cells: list[str], decimal: str, thousands: str, values: list[float], words: int
) -> None:
    strange: Counter[str] = Counter()
    assert numerals.numbers(cells, decimal, thousands, strange) == pytest.approx(values, nan_ok=True)
    assert sum(strange.values()) == words


@pytest.mark.parametrize(
    ("form", "zone", "offset", "text"),
    [
        ("elapsed", "", 0, ""),
        ("epoch", "", 0, "2026-11-25T08:00:00.123000+00:00"),
        ("clock", "local", 0, "2026-11-25T08:00:00.123000"),
        ("clock", "Z", 0, "2026-11-25T08:00:00.123000+00:00"),
        ("clock", "+02:00", 0, "2026-11-25T08:00:00.123000+02:00"),
        ("clock", "stamped", 3600, "2026-11-25T09:00:00.123000+01:00"),
        ("time of day", "local", 0, "T08:00:00"),
    ],
)
def test_the_first_stamp_is_told_to_a_thousandth(form: str, zone: str, offset: int, text: str) -> None:
    first = (np.datetime64("2026-11-25T08:00:00") - np.datetime64("1970-01-01")).astype(float) + 0.1234
    how = Made(time=Made(form=form, zone=zone))
    assert build._started(first, how, offset) == text  # type: ignore[arg-type]


@pytest.mark.parametrize(("count", "named", "more"), [(2, 2, False), (3, 3, False), (4, 3, True)])
def test_lines_that_are_short_are_named_and_more_are_told(count: int, named: int, more: bool) -> None:
    """Dots stand only where not all of them are named."""
    own = Made(left_count=0, left_out=[], short_count=count, short=list(range(1, named + 1)))
    own.how, own.words = Made(columns=()), ()
    (note,) = build.Builder._notes(own, np.zeros(0, np.int32))[:1]  # type: ignore[arg-type]
    assert note.endswith(f"line {', '.join(str(n) for n in range(1, named + 1))}" + " ..." * more)


@pytest.mark.parametrize(
    ("cells", "kind"),
    [
        ([f"2026-11-0{k}" for k in range(1, 10)] + ["20261110"], "date"),  # not all are bare digits
        ([f"2026110{k}" for k in range(1, 10)], ""),  # nine numbers of eight digits: readings as well
        (["20261101"] * 3 + ["20261102", "20261103"], "date"),  # of no more than three days
        (["20261101", "20261102", "20261103", "20261104"], ""),
        (["", "  "], ""),
    ],
)
def test_bare_digits_are_dates_of_a_few_days_alone(cells: list[str], kind: str) -> None:
    assert clocks._kind(cells) == kind


@pytest.mark.parametrize(
    ("zones", "zone"),
    [(("Z", "Z"), "stamped"), (("Z", ""), "local"), (("", "Z"), "local"), (("", ""), "local")],
)
def test_the_zone_is_asked_for_unless_every_stamp_carries_it(zones: tuple[str, str], zone: str) -> None:
    stamps = [f"2026-11-25T10:0{k}:00{z}" for k, z in enumerate(zones)]
    found = clocks._clock((0,), [stamps], "why")
    assert found.time.zone == zone
    assert [q.key for q in found.questions] == ([] if zone == "stamped" else ["zone"])


@pytest.mark.parametrize(
    ("last", "orders"), [("01/02/03", {"ymd", "dmy", "mdy"}), ("01/02/2003", {"dmy", "mdy"})]
)
def test_one_year_of_four_digits_says_that_none_stands_first(last: str, orders: set[str]) -> None:
    """Ninety-nine of a hundred could be read with the year first; the last one cannot."""
    cells = ["01/02/03"] * 99 + [last]
    _, _, questions = clocks._order(cells, cells)
    assert {choice for q in questions for choice, _ in q.choices} == orders


@pytest.mark.parametrize(
    ("unit", "seconds"), [("h", [45000.0, 49500.0]), ("min", [750.0, 825.0]), ("s", []), ("", [])]
)
def test_two_parts_are_no_time_where_nobody_said_which(unit: str, seconds: list[float]) -> None:
    """12:30 and 13:45 in hours, or in minutes; for neither there is no time, rather than hours."""
    how = readas.TimeAs((0,), "elapsed", unit=unit)
    found = numerals.read_times([["12:30", "13:45"]], how, ".", "")
    assert found == pytest.approx(seconds or [np.nan, np.nan], nan_ok=True)


@pytest.mark.parametrize(
    ("unit", "sense", "fellow", "pressure"),
    [
        ("", "", ("kPa", "below ambient"), 80e3),
        ("", "", ("kPa", "absolute"), 101e3 - 80e3),
        ("", "", ("kPa", "below ambient, negative"), -80e3),
        ("mbar", "", ("kPa", "below ambient"), 8e3),  # its own unit where it has one
        ("kPa", "absolute", ("inHg", "below ambient"), 101e3 - 80e3),
        ("", "", None, 80 * 3386.389),
    ],
)
def test_a_gauge_set_aside_is_read_as_its_fellow_is(
    unit: str, sense: str, fellow: tuple[str, str] | None, pressure: float
) -> None:
    """80 of a gauge whose head has no unit, beside one that has."""
    column = readas.ColumnAs(1, "G2", readas.ChannelRole.OTHER, unit, sense)
    others = () if fellow is None else (readas.ColumnAs(2, "G1", readas.ChannelRole.VACUUM, *fellow),)
    numbers = build.NumberColumn(np.dtype(np.float64))
    numbers.add(np.array([80.0]))
    own = Made(how=Made(columns=(column, *others), ambient=101e3), count=1)
    made = build.Builder._as_vacuum(own, column, numbers)  # type: ignore[arg-type]
    assert made == pytest.approx([pressure], rel=1e-5)
