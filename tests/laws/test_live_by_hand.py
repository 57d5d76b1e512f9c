"""Samples as they come in, at the very places where a planted fault was not told: what a point makes of a raw
number, where a late sample belongs, and what an instrument is asked for; each answer written by hand."""

from __future__ import annotations

import asyncio
import math
import time
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace as Made
from typing import Any

import pytest

from grown_logs import ABOVE, begun, put, rows
from panelmend.curelog.live import Buffer, GrowingFile, Point, Sample
from panelmend.curelog.live.frame import follow, follow_samples
from panelmend.curelog.live.modbus import Modbus, Register
from panelmend.errors import InputError
from panelmend.plan.judge.log import ChannelRole

TC = Point("TC1", ChannelRole.THERMOCOUPLE, "C", address="holding:100:int16")


@pytest.mark.parametrize(
    ("role", "unit", "sense", "raw", "si"),
    [
        (ChannelRole.VACUUM, "kPa", "below ambient", 80.0, 80e3),
        (ChannelRole.VACUUM, "kPa", "below ambient, negative", -80.0, 80e3),
        (ChannelRole.VACUUM, "kPa", "absolute", 20.0, 75e3),
        # how a vacuum is counted says nothing of a temperature
        (ChannelRole.THERMOCOUPLE, "C", "below ambient", 20.0, 293.15),
        (ChannelRole.THERMOCOUPLE, "C", "below ambient, negative", 20.0, 293.15),
        (ChannelRole.THERMOCOUPLE, "C", "absolute", 20.0, 293.15),
        (ChannelRole.POWER, "", "absolute", 55.0, 55.0),
    ],
)
def test_what_a_raw_number_stands_for(
    role: ChannelRole, unit: str, sense: str, raw: float, si: float
) -> None:
    assert Point("P", role, unit, sense=sense).si(raw, 95e3) == pytest.approx(si)
    assert Point("P", role, unit, sense=sense, scale=0.5).si(2.0 * raw, 95e3) == pytest.approx(si)


def test_air_pressure_is_asked_for_an_absolute_vacuum_alone() -> None:
    warm = Point("T", ChannelRole.THERMOCOUPLE, "C", sense="absolute")
    gauge = Point("V", ChannelRole.VACUUM, "kPa")
    assert len(Buffer([warm, gauge])) == 0
    with pytest.raises(InputError, match="ambient"):
        Buffer([warm, gauge, Point("W", ChannelRole.VACUUM, "kPa", sense="absolute")])


def filled(*times: float) -> Buffer:
    """A buffer into which samples came in this order, each with its own reading."""
    buffer = Buffer([TC])
    for i, at in enumerate(times):
        buffer.add(Sample(at, (20.0 + i,)))
    return buffer


def order(buffer: Buffer) -> list[int]:
    """Which sample stands where, by the order in which they came."""
    return [round(v - 293.15) for v in buffer.log().channels[0].values]


def test_a_sample_is_kept_once_and_says_so() -> None:
    buffer = Buffer([TC, TC])
    assert buffer.placed == -1
    assert buffer.add(Sample(1.0, (20.0, math.nan))) is True
    assert buffer.placed == 0
    assert buffer.add(Sample(1.0, (20.0, math.nan))) is False
    assert buffer.add(Sample(1.0, (math.nan, 20.0))) is True, "another reading at the same moment"
    assert buffer.placed == 1
    assert buffer.add(Sample(1.0, (20.0, float("nan")))) is False, "no reading is no other reading"
    assert buffer.add(Sample(1.0, (21.0, math.nan))) is True
    assert (len(buffer), buffer.twice, buffer.late) == (3, 2, 0)


