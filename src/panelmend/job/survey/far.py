"""The survey of the side that is not worked from, where the damage goes through: its own line."""

from __future__ import annotations

import math

from panelmend.errors import Finding, RangeError
from panelmend.job.case import Case
from panelmend.job.survey import codes as c
from panelmend.job.survey.doubts import S137, S138
from panelmend.job.survey.part import SurveyReadings, groups_of, traced_of
from panelmend.job.survey.trace import TracedSurvey
from panelmend.shapes import least_overlap
from panelmend.units import show

THROUGH_DISTANCE = 0.025  # [m] a blow goes through near where it struck: common practice, no source


def far_trace(case: Case) -> TracedSurvey | None:
    """The lines of the far side; None where it was not read, or too little for lines."""
    readings = case.far_survey
    if readings is None or not readings.rows:
        return None
    try:
        return traced_of(readings, case.confidence, case.line, case.geometry.outline)
    except RangeError:
        return None


def check_far(case: Case) -> list[Finding]:
    """Findings on the far side of damage that goes through; elsewhere its dull readings are named (S105)."""
    damage = case.document.damage
    if not damage.through:
        return []
    if case.far_survey is None or not case.far_survey.rows:
        typed = damage.far_shape is not None
        return (
            []
            if typed
            else [
                S137(
                    "no reading on it, and no outline of the damage in it typed [far_shape]",
                    place="survey.sweep",
                )
            ]
        )
    traced = far_trace(case)
    if traced is None or not traced.areas:
        return []
    side = f"on the {'inside' if damage.side == 'outside' else 'outside'}: "
    found = []
    if any(a.runs_off for a in traced.areas):
        found.append(c.S101(f"{side}the outer line comes to where nothing was read", place="survey.sweep"))
    if traced.contradictory:
        found.append(c.S102(side + c.places_listed(case, traced.contradictory), place="survey.sweep"))
    groups = groups_of(traced, case.merge)
    if len(groups) > 1:
        found.append(c.S103(f"{side}{len(groups)} areas", place="data.limits.merge_distance"))
    if traced.gaps:
        found.append(
            c.S111(f"{side}tap here: {c.places_listed(case, traced.gaps, 12)}", place="survey.sweep")
        )
    if traced.withheld:
        words = "; ".join(w.words(case.view) for w in traced.withheld)
        found.append(c.S112(side + words, place="survey.confidence"))
    far = case.geometry.far_damage
    if damage.far_shape is not None and far is not None:
        for area in traced.areas:
            over = least_overlap(area.outer, far)[0]
            if over < -1e-6:
                past = show(-over, "length", case.view)
                found.append(c.S107(f"{side}it passes far_shape by up to {past}", place="damage.far_shape"))
    return found + _over_each_other(case)


def _over_each_other(case: Case) -> list[Finding]:
    near, far = _middle(case.survey), _middle(case.far_survey)
    damage = case.geometry.damage
    if near is None and damage is not None:
        near = damage.centroid
    if near is None or far is None or math.dist(near, far) <= THROUGH_DISTANCE:
        return []

    def told(p: tuple[float, float]) -> str:
        return f"({show(p[0], 'length', case.view)}, {show(p[1], 'length', case.view)})"

    side = case.document.damage.side
    other = "inside" if side == "outside" else "outside"
    return [
        S138(
            f"middle of the damage on the {side} {told(near)}, on the {other} {told(far)}",
            place="survey.sweep",
        )
    ]


def _middle(readings: SurveyReadings | None) -> tuple[float, float] | None:
    if readings is None or not readings.rows:
        return None
    r = readings.readings()
    if not r.dull.any():
        return None
    x, y = r.at[r.dull].mean(0)
    return (float(x), float(y))
