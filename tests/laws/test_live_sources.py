"""Live sources against real peers: a growing file, a Modbus server, and the buffer they fill."""

from __future__ import annotations

import asyncio
import contextlib
import math
import struct
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pymodbus.server import ModbusTcpServer
from pymodbus.simulator import DataType, SimData, SimDevice

from loopback import free_port
from made_curelog import INHG, made_cure, written
from panelmend.curelog import ChannelRole, propose, read_log
from panelmend.curelog.live import Buffer, GrowingFile, Point, Sample, follow_samples, frame
from panelmend.curelog.live.frame import follow
from panelmend.curelog.live.modbus import Modbus, Register
from panelmend.errors import InputError
from panelmend.plan.judge import codes, find_faults, look
from recipe_curelog import RECIPE

TC = ChannelRole.THERMOCOUPLE


# --- a growing file ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("piece", [1, 13, 97, 5000])
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_a_growing_file_gives_the_same_as_the_whole(piece: int, ends: str, tmp_path: Path) -> None:
    raw = written(made_cure(2, step=120.0), ends=ends).encode("utf-8")
    whole, part = tmp_path / "whole.csv", tmp_path / "part.csv"
    whole.write_bytes(raw)
    proposal = propose(whole)
    how = proposal.confirm(proposal.suggested())
    growing = GrowingFile(part, how)
    assert growing.poll() == 0
    new = 0
    with part.open("wb", buffering=0) as out:
        for at in range(0, len(raw), piece):
            out.write(raw[at : at + piece])
            new += growing.poll()
    log = read_log(whole, how)
    assert new == len(growing) == len(log)
    live = growing.log()
    assert np.array_equal(live.times, log.times)
    assert np.array_equal(live.lines, log.lines)
    assert live.digest == log.digest
    for a, b in zip(live.channels, log.channels, strict=True):
        assert np.array_equal(a.values, b.values, equal_nan=True)


def test_a_replaced_file_is_noticed_and_nothing_read_is_lost(tmp_path: Path) -> None:
    made = made_cure(2, step=120.0)
    lines = written(made).splitlines(keepends=True)
    file = tmp_path / "log.csv"
    file.write_text("".join(lines), "utf-8")
    proposal = propose(file)
    growing = GrowingFile(file, proposal.confirm(proposal.suggested()))
    file.write_text("".join(lines[:40]), "utf-8")
    assert growing.poll() == 39
    file.write_text(lines[0] + "".join(lines[40:45]), "utf-8")
    assert growing.poll() == 5
    np.testing.assert_allclose(growing.log().times, made.times[:44])
    assert any("replaced" in n for n in growing.log().notes)


def test_following_shows_the_cure_and_its_alarms(tmp_path: Path) -> None:
    made = made_cure(1, step=30.0)
    text = written(made).splitlines(keepends=True)
    file = tmp_path / "log.csv"
    file.write_text("".join(text), "utf-8")
    proposal = propose(file)
    growing = GrowingFile(file, proposal.confirm(proposal.suggested()))
    shown: list[str] = []

    class Screen:
        def write(self, words: str) -> None:
            shown.append(words)

        def flush(self) -> None:
            return

    steps = iter([5, 60, 130, 200, len(text)])

    def go_on() -> bool:
        n = next(steps, None)
        if n is not None:
            file.write_text("".join(text[:n]), "utf-8")
        return n is not None

    follow(growing, RECIPE, Screen(), period=0.0, clear=False, go_on=go_on)  # type: ignore[arg-type]
    assert len(shown) == 5
    assert "cure (dwell)" in shown[2] or "heat-up (ramp)" in shown[2]
    assert "cool-down (cool)" in shown[-1]
    assert all(len(x) <= 78 for picture in shown for x in picture.splitlines())


def test_a_frame_shows_gaps_as_blanks_and_alarms_with_what_to_do() -> None:
    made = made_cure(1)
    made.temps[300:500] = np.nan
    made.temps[600:, 2] = 1645.0
    log = made.log()
    picture = frame(look(RECIPE, log, silent=100.0), log, width=60, view="in")
    assert "! STOP, NOW: No readings are coming in" in picture
    assert "do: check the logger" in picture
    trace = next(x for x in picture.splitlines() if x.startswith("TC1"))
    assert "   " in trace[11:40]
    assert all(len(x) <= 60 for x in picture.splitlines())
    assert picture == frame(look(RECIPE, log, silent=100.0), log, width=60, view="in")


# --- Modbus -------------------------------------------------------------------------------------------------

POINTS = [
    Point("TC1", TC, "C", "holding:0:int16", 0.1),
    Point("TC2", TC, "C", "holding:1:int16", 0.1),
    Point("Bag", ChannelRole.VACUUM, "inHg", "holding:2:float32"),
]


class Instrument:
    """A Modbus server whose first channel counts its own requests, so that nothing can go missing unseen."""

    def __init__(self, port: int) -> None:
        self.port, self.count, self.server = port, 0, None
        self.asked: list[int] = []

    async def act(
        self, code: int, start: int, address: int, count: int, registers: list[int], values: Any
    ) -> None:
        if address == 0:
            self.count += 1
            registers[0 - start] = 200 + self.count
            self.asked.append(200 + self.count)

    async def start(self) -> None:
        words = struct.unpack(">2H", struct.pack(">f", 24.5))
        data = [
            SimData(0, values=[200, 65486], datatype=DataType.REGISTERS),
            SimData(2, values=list(words), datatype=DataType.REGISTERS),
        ]
        device = SimDevice(1, simdata=data, action=self.act)
        self.server: Any = ModbusTcpServer(device, address=("127.0.0.1", self.port))
        await self.server.serve_forever(background=True)

    async def stop(self) -> None:
        await self.server.shutdown()


