"""The plain rule: damage runs one tap spacing past the last dull tap. Kept for comparison."""

from __future__ import annotations

from panelmend.job.survey.field import merged, spacing_of
from panelmend.job.survey.readings import SkinReadings
from panelmend.shapes import Outline, circle, united


def plain_rule(readings: SkinReadings) -> tuple[Outline, ...]:
    """Everything within one spacing of a dull reading, outlines with their holes filled, largest first.

    Source: common practice, no source.
    """
    spacing = spacing_of(merged(readings).at)
    rounds = [circle((float(x), float(y)), 2.0 * spacing) for x, y in readings.at[readings.dull]]
    return tuple(r.outer for r in united(rounds, 1e-4)) if rounds else ()
