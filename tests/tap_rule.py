"""The plain rule: damage runs one tap spacing past the last dull tap. Kept for comparison."""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from panelmend.job.survey.field import merged
from panelmend.job.survey.readings import SkinReadings
from panelmend.shapes import Outline, circle, united


def plain_rule(readings: SkinReadings) -> tuple[Outline, ...]:
    """Everything within one spacing of a dull reading, outlines with their holes filled, largest first.

    Source: common practice, no source.
    """
    at = merged(readings).at
    spacing = float(np.median(cKDTree(at).query(at, k=2)[0][:, 1]))
    rounds = [circle((float(x), float(y)), 2.0 * spacing) for x, y in readings.at[readings.dull]]
    return tuple(r.outer for r in united(rounds, 1e-4)) if rounds else ()
