"""What a cure log costs: reading and judging beside pandas and polars, and from a reading to an alarm.

    scripts/bench curelog [--rows 10000 100000 1000000]

One made log with eight thermocouples, a vacuum and a set point, a noise of its own in every row, is written
once and read by our reader, by pandas and by polars in turn in the same run, the best of three, in processor
seconds. pandas and polars are told the format; ours checks every cell and keeps line numbers and the file's
digest. The floor is reading the bytes alone. Peak memory is that of a process of its own that proposes, reads
and judges, with the interpreter and its libraries (``--peak FILE`` is that process).
The live path is the time from a line written to a growing file to the alarm it causes.
"""

from __future__ import annotations

import argparse
import hashlib
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

import numpy as np

from made_curelog import made_cure, written
from panelmend.curelog import propose, read_log
from panelmend.curelog.live import GrowingFile
from panelmend.plan.judge import judge, look
from recipe_curelog import RECIPE


def best(work: Callable[[], object], times: int = 3) -> float:
    """Processor seconds of the fastest of a few runs."""
    seen = []
    for _ in range(times):
        start = time.process_time()
        work()
        seen.append(time.process_time() - start)
    return min(seen)


def reading(rows: int, folder: Path) -> None:
    """One size: reading and judging."""
    import pandas as pd
    import polars as pl

    file = folder / f"{rows}.csv"
    made = made_cure(1, step=1.0, sensors=8)
    times = np.arange(rows, dtype=float)
    at = np.linspace(0, made.times[-1], rows)
    made.temps = np.column_stack([np.interp(at, made.times, c) for c in made.temps.T])
    made.temps += np.random.default_rng(1).normal(0.0, 0.05, made.temps.shape)
    made.vacuum, made.set_point = (np.interp(at, made.times, c) for c in (made.vacuum, made.set_point))
    made.times = times
    file.write_text(written(made), "utf-8")
    del made, at, times
    size = file.stat().st_size / 1e6
    done = subprocess.run(
        [sys.executable, __file__, "--peak", str(file)], capture_output=True, text=True, check=True
    )
    start, peak = map(float, done.stdout.split())
    print(f"{rows} rows, {size:.1f} MB; peak of a process of its own {peak:.0f} MB, {peak / size:.2f} of the "
          f"file; {start:.0f} MB of it before the file was touched")  # fmt: skip
    proposal = propose(file)
    how = proposal.confirm(proposal.suggested())
    log = read_log(file, how)
    results = {
        "bytes and digest alone": best(lambda: hashlib.sha256(file.read_bytes()).digest()),
        "propose": best(lambda: propose(file), 1),
        "read": best(lambda: read_log(file, how)),
        "judge": best(lambda: judge(RECIPE, log)),
        "pandas": best(lambda: pd.read_csv(file, parse_dates=[0])),
        "polars": best(lambda: pl.read_csv(file, try_parse_dates=True)),
    }
    same = pd.read_csv(file).iloc[:, 1].to_numpy() + 273.15
    apart = float(np.abs(same - log.channels[0].values).max())
    print(f"  largest difference from pandas {apart:.1e} K")
    for name, seconds in results.items():
        print(f"  {name:<24} {seconds:8.3f} s  {rows / seconds / 1e3:9.0f} thousand rows/s")
    ours = results["propose"] + results["read"] + results["judge"]
    print(f"  all of ours is {ours / results['polars']:.2f} of polars, read and judge "
          f"{(results['read'] + results['judge']) / results['polars']:.2f}")  # fmt: skip


def peak(file: str) -> None:
    """Print the memory [MB] of this process before and at its most: proposed, read, judged."""
    before = resident()
    proposal = propose(file)
    judge(RECIPE, read_log(file, proposal.confirm(proposal.suggested())))
    print(before, resident())


def resident() -> float:
    """The most memory of this process so far [MB]."""
    status = Path("/proc/self/status")
    if status.exists():  # what a process is born with counts in the other figure
        line = next(x for x in status.read_text("utf-8").splitlines() if x.startswith("VmHWM"))
        return int(line.split()[1]) / 1e3 * 1.024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3 * 1.024


def live(folder: Path) -> None:
    """From a line in a growing file to the alarm it causes, at several lengths of the log.

    The line carries the time that comes next: one whose stamp leaps to the end of the cure is not believed
    until another confirms it, and tells nothing yet."""
    made = made_cure(1, step=2.0)
    lines = written(made).splitlines(keepends=True)
    made.temps[:, 2] = 1645.0
    opened = written(made).splitlines(keepends=True)
    whole, file = folder / "whole.csv", folder / "live.csv"
    whole.write_text("".join(lines), "utf-8")
    proposal = propose(whole)
    for share in (0.25, 0.5, 1.0):
        n = int(share * (len(lines) - 1))
        file.write_text("".join(lines[:n]), "utf-8")
        growing = GrowingFile(file, proposal.confirm(proposal.suggested()))
        growing.poll()
        with file.open("a", encoding="utf-8") as out:
            out.write(opened[n])
        start = time.perf_counter()
        growing.poll()
        now = look(RECIPE, growing.log())
        took = time.perf_counter() - start
        told = any("TC3" in a.finding.words for a in now.alarms)
        print(f"live, {n} samples so far: {took * 1e3:.0f} ms from line to alarm (told: {told})")


def main() -> None:
    """Run it."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])  # type: ignore[union-attr]
    asked.add_argument("--rows", type=int, nargs="*", default=[10_000, 100_000, 1_000_000])
    asked.add_argument(
        "--peak", help="the file that this process proposes, reads and judges, for its memory alone"
    )
    told = asked.parse_args()
    if told.peak:
        return peak(told.peak)
    sizes = told.rows
    with tempfile.TemporaryDirectory() as name:
        for rows in sizes:
            reading(rows, Path(name))
        live(Path(name))


if __name__ == "__main__":
    main()
