"""Walk the records at random: scripts/walk_records.py WALKS STEPS SEED [FIRST walk].

Each action goes by a drawn route: library, command line, web API with sessions, several drafts at once
without a secret; the job is just begun or further on. Prints what was taken and refused, after every 100
walks too, so that what was walked is known whenever it is stopped. A walk that breaks is told with its
number and the others go on; it ends with 1 then.

Run by the project's Python: .venv/bin/python scripts/walk_records.py 200 12 1
"""

from __future__ import annotations

import random
import shutil
import sys
import time
import traceback
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from panelmend.records.store import kept  # noqa: E402
from records_made import KEYS  # noqa: E402
from records_routes import Routes  # noqa: E402


def main() -> None:
    """Walk, and count."""
    kept.EVERY = 3  # the state beside the log is written, and begun from, all the way
    walks, steps, seed = (int(x) for x in sys.argv[1:4])
    taken: Counter[str] = Counter()
    ends: Counter[str] = Counter()
    ways: Counter[str] = Counter()
    broken: list[int] = []
    start = time.process_time()
    first, done = int(sys.argv[4]) if len(sys.argv) > 4 else 0, 0
    for n in range(first, walks):
        chance = random.Random(seed * 1_000_003 + n)
        walk = Routes(n % len(KEYS))
        try:
            walk.go(chance.randrange(10**18) for _ in range(steps))
        except Exception:
            broken.append(n)
            print(f"walk {n} of seed {seed} broke\n{traceback.format_exc()}", flush=True)
            continue  # its folder stays, to be looked at
        done += 1
        taken += walk.taken
        ways += Counter(walk.ways) + Counter({f"refused, {k}": v for k, v in walk.refused.items()})
        ways += Counter({f"turned away, {k}": v for k, v in walk.web.turned_away.items()})
        ends.update(j.closed or "open" for j in walk.shop.state.jobs.values())
        shutil.rmtree(Path(walk.shop.where).parent)
        if done % 100 == 0:
            print(
                f"{done} walks from {first} on, {time.process_time() - start:.0f} s: {dict(ways)}", flush=True
            )
    spent = time.process_time() - start
    print(f"{done} walks held from {first} on of {steps} actions, {spent:.0f} s; jobs: {dict(ends)}")
    print(f"broken: {broken or 'none'}")
    print(f"by route: {dict(ways)}")
    for name, count in sorted(taken.items()):
        print(f"  {name:<20} {count}")
    sys.exit(bool(broken))


if __name__ == "__main__":
    main()
