"""Serving the screen: on a port of 127.0.0.1 with keys, or by TLS to other machines; the browser opened."""

from __future__ import annotations

import ipaddress
import json
import socket
import ssl
import threading
import webbrowser
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import uvicorn

from panelmend.errors import InputError, OutputError
from panelmend.files import replace_whole
from panelmend.screen import answers
from panelmend.screen.accounts import Accounts
from panelmend.screen.alone import RECORDS
from panelmend.screen.application import application
from panelmend.screen.certificate import looked_at, own
from panelmend.screen.gate import Gate
from panelmend.screen.site import HERE, Site, site_here
from panelmend.screen.workshop import RECORDS_FILE, Workshop

SESSIONS, PORT, LAN_PORT = "screen-sessions.json", "screen-port.json", "screen-lan-port.json"


@dataclass
class Running:
    """A screen ready to be served; ``fingerprint`` of its certificate, "" on this machine alone."""

    server: uvicorn.Server
    listening: socket.socket
    gate: Gate | Accounts
    site: Site
    workshop: Workshop
    fingerprint: str = ""

    @property
    def port(self) -> int:
        """Where it listens."""
        return self.site.port

    @property
    def folder(self) -> Path:
        """The workshop's folder."""
        return self.workshop.folder

    @property
    def printed(self) -> str:
        """The address to print: whoever opens it comes in, or signs in."""
        if isinstance(self.gate, Gate):
            return f"{self._base}/enter?key={self.gate.printed}"
        return f"{self._base}/"

    @property
    def for_the_browser(self) -> str:
        """An address that is good once; where one signs in, the printed one."""
        if isinstance(self.gate, Gate):
            return f"{self._base}/enter?key={self.gate.key_for_the_browser()}"
        return self.printed

    @property
    def _base(self) -> str:
        return f"{self.site.scheme}://{self.site.names[0]}:{self.port}"

    def serve(self) -> None:
        """Serve until it is stopped; what was watched is watched again."""
        self.workshop.watches.go_on(self.workshop.document)
        notes = answers.RefusedNotes(self.folder / RECORDS_FILE)
        try:
            answers.log.addHandler(notes)
            self.server.run(sockets=[self.listening])
        finally:
            answers.log.removeHandler(notes)
            self.workshop.watches.close()

    def stop(self) -> None:
        """Stop serving."""
        self.server.should_exit = True


def ready(workshop: Workshop, port: int = 0) -> Running:
    """Bind a port and make the screen; the port of the last time where it is free, so that pages find back.

    Raises:
        OutputError: the port that was asked for is taken.
    """
    listening = _bound(HERE, port, workshop.folder / PORT)
    site = site_here(int(listening.getsockname()[1]))
    gate = Gate(workshop.folder / SESSIONS)
    return Running(uvicorn.Server(_config(workshop, gate, site)), listening, gate, site, workshop)


def ready_for_others(
    workshop: Workshop,
    address: str,
    names: Sequence[str] = (),
    port: int = 0,
    certificate: tuple[Path, Path] | None = None,
) -> Running:
    """Make the screen for other machines: by TLS alone, for people of the records alone.

    Args:
        workshop: whose records hold people.
        address: of this machine, as other machines reach it.
        names: by which they reach it too.
        port: where it listens; 0 for the last one, or a free one.
        certificate: the certificate with its chain, and its key; none for a self-made one of the workshop.

    Raises:
        InputError: no records, nobody in them who can sign in, no such address, or a certificate that does
            not serve.
        OutputError: the port is taken, or the self-made certificate could not be kept.
    """
    plain = _address(address)
    called = tuple(dict.fromkeys((f"[{plain}]" if ":" in plain else plain, *(n.lower() for n in names))))
    _people(workshop)
    files = certificate or own(workshop.folder, called)
    mark = looked_at(*files, called)
    listening = _bound(plain, port, workshop.folder / LAN_PORT)
    site = Site(int(listening.getsockname()[1]), called, secure=True)
    accounts = Accounts(lambda: workshop.book)
    config = _config(workshop, accounts, site, files)
    config.load()
    assert config.ssl is not None, "other machines are served by TLS alone"
    config.ssl.minimum_version = ssl.TLSVersion.TLSv1_2
    return Running(uvicorn.Server(config), listening, accounts, site, workshop, mark)


def _config(
    workshop: Workshop, gate: Gate | Accounts, site: Site, certificate: tuple[Path, Path] | None = None
) -> uvicorn.Config:
    assert site.secure == (certificate is not None)
    return uvicorn.Config(
        application(workshop, gate, site),
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
        ssl_certfile=str(certificate[0]) if certificate else None,
        ssl_keyfile=str(certificate[1]) if certificate else None,
    )


def _address(typed: str) -> str:
    """An address of this machine. Raises InputError."""
    expected = "an address of this machine, as other machines reach it, such as 192.0.2.10"
    try:
        address = ipaddress.ip_address(typed.strip().strip("[]"))
    except ValueError:
        raise InputError("no address", where="--lan", read=typed[:80], expected=expected) from None
    if address.is_unspecified or address.is_multicast:
        raise InputError(
            "this would open the screen on every network that this machine is in",
            where="--lan", read=typed[:80], expected=expected,
        )  # fmt: skip
    return str(address)


def _people(workshop: Workshop) -> None:
    """See that somebody can sign in. Raises InputError."""
    book = workshop.book
    if book is None:
        raise InputError(
            "there are no records with accounts in this workshop",
            where="--lan",
            todo=f"begin them: panelmend records --in {workshop.folder / RECORDS_FILE} begin NUMBER NAME",
        )
    with RECORDS:
        there = [p for p in book.state.people.values() if p.secret and not p.removed]
    if not there:
        raise InputError("nobody in the records has set a secret", where="--lan", todo="enrol somebody first")


def open_browser(running: Running, opener: Callable[[str], object] = webbrowser.open) -> None:
    """Open the browser once the server answers; nothing happens where there is none."""

    def wait() -> None:
        while not running.server.started and not running.server.should_exit:
            threading.Event().wait(0.05)
        if running.server.started:
            opener(running.for_the_browser)

    threading.Thread(target=wait, daemon=True).start()


def _bound(address: str, port: int, kept: Path) -> socket.socket:
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    for wanted in (port,) if port else (*_last_port(kept), 0):
        # the protocol is named so that each answer is sent at once: asyncio sets TCP_NODELAY by it
        made = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):
            made.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            made.bind((address, wanted))
            made.listen(128)
        except OSError:
            made.close()
            continue
        if not port:
            replace_whole(kept, json.dumps(made.getsockname()[1]).encode("ascii"))
        return made
    if not port:
        raise InputError("this machine has no such address", where="--lan", read=address)
    raise OutputError(f"port {port} of {address} is taken: give another with --port, or none")


def _last_port(kept: Path) -> tuple[int, ...]:
    try:
        port = json.loads(kept.read_text("ascii"))
    except (OSError, ValueError):
        return ()
    return (port,) if isinstance(port, int) and 1024 <= port <= 65535 else ()
