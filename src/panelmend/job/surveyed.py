"""The survey's outer line as the damage of a case, where no outline was typed."""

from __future__ import annotations

from panelmend.derive import Figure
from panelmend.job.ground import Ground
from panelmend.job.survey.part import outer_outline


def outline_figure(ground: Ground) -> Figure:
    """The outline of the damage from the survey, as the figure ``damage.outline``."""
    case, ledger = ground.case, ground.ledger
    given = case.document.data.limits.merge_distance
    merge = (
        ground.typed("survey.merge", 0.0, "length", path="data.limits (no merge_distance)")
        if given is None
        else ground.given("limits.merge_distance", given, "length")
    )
    assert case.survey is not None, "a survey was read"
    return ledger.derive(
        "damage.outline",
        outer_outline,
        readings=ground.typed("survey.readings", case.survey, path="survey.sweep"),
        confidence=ground.typed("survey.confidence", case.confidence, "ratio", path="survey.confidence"),
        merge=merge,
        panel=ground.typed("panel.outline", case.geometry.outline, path="panel.outline"),
        line=ground.typed("survey.line", case.line, path="survey.line"),
    )
