"""A screen for tests: requests put straight to the application, a served one, and Debian's Chromium."""

from __future__ import annotations

import asyncio
import json
import shutil
import socket
import threading
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from panelmend.records import events as e
from panelmend.records.book import Book, Who
from panelmend.records.secrets import Cost
from panelmend.screen import server
from panelmend.screen.accounts import Accounts
from panelmend.screen.application import application
from panelmend.screen.gate import Gate
from panelmend.screen.guard import Guard
from panelmend.screen.site import Site, site_here
from panelmend.screen.workshop import DEMO, RECORDS_FILE, TAPS, Workshop
from records_made import quick_folder

PORT = 8000
ANSWERS = 360.0  # s until the browser must have answered: longer than its own limit for a page, 300 s
CHEAP = Cost(1, 8, 1)  # hashes that cost next to nothing, by a parameter that tests alone give
HOST = f"127.0.0.1:{PORT}"
ORIGIN = f"http://{HOST}"
REPAIR = f"/api/repairs/{DEMO}"


@dataclass
class Answer:
    """What came back."""

    status: int
    headers: dict[str, str]
    body: bytes
    raised: Exception | None = None

    @property
    def json(self) -> Any:
        """The body read."""
        return json.loads(self.body)


@dataclass
class Desk:
    """A browser that came in, without a browser; ``token`` "" for one that did not."""

    app: Guard
    workshop: Workshop
    token: str = ""
    headers: dict[str, str] = field(default_factory=dict)
    site: Site = field(default_factory=lambda: site_here(PORT))
    scheme: str = ""
    address: str = "127.0.0.1"

    def ask(self, method: str, path: str, sent: Any = None, **headers: str | None) -> Answer:
        """One request; headers with underscores, None leaves one out."""
        host = f"{self.site.names[0]}:{self.site.port}"
        given: dict[str, str | None] = {"host": host}
        if self.token:
            given["cookie"] = f"{self.site.cookie}={self.token}"
        body = sent if isinstance(sent, bytes) else b"" if sent is None else json.dumps(sent).encode()
        if method not in ("GET", "HEAD"):
            given |= {"origin": f"{self.site.scheme}://{host}", "content-type": "application/json"}
            given["content-length"] = str(len(body))
        given |= {k.replace("_", "-"): v for k, v in headers.items()}
        more = {"scheme": self.scheme or self.site.scheme, "client": (self.address, 50000)}
        return asyncio.run(_asked(self.app, method, path, given, body, more))

    def get(self, path: str, **headers: str | None) -> Answer:
        """Read."""
        return self.ask("GET", path, **headers)

    def post(self, path: str, sent: Any, **headers: str | None) -> Answer:
        """Write."""
        return self.ask("POST", path, sent, **headers)


async def _asked(
    app: Guard, method: str, path: str, headers: dict[str, str | None], body: bytes, more: dict[str, Any]
) -> Answer:
    where, _, query = path.partition("?")
    rows = [(k.encode("latin-1"), v.encode("latin-1")) for k, v in headers.items() if v is not None]
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": method,
        "path": where, "raw_path": where.encode(), "query_string": query.encode(), "headers": rows,
        "server": ("127.0.0.1", PORT), "root_path": "", **more,
    }  # fmt: skip
    parts = [{"type": "http.request", "body": body, "more_body": False}]
    made = Answer(0, {}, b"")

    async def receive() -> dict[str, Any]:
        return parts.pop(0) if parts else {"type": "http.disconnect"}

    async def send(message: Any) -> None:
        if message["type"] == "http.response.start":
            made.status = message["status"]
            made.headers = {k.decode(): v.decode() for k, v in message["headers"]}
        else:
            made.body += message.get("body", b"")

    try:
        await app(scope, receive, send)
    except Exception as error:  # the server would log it; the answer went out before
        made.raised = error
    return made


def picture(width: int, height: int, shade: int = 9) -> bytes:
    """A PNG file of a size: grey, one bit to an element."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return len(data).to_bytes(4, "big") + kind + data + zlib.crc32(kind + data).to_bytes(4, "big")

    head = chunk(b"IHDR", width.to_bytes(4, "big") + height.to_bytes(4, "big") + bytes([1, 0, 0, 0, 0]))
    rows = zlib.compress((b"\0" + bytes([shade]) * ((width + 7) // 8)) * height, 1)
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def thinned(folder: Path) -> tuple[int, int]:
    """Leave every second row and column of the demonstration's taps, for speed: dull and sound ones left."""
    file = folder / "repairs" / DEMO / TAPS
    rows = [json.loads(line) for line in file.read_text("utf8").splitlines()]
    left = [
        r for r in rows if round(1e3 * r["at"][0] - 370) % 30 == 0 and round(1e3 * r["at"][1] - 310) % 30 == 0
    ]
    file.write_text("".join(json.dumps(r) + "\n" for r in left), "utf8")
    dull = sum(r["dull"] for r in left)
    return dull, len(left) - dull