@pytest.mark.parametrize(
    ("times", "placed"),
    [
        # usual step 10; a sample that is missing in a gap of 20 or more goes there
        ((0, 10, 20, 40, 50, 30), [0, 1, 2, 5, 3, 4]),
        ((0, 10, 20, 35.5, 45.5, 30), [0, 1, 2, 5, 3, 4]),  # a gap of more than one and a half steps
        ((0, 10, 20, 35, 45, 30), [0, 1, 2, 3, 4, 5]),  # of one and a half: a clock that was set back
        ((0, 10, 20, 30, 40, 25), [0, 1, 2, 3, 4, 5]),
        # the same moment as the newest goes behind it
        ((0, 10, 20, 20), [0, 1, 2, 3]),
        # the same moment as an earlier one goes behind that one, where there is room
        ((0, 10, 20, 40, 50, 20), [0, 1, 2, 5, 3, 4]),
        # a lone stamp ahead: within five steps it is a gap, beyond nothing is proven
        ((0, 10, 20, 70, 30), [0, 1, 2, 4, 3]),
        ((0, 10, 20, 70.5, 30), [0, 1, 2, 3, 4]),
        ((0, 10, 20, 70.5, 80.5, 30), [0, 1, 2, 5, 3, 4]),
        # before all is no gap
        ((100, 110, 120, 90), [0, 1, 2, 3]),
        # a clock that was set back is not put in order, nor what comes to it late
        ((0, 10, 20, 30, 5, 15, 25, 10), [0, 1, 2, 3, 4, 5, 6, 7]),
        # stamps that repeat do not count as steps
        ((0, 0, 0, 0, 10, 10, 30, 40, 20), [0, 1, 2, 3, 4, 5, 8, 6, 7]),
        ((0, 0, 0, 0, 0, 10, 20, 30, 40, 25), [0, 1, 2, 3, 4, 5, 6, 7, 8, 9]),
        ((0, 10, 20, 40, 40, 50, 30), [0, 1, 2, 6, 3, 4, 5]),
        ((0, 0.5, 1.0, 1.5, 2.0, 1.25), [0, 1, 2, 3, 4, 5]),
        # after a clock that was set back a gap is filled as before, and none across it
        ((0, 10, 20, 30, 40, 50, 22, 32, 42, 62, 72, 52), [0, 1, 2, 3, 4, 5, 6, 7, 8, 11, 9, 10]),
        ((0, 10, 30, 40, 50, 48, 20), [0, 1, 2, 3, 4, 5, 6]),
        ((0, 10, 20, 30, 200, 190, 40), [0, 1, 2, 3, 4, 5, 6]),
        ((0, 50, 60, 70, 80, 78, 20), [0, 1, 2, 3, 4, 5, 6]),
    ],
)
def test_where_a_late_sample_belongs(times: tuple[float, ...], placed: list[int]) -> None:
    buffer = filled(*times)
    assert order(buffer) == placed
    assert buffer.late == (placed != sorted(placed))


@pytest.mark.parametrize("usual", [1.0, 0.1])
def test_two_samples_tell_no_step_of_their_own(usual: float) -> None:
    assert order(filled(0.0, 0.0, -usual)) == [0, 1, 2]
    assert order(filled(0.0, 2.0 * usual, usual)) == [0, 1, 2], "a gap of one step"


@pytest.mark.parametrize(
    ("kind", "words"), [("int16", 1), ("uint16", 1), ("int32", 2), ("uint32", 2), ("float32", 2)]
)
def test_a_register_asks_for_its_words(kind: str, words: int) -> None:
    """One word more would be the next point's, and no number of this kind."""
    asked: list[tuple[int, int, int]] = []

    async def answer(address: int, count: int, device_id: int) -> Any:
        asked.append((address, count, device_id))
        return Made(isError=lambda: False, registers=[0] * count)

    client = Made(connected=True, read_holding_registers=None, read_input_registers=answer)
    point = Point("TC1", ChannelRole.THERMOCOUPLE, "C", address=f"input:7:{kind}")
    sample = asyncio.run(Modbus("here", 502, [point])._poll(client, 0.0))
    assert asked == [(7, words, 1)]
    assert sample is not None
    assert sample.values == (0.0,)


def test_a_poll_of_which_one_register_fails_keeps_the_others() -> None:
    async def answer(address: int, count: int, device_id: int) -> Any:
        return Made(isError=lambda: address == 1, registers=[205])

    async def connect() -> bool:
        return connected

    points = [Point(f"T{i}", ChannelRole.THERMOCOUPLE, "C", address=f"holding:{i}:int16") for i in (1, 2)]
    client = Made(connected=True, read_holding_registers=answer, connect=connect)
    sample = asyncio.run(Modbus("here", 502, points)._poll(client, 0.0))
    assert sample is not None
    assert math.isnan(sample.values[0])
    assert sample.values[1] == 205.0
    assert asyncio.run(Modbus("here", 502, points[:1])._poll(client, 0.0)) is None, "none of them"
    for connected in (True, False):
        client.connected = False
        sample = asyncio.run(Modbus("here", 502, points)._poll(client, 0.0))
        assert (sample is not None) is connected


@pytest.mark.parametrize(("period", "fine"), [(0.5, True), (1.0, True), (0.0, False), (-1.0, False)])
def test_an_instrument_has_points_and_a_period(period: float, fine: bool) -> None:
    if fine:
        made = Modbus("here", 502, [TC], period=period)
        assert (made.missed, made.connected, made.device) == (0, False, 1)
    else:
        with pytest.raises(InputError, match="points and a period"):
            Modbus("here", 502, [TC], period=period)
    with pytest.raises(InputError, match="points and a period"):
        Modbus("here", 502, [], period=5.0)


