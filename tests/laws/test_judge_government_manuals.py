"""Limits as government manuals word them, written into recipes of ours: cures just inside and just outside.

- US Army TM 1-1500-204-23-11, general aircraft maintenance: a bag under test may lose 1 inHg in 1 min (from
  memory for the clause); psi = inHg x 0.49116, 6-18b.
- US Standard Atmosphere 1976: 22 inHg below ambient cannot exist where the air itself has 20.577 inHg
  (10,000 ft).

Pressures are compared with the conventional inch of mercury, 3386.389 Pa (NIST SP 811), so no tolerance.
"""

from __future__ import annotations

import pytest

from made_curelog import INHG, made_cure
from panelmend.plan.judge import LeakReading, Outcome, judge
from recipe_curelog import LEAKY, RECIPE


@pytest.mark.parametrize(("end", "good"), [(25.2, True), (25.0, True), (24.8, False)])
def test_one_inch_in_one_minute(end: float, good: bool) -> None:
    verdict = judge(LEAKY, made_cure(3).log(), leak=LeakReading(26 * INHG, end * INHG, 60.0))
    assert (verdict.outcome is Outcome.CONFORMS) is good


def test_twenty_two_inches_at_ten_thousand_feet() -> None:
    made = made_cure(3, vacuum=20 * INHG)
    verdict = judge(RECIPE, made.log(), ambient=20.577 * INHG)
    assert verdict.outcome is Outcome.DOES_NOT
    assert any("20.6 inHg cannot give it" in r.words for r in verdict.against())
    claimed = judge(RECIPE, made_cure(3, vacuum=22 * INHG).log(), ambient=20.577 * INHG)
    assert any(f.code == "V131" for f in claimed.findings)
    assert claimed.outcome is Outcome.UNKNOWN
