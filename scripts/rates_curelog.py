"""Rates of reading and judging on cure logs of the second, independent family: `rates_curelog.py 14`.

`scripts/rates_curelog.py COUNT [FIRST [FROM TO]]`: COUNT seeds from FIRST on, of the cases FROM to TO
only (counted from 0, TO left out): a long run in pieces. The watch is counted with the last piece.

Prints per case: logs, read right, verdict right, wrong "conforms", planted fault named, false findings.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from second_cases import CASES
from second_rates import false_stops, results

FIRST = 5000  # seeds that nobody looked at while the judge was written


def main(count: int, first: int = FIRST, begin: int = 0, end: int = len(CASES)) -> None:
    """Make ``count`` logs of each case from seed ``first`` on and print what came of them."""
    total = [0] * 6
    print(f"{'case':<28} logs  read  verdict  wrong-conforms  named  false")
    group = max(1, 60 // count)
    cases = CASES[begin:end]
    for at, case in enumerate(cases):
        if at % group == 0:
            with tempfile.TemporaryDirectory() as folder:
                found = results(range(first, first + count), Path(folder), cases[at : at + group])
        rows = [r for r in found if r.case == case.name]
        wrong = [r for r in rows if not r.verdict]
        slipped = [r for r in wrong if r.outcome == "conforms"]
        numbers = [
            len(rows),
            sum(r.read for r in rows),
            len(rows) - len(wrong),
            len(slipped),
            sum(r.named for r in rows),
            sum(bool(r.false) for r in rows),
        ]
        total = [a + b for a, b in zip(total, numbers, strict=True)]
        print(f"{case.name:<28} {numbers[0]:4d}  {numbers[1]:4d}  {numbers[2]:7d}  {numbers[3]:14d}  "
              f"{numbers[4]:5d}  {numbers[5]:5d}", flush=True)  # fmt: skip
        for r in rows:
            if not (r.read and r.verdict and r.named) or r.false:
                said = f"read {r.read}, {r.outcome}, named {r.named}, false {r.false}; {r.words}"
                print(f"    seed {r.seed}: {said}")
    print(f"{'all':<28} " + "  ".join(map(str, total)))
    if end < len(CASES):
        return
    looks, false, told, early = false_stops(range(first, first + count))
    print(f"watch: {false} false stops for heat in {looks} looks at {count} sound cures;")
    print(f"       of {count} that run away {told} told before the ceiling, {early} two minutes before")


if __name__ == "__main__":
    main(*(map(int, sys.argv[1:]) if len(sys.argv) > 1 else (14,)))
