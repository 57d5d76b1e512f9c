"""Small limits in reading a log, on both sides: what is a text, a table, a clock, a vacuum, a late row."""

from __future__ import annotations

import math

import numpy as np
import pytest

from panelmend.curelog.build import _step
from panelmend.curelog.clocks import LogQuestion, _of_day
from panelmend.curelog.head import other_head, rows_head
from panelmend.curelog.live.buffer import Buffer, Point, Sample
from panelmend.curelog.numerals import read_times
from panelmend.curelog.propose import Proposal
from panelmend.curelog.readas import ColumnAs, ReadAs, TimeAs
from panelmend.curelog.roles import shows_air, vacuum_evidence
from panelmend.curelog.sniff import HEAD, _header, _repeats, encoding_of, layout_of, separator_of
from panelmend.curelog.stamps import read_stamps
from panelmend.errors import ReadingError
from panelmend.plan.judge.log import ChannelRole


def test_one_control_character_in_twenty_is_still_a_text() -> None:
    assert encoding_of(b"\x01" + b"a" * 19)[0] == "utf-8"
    assert encoding_of(b"\x01" * 2 + b"a" * 37)[0] == ""
    assert encoding_of(b"\t\r\n\x0b\x0c " * 4)[0] == "utf-8", "blanks are no control characters"
    assert [encoding_of(bytes([b]) * 2 + b"a" * 18)[0] for b in (8, 14, 31)] == [""] * 3


def test_a_letter_cut_by_the_end_of_the_head_does_not_change_the_encoding() -> None:
    letter = "€".encode()
    for left in (1, 2, 3):  # bytes of the letter that still belong to the head
        assert encoding_of(b"a" * (HEAD - left) + letter[:left])[0] == "utf-8"
    assert encoding_of(b"a" * (HEAD - 8) + b"\xff" + b"a" * 7)[0] == "cp1252"
    assert encoding_of(b"a" * 20 + letter[:2])[0] == "cp1252", "a short file ends where it ends"


@pytest.mark.parametrize(("numbers", "reads"), [(3, True), (2, False)])
def test_a_table_needs_three_cells_in_ten_that_read(numbers: int, reads: bool) -> None:
    lines = [";".join(["17.5"] * numbers + ["abc"] * (10 - numbers))] * 12
    if reads:
        assert separator_of(lines) == (";", ".")
        return
    with pytest.raises(ReadingError, match="no table of readings"):
        separator_of(lines)


def test_a_separator_must_read_better_by_a_fiftieth() -> None:
    """Both read whole: the earlier in the order stays; the later one only where it reads clearly better."""
    assert separator_of(["1.5|2.5|3.5"] * 12) == ("|", ".")
    words = ["x;1.5,2.5,3.5,4.5,5.5,6.5,7.5"] * 12  # one cell in two by semicolon, six in seven by comma
    assert separator_of(words) == (",", ".")


@pytest.mark.parametrize(("cells", "repeats"), [("a a b", False), ("a a a b b", True), ("a a", False)])
def test_most_cells_of_a_row_say_what_another_says(cells: str, repeats: bool) -> None:
    assert _repeats(cells.split()) is repeats


def test_five_words_of_which_three_differ_say_the_same() -> None:
    assert _repeats(["a", "b", "c", "a", "b"])
    assert not _repeats(["a", "b", "c", "d", "a", "b"])


def test_units_stand_in_cells_shorter_than_twelve_letters() -> None:
    """One long word makes a row of units a row of names."""
    assert _header([["Time", "TC1", "TC2"], ["clock twice", "C", "C"]], 3, ".")[1] == (
        "clock twice",
        "C",
        "C",
    )
    assert _header([["clock, twice", "C", "C"]], 3, ".")[1] == ("", "", "")


def test_a_row_of_names_is_as_wide_as_the_table_or_one_less() -> None:
    names = ["Time", "North", "South", "East"]
    assert _header([names[:3]], 4, ".")[0] == ("Time", "North", "South", "")
    assert _header([names[:2]], 4, ".")[0] == ("",) * 4
    assert _header([[*names, "West"]], 4, ".")[0] == ("",) * 4
    assert _header([[*names, ""]], 4, ".")[0] == tuple(names)


def test_a_sample_with_another_stamp_than_what_follows_is_no_sample() -> None:
    rows = [["2026-01-01", "20.5", "21.5"], *[[f"08:{i:02d}:00", "20.5", "21.5"] for i in range(20)]]
    assert layout_of(rows, ".", [";".join(r) for r in rows]).lines_above == 0
    rows[0][0] = "17"
    assert layout_of(rows, ".", [";".join(r) for r in rows]).lines_above == 1


@pytest.mark.parametrize(
    ("times", "step"),
    [([60.0, 120.0, 300.0], 60.0), ([60.0, 121.0], 1.0), ([0.5, 1.25], 0.001), ([59.9999999, 120.0], 60.0)],
)
def test_the_smallest_step_that_stamps_can_show(times: list[float], step: float) -> None:
    assert _step(np.array(times)) == step


