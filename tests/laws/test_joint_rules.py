"""The tests' own `overlap_rule` keeps the proportions of bonded repairs of MIL-HDBK-17-3F (2002), volume 3
chapter 12: no part of the tool is tried here.
"""

from __future__ import annotations

import pytest

from joint_oracle import overlap_rule
from panelmend.units import INCH


def test_starting_overlaps() -> None:
    """30 t double shear, 80 t single lap, 1-in-50 scarf, ends tapered to .020 in."""
    rule = overlap_rule(0.04 * INCH)
    assert [rule.double / INCH, rule.single / INCH, rule.scarf / INCH] == pytest.approx([1.2, 3.2, 2.0])
    assert rule.tip / INCH == pytest.approx(0.020)
