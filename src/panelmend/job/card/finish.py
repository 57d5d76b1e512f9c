"""Steps after the last cure: sand, finish, inspect, enter the record."""

from __future__ import annotations

from panelmend.job.card import cautions as c
from panelmend.job.card.part import Step
from panelmend.job.card.writing import INSPECTOR, blank, step
from panelmend.job.case import Case
from panelmend.job.work import Work


def finish(case: Case, work: Work) -> list[Step]:
    """Sand, restore the finish, inspect, and make the maintenance record entry."""
    sanding = any(p.role == "sanding" for p in work.plies.plies)
    fair = (
        "Fair the edges into the sanding ply only; stop at once when fibre of a repair ply shows."
        if sanding
        else "Fair the resin edges by hand; never sand into a repair ply."
    )
    return [
        step(
            "finish",
            "Fair and restore the finish",
            fair,
            "Restore primer, finish, sealant, lightning protection and drainage as the approved data asks.",
            cautions=[c.DUST, c.SOLVENT],
        ),
        step(
            "finish",
            "Final inspection",
            "Compare the cure logs with the recipes. Tap or scan the whole repair and a hand's width round it, the "
            "same way as in the survey. Check contour, balance and fit where the data asks for it.",
            blanks=[
                blank("Tapped or scanned sound (yes / no)"),
                blank("Cure logs kept as"),
                blank("Deviations, with their approval"),
            ],
            hold=INSPECTOR,
        ),
        record(case),
    ]


def record(case: Case) -> Step:
    """The record entry with the fields of 14 CFR 43.9(a)."""
    return step(
        "finish",
        "Maintenance record entry",
        "Enter in the maintenance record what 14 CFR 43.9(a), or the authority in charge, asks for.",
        blanks=[
            blank("Work described, or data named"),
            blank("Date completed"),
            blank("Performed by, if not the approver"),
            blank("Signature of the approver"),
            blank("Certificate number"),
            blank("Kind of certificate"),
        ],
        hold="certificate holder",
    )
