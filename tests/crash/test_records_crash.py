"""A writer killed at random loses nothing it acknowledged; a file call that fails once corrupts nothing."""

from __future__ import annotations

import random
import subprocess
import sys
from pathlib import Path

import pytest

import records_crash
from panelmend.records.store.log import Log
from records_made import shop


def test_kills_at_random_lose_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    where, chance, told = tmp_path / "shop.sqlite", random.Random(1), []
    shop(where)
    for n in range(24):
        told += records_crash.killed(where, chance, f"K{n}")
    records_crash.nothing_lost(where, told)
    assert len(told) >= 15


def test_a_kill_while_records_begin_leaves_none_or_whole_ones(tmp_path: Path) -> None:
    """The making of the tables and the first entry are one transaction."""
    where = tmp_path / "new.sqlite"
    where.touch()
    log = Log.open(str(where), make=True)

    def stops(state: object, connection: object) -> list[object]:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        log.append(stops)  # type: ignore[arg-type]
    with pytest.raises(Exception, match="no records"):
        Log.open(str(where))
    Log.open(str(where), make=True)


def test_eight_writers_at_once_make_one_chain(tmp_path: Path) -> None:
    where = tmp_path / "shop.sqlite"
    shop(where)
    first = Log.open(str(where)).state.number
    code = (
        f"import sys; sys.path[:0] = {[str(records_crash.ROOT / n) for n in ('src', 'tests')]!r}\n"
        "import os\nfrom records_crash import write_until_killed\n"
        "for n in range(8):\n"
        "    if os.fork() == 0:\n"
        f"        write_until_killed({str(where)!r}, 1, f'W{{n}}', 6)\n"
        "        os._exit(0)\n"
        "for n in range(8):\n"
        "    assert os.wait()[1] == 0\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=300
    )
    told = [(int(n), lot) for n, lot in (line.split() for line in done.stdout.splitlines())]
    records_crash.nothing_lost(where, told)
    assert Log.open(str(where)).state.number == first + 48


@pytest.mark.skipif(not records_crash.strace(), reason="strace is not here: no file call was made to fail")
def test_file_calls_that_fail_once_lose_and_damage_nothing(tmp_path: Path) -> None:
    """Some of them, of every call and both errors; scripts/kill_records.py makes every one fail."""
    every = records_crash.faults(tmp_path)
    assert {f.call for f in every} >= {"pwrite64", "fdatasync", "unlink"}
    chance = random.Random(2)
    kinds = sorted({(f.call, f.error) for f in every})
    chosen = [chance.choice([f for f in every if (f.call, f.error) == kind]) for kind in kinds]
    assert len(chosen) >= 12
    said = [line for fault in chosen for line in records_crash.faulty(tmp_path, fault)]
    assert any(line.startswith("refused") for line in said)