@pytest.mark.parametrize(
    ("high", "unit"),
    [
        (1.2, "bar"), (1.21, ""), (5.0, ""), (5.01, "inHg"), (11.0, "inHg"), (11.01, ""), (15.0, ""),
        (15.01, "inHg"), (32.0, "inHg"), (32.01, "kPa"), (110.0, "kPa"), (110.01, ""), (200.0, ""),
        (200.01, "mbar"), (1100.0, "mbar"), (1100.01, ""),
    ],
)  # fmt: skip
def test_the_unit_of_a_vacuum_by_its_highest_reading(high: float, unit: str) -> None:
    assert vacuum_evidence(np.array([high, high]))[0] == unit


@pytest.mark.parametrize(
    ("middle", "sense"),
    [(0.41, "below ambient"), (0.39, "absolute"), (0.4, "")],
    ids=["above", "below", "at"],
)
@pytest.mark.parametrize(("high", "full"), [(30.0, 29.9), (100.0, 101.3), (1000.0, 1013.0), (1.0, 1.01)])
def test_the_sense_of_a_vacuum_by_its_middle(middle: float, sense: str, high: float, full: float) -> None:
    assert vacuum_evidence(np.array([middle * full, middle * full, high]))[1] == sense


@pytest.mark.parametrize(
    ("written", "reading", "sense"),
    [("MPa", 0.083, ""), ("kPa", 20.0, ""), ("mmHg", 633.0, ""), ("hPa", 833.0, "below ambient"),
     ("kPa", 83.0, "below ambient"), ("", 83.0, "below ambient")],
)  # fmt: skip
def test_no_sense_is_suggested_by_a_unit_that_the_head_does_not_have(
    written: str, reading: float, sense: str
) -> None:
    """0.083 MPa, a strong vacuum, was suggested as absolute: taken for bar."""
    assert vacuum_evidence(np.array([reading, reading]), written)[1] == sense


@pytest.mark.parametrize("values", [[], [20.0], [math.nan, 20.0]])
def test_one_reading_speaks_for_no_vacuum(values: list[float]) -> None:
    assert vacuum_evidence(np.array(values)) == ("", "", "no readings")
    assert vacuum_evidence(np.array([20.0, 21.0]))[0] == "inHg"


@pytest.mark.parametrize(
    ("last", "form", "asked"), [("24:00:00", "elapsed", True), ("24:00:01", "elapsed", False)]
)
def test_times_that_pass_a_day_are_from_the_start(last: str, form: str, asked: bool) -> None:
    made = _of_day(0, [["00:00:10", last]], ["T"])
    assert (made.time.form, bool(made.questions)) == (form, asked)


@pytest.mark.parametrize(
    ("first", "form", "likely"),
    [
        ("00:00:59", "elapsed", "elapsed"),
        ("00:01:00", "elapsed", ""),
        ("02:00:00", "elapsed", ""),
        ("02:00:01", "time of day", None),
    ],
)
def test_the_first_stamp_tells_a_clock_from_a_run(first: str, form: str, likely: str | None) -> None:
    made = _of_day(0, [[first, "03:00:00"]], ["T"])
    assert made.time.form == form
    assert likely is None or made.questions[0].suggested == likely


HEADS = [ColumnAs(i + 1, f"TC{i + 1}", ChannelRole.THERMOCOUPLE, "C", "") for i in range(4)]


@pytest.mark.parametrize(
    ("cells", "other"),
    [
        (["TC1", "TC2", "TC3", "TC4"], False),
        (["TC2", "TC1", "", ""], True),
        (["TC2", "", "", ""], False),
        (["TC2", "TC1", "17", "TC4"], False),
        (["C", "C", "C", "C"], False),
        (["C", "C", "C", "F"], True),
        (["F", "", "", "C"], True),
        (["F", "", "", ""], False),
        (["hold", "hold", "hold", "hold"], False),
    ],
)
def test_a_head_between_the_samples_is_another_one_only_where_it_differs(
    cells: list[str], other: bool
) -> None:
    assert other_head(cells, HEADS) is other


def _order(*times: float) -> list[float]:
    """Times as they lie in a buffer after they came in this order, each with a reading of its own."""
    made = Buffer((Point("TC1", ChannelRole.THERMOCOUPLE, "C"),))
    for n, time in enumerate(times):
        made.add(Sample(time, (20.0 + n,)))
    return [float(t) for t in made._times]


