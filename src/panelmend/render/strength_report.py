"""The strength report as a PDF, and the study as JSON."""

from __future__ import annotations

from typing import Any

from panelmend.job.strength.checks import reserve_too_low
from panelmend.job.strength.part import Compared, Reserve, ReserveKind
from panelmend.job.strength.scope import NOT_COVERED
from panelmend.plan.strength_study import StrengthStudy
from panelmend.render.card import PAPERS
from panelmend.render.planjson import plan_json
from panelmend.render.strength_tables import (
    bond_row,
    mode_lines,
    own_lines,
    properties,
    ratio_row,
    reserve_line,
    shown_bonds,
    shown_tips,
    spot_row,
    tip_row,
)
from panelmend.render.typesetting import Sheets
from panelmend.render.views.ratio import KEY, LEGEND, ratio_view
from panelmend.render.workings import Workings, workings_of


def strength_pdf(study: StrengthStudy) -> bytes:
    """The strength report: the same study gives the same bytes."""
    return strength_sheets(study).pdf()


def strength_sheets(study: StrengthStudy) -> Sheets:
    """Its pages, ready to be set."""
    return Sheets("strength", strength_data(study), study.plan.case.document.repair.work_date)


def strength_json(study: StrengthStudy) -> bytes:
    """Every figure of the study and how it was reached, its part and its findings."""
    about = {
        "repair": study.plan.case.document.repair.number,
        "plan_digest": study.plan.digest,
        "study_digest": study.digest,
        "note": "informs the engineer and approves nothing",
    }
    view = study.plan.case.view
    return plan_json(
        about=about, figures=study.ledger, parts={"strength": study.part}, findings=study.findings, view=view
    )


def strength_data(study: StrengthStudy) -> dict[str, Any]:
    """Everything the page template shows."""
    plan, part = study.plan, study.part
    case, view = plan.case, plan.case.view
    shown = workings_of(plan, study.ledger)
    repair = case.document.repair
    maps = [
        drawn.data()
        for m in part.maps
        for what in Compared
        if (drawn := ratio_view(m, what, part.hot_spots, part.outlines, (82.0, 66.0))) is not None
    ]
    data: dict[str, Any] = {
        "paper": PAPERS[view],
        "plan": plan.short_digest,
        "digest": study.digest[:12],
        "draft": plan.is_draft,
        "mark": plan.mark,
        "repair": {
            "number": repair.number,
            "title": repair.title,
            "operator": repair.operator,
            "invented": repair.invented,
        },
        "below": part.least is not None and reserve_too_low(part.least),
        "least": [reserve_line(shown, r) for r in least_of_each(study)],
        "given": [reserve_line(shown, r) for r in given_least(study)],
        "not-checked": list(part.not_checked),
        "not-covered": list(NOT_COVERED),
        "loads": [list(row) for row in part.loads],
        "properties": properties(study),
        "ratios": [ratio_row(shown, view, r, f"face, {r.side} skin, E t") for r in part.membrane]
        + [ratio_row(shown, view, r, "sandwich, bending D") for r in part.bending],
        "neutral": [
            [n.direction, *(shown.part(v) for v in (n.sound, n.repair, n.sound_height, n.repair_height))]
            for n in part.neutral
        ],
        "tips": [tip_row(shown, view, t) for t in shown_tips(part.tips)],
        "own": own_lines(shown, part.own),
        "bonds": [bond_row(shown, view, b) for b in shown_bonds(part.bonds)],
        "bond-ground": "; ".join(dict.fromkeys(b.ground for b in part.bonds if b.ground)) or "none",
        "scarf": study.plan.work is not None and study.plan.work.plies.scheme == "scarf",
        "modes": mode_lines(shown, part.modes),
        "legend": LEGEND,
        "key": [list(row) for row in KEY],
        "maps": maps,
        "spots": [spot_row(shown, s) for s in part.hot_spots],
        "mass": _mass(shown, study),
        "changes": [
            {"what": c.what, "before": f"{c.before:.3f}", "after": f"{c.after:.3f}", "words": c.words}
            for c in part.changes
        ],
        "assumptions": list(part.assumptions),
    }
    data["workings"] = shown.rows()
    return data


def least_of_each(study: StrengthStudy) -> list[Reserve]:
    """The least of all reserves first, then the least of each other kind."""
    rows = study.part.reserves
    kinds = [
        min((r for r in rows if r.kind is k), key=lambda r: float(r.value), default=None) for k in ReserveKind
    ]
    return sorted((r for r in kinds if r is not None), key=lambda r: float(r.value))


def given_least(study: StrengthStudy) -> list[Reserve]:
    """The least of the reserves that rest on given values alone, where the least of all does not."""
    least = study.part.least
    if least is None or not least.rests:
        return []
    found = min((r for r in study.part.reserves if not r.rests), key=lambda r: float(r.value), default=None)
    return [found] if found is not None else []


def _mass(shown: Workings, study: StrengthStudy) -> list[list[Any]]:
    part = study.part
    lines: list[list[Any]] = []
    if part.mass_added is not None:
        lines.append(["Mass added, plies laid less plies cut out: ", shown.part(part.mass_added), "."])
    if part.moment_added is None:
        lines.append(["The panel has no hinge line in the document: no moment is compared."])
    elif part.moment_limit is None:
        lines.append(["Moment about the hinge line: ", shown.part(part.moment_added), "; no limit is given."])
    else:
        lines.append(
            [
                "Moment about the hinge line: ",
                shown.part(part.moment_added),
                ", limit ",
                shown.part(part.moment_limit),
                ".",
            ]
        )
    return lines
