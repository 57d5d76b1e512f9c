"""A report is written over no document, no log and nothing kept beside them."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from panelmend.app.cli import main
from panelmend.app.exits import Exit

DEMO = Path(__file__).parents[2] / "examples" / "gear_door"
LEAK = "24.6 inHg; 24.2 inHg; 1 min; below ambient; 2026-11-25 08:25"
JOB = ("--vacuum-on", "2026-11-25 08:10", "--bag-opened", "2026-11-25 14:30", "--by", "A. Reyes")


@pytest.fixture
def here(tmp_path: Path) -> Path:
    for name in ("repair.toml", "cure-repair-plies.csv", "cure-repair-plies.csv.read.json"):
        shutil.copy(DEMO / name, tmp_path / name)
    (tmp_path / "repair.cures.json").write_text('{"version": 1, "cures": {}}', "utf8")
    (tmp_path / "notes").write_text("what was seen", "utf8")
    (tmp_path / "scan.pdf").write_bytes(b"a scan with a wrong name")
    return tmp_path


def run(*words: str) -> tuple[int, str]:
    done = CliRunner().invoke(main, list(words))
    return done.exit_code, done.output


def judge(here: Path, report: str) -> tuple[int, str]:
    words = ("judge", str(here / "repair.toml"), str(here / "cure-repair-plies.csv"), "--no-ask")
    return run(*words, "--operation", "Repair plies", "--leak", LEAK, *JOB, "--report", str(here / report))


OTHERS = (
    "repair.toml",
    "cure-repair-plies.csv",
    "cure-repair-plies.csv.read.json",
    "repair.cures.json",
    "notes",
    "scan.pdf",
)


@pytest.mark.parametrize("name", OTHERS)
def test_no_report_takes_the_place_of_another_file(here: Path, name: str) -> None:
    before = {p.name: p.read_bytes() for p in here.iterdir()}
    for code, words in (
        judge(here, name),
        run("strength", str(here / "repair.toml"), "--report", str(here / name)),
        run("heat", str(here / "repair.toml"), "--report", str(here / name)),
        run("again", *[str(here / "repair.toml")] * 2, "--done", "1", "--to", str(here / name)),
    ):
        assert code == Exit.REFUSED, words
        assert name in words
    assert {p.name: p.read_bytes() for p in here.iterdir()} == before


def test_an_earlier_report_is_replaced(here: Path) -> None:
    for name in ("cure.json", "cure.JSON", "cure.pdf"):
        assert judge(here, name)[0] == 0
        first = (here / name).read_bytes()
        assert judge(here, name)[0] == 0
        assert (here / name).read_bytes()[:5] == first[:5]
    assert json.loads((here / "cure.JSON").read_bytes())["verdict"]["outcome"] == "conforms"
