#!/usr/bin/env python3
"""Whether the strength report's headline is the least of its tables, for many made repairs.

    scripts/least_generated.py [COUNT] [FIRST SEED]

Prints every repair where it is not, and how many were read, had load cases, and rest on a value not given.
"""

from __future__ import annotations

import sys
from pathlib import Path
from unittest.mock import patch

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from panelmend.job.strength.drawn import STRIPS  # noqa: E402
from strength_made import drawn, headline, rough  # noqa: E402

COUNT = int(sys.argv[1]) if len(sys.argv) > 1 else 500
FIRST = int(sys.argv[2]) if len(sys.argv) > 2 else 0
HALF = tuple(STRIPS[k] for k in (0, 3, 5, 6, 9, 10))  # 0, 45, 90 and -45 degrees, and two of the others
FEWER = (
    # what a change would do is in no table of reserves, and the rule is the same for every strip
    patch.object(sys.modules["panelmend.job.strength.make"], "changes_of", lambda *_: ()),
    patch.object(sys.modules["panelmend.job.strength.bondrows"], "STRIPS", HALF),
)
wrong = loaded = rests = 0
for done, seed in enumerate(range(FIRST, FIRST + COUNT), 1):
    with FEWER[0], FEWER[1]:
        made = rough(drawn(seed))
    top, rows = headline(made)
    loaded += bool(made.part.modes)
    rests += bool(made.part.least is not None and made.part.least.rests)
    if top != min(rows):
        wrong += 1
        print(f"seed {seed}: headline {top:g}, least of the tables {min(rows):g}", flush=True)
    if done % 10 == 0 or done == COUNT:
        said = f"{wrong} wrong; {loaded} with load cases, {rests} rest on a value not given"
        print(f"{done} repairs from seed {FIRST}: {said}", flush=True)
sys.exit(wrong > 0)
