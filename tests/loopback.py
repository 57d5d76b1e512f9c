"""Peers of our own on this machine, for the tests of live sources."""

from __future__ import annotations

import asyncio
import socket
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any


def free_port() -> int:
    """A port nobody listens on at the moment."""
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return int(s.getsockname()[1])


@contextmanager
def modbus(port: int, registers: Sequence[int]) -> Iterator[None]:
    """An instrument on Modbus TCP with these holding registers from 0, until the end of the block."""
    from pymodbus.server import ModbusTcpServer
    from pymodbus.simulator import DataType, SimData, SimDevice

    loop = asyncio.new_event_loop()
    ready, servers = threading.Event(), list[Any]()

    async def serve() -> None:
        device = SimDevice(1, simdata=[SimData(0, values=list(registers), datatype=DataType.REGISTERS)])
        server: Any = ModbusTcpServer(device, address=("127.0.0.1", port))
        servers.append(server)
        await server.serve_forever(background=True)
        ready.set()

    def go() -> None:
        asyncio.set_event_loop(loop)
        loop.run_until_complete(serve())
        loop.run_forever()

    thread = threading.Thread(target=go, daemon=True)
    thread.start()
    assert ready.wait(10)
    try:
        yield
    finally:
        asyncio.run_coroutine_threadsafe(servers[0].shutdown(), loop).result(10)
        loop.call_soon_threadsafe(loop.stop)
        thread.join(10)
        loop.close()