def test_a_late_reading_goes_into_its_gap_and_a_clock_set_back_stays_as_it_came() -> None:
    steady = [0.0, 10.0, 20.0, 30.0]
    assert _order(*steady, 50.0, 60.0, 40.0) == [*steady, 40.0, 50.0, 60.0]
    assert _order(*steady, 40.0, 50.0, 25.0) == [*steady, 40.0, 50.0, 25.0], "no gap there"
    assert _order(*steady, 45.0, 55.0, 38.0) == [*steady, 45.0, 55.0, 38.0], (
        "a gap of one and a half steps is none"
    )
    assert _order(*steady, 45.1, 55.0, 38.0) == [*steady, 38.0, 45.1, 55.0]
    assert _order(*steady, 80.0, 70.0) == [*steady, 70.0, 80.0], "one stamp five steps ahead"
    assert _order(*steady, 81.0, 70.0) == [*steady, 81.0, 70.0], "a lone stamp far ahead proves nothing"
    assert _order(*steady, 30.0) == [*steady, 30.0]
    twice = [0.0, 0.0, 10.0, 10.0, 20.0, 20.0, 30.0, 30.0]
    assert _order(*twice, 25.0) == [*twice, 25.0], "a time that stands twice does not shorten the usual step"
    assert _order(10.0, 5.0) == [10.0, 5.0], "before everything else: a clock set back"


def test_what_was_confirmed_is_written_in_one_order_of_fields_and_in_plain_letters() -> None:
    """Two versions of the program that list the fields in another order write the same bytes."""
    written = ReadAs(
        "text", TimeAs((0,), "elapsed"), (ColumnAs(1, "Fühler", HEADS[0].role, "C", ""),), 2
    ).to_json()
    fields = [row.strip().split(":")[0] for row in written.splitlines() if row.startswith('  "')]
    assert fields == sorted(fields)
    assert "Fühler" in written


def test_a_stamp_behind_one_that_cannot_be_read_is_read() -> None:
    """Both differ in form from those after them, so that each is met alone."""
    texts = ["no stamp", "08:00", "08:00:30", "08:01:00"]
    made = read_stamps(texts, "time", "ymd")
    assert math.isnan(made[0])
    assert made[1:].tolist() == [28800.0, 28830.0, 28860.0]


def test_a_column_of_times_with_a_reading_left_out_is_still_one_of_times() -> None:
    made = read_times([["00:00:10", "", "00:00:30"]], TimeAs((0,), "elapsed"), ".", "")
    assert made[[0, 2]].tolist() == [10.0, 30.0]
    assert math.isnan(made[1])


def test_the_beginning_of_a_sheet_goes_to_its_first_sample() -> None:
    rows: list[list[object]] = [["Time", "TC1"], [0.0, 20.5], [60.0, 21.5]]
    same: list[list[object]] = [*rows[:2], [60.0, 99.0]]
    other: list[list[object]] = [rows[0], [0.0, 99.0], rows[2]]
    assert rows_head(rows, 1) == rows_head(same, 1)
    assert rows_head(rows, 1) != rows_head(other, 1)


@pytest.mark.parametrize(("sense", "asked"), [("absolute", True), ("below ambient", False)])
def test_the_ambient_pressure_is_asked_for_an_absolute_vacuum_alone(sense: str, asked: bool) -> None:
    vacuum = ColumnAs(1, "V", ChannelRole.VACUUM, "kPa", "below ambient")
    question = LogQuestion("ambient", "the pressure of the air?", (), "", "")
    read_as = ReadAs("text", TimeAs((0,), "elapsed"), (vacuum,), 2)
    made = Proposal("a.csv", "", read_as, (), (question,), (), (), (), (), 1)
    assert bool(made.open({"sense of V": sense})) is asked
    assert made.open({}) == ()


def test_a_late_reading_after_a_clock_set_back_goes_into_the_gap_behind_it() -> None:
    back = [0.0, 10.0, 20.0, 30.0, 5.0]
    assert _order(*back, 35.0, 45.0, 20.5) == [*back, 20.5, 35.0, 45.0]


@pytest.mark.parametrize(
    ("unit", "sense", "inside", "outside"),
    [
        ("kPa", "below ambient", 10.1, 10.2),
        ("kPa", "absolute", 65.9, 65.8),
        ("mbar", "absolute", 659.0, 658.0),
    ],
)
def test_a_sense_is_suggested_only_where_the_log_shows_the_open_bag(
    unit: str, sense: str, inside: float, outside: float
) -> None:
    """A log that begins and ends under vacuum says nothing of how its gauge counts."""
    pumped = np.full(40, {"kPa": 80.0, "mbar": 200.0}[unit] if sense == "below ambient" else 20.0)
    for first, told in ((inside, True), (outside, False)):
        for values in (np.append(pumped, first), np.append(first, pumped)):
            assert shows_air(values, unit, sense) is told
    assert not shows_air(np.insert(pumped, 15, inside), unit, sense), "in the middle it may be a leak"
    assert not shows_air(np.full(3, np.nan), unit, sense)
    assert not shows_air(np.append(pumped, inside), "", sense)
    assert shows_air(pumped, "inHg", "below ambient")
