"""The survey's outer lines as the damage of a case, where no outline was typed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from panelmend.derive import Figure
from panelmend.job.basis import Basis

if TYPE_CHECKING:
    from panelmend.job.survey.part import SurveyReadings


def outline_figure(basis: Basis) -> Figure:
    """The outline of the damage from the survey, as the figure ``damage.outline``."""
    assert basis.case.survey is not None, "a survey was read"
    return _line(basis, "damage.outline", "survey.readings", basis.case.survey)


def far_outline_figure(basis: Basis) -> Figure:
    """The outline of the damage in the far skin, typed or from that side's survey."""
    case = basis.case
    if case.document.damage.far_shape is not None:
        assert case.geometry.far_damage is not None, "an outline was typed"
        return basis.typed("damage.far_outline", case.geometry.far_damage, path="damage.far_shape")
    assert case.far_survey is not None, "the far side was read"
    return _line(basis, "damage.far_outline", "survey.far_readings", case.far_survey)


def _line(basis: Basis, key: str, name: str, readings: SurveyReadings) -> Figure:
    from panelmend.job.survey.part import outer_outline  # late: most documents have no survey

    case, ledger = basis.case, basis.ledger
    given = case.document.data.limits.merge_distance
    merge = (
        basis.typed("survey.merge", 0.0, "length", path="data.limits (no merge_distance)")
        if given is None
        else basis.given("limits.merge_distance", given, "length")
    )
    return ledger.derive(
        key,
        outer_outline,
        readings=basis.typed(name, readings, path="survey.sweep"),
        confidence=basis.typed("survey.confidence", case.confidence, "ratio", path="survey.confidence"),
        merge=merge,
        panel=basis.typed("panel.outline", case.geometry.outline, path="panel.outline"),
        line=basis.typed("survey.line", case.line, path="survey.line"),
    )
