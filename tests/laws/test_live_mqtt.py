"""A live source against a real MQTT broker on the loopback that goes down and comes back.

Needs the Debian package mosquitto; without it this test fails with words, it is never skipped.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import shutil
import socket
import subprocess
import time
from pathlib import Path

import aiomqtt
import numpy as np
import pytest

from loopback import free_port
from panelmend.curelog import ChannelRole
from panelmend.curelog.live import Buffer, Point
from panelmend.curelog.live.mqtt import Mqtt, parse_message
from panelmend.errors import ReadingError
from panelmend.plan.judge import codes, find_faults

TC = ChannelRole.THERMOCOUPLE


class Broker:
    """A mosquitto broker of our own that can be stopped and started; its sessions outlive a restart."""

    def __init__(self, folder: Path) -> None:
        found = shutil.which("mosquitto") or shutil.which("mosquitto", path="/usr/sbin:/usr/local/sbin")
        if found is None:
            pytest.fail("mosquitto is not installed: apt-get install mosquitto")
        self.binary, self.port, self.folder = found, free_port(), folder
        self.process: subprocess.Popen[bytes] | None = None
        (folder / "conf").write_text(
            f"listener {self.port} 127.0.0.1\nallow_anonymous true\npersistence true\n"
            f"persistence_location {folder}/\nautosave_interval 1\nautosave_on_changes true\n"
            f"max_queued_messages 0\nuser {'root' if Path('/root').is_dir() else ''}\n"
        )

    def start(self) -> None:
        command = [self.binary, "-c", str(self.folder / "conf")]
        self.process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        for _ in range(3000):
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self.port), 0.2):
                return
            time.sleep(0.02)
        pytest.fail("the broker did not start")

    def stop(self) -> None:
        if self.process is not None:
            self.process.terminate()
            self.process.wait(60)
            self.process = None


MQTT_POINTS = [Point("TC1", TC, "F"), Point("TC2", TC, "F"), Point("Bag", ChannelRole.VACUUM, "inHg")]


def message(n: int) -> bytes:
    return json.dumps({"time": 1.8e9 + n, "values": {"TC1": 70 + n, "TC2": 71.5, "Bag": 24}}).encode()


def test_mqtt_with_drop_outs_loses_and_invents_nothing(tmp_path: Path) -> None:
    broker = Broker(tmp_path)
    broker.start()
    sent: list[int] = []

    async def publish(first: int, count: int) -> None:
        async with aiomqtt.Client("127.0.0.1", broker.port, identifier="instrument") as client:
            for n in range(first, first + count):
                await client.publish("bay/panel", message(n), qos=1)
                sent.append(n)

    async def wait_for(buffer: Buffer, count: int) -> None:
        for _ in range(3000):
            if len(buffer) >= count:
                return
            await asyncio.sleep(0.02)

    def listen(buffer: Buffer) -> tuple[Mqtt, asyncio.Task[None]]:
        source = Mqtt("127.0.0.1", broker.port, "bay/panel", MQTT_POINTS, client_id="panelmend", retry=0.1)

        async def collect() -> None:
            async for sample in source.samples():
                buffer.add(sample)

        return source, asyncio.create_task(collect())

    async def connected(source: Mqtt) -> None:
        for _ in range(3000):
            if source.connected:
                return
            await asyncio.sleep(0.02)
        pytest.fail("no connection")

    async def gone(task: asyncio.Task[None]) -> None:
        task.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await task

    async def run() -> tuple[Buffer, Mqtt]:
        buffer = Buffer(MQTT_POINTS)
        source, task = listen(buffer)
        await connected(source)
        await publish(0, 30)
        await wait_for(buffer, 30)
        await gone(task)  # our side drops out while the instrument goes on
        await publish(30, 20)
        source, task = listen(buffer)
        await wait_for(buffer, 50)
        broker.stop()  # now the broker itself
        await asyncio.sleep(0.3)
        broker.start()
        await connected(source)
        await publish(50, 15)
        async with aiomqtt.Client("127.0.0.1", broker.port) as client:
            await client.publish("bay/panel", b"rubbish", qos=1)
            await client.publish("bay/panel", message(3), qos=1)  # comes a second time
            await client.publish("bay/panel", message(90), qos=1)
        await wait_for(buffer, 66)
        await gone(task)
        return buffer, source

    try:
        buffer, source = asyncio.run(run())
    finally:
        broker.stop()
    log = buffer.log()
    numbers = np.round((log.channel("TC1").values - 273.15) * 1.8 + 32 - 70).astype(int).tolist()
    assert numbers == [*sent, 90] == [*range(65), 90]
    assert np.array_equal(log.times, np.array([*range(65), 90], float))
    assert buffer.twice >= 1
    assert len(source.refused) == 1
    assert source.dropped_out >= 1
    assert [f.finding.code for f in find_faults(log) if f.finding.code == codes.GAP.code] == [codes.GAP.code]


@pytest.mark.parametrize(
    "payload",
    [
        b"",
        b"7",
        b"null",
        b"{}",
        b'{"time": "yesterday", "values": {"TC1": 1}}',
        b'{"time": "2026-11-25T08:00:00", "values": {"TC1": 1}}',
        b'{"time": NaN, "values": {"TC1": 1}}',
        b'{"time": 1e400, "values": {"TC1": 1}}',
        b'{"time": true, "values": {"TC1": 1}}',
        b'{"time": 1800000000, "values": {}}',
        b'{"time": 1800000000, "values": {"TC1": "12"}}',
        b'{"time": 1800000000, "values": [1, 2]}',
        b"[" * 60000,
        b" " * 70000,
        bytes(range(256)),
    ],
)
def test_messages_that_are_no_readings_are_refused_in_words(payload: bytes) -> None:
    with pytest.raises(ReadingError):
        parse_message(payload, MQTT_POINTS)
