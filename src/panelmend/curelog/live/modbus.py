"""Readings from an instrument over Modbus TCP (needs the ``live`` extra)."""

from __future__ import annotations

import asyncio
import logging
import math
import struct
import time
from collections.abc import AsyncIterator, Sequence
from dataclasses import dataclass
from typing import Any

from panelmend.curelog.live.buffer import Point, Sample
from panelmend.errors import InputError

WORDS = {"int16": 1, "uint16": 1, "int32": 2, "uint32": 2, "float32": 2}
_FORMATS = {"int16": ">h", "uint16": ">H", "int32": ">i", "uint32": ">I", "float32": ">f"}


@dataclass(frozen=True)
class Register:
    """The address of a point: ``table`` "holding" or "input", address from 0, type, words swapped or not;
    ``bad``: raw numbers the instrument sends for an open sensor."""

    address: int
    kind: str = "int16"
    table: str = "holding"
    swapped: bool = False
    bad: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        if self.kind not in WORDS or self.table not in ("holding", "input") or not 0 <= self.address < 65536:
            raise InputError("a register that does not exist", read=repr(self))

    @staticmethod
    def parse(text: str) -> Register:
        """From text such as ``holding:100:float32:swapped``.

        Raises:
            InputError: no address, or one that is no number.
        """
        parts = text.split(":")
        if len(parts) < 2 or not parts[1].isdigit():
            raise InputError("not a register", read=repr(text), expected="such as holding:100:int16")
        kind = parts[2] if len(parts) > 2 else "int16"
        return Register(int(parts[1]), kind, parts[0], "swapped" in parts[3:])

    def value(self, words: Sequence[int]) -> float:
        """The number [the register's unit] in its words; NaN for those that mean an open sensor."""
        ordered = list(words)[::-1] if self.swapped else list(words)
        raw = struct.unpack(_FORMATS[self.kind], struct.pack(f">{len(ordered)}H", *ordered))[0]
        return math.nan if raw in self.bad else float(raw)


class Modbus:
    """Polls an instrument and gives one sample for each answered poll.

    An unanswered poll gives no sample: the gap stays a gap. The connection is made again before the next
        poll. Times are those of the computer's steady clock, started at its calendar clock.
    """

    def __init__(
        self, host: str, port: int, points: Sequence[Point], *, device: int = 1, period: float = 5.0
    ) -> None:
        if not points or not period > 0:
            raise InputError("Modbus needs points and a period", where=host)
        self.host, self.port, self.device, self.period = host, port, device, period
        self.points = tuple(points)
        self.registers = tuple(Register.parse(p.address) for p in points)
        self.missed = 0
        self.connected = False

    async def samples(self) -> AsyncIterator[Sample]:
        """Samples for as long as the caller goes on."""
        from pymodbus.client import AsyncModbusTcpClient

        logging.getLogger("pymodbus").setLevel(logging.CRITICAL)
        offset = time.time() - time.monotonic()
        client: Any = None
        due = time.monotonic()
        try:
            while True:
                if client is None:
                    client = AsyncModbusTcpClient(
                        self.host, port=self.port, timeout=min(2.0, self.period), retries=0, reconnect_delay=0
                    )
                sample = await self._poll(client, offset)
                _stop_if_asked()
                if sample is None:
                    self.missed += 1
                    self.connected = False
                    client.close()
                    client = None
                else:
                    self.connected = True
                    yield sample
                due = max(due + self.period, time.monotonic())
                await asyncio.sleep(due - time.monotonic())
        finally:
            if client is not None:
                client.close()

    async def _poll(self, client: Any, offset: float) -> Sample | None:
        from pymodbus.exceptions import ModbusException

        try:
            if not client.connected and not await client.connect():
                return None
            at = time.monotonic() + offset
            values = []
            for register in self.registers:
                read = (
                    client.read_holding_registers
                    if register.table == "holding"
                    else client.read_input_registers
                )
                answer = await read(register.address, count=WORDS[register.kind], device_id=self.device)
                values.append(math.nan if answer.isError() else register.value(answer.registers))
        except (ModbusException, OSError, TimeoutError, asyncio.IncompleteReadError):
            return None
        return None if all(math.isnan(v) for v in values) else Sample(at, tuple(values))


def _stop_if_asked() -> None:
    """Stop if that was requested during a poll: a wait that ends at the same moment can lose the request."""
    task = asyncio.current_task()
    if task is not None and task.cancelling():
        raise asyncio.CancelledError
