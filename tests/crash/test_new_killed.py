"""A job typed at a terminal as a person types: with slips taken back, killed in the middle, gone on with."""

from __future__ import annotations

import json
import os
import select
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from new_jobs import KINDS
from shelf_files import SHELVES

pty = pytest.importorskip("pty")
TYPED = KINDS[0].typed
AT_ONCE = 120.0  # s until a question must have come; no measurement


class Terminal:
    """A terminal with `panelmend new` in it."""

    def __init__(self, target: Path) -> None:
        self.ours, theirs = pty.openpty()
        env = {**os.environ, "PANELMEND_SHELVES": str(SHELVES), "TERM": "dumb"}
        words = [sys.executable, "-m", "panelmend.app.cli", "new", target.name]
        self.process = subprocess.Popen(
            words,
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            cwd=target.parent,
            env=env,
            start_new_session=True,
        )
        os.close(theirs)
        self.said = ""

    def until(self, words: str) -> str:
        """Read until words were said since the last time; all that was said till then."""
        end = time.monotonic() + AT_ONCE
        while words not in self.said:
            ready, _, _ = select.select([self.ours], [], [], max(0.0, end - time.monotonic()))
            assert ready, f"{words!r} did not come; so far: {self.said[-2000:]}"
            try:
                data = os.read(self.ours, 65536)
            except OSError:  # the other end closed
                data = b""
            assert data, f"it ended before {words!r}; so far: {self.said[-2000:]}"
            self.said += data.decode("utf8", "replace").replace("\r", "")
        before, _, self.said = self.said.partition(words)
        return before + words

    def types(self, text: str) -> None:
        """Type a line, key by key."""
        for key in text:
            os.write(self.ours, key.encode("utf8"))
        os.write(self.ours, b"\n")

    def end(self, sign: int | None = None) -> int:
        """End it, or wait until it has ended by itself; its exit code."""
        if sign is not None:
            os.kill(self.process.pid, sign)
        code = self.process.wait(AT_ONCE)
        os.close(self.ours)
        return code


def test_a_killed_terminal_loses_nothing(tmp_path: Path) -> None:
    target, kept = tmp_path / "my.toml", tmp_path / "my.answers.json"
    first = Terminal(target)
    for prompt, line in zip(
        ("use.panel", "use.serial", "use.data", "use.bay", "repair.number"), TYPED, strict=False
    ):
        first.until(prompt)
        if prompt == "use.data":
            first.types("potted")
            first.until("use.bay")
            first.types("<")  # a slip: taken back
            first.until("use.data")
        if prompt == "use.serial":
            line = "03\x7f\x7f" + line  # two keys wrong, rubbed out
        first.types(line)
    first.until("people.technician")
    first.types("R. O")  # not sent yet
    assert first.end(signal.SIGKILL) == -signal.SIGKILL
    assert not target.exists()
    answers = json.loads(kept.read_text("utf8"))
    assert answers["use.data"] == "M3-SRM rev 11 / Repair 1"
    assert answers["use.serial"] == "0377"
    assert answers["repair.number"] == "TAS-26-0501"
    assert "people.technician" not in answers

    (tmp_path / "my.answers.json0000.part").write_text("{")  # as if killed while the answers were being kept

    again = Terminal(target)
    assert "(5 answers)" in again.until("Going on from my.answers.json (5 answers)")
    prompts = ("people.technician", "people.inspector", "panel.earlier.1", "damage.depth", "damage.side")
    for prompt, line in zip((*prompts, "damage.outline", "damage.moisture"), TYPED[5:], strict=True):
        again.until(prompt)
        again.types(line)
    shown = again.until("Enter writes it")
    assert "X damage" in shown
    assert not target.exists(), "nothing is written before it was shown"
    again.types("")
    assert "after 7 questions" in again.until("questions.")
    again.until("Next: panelmend plan my.toml")
    assert again.end() == 0
    text = target.read_text("utf8")
    assert 'data = "M3-SRM rev 11 / Repair 1"' in text
    assert (tmp_path / "my.panel.svg").read_bytes().startswith(b"<?xml")
    assert not kept.exists()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["my.panel.svg", "my.toml"]
