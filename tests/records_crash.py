"""A writer that is killed, and one whose file calls fail, for the tests and for scripts/kill_records.py."""

from __future__ import annotations

import ctypes
import os
import random
import re
import select
import shutil
import signal
import subprocess
import time
import warnings
from dataclasses import dataclass
from pathlib import Path

from ends import at_most, ended
from panelmend.records.store.log import Log
from records_made import CHEAP, Shop, Time, shop

ROOT = Path(__file__).parents[1]
CALLS = (
    "openat",
    "pwrite64",
    "write",
    "fsync",
    "fdatasync",
    "unlink",
    "ftruncate",
    "pread64",
    "fcntl",
    "fstat",
)


def write_until_killed(where: str, out: int, name: str, most: int) -> None:
    """Append and tell each acknowledged number through a pipe."""
    made = Shop(where, Time())
    for i in range(most):
        number = made.receive(f"{name}-{i}")
        os.write(out, f"{number} {name}-{i}\n".encode())


def killed(where: Path, chance: random.Random, name: str, most: int = 1000) -> list[tuple[int, str]]:
    """Let a forked writer run and kill it at a random moment; what it had acknowledged."""
    read, write = os.pipe()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if child == 0:
        os.close(read)
        try:
            write_until_killed(str(where), write, name, most)
        finally:
            os._exit(0)
    os.close(write)
    if chance.random() < 0.8:
        select.select([read], [], [], 30)  # from its first acknowledged entry on
    time.sleep(chance.uniform(0.0, 0.06))
    os.kill(child, signal.SIGKILL)
    ended(child, "a writer that was killed")
    with os.fdopen(read, "rb") as pipe:
        told = pipe.read().decode().split("\n")[:-1]
    return [(int(n), lot) for n, lot in (line.split() for line in told)]


def nothing_lost(where: Path, told: list[tuple[int, str]]) -> None:
    """Every acknowledged entry is there, and the log holds."""
    log = Log.open(str(where))
    found = log.check()
    assert found.holds, found.faults
    held = {n: t for n, _, _, t in log.entries()}
    for number, lot in told:
        assert f'"lot":"{lot}"' in held[number], f"entry {number} was acknowledged and is lost"


@dataclass(frozen=True)
class Fault:
    """One call failing once: which call, which time it is made, with what error."""

    call: str
    time: int
    error: str


def strace() -> bool:
    """Whether calls can be made to fail here."""
    if shutil.which("strace") is None:
        return False
    done = subprocess.run(["strace", "-o", "/dev/null", "true"], capture_output=True, timeout=300)
    return done.returncode == 0


def _two_appends(where: Path, out: int) -> None:
    made = Shop(str(where), Time())
    for name in ("F1", "F2"):
        try:
            said = f"taken {made.receive(name)} {name}"
        except Exception as error:
            said = f"refused {name} {type(error).__name__} {str(error)[:200]}"
        os.write(out, said.replace("\n", " ").encode() + b"\n")


def _run(where: Path, inject: list[str], log: Path) -> str:
    """Two appends of a forked writer whose calls strace watches; forked, so that nothing is imported anew."""
    go, start = os.pipe()
    read, out = os.pipe()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if child == 0:
        try:
            ctypes.CDLL(None).prctl(0x59616D61, ctypes.c_ulong(-1), 0, 0, 0)  # another process may watch it
            os.close(start)
            os.read(go, 1)
            _two_appends(where, out)
        finally:
            os._exit(0)
    paths = [where, f"{where}-journal", f"{where}.lock", f"{where}.here", f"{where}.last", where.parent]
    watch = [x for p in paths for x in ("-P", str(p))]
    command = ["strace", "-f", "-o", str(log), *watch, *inject, "-p", str(child)]
    watching = subprocess.Popen(command, stderr=subprocess.DEVNULL)
    try:
        until = time.monotonic() + 60
        while "TracerPid:\t0" in Path(f"/proc/{child}/status").read_text():
            assert time.monotonic() < until, "strace does not watch the writer"
            time.sleep(0.005)
    finally:
        for end in (start, go, out):
            os.close(end)
    try:
        with at_most(watching, "a writer whose calls strace watches"), os.fdopen(read) as pipe:
            said = pipe.read()  # until the writer ends; a strace that is killed lets it go on alone
    finally:
        ended(child, "a writer whose calls strace watched")
    watching.wait(60)
    return said


def faults(folder: Path) -> list[Fault]:
    """Every file call that two appends make, each with EIO and ENOSPC."""
    where, log = folder / "shop.sqlite", folder / "calls"
    shop(where)
    assert _run(where, [], log).count("taken") == 2
    seen: dict[str, int] = {}
    for line in log.read_text("utf8", errors="replace").splitlines():
        match = re.match(r"(?:\d+\s+)?(\w+)\(", line)
        if match and match[1] in CALLS:
            seen[match[1]] = seen.get(match[1], 0) + 1
    return [
        Fault(c, n, err)
        for c, count in seen.items()
        for n in range(1, count + 1)
        for err in ("EIO", "ENOSPC")
    ]


def faulty(folder: Path, fault: Fault) -> list[str]:
    """Two appends with one call failing once: nothing acknowledged is lost or damaged. What was said."""
    where = folder / f"{fault.call}-{fault.time}-{fault.error}.sqlite"
    shop(where)
    before = Log.open(str(where)).state.number
    inject = ["-e", f"inject={fault.call}:error={fault.error}:when={fault.time}"]
    said = _run(where, inject, folder / "calls").splitlines()
    told = [(int(x.split()[1]), x.split()[2]) for x in said if x.startswith("taken")]
    nothing_lost(where, told)
    refused = {x.split()[1] for x in said if x.startswith("refused")}
    log = Log.open(str(where))
    kept = {f'"lot":"{n}"': n for n in ("F1", "F2")}
    there = {lot for *_, t in log.entries(before + 1) for mark, lot in kept.items() if mark in t}
    assert len(told) + len(there - {lot for _, lot in told}) <= 2
    stopped = [i for i, x in enumerate(said) if "R101" in x]
    if stopped:
        assert all("R101" in x for x in said[stopped[0] :]), "read-only, then taken again"
        assert log.halted
    assert refused or len(told) == 2 or not said
    assert CHEAP.memory < 100
    return said
