"""From document to plan and to the whole pack, cold (a new process) and warm (the same process again).

The reference of the same run is a new Python process that does nothing, and one that only imports numpy: what
no Python program can go below. Times are wall clock; the best and the median of the runs are printed.

    scripts/bench main_job [--runs 5] [--example gear_door]
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).parents[1]


def timed(action: Callable[[], object], runs: int) -> tuple[float, float]:
    """Best and median wall clock [s]."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        action()
        times.append(time.perf_counter() - start)
    return min(times), statistics.median(times)


def process(*words: str, answers: str = "") -> Callable[[], object]:
    """A new Python process; kept answers of verbs in a folder, or "" for none."""
    env = {**os.environ, "PANELMEND_KEPT": answers}
    return lambda: subprocess.run([sys.executable, *words], check=True, capture_output=True, env=env)


def main() -> None:
    """Measure and print a table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--example", default="gear_door")
    chosen = parser.parse_args()
    document = ROOT / "examples" / chosen.example / "repair.toml"
    kept = document.with_suffix(".nest.json")
    rows: list[tuple[str, tuple[float, float]]] = []
    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder)
        copy = here / "repair.toml"
        copy.write_bytes(document.read_bytes())
        cli = ("-m", "panelmend.app.cli")
        rows.append(
            ("reference: a Python process that does nothing", timed(process("-c", "pass"), chosen.runs))
        )
        rows.append(
            ("reference: a process that imports numpy", timed(process("-c", "import numpy"), chosen.runs))
        )
        rows.append(("cold: document to plan, shelves", timed(process(*cli, "plan", str(copy)), chosen.runs)))
        for verb in ("check", "plan", "pack"):
            again = process(*cli, verb, str(copy), answers=str(here / "answers"))
            for _ in range(3 if verb == "pack" else 1):  # a pack is kept once it stood there before
                again()
            rows.append((f"cold: {verb}, nothing changed since", timed(again, chosen.runs)))
        pack = process(*cli, "pack", str(copy), "--to", str(here / "pack"), "--search", "0")
        rows.append(("cold: whole pack, shelves", timed(pack, chosen.runs)))

        def searched() -> None:
            (here / "repair.nest.json").unlink(missing_ok=True)
            process(*cli, "pack", str(copy), "--to", str(here / "pack"))()

        rows.append(("cold: whole pack, default search (3 s)", timed(searched, max(2, chosen.runs // 2))))
        if kept.exists():
            (here / "repair.nest.json").write_bytes(kept.read_bytes())
        rows.append(("cold: whole pack, layouts kept", timed(pack, chosen.runs)))

        from panelmend.app import service

        service.plan(copy)
        rows.append(("warm: document to plan", timed(lambda: service.plan(copy), 4 * chosen.runs)))
        service.pack(copy, here / "warm", 0.0)
        rows.append(("warm: whole pack", timed(lambda: service.pack(copy, here / "warm", 0.0), chosen.runs)))
    print(f"example {chosen.example}, {chosen.runs} runs, Python {sys.version.split()[0]}")
    print(f"{'':50}{'best s':>9}{'median s':>10}")
    for words, (best, median) in rows:
        print(f"{words:50}{best:9.3f}{median:10.3f}")


if __name__ == "__main__":
    main()
