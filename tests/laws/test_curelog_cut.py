"""Lines that are cut off, commas that mean two things, and heads of another unit further down."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from panelmend.curelog import ChannelRole, propose
from panelmend.curelog.cells import cut_off
from panelmend.curelog.short_head import check_commas
from panelmend.curelog.unstamped import placed_note, timed_by_place
from panelmend.errors import ReadingError
from panelmend.plan.judge.order import ROOM
from typed_logs import proposed, taken, warm


def test_a_last_line_that_is_cut_off_is_no_reading(tmp_path: Path) -> None:
    """77.9 cut to 7 stood as the last temperature of the part."""
    log = tmp_path / "a.csv"
    made = proposed(log, "Time,T1 [C]", lambda i: f"14:{i:02d}:00,{warm(i)}")
    whole = log.read_text("utf8")
    assert taken(log, made).times.size == 60
    for cut, rows in ((1, 60), (2, 59), (3, 59), (4, 59)):  # without its end, its last digit, its point, ...
        log.write_text(whole[:-cut], "utf8")
        read = taken(log, propose(log))
        assert read.times.size == rows
        assert read.channel("T1 [C]").values[-1] == pytest.approx(273.15 + warm(rows - 1))
        assert ("cut off?" in " ".join(read.notes)) == (rows == 59)


@pytest.mark.parametrize(
    ("last", "before", "cut"),
    [
        ("9,97", ["1,21.5", "2,97.5"], True),
        ("9,97.5", ["1,21.5", "2,97.5"], False),
        ("9,7.5", ["1,21.5", "2,7.5"], False),  # as short as one of them
        ("9,7.5", ["1,21.5", "", "2,97.5"], True),
        ("9,7", ["1,97.5"], False),  # one row tells nothing
        ("9,7 ", ["1,97.5", "2, 9"], False),
    ],
)
def test_what_is_cut_off(last: str, before: list[str], cut: bool) -> None:
    assert cut_off(last, before, ",") is cut


# rows whose time cannot be read


@pytest.mark.parametrize(
    ("odd", "times"),
    [
        ([30], list(range(60))),
        ([30, 31, 32], list(range(60))),
        ([0], list(range(1, 60))),  # nothing stands before it
        ([58, 59], list(range(58))),  # nor behind these
    ],
)
def test_a_row_without_a_time_stands_where_there_is_room(
    tmp_path: Path, odd: list[int], times: list[int]
) -> None:
    """97 C and no vacuum in a row whose stamp is spoiled was left out, and the cure conformed."""
    log = tmp_path / "a.csv"
    proposed(log, "Time,T1 [C]", lambda i: f"14:{i:02d}:00,{warm(i)}")
    rows = log.read_text("utf8").splitlines()
    for i in odd:
        rows[1 + i] = f"14:?{i}:00,{warm(i) + 18:.1f}"
    log.write_text("\n".join(rows) + "\n", "utf8")
    read = taken(log, propose(log))
    assert (read.times + 60.0 * times[0]).tolist() == pytest.approx([60.0 * t for t in times])
    assert read.lines.tolist() == [2 + t for t in times]
    want = [273.15 + warm(t) + (18.0 if t in odd else 0.0) for t in times]
    assert read.channel("T1 [C]").values.tolist() == pytest.approx(want)
    notes = " ".join(read.notes)
    assert ("take that of their place, line 32" in notes) is (odd[0] == 30)
    assert (f"{len(odd)} lines are no samples" in notes) is (odd[0] == 58)


def test_a_line_between_two_samples_that_stand_close_is_no_sample(tmp_path: Path) -> None:
    """A line of averages, or of the highest: there is no room for it; nor is a line without a number one."""
    log = tmp_path / "a.csv"
    made = proposed(log, "Time,T1 [C]", lambda i: f"14:{i:02d}:00,{warm(i)}")
    rows = log.read_text("utf8").splitlines()
    del rows[41]  # a hole, with a line of words in it
    log.write_text(
        "\n".join([*rows[:31], "average,55.0", *rows[31:41], "power,off", *rows[41:]]) + "\n", "utf8"
    )
    read = taken(log, made)
    assert read.times.tolist() == pytest.approx([60.0 * t for t in range(60) if t != 40])
    assert 273.15 + 55.0 not in read.channel("T1 [C]").values.tolist()
    notes = " ".join(read.notes)
    assert "2 lines are no samples and were left out" in notes
    assert "line 32 'readings without a time'" in notes


@pytest.mark.parametrize(("gone", "kept"), [(0, 60), (1, 59), (2, 56)])
def test_rows_without_a_time_are_not_placed_in_a_gap(tmp_path: Path, gone: int, kept: int) -> None:
    """Two rows in 3, 4 and 5 minutes. Beyond two and a half more than their own nobody knows when in it they
    were read: put behind the stamp before, two halves of a dwell stood as a whole."""
    log = tmp_path / "a.csv"
    proposed(log, "Time,T1 [C]", lambda i: f"14:{i:02d}:00,{warm(i)}")
    rows = log.read_text("utf8").splitlines()
    odd = [row.replace("14:", "14:?") for row in rows[30:32]]
    log.write_text("\n".join([*rows[:29], *odd, *rows[31 + gone :]]) + "\n", "utf8")
    assert taken(log, propose(log)).times.size == kept


def test_rows_without_a_time_among_stamps_of_whole_minutes(tmp_path: Path) -> None:
    """Ten seconds a row: two and a half minutes without vacuum were left out for want of room."""
    log = tmp_path / "a.csv"
    proposed(log, "Time,T1 [C]", lambda i: f"14:{i // 6:02d},{warm(i)}", 200)
    rows = log.read_text("utf8").splitlines()
    rows[100:115] = [row.replace("14:", "1?:") for row in rows[100:115]]
    log.write_text("\n".join(rows) + "\n", "utf8")
    read = taken(log, propose(log))
    assert read.times.size == 200
    assert abs(read.times - 60.0 * (np.arange(200) // 6)).max() <= 60.0


def comma(value: float) -> str:
    return f"{value:.1f}".replace(".", ",")


@pytest.mark.parametrize("clock", ["14:{i:02d}:00", "{i},5"])
def test_commas_between_cells_and_before_decimals_are_refused(tmp_path: Path, clock: str) -> None:
    """The whole degrees stood as the reading, under no name."""
    with pytest.raises(ReadingError, match="which is which"):
        proposed(
            tmp_path / "a.csv",
            "Time,TC1,TC2",
            lambda i: f"{clock.format(i=i)},{comma(warm(i))},{comma(warm(i) + 1)}",
        )


ONE = [("14:00", "20", "5", "21", "5"), ("14:01", "21", "0", "22", "0")]


@pytest.mark.parametrize(
    ("head", "sample", "fine"),
    [
        (["Time", "A", "B"], ONE, False),
        (["Time", "A", "B", "", ""], ONE, False),  # empty cells behind it
        (["Time", "A", "B", "C"], ONE, True),
        (["Time", "A", "B", "C", "D"], ONE, True),
        (["Time", "A"], [r[:3] for r in ONE], False),
        (["Time"], [r[:2] for r in ONE], True),
        (["Time", "A"], [("0", "5", "20", "5"), ("1", "5", "21", "0")], False),
        (["Time", "A"], [("0", "5", "20", "5"), ("1", "0", "21", "05")], True),  # of another length
        (["Time", "A", "B"], [("14:00", "20", "5", "21.5", "5"), ONE[1]], True),
        (["Time", "A", "B"], [("14:00", "20", "-5", "21", "5"), ONE[1]], True),
        (["Time", "A", "B"], [("14:00", "-20", "5", "21", "5"), ONE[1]], False),
        (["Time", "A"], [("14:00", "20", "x5"), ("14:01", "21", "05")], True),
    ],
)
def test_when_commas_mean_two_things(head: list[str], sample: list[tuple[str, ...]], fine: bool) -> None:
    if fine:
        check_commas([["made"], head], sample)
    else:
        with pytest.raises(ReadingError, match="which is which"):
            check_commas([["made"], head], sample)


@pytest.mark.parametrize(("again", "refused"), [("T1 [F]", True), ("T1 [C]", False), ("paused", False)])
def test_one_channel_whose_unit_changes_on_the_way(tmp_path: Path, again: str, refused: bool) -> None:
    """With two channels it was refused; with one the readings below it were read in the unit above."""
    log = tmp_path / "a.csv"
    made = proposed(
        log, "Time,T1 [C]", lambda i: f"Time,{again}" if i == 30 else f"14:{i:02d}:00,{warm(i)}", rows=60
    )
    if refused:
        with pytest.raises(ReadingError, match="second head"):
            taken(log, made)
    else:
        assert taken(log, made).times.size == 59


@pytest.mark.parametrize("odd", [0, 1, 3])
def test_a_second_head_is_seen_behind_other_lines_that_are_no_samples(tmp_path: Path, odd: int) -> None:
    """The columns change places below it; words of the operator stand above it, all in one block."""
    log = tmp_path / "a.csv"
    lines = {30 + i: f"pause {i},," for i in range(odd)} | {30 + odd: "Time,T2 [C],T1 [C]"}
    made = proposed(
        log,
        "Time,T1 [C],T2 [C]",
        lambda i: lines.get(i, f"14:{i:02d}:00,{warm(i)},{warm(i) + 1:.1f}"),
        rows=60,
    )
    with pytest.raises(ReadingError, match="second head"):
        taken(log, made)


def test_signs_of_one_letter_and_times_that_run_down(tmp_path: Path) -> None:
    log = tmp_path / "a.csv"
    made = proposed(
        log,
        "Time,T1 (℃),T2 (℉),Left [s]",
        lambda i: f"14:{i:02d}:00,{warm(i)},{1.8 * warm(i) + 32:.2f},{600 - 10 * i}",
    )
    assert [(c.role, c.unit) for c in made.read_as.columns] == [
        (ChannelRole.THERMOCOUPLE, "C"),
        (ChannelRole.THERMOCOUPLE, "F"),
        (ChannelRole.OTHER, "s"),
    ]
    a, b = (taken(log, made).channels[i].values for i in (0, 1))
    assert np.allclose(a, b, atol=0.01)
    made = proposed(log, "Time,T1 min,T1 max", lambda i: f"14:{i:02d}:00,{warm(i)},{warm(i) + 1:.1f}")
    assert {c.role for c in made.read_as.columns} == {ChannelRole.THERMOCOUPLE}


NAN = float("nan")


@pytest.mark.parametrize(
    ("times", "made"),
    [
        ([0.0, NAN, 20.0, 30.0, 40.0], 10.0),  # the second row
        ([0.0, 10.0, NAN, 10.0 + 10.0 * (1.0 + ROOM), 40.0, 50.0, 60.0], 10.0 + 5.0 * (1.0 + ROOM)),
        ([0.0, 10.0, NAN, 9.9 + 10.0 * (1.0 + ROOM), 40.0, 50.0, 60.0], NAN),  # no room
        ([0.0, 10.0, NAN, 45.0, 55.0, 65.0], 27.5),  # two steps and a half left are no gap
        ([0.0, 10.0, NAN, 45.1, 55.1, 65.1], NAN),  # more is, and nobody knows where in it
        ([0.0, 0.0, 10.0, 20.0, 30.0, 40.0, NAN, 54.0, 64.0], NAN),  # one stamp of five that stays is no step
        ([*[0.0] * 6, 10.0, 20.0, NAN, 34.0, 44.0], 27.0),  # five are: four rows in nine steps
        ([0.0, 0.5, NAN, 1.5, 2.0], 1.0),
    ],
)
def test_the_time_of_the_place_of_a_row(times: list[float], made: float) -> None:
    found, _ = timed_by_place(np.array(times), 0.0)
    at = int(np.argmax(np.isnan(times)))
    assert found[at] == pytest.approx(made, nan_ok=True)
    assert np.array_equal(np.delete(found, at), np.delete(times, at))


@pytest.mark.parametrize(
    ("times", "back"),
    [
        ([0.0, 10.0, NAN, NAN, 45.0, 55.0], 0.0),  # two rows and half a step
        ([0.0, 10.0, NAN, NAN, 34.9, 44.9], 5.1),  # three steps are needed, 24.9 s are there
        ([*np.arange(0.0, 60.0, 10.0), NAN, NAN, 50.0, 60.0], 30.0),
        ([0.0, 10.0, NAN, 0.0, 10.0, NAN, 20.0, 30.0], 40.0),  # 20 s and ten back; then 20 s and ten on
        ([NAN, 0.0, 10.0, 20.0, NAN], 0.0),  # before the first stamp and after the last there is room
        ([0.0, 10.0, NAN, 95.0, 105.0], 0.0),  # a gap
    ],
)
def test_rows_without_room_set_a_clock_back(times: list[float], back: float) -> None:
    assert timed_by_place(np.array(times), 0.0)[1] == pytest.approx(back)


@pytest.mark.parametrize(("count", "said"), [(6, "line 1, 2, 3, 4, 5, 6"), (7, "line 1, 2, 3, 4, 5, 6 ...")])
def test_six_lines_of_rows_without_a_time_are_named(count: int, said: str) -> None:
    (note,) = placed_note(np.arange(1, count + 1))
    assert note.endswith(said)