@contextmanager
def desk() -> Iterator[Desk]:
    """A desk at a workshop of its own, with the demonstration repair in it."""
    folder = quick_folder()  # the disk is tried elsewhere
    try:
        workshop = Workshop(folder, cost=CHEAP).with_demo()
        gate = Gate()
        token = gate.enter(gate.printed)
        assert token is not None
        yield Desk(application(workshop, gate, PORT), workshop, token)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


SECRETS = {n: f"the secret of {n} here" for n in ("K1", "K2", "T1", "P1", "I1", "E1", "S1")}
PEOPLE: dict[str, tuple[str, e.Role, tuple[e.Scope, ...]]] = {
    "K2": ("Bo Keeps", e.Role.KEEPER, ()),
    "T1": ("R. Osk", e.Role.TECHNICIAN, (e.Scope.BONDING,)),
    "P1": ("J. Hale", e.Role.PLANNER, (e.Scope.PLANNING,)),
    "I1": ("M. Verrin", e.Role.INSPECTOR, (e.Scope.INSPECTION, e.Scope.RELEASE)),
    "E1": ("D. Ruiz", e.Role.ENGINEER, (e.Scope.ENGINEERING,)),
    "S1": ("P. Kern", e.Role.STOREKEEPER, (e.Scope.STORES,)),
}


def people_put_in(folder: Path, until: str = "2099-12-31") -> Book:
    """Records of an invented shop in a workshop's folder, everybody enrolled."""
    book = Book.begin(str(folder / RECORDS_FILE), "K1", "Ada Keeps", SECRETS["K1"], invented=True, cost=CHEAP)
    keeper = Who("K1", SECRETS["K1"])
    for number, (name, role, scopes) in PEOPLE.items():
        book.enrol(number, book.add_person(keeper, number, name, [role]), SECRETS[number])
        for scope in scopes:
            book.authorise(keeper, number, scope, until, "invented paper")
    return book


class Ticks:
    """A clock that tests turn [s]."""

    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


@contextmanager
def lan_desk(clock: Ticks | None = None) -> Iterator[Desk]:
    """A desk at a screen that other machines reach; nobody is signed in."""
    folder = quick_folder()
    try:
        people_put_in(folder)
        workshop = Workshop(folder, cost=CHEAP).with_demo()
        site = Site(8443, ("192.0.2.10", "workshop.example"), secure=True)
        accounts = Accounts(lambda: workshop.book, clock or Ticks())
        yield Desk(application(workshop, accounts, site), workshop, site=site, address="192.0.2.20")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def signed_in_as(desk: Desk, person: str) -> Desk:
    """The desk with a person signed in, as another browser."""
    answer = desk.post("/api/sign-in", {"person": person, "secret": SECRETS[person]}, cookie=None)
    assert answer.status == 200, answer.body
    token = answer.headers["set-cookie"].split(";")[0].partition("=")[2]
    return Desk(desk.app, desk.workshop, token, site=desk.site, address=desk.address)


@contextmanager
def served(folder: Path) -> Iterator[server.Running]:
    """A screen that is served from a thread, until the end of the block."""
    new = not (folder / "repairs").exists()
    running = server.ready(Workshop(folder, cost=CHEAP).with_demo())
    if new:
        thinned(folder)
    thread = threading.Thread(target=running.serve, daemon=True)
    thread.start()
    try:
        yield running
    finally:
        running.stop()
        thread.join(10)


@contextmanager
def chromium(width: int = 1280, height: int = 900, *more: str) -> Iterator[Any]:
    """Debian's Chromium without a window, with a profile of its own; nothing of it is downloaded."""
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    profile = mkdtemp(prefix="chromium")
    options = webdriver.ChromeOptions()
    options.binary_location = "/usr/bin/chromium"
    for flag in (
        "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
        "--disable-background-networking", "--disable-component-update", "--disable-sync",
        "--disable-dev-shm-usage", f"--user-data-dir={profile}", f"--window-size={width},{height}",
        *more,
    ):  # fmt: skip
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    before = socket.getdefaulttimeout()
    socket.setdefaulttimeout(ANSWERS)  # the driver takes it for every answer; without, it waits for ever
    try:
        driver = webdriver.Chrome(options=options, service=Service("/usr/bin/chromedriver"))
    finally:
        socket.setdefaulttimeout(before)
    driver.set_script_timeout(90)
    try:
        yield driver
    finally:
        driver.quit()
        shutil.rmtree(profile, ignore_errors=True)