def test_modbus_with_drop_outs_loses_and_invents_nothing() -> None:
    async def run() -> tuple[Buffer, Modbus, Instrument]:
        instrument = Instrument(free_port())
        source = Modbus("127.0.0.1", instrument.port, POINTS, period=0.03)
        buffer = Buffer(POINTS)

        async def collect() -> None:
            async for sample in source.samples():
                buffer.add(sample)

        task = asyncio.create_task(collect())
        await asyncio.sleep(0.2)  # the instrument is not there yet
        for _ in range(3):
            await instrument.start()
            before = len(buffer)
            for _ in range(200):
                await asyncio.sleep(0.02)
                if len(buffer) >= before + 12:
                    break
            await instrument.stop()
            await asyncio.sleep(0.35)
        task.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await task
        return buffer, source, instrument

    buffer, source, instrument = asyncio.run(run())
    log = buffer.log()
    numbers = np.round((log.channel("TC1").values - 273.15) * 10).astype(int).tolist()
    assert len(numbers) >= 36
    assert len(set(numbers)) == len(numbers)
    assert numbers == sorted(numbers)
    assert set(numbers) <= set(instrument.asked)
    assert len(set(instrument.asked) - set(numbers)) <= 3  # cut in mid-answer, at most one for each drop-out
    np.testing.assert_allclose(log.channel("TC2").values, 273.15 - 5.0)
    np.testing.assert_allclose(log.channel("Bag").values, 24.5 * INHG, rtol=1e-6)
    assert source.missed >= 2
    steps = np.diff(log.times)
    assert (steps > 0.25).sum() >= 2  # the gaps stay gaps
    assert any(f.finding.code == codes.GAP.code for f in find_faults(log))


def test_a_stop_that_a_wait_swallows_still_stops(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = asyncio.Event()

    async def swallows(self: Modbus, client: Any, offset: float) -> None:
        first = not asked.is_set()
        asked.set()
        try:
            await asyncio.sleep(30.0)
        except asyncio.CancelledError:
            if not first:
                raise

    monkeypatch.setattr(Modbus, "_poll", swallows)

    async def run() -> bool:
        async def collect() -> None:
            async for _ in Modbus("127.0.0.1", free_port(), POINTS, period=0.03).samples():
                pass

        task = asyncio.create_task(collect())
        await asyncio.wait_for(asked.wait(), 60.0)
        task.cancel()
        done, _ = await asyncio.wait([task], timeout=5.0)
        return bool(done)

    assert asyncio.run(run())


def test_an_open_sensor_is_on_the_screen_moments_after_the_instrument_saw_it() -> None:
    shown: list[str] = []

    class Screen:
        def write(self, words: str) -> None:
            shown.append(words)

        def flush(self) -> None:
            return

    async def run() -> None:
        instrument = Instrument(free_port())
        await instrument.start()
        points = [
            Point("TC1", TC, "C", "holding:0:int16", 0.1),
            Point("TC2", TC, "C", "holding:1:int16", 10.0),  # its register means an open circuit
        ]
        source, buffer = Modbus("127.0.0.1", instrument.port, points, period=0.02), Buffer(points)
        begin = time.monotonic()
        await follow_samples(
            source.samples(),
            buffer,
            RECIPE,
            Screen(),  # type: ignore[arg-type]
            period=0.05,
            clear=False,
            go_on=lambda: time.monotonic() - begin < 1.0 and not any("! NOW" in x for x in shown),
        )
        await instrument.stop()
        assert len(buffer) >= 2

    asyncio.run(run())
    assert "A thermocouple is lost: TC2" in shown[-1]


def test_registers_are_read_as_they_are_written() -> None:
    for kind, number in (("int16", -300), ("uint16", 60000), ("int32", -70000), ("uint32", 4_000_000_000)):
        form = {"int16": ">h", "uint16": ">H", "int32": ">i", "uint32": ">I"}[kind]
        raw = struct.pack(form, number)
        words = struct.unpack(f">{len(raw) // 2}H", raw)
        assert Register(0, kind).value(words) == number
        assert Register(0, kind, swapped=True).value(words[::-1]) == number
    assert math.isnan(Register(0, "int16", bad=(32767,)).value((32767,)))
    assert math.isnan(Register(0, "float32").value(struct.unpack(">2H", struct.pack(">f", math.nan))))
    assert Register.parse("input:7:float32:swapped") == Register(7, "float32", "input", True)
    for bad in ("holding", "coil:3", "holding:x", "holding:70000", "holding:1:int8"):
        with pytest.raises(InputError):
            Register.parse(bad)


# --- the buffer ---------------------------------------------------------------------------------------------


def test_the_buffer_keeps_each_sample_once_and_in_order() -> None:
    buffer = Buffer([Point("TC1", TC, "C")])
    for t in (0.0, 10.0, 30.0, 20.0, 10.0):
        buffer.add(Sample(t, (20.0 + t,)))
    assert buffer.log().times.tolist() == [0.0, 10.0, 20.0, 30.0]
    assert (buffer.twice, buffer.late) == (1, 1)
    with pytest.raises(InputError):
        buffer.add(Sample(40.0, (1.0, 2.0)))
    with pytest.raises(InputError):
        Buffer([Point("TC1", TC, "C")]).log()
    with pytest.raises(InputError, match="unit"):
        Point("TC1", TC, "kPa")
