"""A screen served by a process of its own, which can be killed and started again at the same port.

Each is a copy of a process that has read in the code and opened nothing, so that nothing of a killed one is
left in its memory and the code is read in once.
"""

from __future__ import annotations

import contextlib
import json
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
        here = os.pathsep.join([str(Path(__file__).parent), *sys.path])
        self._copied = subprocess.Popen(
            [sys.executable, __file__, str(self.folder)], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            text=True, env={**os.environ, "PYTHONPATH": here},
        )  # fmt: skip
        self._serving = 0
        self.first = self.start()

    @property
    def port(self) -> int:
        """The port it is served at."""
        return int(self.first.rsplit(":", 1)[1].split("/")[0])

    def start(self) -> str:
        """Start it and wait until it answers; the address that lets a browser in."""
        assert self._copied.stdin is not None
        assert self._copied.stdout is not None
        with at_most(self._copied, "the address of the screen"):
            self._copied.stdin.write("start\n")
            self._copied.stdin.flush()
            said = self._copied.stdout.readline()
        assert said, "the screen ended while it started"
        self._serving, address = json.loads(said)
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
        assert self._copied.stdout is not None
        os.kill(self._serving, signal.SIGKILL)
        with at_most(self._copied, "word that the screen has ended"):
            assert self._copied.stdout.readline() == f"{self._serving}\n"
        self._serving = 0

    def stop(self) -> None:
        """End it, whatever it does."""
        if self._serving:
            with contextlib.suppress(ProcessLookupError):
                os.kill(self._serving, signal.SIGKILL)
        self._copied.kill()
        self._copied.wait(LONG)
        for pipe in (self._copied.stdin, self._copied.stdout):
            assert pipe is not None
            pipe.close()


def main(folder: Path) -> None:
    """Each time it is told to start: a copy that serves the screen of a folder; then word of its end."""
    kept_pages.keep()
    for _ in sys.stdin:
        child = os.fork()
        if child == 0:
            try:
                _serve(folder)
            finally:
                os._exit(1)
        os.waitpid(child, 0)
        print(child, flush=True)


def _serve(folder: Path) -> None:
    running = server.ready(Workshop(folder, cost=CHEAP).with_demo())
    print(json.dumps([os.getpid(), running.for_the_browser]), flush=True)
    running.serve()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