def test_words_of_a_register_are_not_swapped_unless_it_says_so() -> None:
    assert Register(0, "int32").value([1, 2]) == 65538.0
    assert Register(0, "int32", swapped=True).value([1, 2]) == 131073.0
    assert Point("T", ChannelRole.THERMOCOUPLE, "K").si(300.0) == 300.0


# who follows a file, and what is shown


def test_only_text_that_was_confirmed_is_followed(tmp_path: Path) -> None:
    path, grown = begun(tmp_path)
    for how in (replace(grown.read_as, confirmed=False), replace(grown.read_as, form="sheet")):
        with pytest.raises(InputError, match="must be text, read by a confirmed"):
            GrowingFile(path, how)


def test_a_reading_that_knows_no_head_follows_any(tmp_path: Path) -> None:
    path, known = begun(tmp_path)
    grown = GrowingFile(path, replace(known.read_as, head=""))
    assert grown.poll() == 20
    put(path, rows(20, 25), more=True)
    assert grown.poll() == 5


def test_a_first_file_begins_with_the_sample_that_was_confirmed(tmp_path: Path) -> None:
    path, known = begun(tmp_path)
    put(path, [*ABOVE, *rows(1, 20)])
    with pytest.raises(InputError, match="not the one that was confirmed"):
        GrowingFile(path, known.read_as).poll()


def test_lines_of_a_file_kept_to_its_newest_are_counted_in_it(tmp_path: Path) -> None:
    """Two lines of head, fifteen that were read before, then the new ones."""
    path, grown = begun(tmp_path)
    put(path, [*ABOVE, *rows(5, 25)])
    assert grown.poll() == 5
    assert grown.log().lines.tolist() == [*range(3, 23), *range(18, 23)]


def test_the_log_so_far_can_be_asked_for_again(tmp_path: Path) -> None:
    path, grown = begun(tmp_path)
    first = grown.log().channels[0].values.tolist()
    assert grown.log().channels[0].values.tolist() == first
    put(path, rows(20, 25), more=True)
    grown.poll()
    assert grown.log().channels[0].values.tolist()[:20] == first


class Enough(Exception):
    """A terminal that takes two pictures."""


class Terminal:
    def __init__(self) -> None:
        self.shown: list[str] = []

    def write(self, text: str) -> None:
        self.shown.append(text)
        if len(self.shown) == 2:
            raise Enough

    def flush(self) -> None:
        """Nothing waits."""


def test_a_watch_goes_on_until_it_is_stopped(tmp_path: Path) -> None:
    out = Terminal()
    with pytest.raises(Enough):
        follow(_Nothing(), Made(), out, period=0.0, clear=False)  # type: ignore[arg-type]
    assert out.shown == ["waiting for readings, 0 s so far\n"] * 2


class _Nothing(list[float]):
    """A file in which nothing stands yet."""

    notes = ()

    def poll(self) -> int:
        return 0


def test_a_sample_is_handed_on_to_be_kept_once() -> None:
    kept: list[float] = []

    async def samples() -> Any:
        for at in (1.0, 2.0, 2.0):
            yield Sample(at, (20.0,))

    async def watched() -> None:
        looks = iter([True, True, True, False])
        await follow_samples(
            samples(),
            Buffer([TC, TC][:1]),
            Made(),  # type: ignore[arg-type]
            Made(write=lambda _: None, flush=lambda: None),  # type: ignore[arg-type]
            period=0.0,
            go_on=lambda: next(looks) and len(kept) < 1,
            kept=lambda s: kept.append(s.time),
        )

    asyncio.run(watched())
    assert kept == [1.0, 2.0]


def test_samples_of_an_instrument_bear_the_time_of_day(monkeypatch: pytest.MonkeyPatch) -> None:
    async def answer(address: int, count: int, device_id: int) -> Any:
        return Made(isError=lambda: False, registers=[205])

    def client(*_: Any, **__: Any) -> Any:
        return Made(
            connected=True, read_holding_registers=answer, read_input_registers=None, close=lambda: None
        )

    monkeypatch.setattr("pymodbus.client.AsyncModbusTcpClient", client)

    async def first() -> Sample:
        async for sample in Modbus("here", 502, [TC]).samples():
            return sample
        raise AssertionError("no sample came")

    began = time.time()
    assert abs(asyncio.run(first()).time - began) < 30.0


def test_a_watch_of_an_instrument_goes_on_until_it_is_stopped() -> None:
    async def samples() -> Any:
        await asyncio.sleep(60.0)
        yield Sample(1.0, (20.0,))

    out = Terminal()
    with pytest.raises(Enough):
        asyncio.run(follow_samples(samples(), Buffer([TC]), Made(), out, period=0.0))  # type: ignore[arg-type]
    assert len(out.shown) == 2
