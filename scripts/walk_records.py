"""Walk the records at random: scripts/walk_records.py WALKS STEPS SEED [SECONDS of processor at most].

Every other walk goes by every route (library, command line, several drafts at once without a secret). Prints
what was taken and refused, and how often.

Run by the project's Python: .venv/bin/python scripts/walk_records.py 200 40 1
"""

from __future__ import annotations

import random
import shutil
import sys
import time
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from records_routes import Routes  # noqa: E402
from records_walk import Walk  # noqa: E402


def main() -> None:
    """Walk, and count."""
    walks, steps, seed = (int(x) for x in sys.argv[1:4])
    taken: Counter[str] = Counter()
    ends: Counter[str] = Counter()
    ways: Counter[str] = Counter()
    start = time.process_time()
    until = start + float(sys.argv[4]) if len(sys.argv) > 4 else None
    done = 0
    for n in range(walks):
        if until is not None and time.process_time() > until:
            break
        done += 1
        chance = random.Random(seed * 1_000_003 + n)
        walk = Routes() if n % 2 else Walk()
        walk.go(chance.randrange(10**15) for _ in range(steps))
        taken += walk.taken
        if isinstance(walk, Routes):
            ways += Counter(walk.ways)
        ends.update(j.closed or "open" for j in walk.shop.state.jobs.values())
        shutil.rmtree(Path(walk.shop.where).parent)
    print(f"{done} walks of {steps} steps, {time.process_time() - start:.0f} s; jobs: {dict(ends)}")
    print(f"taken by route in every other walk: {dict(ways)}")
    for name, count in sorted(taken.items()):
        print(f"  {name:<20} {count}")


if __name__ == "__main__":
    main()
