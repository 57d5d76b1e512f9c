"""The demonstration's cure log and the verbs that read it, as typed."""

from __future__ import annotations

import shutil
from pathlib import Path

from click.testing import CliRunner

from panelmend.app.cli import main

DEMO = Path(__file__).parents[1] / "examples" / "gear_door"
LEAK = "24.6 inHg; 24.2 inHg; 1 min; below ambient; 2026-11-25 08:25"
ON, OPENED = "2026-11-25 08:10", "2026-11-25 14:30"
WATCH = "10:20; 12:28"
TIMES = ("--vacuum-on", ON, "--bag-opened", OPENED, "--by", "A. Reyes")
OPERATION = "Repair plies"


def run(*words: str) -> tuple[int, str]:
    done = CliRunner().invoke(main, list(words))
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done.exit_code, done.output


def folder_of(place: Path) -> Path:
    """The document and its log, copied to a place."""
    for name in ("repair.toml", "cure-repair-plies.csv"):
        shutil.copy(DEMO / name, place / name)
    return place
