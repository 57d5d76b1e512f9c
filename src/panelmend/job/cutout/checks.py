"""Findings of the cut-out stage."""

from __future__ import annotations

import math

from panelmend.derive import Ledger
from panelmend.errors import Finding, note_code, stop_code
from panelmend.job.case import Case
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.defaults import USUAL
from panelmend.job.forms import has_corners
from panelmend.job.limits.part import LimitsPart
from panelmend.shapes import Outline, least_overlap
from panelmend.units import show

C101 = stop_code(
    "C101",
    "The pinned cut-out does not cover the damage and its margin",
    "enlarge or move the pinned cut-out, or leave it out so that the plan takes the smallest that covers "
    "the damage",
)
C102 = stop_code("C102", "The approved data does not permit this form of cut-out", "choose a permitted form")
C103 = stop_code(
    "C103",
    "The corner radius of the cut-out is smaller than the approved data permits",
    "give the pinned cut-out the minimum corner radius or more",
)
C104 = stop_code(
    "C104", "No permitted form of cut-out fits here", "read the findings on fit; ask the engineer"
)
C105 = stop_code(
    "C105", "The pinned cut-out is not in line with the panel's axes", "turn it to 0 or 90 degrees"
)
C106 = note_code(
    "C106",
    "The plan chose a form that removes more sound material, because it fits",
    "do nothing if that is acceptable; otherwise ask the engineer",
)


def check(case: Case, ledger: Ledger, part: CutoutPart, limits: LimitsPart) -> tuple[Finding, ...]:
    """The findings of the cut-out: coverage, form, corners, lie, and whether anything fits."""
    found: list[Finding] = []
    opening, data, view = part.opening, case.document.data.cutout, case.view
    pinned = case.document.choice.cutout is not None
    for key, place in (
        ("damage.on_skin", "damage.shape"),
        ("damage.outline", "damage.shape"),
        ("damage.far_on_skin", "damage.far_shape"),
        ("damage.far_outline", "damage.far_shape"),
    ):
        skinned = key.replace("outline", "on_skin")
        if key not in ledger or (skinned != key and skinned in ledger):
            continue
        shape = ledger[key].value
        assert isinstance(shape, Outline)
        over = least_overlap(shape, opening.outline)[0]
        if over < float(part.margin) - 1e-9:
            short = show(float(part.margin) - over, "length", view)
            found.append(
                C101(
                    f"{short} short of {show(float(part.margin), 'length', view)} round {place}",
                    place="choice.cutout",
                )
            )
    if data.forms is not None and opening.form not in data.forms.value:
        found.append(
            C102(
                f"{opening.form}; permitted: {', '.join(data.forms.value)} ({data.forms.place})",
                place="choice",
            )
        )
    if has_corners(opening.form):
        usual = float(USUAL["cutout.corner_radius_least"].value)  # type: ignore[arg-type]
        least = usual if data.corner_radius is None else data.corner_radius.value
        if float(opening.corner_radius) < least - 1e-9:
            found.append(
                C103(
                    f"radius {show(float(opening.corner_radius), 'length', view)}, least "
                    f"{show(least, 'length', view)}",
                    place=f"choice.cutout.{opening.form}.corner_radius",
                )
            )
    held = data.held_to_axes is not None and data.held_to_axes.value
    off = abs(math.remainder(float(opening.angle), 0.5 * math.pi))
    if pinned and held and opening.form != "circle" and off > 1e-9:
        found.append(C105(f"it lies at {show(float(opening.angle), 'angle', view)}", place="choice.cutout"))
    if part.candidates and not any(c.fits for c in part.candidates):
        words = "; ".join(f"{c.opening.form}: {', '.join(c.reasons)}" for c in part.candidates)
        found.append(C104(words, place="cutout"))
    elif part.candidates and not part.pinned:
        least_removed = min(part.candidates, key=lambda c: float(c.sound_removed))
        if not least_removed.fits:
            found.append(
                C106(
                    f"{least_removed.opening.form} removes "
                    f"{show(float(least_removed.sound_removed), 'area', view)}, but "
                    f"{', '.join(least_removed.reasons)}",
                    place="cutout",
                )
            )
    return tuple(found)
