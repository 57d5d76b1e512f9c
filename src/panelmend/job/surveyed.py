"""The survey's outer lines as the damage of a case, where no outline was typed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from panelmend.derive import Figure
from panelmend.job.ground import Ground

if TYPE_CHECKING:
    from panelmend.job.survey.part import SurveyReadings


def outline_figure(ground: Ground) -> Figure:
    """The outline of the damage from the survey, as the figure ``damage.outline``."""
    assert ground.case.survey is not None, "a survey was read"
    return _line(ground, "damage.outline", "survey.readings", ground.case.survey)


def far_outline_figure(ground: Ground) -> Figure:
    """The outline of the damage in the far skin, typed or from that side's survey."""
    case = ground.case
    if case.document.damage.far_shape is not None:
        assert case.geometry.far_damage is not None, "an outline was typed"
        return ground.typed("damage.far_outline", case.geometry.far_damage, path="damage.far_shape")
    assert case.far_survey is not None, "the far side was read"
    return _line(ground, "damage.far_outline", "survey.far_readings", case.far_survey)


def _line(ground: Ground, key: str, name: str, readings: SurveyReadings) -> Figure:
    from panelmend.job.survey.part import outer_outline  # late: most documents have no survey

    case, ledger = ground.case, ground.ledger
    given = case.document.data.limits.merge_distance
    merge = (
        ground.typed("survey.merge", 0.0, "length", path="data.limits (no merge_distance)")
        if given is None
        else ground.given("limits.merge_distance", given, "length")
    )
    return ledger.derive(
        key,
        outer_outline,
        readings=ground.typed(name, readings, path="survey.sweep"),
        confidence=ground.typed("survey.confidence", case.confidence, "ratio", path="survey.confidence"),
        merge=merge,
        panel=ground.typed("panel.outline", case.geometry.outline, path="panel.outline"),
        line=ground.typed("survey.line", case.line, path="survey.line"),
    )
