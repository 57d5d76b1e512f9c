"""A screen served by a process of its own, which can be killed and started again at the same port."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

import kept_pages
from ends import LONG, at_most
from panelmend.screen import server
from panelmend.screen.workshop import Workshop
from screen_made import CHEAP


class ServedProcess:
    """The screen of a folder in another process; ``first`` is the address that lets a browser in."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.first = self.start()

    @property
    def port(self) -> int:
        """The port it is served at."""
        return int(self.first.rsplit(":", 1)[1].split("/")[0])

    def start(self) -> str:
        """Start it and wait until it answers; the address that lets a browser in."""
        here = os.pathsep.join([str(Path(__file__).parent), *sys.path])
        self.process = subprocess.Popen(
            [sys.executable, __file__, str(self.folder)], stdout=subprocess.PIPE, text=True,
            env={**os.environ, "PYTHONPATH": here},
        )  # fmt: skip
        assert self.process.stdout is not None
        with at_most(self.process, "the address of the screen"):
            address = self.process.stdout.readline().strip()
        assert address, "the screen ended while it started"
        root = address.split("/enter")[0]
        for _ in range(2400):
            try:
                urlopen(f"{root}/static/tokens.css", timeout=5).close()
                return address
            except (URLError, OSError):
                time.sleep(0.05)
        raise AssertionError("the screen was not served")

    def kill(self) -> None:
        """End it as a power cut would: it closes nothing."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait(LONG)
        assert self.process.stdout is not None
        self.process.stdout.close()

    def stop(self) -> None:
        """End it, whatever it does."""
        if self.process.poll() is None:
            self.kill()


def main(folder: Path) -> None:
    """Serve the screen of a folder until the process ends."""
    kept_pages.keep()
    running = server.ready(Workshop(folder, cost=CHEAP).with_demo())
    print(running.for_the_browser, flush=True)
    running.serve()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
