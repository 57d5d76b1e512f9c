"""The calls made from the description of the API, in a process of their own.

Each bears the name of its test alone, and of those that share a name workers side by side run one.
"""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent


def test_calls_made_from_the_description_hold() -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", HERE / "api_calls.py"],
        cwd=HERE.parents[1],
        capture_output=True,
        text=True,
        timeout=900,
        check=False,
    )
    assert ran.returncode == 0, ran.stdout[-8000:] + ran.stderr[-2000:]
    drawn = [line for line in ran.stdout.splitlines() if re.fullmatch(r"[.]+( +\[ *\d+%\])?", line)]
    assert sum(line.count(".") for line in drawn) > 100, (
        "each operation, by those who may and by those who may not"
    )
