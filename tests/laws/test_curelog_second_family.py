"""A small fixed sample of the second family: no wrong "conforms", and what is planted is named.

The rates on hundreds of logs come from `scripts/rates_curelog.py`; this sample keeps them from falling
unseen.
"""

from __future__ import annotations

from pathlib import Path

from second_cases import CASES
from second_rates import results


def test_a_sample_of_the_second_family(tmp_path: Path) -> None:
    found = results(range(1000, 1003), tmp_path)
    assert len(found) == 3 * len(CASES) >= 60
    slipped = [r for r in found if not r.verdict and r.outcome == "conforms"]
    assert slipped == []
    wrong = [r for r in found if not (r.read and r.verdict and r.named)]
    assert len(wrong) <= 3, wrong
    assert sum(bool(r.false) for r in found) <= 3, [r for r in found if r.false]
