"""A PostgreSQL server of its own for the tests, from Debian's packages, where they are installed."""

from __future__ import annotations

import os
import pwd
import shutil
import signal
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import mkdtemp


def programs() -> Path | None:
    """The folder of initdb and postgres, if they are installed."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if found:
        return found[-1].parent
    on_path = shutil.which("initdb")
    return Path(on_path).parent if on_path and shutil.which("postgres") else None


def _user() -> str | None:
    """Another user to run as: the server refuses to run as root."""
    if os.getuid() != 0:
        return None
    for name in ("postgres", "nobody"):
        try:
            pwd.getpwnam(name)
        except KeyError:
            continue
        return name
    return None


@contextmanager
def server() -> Iterator[str]:
    """The URL of an empty database on a server that listens on a socket in its own folder."""
    bins = programs()
    assert bins is not None
    folder, user = Path(mkdtemp(prefix="pg")), _user()
    if user is not None:
        shutil.chown(folder, user)
    data = folder / "data"
    more = {"user": user, "cwd": folder} if user is not None else {"cwd": folder}
    make = [
        str(bins / "initdb"),
        "-D",
        str(data),
        "-U",
        "shop",
        "-A",
        "trust",
        "-E",
        "UTF8",
        "--locale=C.UTF-8",
        "-N",
    ]
    subprocess.run(make, check=True, capture_output=True, **more, timeout=300)  # type: ignore[call-overload]
    ready = [str(bins / "pg_isready"), "-h", str(folder), "-q"]
    run = [str(bins / "postgres"), "-D", str(data), "-k", str(folder), "-c", "listen_addresses="]
    running = subprocess.Popen(run, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, **more)  # type: ignore[call-overload]
    try:
        until = time.monotonic() + 120
        while subprocess.run(ready, capture_output=True, timeout=300).returncode and time.monotonic() < until:
            assert running.poll() is None, "the server ended while it started"
            time.sleep(0.1)
        yield f"postgresql+psycopg://shop@/postgres?host={folder}"
    finally:
        running.send_signal(signal.SIGQUIT)  # at once: what it holds is thrown away, however many databases
        running.wait(120)
        shutil.rmtree(folder, ignore_errors=True)
