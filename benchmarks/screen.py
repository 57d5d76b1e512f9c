"""The screen's answers, asked over its own port: pages, a change that is tried while one drags, a change
kept, a tap, a reading of the card; and the first page in Debian's Chromium.

The server is a process of its own with hashes of full cost. Times are wall clock, one client after another;
beside them the time of an answer that does nothing (a static file).

    scripts/bench screen [--runs 40] [--browser]
"""

from __future__ import annotations

import argparse
import http.client
import json
import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
NAME = "TAS-26-0417"
API = f"/api/repairs/{NAME}"


class Client:
    """One browser without a browser."""

    def __init__(self, port: int, key: str) -> None:
        self.port = port
        self.there = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        self.cookie = ""
        _, headers = self.ask("GET", f"/enter?key={key}")
        self.cookie = headers["set-cookie"].partition(";")[0]

    def ask(self, method: str, path: str, sent: Any = None) -> tuple[bytes, dict[str, str]]:
        """One request."""
        body = None if sent is None else json.dumps(sent).encode()
        headers = {"Cookie": self.cookie, "Origin": f"http://127.0.0.1:{self.port}"}
        if body is not None:
            headers["Content-Type"] = "application/json"
        self.there.request(method, path, body, headers)
        answer = self.there.getresponse()
        data = answer.read()
        if answer.status >= 400:
            raise SystemExit(f"{path}: {answer.status} {data[:200]!r}")
        return data, {k.lower(): v for k, v in answer.getheaders()}

    def post(self, path: str, sent: Any) -> Any:
        """One write."""
        return json.loads(self.ask("POST", path, sent)[0])


def row(what: str, runs: int, act: Callable[[int], object]) -> None:
    """Median and 95th percentile of an answer."""
    act(0)
    times = []
    for n in range(1, runs + 1):
        start = time.perf_counter()
        act(n)
        times.append(1e3 * (time.perf_counter() - start))
    times.sort()
    p95 = times[min(len(times) - 1, int(0.95 * len(times)))]
    print(f"| {what} | {statistics.median(times):.0f} | {p95:.0f} |")


def answers(client: Client, folder: Path, runs: int) -> None:
    """The table."""
    print("| what | median, ms | 95 %, ms |\n| --- | --- | --- |")
    row("reference: a static file", runs, lambda n: client.ask("GET", "/static/icon.svg"))
    row("shop page", runs, lambda n: client.ask("GET", "/"))
    row("panel page", runs, lambda n: client.ask("GET", f"/repairs/{NAME}"))
    seen = json.loads(client.ask("GET", f"{API}/plan?side=outside")[0])["answer"]["seen"]

    def tried(n: int) -> None:
        move = {"what": "cutout", "dx": 0.1 * n, "dy": 0.0, "turn": 0.0}
        client.post(f"{API}/try", {"seen": seen, "side": "outside", "move": move})

    row("cut-out dragged: planned anew, not kept", runs, tried)
    now = [seen]

    def kept(n: int) -> None:
        sent = {"seen": now[0], "side": "outside", "typed": {"bay.humidity": f"{40 + n % 20} %"}}
        now[0] = client.post(f"{API}/change", sent)["answer"]["seen"]

    row("field kept: planned anew, on the disk", runs, kept)

    def tapped(n: int) -> None:
        client.post(f"{API}/taps", {"id": f"bench-tap-{n}", "side": "inside", "x": 5.0 * n, "y": 9.0})

    row("tap kept, on the disk", runs, tapped)
    row(
        "outline of 221 taps, seen before",
        runs,
        lambda n: client.ask("GET", f"{API}/survey?side=outside"),
    )
    now[0] = client.post(
        f"{API}/change", {"seen": now[0], "side": "outside", "typed": {"bay.humidity": "55 %"}}
    )["answer"]["seen"]
    client.post(f"{API}/demonstration", {})
    people = {p["person"]: p["secret"] for p in json.loads((folder / "invented-people.json").read_text())}
    client.post(f"{API}/job", {"person": "P1", "secret": people["P1"]})
    client.post("/api/hold", {"person": "T1", "secret": people["T1"]})
    row("page of a step", runs, lambda n: client.ask("GET", f"/repairs/{NAME}/card/39"))
    row(
        "reading judged as typed",
        runs,
        lambda n: client.post(f"{API}/steps/39/judge", {"blank": 2, "typed": "5.6"}),
    )
    row(
        "reading kept, secret tried, on the disk", min(runs, 12),
        lambda n: client.post(
            f"{API}/steps/1/reading", {"blank": 1, "typed": f"Rev {n}", "why": "again", "person": "T1"}
        ),
    )  # fmt: skip


def first_page(port: int, key: str) -> None:
    """The first page in Chromium, cold: from the address to its first contentful paint."""
    sys.path.insert(0, str(ROOT / "tests"))
    from screen_made import chromium

    with chromium() as driver:
        driver.get(f"http://127.0.0.1:{port}/enter?key={key}")
        driver.get(f"http://127.0.0.1:{port}/repairs/{NAME}")
        time.sleep(1.5)
        paint = driver.execute_script(
            "return performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? 0"
        )
        print(f"\nPanel page in Chromium, first contentful paint: {paint:.0f} ms")


def main() -> None:
    """Start a screen, ask it, end it."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--runs", type=int, default=40)
    asked.add_argument("--browser", action="store_true")
    chosen = asked.parse_args()
    with tempfile.TemporaryDirectory() as name:
        words = [sys.executable, "-u", "-m", "panelmend.app.cli", "screen", "--no-browser", "--folder", name]
        with subprocess.Popen(words, stdout=subprocess.PIPE, text=True) as child:
            assert child.stdout is not None
            found = re.search(r":(\d+)/enter\?key=(\S+)", child.stdout.readline())
            assert found is not None
            port, key = int(found[1]), found[2]
            for _ in range(200):
                try:
                    client = Client(port, key)
                    break
                except OSError:
                    time.sleep(0.1)
            try:
                print(f"load {os.getloadavg()[0]:.1f}\n")
                answers(client, Path(name), chosen.runs)
                if chosen.browser:
                    first_page(port, key)
            finally:
                child.terminate()


main()
