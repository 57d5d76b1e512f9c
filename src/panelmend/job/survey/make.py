"""The survey stage: from the readings of the damaged side to the outline the repair is planned on."""

from __future__ import annotations

from panelmend.derive import Ledger
from panelmend.derive.figure import PRACTICE
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.survey import part as p
from panelmend.job.survey.part import SurveyPart
from panelmend.job.survey.readings import DULL_FROM
from panelmend.job.survey.trace import probability_lines
from panelmend.job.surveyed import outline_figure


def make(case: Case, ledger: Ledger) -> SurveyPart | None:
    """Work the survey out.

    Args:
        case: the repair.
        ledger: takes the figures ``survey.*``.

    Returns:
        Areas, lines and doubts; None where nothing was read on the damaged side.

    Raises:
        RangeError: too few readings, nothing but dull ones, or no damage found where no outline was typed.
    """
    survey, side = case.document.survey, case.document.damage.side
    typed = case.survey
    if survey is None or typed is None or not typed.rows:
        return None
    basis = Basis(case, ledger)
    readings = basis.typed("survey.readings", typed, path="survey.sweep")
    confidence = basis.typed("survey.confidence", case.confidence, "ratio", path="survey.confidence")
    numeric = [s for s in survey.sweep if s.side == side and s.kind in ("time", "ratio")]
    if any(s.dull_from is None for s in numeric):
        ledger.default("survey.dull_from", DULL_FROM, "ratio", source=PRACTICE)
    line = basis.typed("survey.line", case.line, path="survey.line")
    panel = basis.typed("panel.outline", case.geometry.outline, path="panel.outline")
    traced = p.traced_of(typed, case.confidence, case.line, case.geometry.outline)
    asked = {"readings": readings, "confidence": confidence, "line": line, "panel": panel}
    outline = None
    if traced.areas and case.document.damage.shape is None:
        outline = outline_figure(basis)
    return SurveyPart(
        side,
        confidence,
        ledger.derive("survey.count", p.count_of, readings=readings),
        ledger.derive("survey.dull", p.dull_of, readings=readings),
        ledger.derive("survey.spacing", p.spacing_between, **asked),
        ledger.derive("survey.areas", p.areas_of, **asked),
        outline,
        tuple(a.outer for a in traced.areas),
        tuple(m for a in traced.areas for m in a.middle),
        p.groups_of(traced, case.merge),
        tuple((q, probability_lines(traced, q)) for q in (0.1, 0.5, 0.9)),
        any(a.runs_off for a in traced.areas),
        traced.doubtful,
        traced.contradictory,
        p.next_of(typed, case.confidence, case.line, case.geometry.outline),
        p.together_of(typed, case.confidence, case.line, case.geometry.outline),
        traced.gaps,
        traced.withheld,
        min((a.least for a in traced.areas), default=0.0),
    )
