"""Ten tablets and two live charts at one screen for a while: how long answers take, what the server holds,
and whether anything that was acknowledged is missing afterwards.

The server is a process of its own, for other machines (https, people signed in, hashes of full cost), on this
machine's own address. Each tablet is a thread with a session of its own; it asks whether its page still holds
every four seconds as a page does. Between it does one thing every two to five seconds: a page of a step, a
reading judged or kept, a tap, a drag of a blanket. Each chart asks for its watch every two seconds while
its log grows.

    scripts/bench screen_many [--minutes 30] [--tablets 10]
"""

from __future__ import annotations

import argparse
import http.client
import json
import os
import random
import re
import ssl
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections import defaultdict
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "src"))
NAME = "TAS-26-0417"
API = f"/api/repairs/{NAME}"
LOGS = {1: "LOG-1.csv", 2: "LOG-2.csv"}  # the same readings twice: to the first cure they are out of its band
PULSE, CHART = 4.0, 2.0  # [s]
WORKERS = ("T1", "P1", "I1", "E1")


class Tally:
    """What was asked and how long it took; what was acknowledged."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.times: dict[str, list[float]] = defaultdict(list)
        self.wrong: dict[str, int] = defaultdict(int)
        self.readings: list[str] = []
        self.taps: list[str] = []

    def took(self, what: str, seconds: float, status: int) -> None:
        """One answer."""
        with self.lock:
            self.times[what].append(1e3 * seconds)
            if status >= 400:
                self.wrong[f"{what}: {status}"] += 1


class Tablet:
    """One browser without a browser."""

    def __init__(self, port: int, tally: Tally) -> None:
        there = ssl.create_default_context()
        there.check_hostname, there.verify_mode = False, ssl.CERT_NONE
        self.host, self.tally = f"127.0.0.1:{port}", tally
        self.line = http.client.HTTPSConnection("127.0.0.1", port, timeout=120, context=there)
        self.cookie = ""

    def ask(self, what: str, method: str, path: str, sent: Any = None) -> tuple[int, bytes]:
        """One request; the line is made anew where it was ended meanwhile."""
        body = None if sent is None else json.dumps(sent).encode()
        headers = {"Cookie": self.cookie, "Origin": f"https://{self.host}"}
        if body is not None:
            headers["Content-Type"] = "application/json"
        start = time.perf_counter()
        for last in (False, True):
            try:
                self.line.request(method, path, body, headers)
                answer = self.line.getresponse()
                data = answer.read()
                break
            except (http.client.HTTPException, OSError):
                self.line.close()
                if last:
                    raise
        self.tally.took(what, time.perf_counter() - start, answer.status)
        for said in answer.headers.get_all("set-cookie") or []:
            self.cookie = said.partition(";")[0]
        return answer.status, data

    def sign_in(self, person: str, secret: str) -> None:
        """Sign in, waiting where too many were tried this minute."""
        while True:
            status, data = self.ask("sign in", "POST", "/api/sign-in", {"person": person, "secret": secret})
            if status == 200:
                return
            if status != 429:
                raise SystemExit(f"sign in {person}: {status} {data[:200]!r}")
            time.sleep(15)


def work(tablet: Tablet, number: int, person: str, until: float, seed: int) -> None:
    """What a person does at a tablet until it is over."""
    chance, n, pulse = random.Random(seed), 0, 0.0
    seen = json.loads(tablet.ask("plan", "GET", f"{API}/plan?side=outside")[1])["answer"]["seen"]
    while time.monotonic() < until:
        n += 1
        if time.monotonic() - pulse > PULSE:
            pulse = time.monotonic()
            tablet.ask("does it still hold", "GET", f"{API}/pulse")
        act = chance.random()
        if act < 0.25:
            tablet.ask("page of a step", "GET", f"/repairs/{NAME}/card/{chance.randint(1, 60)}")
        elif act < 0.55:
            tablet.ask("reading judged", "POST", f"{API}/steps/39/judge", {"blank": 2, "typed": f"5.{n % 9}"})
        elif act < 0.70 and person == "T1":
            typed = f"Rev {number}-{n}"
            sent = {"blank": 1, "typed": typed, "why": "again", "person": person}
            if tablet.ask("reading kept", "POST", f"{API}/steps/1/reading", sent)[0] == 200:
                tablet.tally.readings.append(typed)
        elif act < 0.85 and person in ("T1", "I1"):
            ident = f"many-{number}-{n}"
            sent = {"id": ident, "side": "inside", "x": 5.0 * (n % 100), "y": 9.0 * number}
            if tablet.ask("tap kept", "POST", f"{API}/taps", sent)[0] == 200:
                tablet.tally.taps.append(ident)
        elif act < 0.93:
            move = {"what": "blanket", "dx": 0.2 * (n % 50), "dy": 0.0, "turn": 0.0, "operation": 2}
            sent = {"seen": seen, "side": "outside", "move": move}
            tablet.ask("blanket dragged", "POST", f"{API}/try", sent)
        else:
            tablet.ask("panel page", "GET", f"/repairs/{NAME}")
        time.sleep(chance.uniform(2.0, 5.0))


def chart(tablet: Tablet, cure: int, log: Path, rows: list[str], until: float) -> None:
    """A log that grows, and the page that looks at it."""
    left = list(rows)
    while time.monotonic() < until:
        start = time.monotonic()
        if left:
            with log.open("a", encoding="utf8") as file:
                file.write(left.pop(0))
        tablet.ask("live chart", "GET", f"{API}/cures/{cure}/watch")
        time.sleep(max(0.0, CHART - (time.monotonic() - start)))


def held(pid: int) -> tuple[float, int, int]:
    """Resident memory [MB], open handles and threads of a process."""
    status = Path(f"/proc/{pid}/status").read_text()
    found = {k: int(re.search(rf"{k}:\s+(\d+)", status)[1]) for k in ("VmRSS", "Threads")}  # type: ignore[index]
    return found["VmRSS"] / 1024, len(os.listdir(f"/proc/{pid}/fd")), found["Threads"]


def table(tally: Tally, skip: int = 0) -> None:
    """Every kind of answer."""
    print("| what | answers | median, ms | 95 %, ms | longest, ms |\n| --- | --- | --- | --- | --- |")
    for what, times in sorted(tally.times.items()):
        rows = sorted(times[skip:]) or [0.0]
        p95 = rows[min(len(rows) - 1, int(0.95 * len(rows)))]
        print(f"| {what} | {len(rows)} | {statistics.median(rows):.0f} | {p95:.0f} | {rows[-1]:.0f} |")
    print(f"\nrefused or failed: {dict(tally.wrong) or 'none'}", flush=True)


def main() -> None:
    """Start a screen, use it, end it, count."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--minutes", type=float, default=30.0)
    asked.add_argument("--tablets", type=int, default=10)
    chosen = asked.parse_args()
    from panelmend.app import log_reading
    from panelmend.screen.workshop import Workshop

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shop = Workshop(folder).with_demo()
        people = {p.person: p.secret for p in shop.begin_demo(NAME)}
        rows: dict[int, tuple[Path, list[str]]] = {}
        for cure, file in LOGS.items():
            lines = (ROOT / "examples/gear_door/cure-repair-plies.csv").read_text("utf8").splitlines(True)
            log = shop.watches.logs / file
            log.parent.mkdir(parents=True, exist_ok=True)
            log.write_text("".join(lines[:20]), "utf8")
            log_reading.confirm(log, {}, take_suggested=True, by="R. Osk")
            rows[cure] = (log, lines[20:])
        words = [sys.executable, "-u", "-m", "panelmend.app.cli", "screen", "--no-browser", "--folder", name]
        with subprocess.Popen([*words, "--lan", "127.0.0.1"], stdout=subprocess.PIPE, text=True) as child:
            assert child.stdout is not None
            found = re.search(r":(\d+)", child.stdout.readline())
            assert found is not None
            try:
                run(child.pid, int(found[1]), people, rows, chosen)
            finally:
                child.terminate()
                child.wait(30)


