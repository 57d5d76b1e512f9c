"""A test that hangs is told with the line it hangs at, fails, and holds up no other."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]
SETTINGS = tomllib.loads((ROOT / "pyproject.toml").read_text("utf8"))["tool"]["pytest"]["ini_options"]
TESTS = """
import threading


def test_that_hangs():
    threading.Lock().acquire() and threading.Event().wait()


def test_that_does_not():
    pass
"""


def test_it_is_told_and_the_others_go_on(tmp_path: Path) -> None:
    """By the settings of this project but for the time, which is far more than its longest test takes."""
    (tmp_path / "test_hangs.py").write_text(TESTS, "utf8")
    wanted = {
        "faulthandler_timeout": 3,
        "faulthandler_exit_on_timeout": SETTINGS["faulthandler_exit_on_timeout"],
    }
    settings = [x for name, value in wanted.items() for x in ("-o", f"{name}={str(value).lower()}")]
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-p",
        "no:cacheprovider",
        "-c",
        os.devnull,
        "-n",
        "1",
        *settings,
    ]
    env = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
    done = subprocess.run(
        [*command, f"--rootdir={tmp_path}", str(tmp_path)],
        cwd=tmp_path, env=env, capture_output=True, text=True, timeout=120,
    )  # fmt: skip
    assert done.returncode == 1, done.stdout + done.stderr
    assert "1 failed, 1 passed" in done.stdout
    assert "test_hangs.py::test_that_hangs" in done.stdout
    assert "line 6 in test_that_hangs" in done.stderr, "where it hangs"


def test_the_time_is_there() -> None:
    assert 600 <= SETTINGS["faulthandler_timeout"] <= 1800
