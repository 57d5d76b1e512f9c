"""Kill a writer at random, and let every file call fail once: scripts/kill_records.py KILLS SEED.

Run by the project's Python: .venv/bin/python scripts/kill_records.py 1000 1.
With KILLS 0 only the failing calls.
"""

from __future__ import annotations

import random
import sys
import time
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

import records_crash  # noqa: E402
from records_made import shop  # noqa: E402


def main() -> None:
    """Kill, count, and see that nothing is lost."""
    kills, seed = (int(x) for x in sys.argv[1:3])
    chance = random.Random(seed)
    start = time.monotonic()
    out = ROOT / "out"  # on the disk that the work is on, and never taken into the repository
    out.mkdir(exist_ok=True)
    with TemporaryDirectory(dir=out) as folder:
        where, told, quiet = Path(folder) / "shop.sqlite", [], 0
        shop(where)
        for n in range(kills):
            new = records_crash.killed(where, chance, f"K{n}")
            quiet += not new
            told += new
            if len(told) > 3000 or n == kills - 1:
                records_crash.nothing_lost(where, told)
                print(f"{n + 1} kills, {len(told)} acknowledged since the last look, none lost", flush=True)
                told = []
                where.unlink()
                shop(where)
        print(f"{kills} kills in {time.monotonic() - start:.0f} s, {quiet} before the first acknowledgement")
        if not records_crash.strace():
            print("strace is not here: no file call was made to fail")
            return
        every = records_crash.faults(Path(folder))
        said: Counter[str] = Counter()
        for fault in every:
            words = records_crash.faulty(Path(folder), fault)
            taken = sum(w.startswith("taken") for w in words)
            stopped = any("R101" in w for w in words)
            said[f"{taken} of 2 taken{', then read-only' if stopped else ''}"] += 1
        print(f"{len(every)} single faults, none lost or damaged anything: {dict(said)}")


if __name__ == "__main__":
    main()