def run(pid: int, port: int, people: dict[str, str], rows: Any, chosen: Any) -> None:
    """The tablets and the charts, and what is there afterwards."""
    tally = Tally()
    time.sleep(4)
    first = Tablet(port, tally)
    first.sign_in("P1", people["P1"])
    status, data = first.ask("job begun", "POST", f"{API}/job", {"person": "P1", "secret": people["P1"]})
    if status != 200:
        raise SystemExit(f"job: {status} {data[:300]!r}")
    who = [WORKERS[0] if n < chosen.tablets // 2 else WORKERS[n % 4] for n in range(chosen.tablets)]
    tablets = [Tablet(port, tally) for _ in who]
    for tablet, person in zip(tablets, who, strict=True):
        tablet.sign_in(person, people[person])
    charts = {cure: Tablet(port, tally) for cure in rows}
    for cure, tablet in charts.items():
        tablet.sign_in("T1", people["T1"])
        sent = {"source": rows[cure][0].name}
        status, data = tablet.ask("watch begun", "POST", f"{API}/cures/{cure}/watch", sent)
        if status != 200:
            raise SystemExit(f"watch: {status} {data[:300]!r}")
    tally.times.clear()
    until = time.monotonic() + 60 * chosen.minutes
    threads = [
        threading.Thread(target=work, args=(t, n, p, until, n), daemon=True)
        for n, (t, p) in enumerate(zip(tablets, who, strict=True))
    ]
    threads += [
        threading.Thread(target=chart, args=(t, cure, *rows[cure], until), daemon=True)
        for cure, t in charts.items()
    ]
    for thread in threads:
        thread.start()
    begun = time.monotonic()
    while time.monotonic() < until:
        memory, handles, count = held(pid)
        minutes = (time.monotonic() - begun) / 60
        load = os.getloadavg()[0]
        print(
            f"{minutes:.0f} min: {memory:.0f} MB, {handles} handles, {count} threads, load {load:.1f}",
            flush=True,
        )
        time.sleep(min(120.0, max(0.5, until - time.monotonic())))
    for thread in threads:
        thread.join(150)
    (memory, handles, _), busy = held(pid), sum(t.is_alive() for t in threads)
    print(f"end: {memory:.0f} MB, {handles} handles; threads still busy: {busy}\n")
    table(tally)
    first.sign_in("P1", people["P1"])  # the one that signed in at first was idle for too long
    page = first.ask("page", "GET", f"/repairs/{NAME}/card/1")[1].decode()
    there = json.loads(first.ask("survey", "GET", f"{API}/survey?side=inside")[1])["ids"]
    missing = sorted(set(tally.taps) - set(there))
    lost = [r for r in tally.readings if r not in page]
    print(f"taps acknowledged {len(tally.taps)}, missing {len(missing)}")
    print(f"readings acknowledged {len(tally.readings)}, not on the step's page {len(lost)}")


if __name__ == "__main__":
    main()
