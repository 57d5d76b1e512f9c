"""The picture of a running cure, what is asked of a watch by default, and the clock of an instrument, where a
planted fault was not told; each answer written by hand."""

from __future__ import annotations

import asyncio
import io
import sys
import time
from collections.abc import AsyncIterator
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from panelmend.curelog import sheet_child
from panelmend.curelog.live import Buffer, Point, Sample
from panelmend.curelog.live.frame import _STEPS, _Picture, _trace, follow_samples
from panelmend.curelog.live.modbus import Modbus
from panelmend.plan.judge.log import ChannelRole

TC = Point("TC1", ChannelRole.THERMOCOUPLE, "C", address="holding:100:int16")


@pytest.mark.parametrize("top", [0.5, 70.0, 250.0])
def test_a_trace_that_rises_steadily_rises_mark_by_mark(top: float) -> None:
    """From the lowest mark to the highest, each about as long as the others, whatever the rise is."""
    values = 293.15 + np.linspace(0.0, top, 560)
    line = _trace("T1", np.arange(560.0), values, 80, "C")
    marks = line[11 : 11 + 56]
    steps = [_STEPS.index(m) for m in marks]
    assert steps == sorted(steps)
    assert (steps[0], steps[-1]) == (1, len(_STEPS) - 1)
    lengths = [steps.count(k) for k in range(1, len(_STEPS))]
    assert max(lengths) - min(lengths) <= 1


def test_nothing_is_told_of_refused_messages_where_nobody_counts_them() -> None:
    picture = _Picture(Made(), 78, "mm", clear=False, predicted=None)  # type: ignore[arg-type]
    assert "refused" not in picture.of(Buffer([TC]))
    counted = _Picture(Made(), 78, "mm", False, None, lambda: 2)  # type: ignore[arg-type]
    assert "2 messages refused" in counted.of(Buffer([TC]))


def test_a_watch_that_ends_at_once_shows_one_picture_and_no_refusals() -> None:
    async def samples() -> AsyncIterator[Sample]:
        await asyncio.sleep(60.0)
        yield Sample(1.0, (20.5,))

    out, looks = io.StringIO(), iter([True, False])
    done = follow_samples(
        samples(),
        Buffer([TC]),
        Made(),
        out,
        period=0.0,
        clear=False,
        go_on=lambda: next(looks),  # type: ignore[arg-type]
    )
    asyncio.run(done)
    assert out.getvalue() == "waiting for readings, 0 s so far\n"


def test_an_instruments_samples_bear_the_time_of_their_poll() -> None:
    """By the computer's clock: its steady one, begun at the calendar's."""

    async def answer(address: int, count: int, device_id: int) -> Any:
        return Made(isError=lambda: False, registers=[205])

    client = Made(connected=True, read_holding_registers=answer, read_input_registers=None)
    before = time.monotonic()
    sample = asyncio.run(Modbus("here", 502, [TC])._poll(client, 1.0e9))
    assert sample is not None
    assert 0.0 <= sample.time - 1.0e9 - before < 5.0
    assert sample.values == (205.0,)


class _Two(list[float]):
    """A file of so many samples."""

    notes = ("one line was left out",)

    def log(self) -> Any:
        return Made()


def made_picture(monkeypatch: pytest.MonkeyPatch) -> Any:
    """The clock, what was looked at, and how many samples were judged, for a picture made of nothing."""
    module = sys.modules[_Picture.__module__]
    state = Made(now=100.0, judged=1, looks=[])

    def look(*_: Any, silent: float = 0.0, **__: Any) -> Any:
        state.looks.append(silent)
        return Made(judged=state.judged)

    monkeypatch.setattr(module, "look", look)
    monkeypatch.setattr(module, "frame", lambda *_, **__: "picture\n")
    monkeypatch.setattr(module, "time", Made(monotonic=lambda: state.now))
    return state


def test_a_picture_stands_under_what_went_wrong(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn = made_picture(monkeypatch)
    picture = _Picture(Made(), 78, "mm", True, None, lambda: 3)  # type: ignore[arg-type]
    assert picture.of(_Two([1.0, 2.0]), "gone") == (  # type: ignore[arg-type]
        "\x1b[H\x1b[J! STOP, NOW: nothing new can be read: gone\n"
        "picture\n3 messages refused: they were no readings\n"
    )
    bare = _Picture(Made(), 78, "mm", False, None)  # type: ignore[arg-type]
    assert bare.of(_Two([1.0, 2.0])) == "picture\n"  # type: ignore[arg-type]
    drawn.now = 107.0
    assert bare.of(_Two([1.0])) == "waiting for readings, 7 s so far\n- one line was left out\n"  # type: ignore[arg-type]


def test_silence_counts_from_the_last_reading_that_was_judged(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn = made_picture(monkeypatch)
    picture = _Picture(Made(), 78, "mm", False, None)  # type: ignore[arg-type]
    for now, judged, looks in (
        (110.0, 1, [0.0]),  # ten seconds after it was begun, with a first reading
        (111.0, 1, [0.0]),  # a second without another
        (111.0625, 1, [0.0, 1.0625]),
        (114.0, 1, [0.0, 4.0]),
        (115.0, 2, [0.0]),
        (117.0, 2, [0.0, 2.0]),
    ):
        drawn.now, drawn.judged = now, judged
        drawn.looks.clear()
        picture.of(_Two([1.0, 2.0]))  # type: ignore[arg-type]
        assert drawn.looks == looks


# what the child process answers about a workbook


@pytest.mark.parametrize(
    ("sheet", "what", "value"),
    [
        ("", "names", ("First", "Second")),
        ("Second", "rows", [["", ""], ["", "Time"], ["", 20.5]]),
        ("Third", "error", "no sheet 'Third'; it has First, Second"),
    ],
)
def test_rows_of_a_sheet_stand_where_they_stand(tmp_path: Any, sheet: str, what: str, value: Any) -> None:
    """Empty rows and columns before the table count, so that a line is named by its number."""
    import xlsxwriter

    file = tmp_path / "log.xlsx"
    book = xlsxwriter.Workbook(str(file))
    book.add_worksheet("First").write(0, 0, "x")
    second = book.add_worksheet("Second")
    second.write(1, 1, "Time")
    second.write(2, 1, 20.5)
    book.close()
    assert sheet_child.sheet_rows_asked(str(file), sheet) == (what, value)
