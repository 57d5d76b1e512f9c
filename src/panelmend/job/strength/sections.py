"""A sandwich turned to a direction, and its neutral plane along it."""

from __future__ import annotations

import numpy as np

from panelmend.job.strength.stacks import Section, Stack
from panelmend.physics.sandwich import Sandwich


def turned_section(section: Section, direction: float) -> Sandwich:
    """A sandwich whose x lies along a direction [rad]."""
    return Section(
        Stack(section.inner.name, tuple((s, a - direction, t) for s, a, t in section.inner.plies)),
        Stack(section.outer.name, tuple((s, a - direction, t) for s, a, t in section.outer.plies)),
        section.core,
        section.thickness,
        section.ribbon - direction,
    ).sandwich()


def neutral(made: Sandwich) -> tuple[float, float, float]:
    """E A [N/m], height of the neutral plane [m] and E I about it [N m] along x, free across."""
    a, b, d = made.stiffness()
    c = np.linalg.inv(np.block([[a, b], [b, d]]))[np.ix_([0, 3], [0, 3])]
    k = np.linalg.inv(c)
    return float(k[0, 0]), float(k[0, 1] / k[0, 0]), float(k[1, 1] - k[0, 1] ** 2 / k[0, 0])
