"""Steps before the panel is cut: read, gather, protect, mark, measure."""

from __future__ import annotations

from panelmend.job.card import cautions as c
from panelmend.job.card.part import Step, Words
from panelmend.job.card.writing import Units, blank, step
from panelmend.job.case import Case
from panelmend.job.ground import Ground
from panelmend.job.limits.part import LimitsPart
from panelmend.job.work import Work


def read_data(case: Case, ground: Ground, sizes: LimitsPart) -> list[Step]:
    """Read the data and compare the damage with it."""
    manual = case.document.data.manual
    size: Words = (
        "Damage after clean-up: ",
        sizes.along,
        " along 0°, ",
        sizes.across,
        " across, largest dimension ",
        sizes.largest,
        ".",
    )
    return [
        step(
            "limits",
            "Read the approved data",
            f"{manual.title}, {manual.number} revision {manual.revision} of {manual.dated}, {case.document.data.repair}. "
            "Check that this is the revision in force and that it covers this panel and serial number.",
            size,
            f"Disposition from the data: {sizes.disposition}. Read the reasons and every finding on the first pages.",
            cautions=[c.AUTHORITY],
            blanks=[blank("Revision in force"), blank("Panel part and serial number read on the panel")],
            hold="planner",
        )
    ]


def gather(case: Case, ground: Ground) -> list[Step]:
    """Gather the kit and note the bay."""
    units = Units.of(case.view)
    due = [f"{i.kind} {i.id} (calibrated to {i.calibrated_until})" for i in case.document.bay.instrument]
    return [
        step(
            "kit",
            "Gather the kit",
            "Take everything on the kit list. Check lot numbers, expiry and summed out-time against the list; "
            "write down what differs. Let frozen material come to bay temperature in its closed bag.",
            "Instruments: "
            + ("; ".join(due) if due else "none listed: note each with its calibration date")
            + ".",
            materials=["kit list"],
            blanks=[
                blank("Bay temperature", unit=units.temperature),
                blank("Relative humidity", unit="%"),
                blank("Barometer", unit="hPa"),
            ],
        )
    ]


def mark(case: Case, ground: Ground, work: Work) -> list[Step]:
    """Protect the panel and mark the cut-out."""
    opening = work.cutout.opening
    beyond = ground.given_or(
        "surface.clean_beyond", case.document.data.surface.clean_beyond, 0.0762, "length"
    )
    units = Units.of(case.view)
    return [
        step(
            "cutout",
            "Protect the panel and mark the cut-out",
            (
                "Support the panel. Clean and mask at least ",
                beyond,
                " beyond the repair, and cover openings nearby.",
            ),
            "Print the templates at full size and measure the check square of every sheet both ways before use.",
            (
                f"Lay the {opening.form} cut-out template on the damage with its 0° arrow along the panel's 0° "
                f"({case.document.panel.zero}) and mark it: ",
                opening.length,
                " by ",
                opening.width,
                ", turned ",
                opening.angle,
                ".",
            ),
            "Mark the outline of every ply and the PTFE tape outside the last one.",
            cautions=[c.SOLVENT],
            tools=["templates", "marker that may touch the surface", "rule"],
            blanks=[
                blank("Check square, along", unit=units.length),
                blank("Check square, across", unit=units.length),
            ],
            drawing="panel",
        )
    ]
