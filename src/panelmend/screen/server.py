"""Serving the screen on this machine: a port of 127.0.0.1, the keys, the browser opened."""

from __future__ import annotations

import json
import socket
import threading
import webbrowser
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import uvicorn

from panelmend.errors import OutputError
from panelmend.files import replace_whole
from panelmend.screen.application import application
from panelmend.screen.gate import Gate
from panelmend.screen.workshop import DOCUMENT, Workshop

HERE = "127.0.0.1"
SESSIONS, PORT = "screen-sessions.json", "screen-port.json"


@dataclass
class Running:
    """A screen ready to be served."""

    server: uvicorn.Server
    listening: socket.socket
    gate: Gate
    port: int
    folder: Path
    workshop: Workshop

    @property
    def printed(self) -> str:
        """The address to print: whoever opens it comes in."""
        return f"http://{HERE}:{self.port}/enter?key={self.gate.printed}"

    @property
    def for_the_browser(self) -> str:
        """An address that is good once."""
        return f"http://{HERE}:{self.port}/enter?key={self.gate.key_for_the_browser()}"

    def serve(self) -> None:
        """Serve until it is stopped; what was watched is watched again."""
        self.workshop.watches.go_on(self.workshop.repairs_folder, DOCUMENT)
        try:
            self.server.run(sockets=[self.listening])
        finally:
            self.workshop.watches.close()

    def stop(self) -> None:
        """Stop serving."""
        self.server.should_exit = True


def ready(workshop: Workshop, port: int = 0) -> Running:
    """Bind a port and make the screen; the port of the last time where it is free, so that pages find back.

    Raises:
        OutputError: the port that was asked for is taken.
    """
    listening = _bound(port, workshop.folder / PORT)
    taken = int(listening.getsockname()[1])
    gate = Gate(workshop.folder / SESSIONS)
    config = uvicorn.Config(
        application(workshop, gate, taken),
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        ws="none",
        loop="asyncio",
        http="h11",
        h11_max_incomplete_event_size=16 * 1024,
        limit_concurrency=200,
        timeout_keep_alive=20,
        timeout_graceful_shutdown=2,
    )
    return Running(uvicorn.Server(config), listening, gate, taken, workshop.folder, workshop)


def open_browser(running: Running, opener: Callable[[str], object] = webbrowser.open) -> None:
    """Open the browser once the server answers; nothing happens where there is none."""

    def wait() -> None:
        while not running.server.started and not running.server.should_exit:
            threading.Event().wait(0.05)
        if running.server.started:
            opener(running.for_the_browser)

    threading.Thread(target=wait, daemon=True).start()


def _bound(port: int, kept: Path) -> socket.socket:
    for wanted in (port,) if port else (*_last_port(kept), 0):
        # the protocol is named so that each answer is sent at once: asyncio sets TCP_NODELAY by it
        made = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):
            made.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            made.bind((HERE, wanted))
            made.listen(128)
        except OSError:
            made.close()
            continue
        if not port:
            replace_whole(kept, json.dumps(made.getsockname()[1]).encode("ascii"))
        return made
    raise OutputError(f"port {port} of {HERE} is taken: give another with --port, or none")


def _last_port(kept: Path) -> tuple[int, ...]:
    try:
        port = json.loads(kept.read_text("ascii"))
    except (OSError, ValueError):
        return ()
    return (port,) if isinstance(port, int) and 1024 <= port <= 65535 else ()
