"""Rows that were left out of a log: what they hold is held against the limits of the times they can belong
to, and cannot be judged where it breaks one."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_readings import book_of, dwell, shown, stretch
from judge_whole import OPEN, YES
from panelmend.curelog import propose, read_log
from panelmend.plan.judge import ChannelRole, codes
from panelmend.plan.judge.log import Channel, CureLog, without_rows
from panelmend.plan.judge.recipe import CureRecipe, VacuumRule
from panelmend.plan.judge.rules_left_out import judge_left_out
from panelmend.plan.judge.verdict import Outcome, VerdictRecorder

NAN = float("nan")
UP = [300.0, 340.0, 380.0, 390.0, 390.0, 390.0, 390.0, 370.0, 330.0, 305.0]  # every ten seconds
BAND = dwell(band_high=limit(395.0))
HOLD = stretch(BAND, 25.0, 62.5)  # line 3 is read at 20 s, line 4 at 30 s; line 7 at 60 s, line 8 at 70 s


def _asked(
    cycle: CureRecipe, line: float, t: float = NAN, v: float = NAN, lost: float | None = None
) -> tuple[Outcome | None, VerdictRecorder]:
    """What comes of a row that was left out; the lines of the log are 2, 4, 6 and so on."""
    e = shown(UP, UP)
    log = dataclasses.replace(
        e.log,
        lines=2 * e.log.lines,
        left_lines=np.array([int(2 * line)], np.int32),
        left_out=(
            Channel("T2", ChannelRole.THERMOCOUPLE, "temperature", np.array([t])),
            Channel("VAC", ChannelRole.VACUUM, "pressure", np.array([v])),
        ),
    )
    working = e.working.copy()
    if lost is not None:
        working[int(lost) :, 1] = False
    e = dataclasses.replace(e, log=log, working=working)
    book = book_of(e)
    return judge_left_out(e, book, cycle, (HOLD,)), book


@pytest.mark.parametrize(
    ("line", "t", "outcome"),
    [
        (5.5, 395.0, YES),  # on the top of the band
        (5.5, 395.1, OPEN),
        (2.5, 395.1, YES),  # between 10 s and 20 s: before the hold
        (3.5, 395.1, OPEN),  # between 20 s and 30 s: it may be within
        (7.5, 395.1, OPEN),  # between 60 s and 70 s
        (8.5, 395.1, YES),
        (5.5, 370.0 + 273.15, OPEN),  # as hot as a bond line can be
        (5.5, 370.1 + 273.15, YES),  # no reading
        (5.5, NAN, YES),
    ],
)
def test_a_top_of_the_band(line: float, t: float, outcome: Outcome) -> None:
    found, book = _asked(recipe(), line, t)
    assert found is outcome
    assert [r.code for r in book.reasons] == ([codes.LEFT_OUT.code] if outcome is OPEN else [])


@pytest.mark.parametrize("line", [0.5, 5.5, 10.5])  # before the first sample, within, and after the last
@pytest.mark.parametrize(("t", "outcome"), [(396.0, YES), (396.1, OPEN)])
def test_a_maximum_is_asked_of_the_whole_log(line: float, t: float, outcome: Outcome) -> None:
    cycle = recipe(ceiling=limit(396.0))
    band = dataclasses.replace(HOLD, segment=dwell())
    e = shown(UP, UP)
    hot = (Channel("T2", ChannelRole.THERMOCOUPLE, "temperature", np.array([t])),)
    lines = np.array([int(2 * line)], np.int32)
    log = dataclasses.replace(e.log, lines=2 * e.log.lines, left_lines=lines, left_out=hot)
    e = dataclasses.replace(e, log=log)
    book = book_of(e)
    assert judge_left_out(e, book, cycle, (band,)) is outcome
    if outcome is OPEN:
        (said,) = book.reasons
        assert (said.sensor, said.value) == ("T2", t)
        assert f"line {lines[0]}," in said.words


@pytest.mark.parametrize(
    ("line", "v", "rule", "outcome"),
    [
        (5.5, 75e3, {}, YES),
        (5.5, 74.9e3, {}, OPEN),
        (5.5, -120e3, {}, OPEN),
        (5.5, -121e3, {}, YES),  # no air gives it: no reading
        (1.5, 0.0, {}, YES),  # between 0 s and 10 s; the heat comes on at 20 s, 5 K above the first five
        (2.5, 0.0, {}, OPEN),
        (9.5, 0.0, {}, OPEN),  # needed until 310 K is reached, between 80 s and 90 s
        (10.5, 0.0, {}, YES),
        (5.5, 60e3, {"dip_least": 60e3, "dip_longest": 10.0}, YES),  # it can last for ten seconds
        (5.5, 59.9e3, {"dip_least": 60e3, "dip_longest": 10.0}, OPEN),
        (5.5, 60e3, {"dip_least": 60e3, "dip_longest": 9.9}, OPEN),
    ],
)
def test_a_least_vacuum(line: float, v: float, rule: dict[str, Any], outcome: Outcome) -> None:
    cycle = recipe(vacuum=VacuumRule(limit(75e3), **rule), release_most=limit(310.0))
    assert _asked(cycle, line, v=v)[0] is outcome


@pytest.mark.parametrize(("lost", "outcome"), [(5, YES), (6, OPEN), (None, OPEN)])
def test_a_thermocouple_that_is_lost_is_not_asked(lost: float | None, outcome: Outcome) -> None:
    """Between the sixth sample and the seventh; it is lost from the sixth on, or from the seventh."""
    assert _asked(recipe(), 6.5, 400.0, lost=lost)[0] is outcome


def test_a_log_of_which_nothing_was_left_out_is_asked_nothing() -> None:
    e = shown(UP, UP)
    assert judge_left_out(e, book_of(e), recipe(), (HOLD,)) is None


def test_rows_without_are_kept_beside_those_that_were_left_out_before() -> None:
    t = Channel("T1", ChannelRole.THERMOCOUPLE, "temperature", np.array([1.0, 2.0, 3.0, 4.0]))
    v = Channel("V", ChannelRole.VACUUM, "pressure", np.array([5.0, 6.0, 7.0, 8.0]))
    p = Channel("P", ChannelRole.POWER, "ratio", np.array([0.0, 0.1, 0.2, 0.3]))
    keep = np.array([True, False, True, False])
    first = without_rows(CureLog(np.arange(4.0), (t, v, p)), keep)
    assert (first.lines.tolist(), first.left_lines.tolist()) == ([1, 3], [2, 4])
    again = without_rows(first, np.array([False, True]))
    assert (again.lines.tolist(), again.left_lines.tolist()) == ([3], [2, 4, 1])
    assert {c.name: c.values.tolist() for c in again.left_out} == {
        "T1": [2.0, 4.0, 1.0],
        "V": [6.0, 8.0, 5.0],
    }
    none = without_rows(first, np.array([False, True]), np.zeros(2, np.bool_))
    assert none.left_lines.tolist() == [2, 4]


# from a file


def _row(k: int) -> str:
    return f"2026-11-25 09:{k // 2:02d}:{30 * (k % 2):02d}"


def _held(path: Path, change: Callable[[list[str]], None], head: str = "") -> dict[str, list[float]]:
    """What a log holds of rows that were left out, by channel, and their lines."""
    rows = [
        f"{_row(k)},{40 + 0.7 * k:.1f},{41 + 0.6 * k:.1f},{25.1 - 0.01 * k:.2f},{k % 7}" for k in range(60)
    ]
    change(rows)
    file = path / "log.csv"
    file.write_text("\n".join([head or "Time,T1 (°C),T2 (°C),Vacuum (inHg),Note", *rows]) + "\n", "utf8")
    made = propose(file)
    answers = {q.key: q.suggested or q.choices[0] for q in made.questions}
    answers |= {k: "below ambient" for k in answers if k.startswith("sense of")}
    answers |= {k: "other" for k in answers if "Note" in k}
    log = read_log(file, made.confirm(answers))
    unit = {ChannelRole.THERMOCOUPLE: (1.0, 273.15), ChannelRole.VACUUM: (3386.389, 0.0)}
    out = {
        c.name: [round(float(x - unit[c.role][1]) / unit[c.role][0], 2) for x in c.values]
        for c in log.left_out
    }
    return {k.partition(" ")[0]: v for k, v in out.items()} | {"line": log.left_lines.tolist()}


@pytest.mark.parametrize(
    ("cells", "held"),
    [
        # a cell short: as it stands from the left, and as it stands from the right
        ("89.5,25.0,3", {"T1": [89.5, NAN], "T2": [25.0, 89.5], "Vacuum": [3.0, 25.0]}),
        # one more
        ("80.0,89.5,9.0,3,x", {"T1": [80.0, 89.5], "T2": [89.5, 9.0], "Vacuum": [9.0, 3.0]}),
        # from the right it is the end of a sample where half of its readings are numbers: two of three
        ("89.5", {"T1": [89.5], "T2": [NAN], "Vacuum": [NAN]}),
        ("bag looked at", {"T1": [], "T2": [], "Vacuum": []}),
        ("80.0,89.5,9.0,3", {"T1": [], "T2": [], "Vacuum": []}),  # a whole row is a sample
    ],
)
def test_rows_of_more_and_of_fewer_cells(tmp_path: Path, cells: str, held: dict[str, list[float]]) -> None:
    def broken(rows: list[str]) -> None:
        rows[30] = f"{_row(30)},{cells}"

    found = _held(tmp_path, broken)
    assert found.pop("line") == [32] * len(held["T1"])
    order = sorted(range(len(held["T1"])), key=lambda i: str([held[c][i] for c in held]))
    there = sorted(range(len(found["T1"])), key=lambda i: str([found[c][i] for c in held]))
    for name in held:
        np.testing.assert_equal([found[name][i] for i in there], [held[name][i] for i in order])


def test_a_row_whose_time_cannot_be_read_in_a_gap_is_kept(tmp_path: Path) -> None:
    def unread(rows: list[str]) -> None:
        rows[30] = "?," + rows[30].split(",", 1)[1]
        del rows[31:35], rows[26:30]

    found = _held(tmp_path, unread)
    # line 28: 40 + 0.7 * 30, 41 + 0.6 * 30, 25.1 - 0.01 * 30
    assert found == {"T1": [61.0], "T2": [59.0], "Vacuum": [24.8], "line": [28]}


def test_a_last_row_that_is_cut_off_holds_the_cells_before_its_end(tmp_path: Path) -> None:
    def cut(rows: list[str]) -> None:
        rows[59] = f"{_row(59)},91.2,9"

    found = _held(tmp_path, cut)
    assert found["line"] == [61, 61] or found["line"] == [61]
    assert 91.2 in found["T1"]


def test_long_rows_whose_time_cannot_be_read_are_samples_of_their_place(tmp_path: Path) -> None:
    rows = []
    for k in range(60):
        stamp = _row(k) if k != 30 else "?"
        rows += [f"{stamp},T1,{40 + 0.7 * k:.1f},°C", f"{stamp},T2,{41 + 0.6 * k:.1f},°C"]
    rows[100] = f"{_row(50)},T1,89.5"  # short of its unit
    file = tmp_path / "long.csv"
    file.write_text("\n".join(["Time,Channel,Value,Unit", *rows]) + "\n", "utf8")
    made = propose(file)
    log = read_log(file, made.confirm({q.key: q.suggested or q.choices[0] for q in made.questions}))
    at = int(np.searchsorted(log.times, 900.0))  # the thirtieth moment, half a minute apart
    assert log.times[at] == 900.0
    assert [round(float(c.values[at]) - 273.15, 2) for c in log.channels] == [61.0, 59.0]
    held = {c.name: [round(float(x) - 273.15, 2) for x in c.values if x == x] for c in log.left_out}
    assert held == {"T1": [89.5], "T2": []}
    assert log.left_lines.tolist() == [102]
