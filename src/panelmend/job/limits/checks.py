"""Findings of the limits stage."""

from __future__ import annotations

import math

from panelmend.derive import Ledger
from panelmend.errors import Finding, caution_code, confirm_code, note_code, stop_code
from panelmend.job.case import Case
from panelmend.job.curvature import outline_on
from panelmend.job.limits.answers import check_answers
from panelmend.job.limits.part import LimitsPart
from panelmend.shapes import clearance, inside
from panelmend.units import show

ENGINEER = "stop; ask the engineer responsible for what the approved data does not cover"
L101 = stop_code("L101", "The damage is beyond a limit of the approved data", ENGINEER)
L102 = caution_code(
    "L102",
    "A limit was not checked, because none was typed",
    "look it up in the approved data and type it with its place",
)
L103 = confirm_code(
    "L103",
    "The size of the damage was not checked, because no repairable limit was typed",
    "type the repairable size or area with its place, or have a named person confirm limits.largest",
)
L104 = stop_code("L104", "The damage reaches the edge of the panel or lies outside the panel", ENGINEER)
L105 = note_code(
    "L105",
    "The approved data requires no structural repair",
    "restore the surface and its finish as the panel's own data says",
)
L106 = stop_code("L106", "The damage and an earlier repair are so close that they count as one", ENGINEER)
L107 = caution_code(
    "L107",
    "The damage runs into an earlier repair",
    "find out what the approved data says about a repair over a repair; the earlier one may have to come out",
)
L108 = caution_code(
    "L108",
    "Nobody has checked the core for water",
    "check for moisture before anyone heats or bonds anything: trapped water turns to steam in the cure",
)
L109 = stop_code(
    "L109",
    "The far skin is damaged at a different place: that is a second damage",
    "before anyone cuts here, enter it as a separate damage in its own document, and count it",
)
L495 = caution_code(
    "L495",
    "The panel is curved: the plan takes the outline typed for the far skin as measured on the outer face",
    "if it was measured on the inner face, type it as it projects onto the outer face; sizes and area "
    "already use the larger one",
)
L530 = caution_code(
    "L530",
    "The damage goes through, but no outline was typed for the far skin: the plan uses the near one there",
    "map the far skin, which may be broken over a wider area, and type damage.far_shape, even if it is the "
    "same",
)


def check(case: Case, ledger: Ledger, part: LimitsPart) -> tuple[Finding, ...]:
    """The findings of the limits stage: limits passed, limits missing, damage at an edge."""
    found: list[Finding] = []
    for reason in part.reasons:
        if reason.holds is False:
            if reason.kind == "allowable size":
                continue  # damage larger than the allowable is the reason for the repair
            code = L106 if reason.kind == "distance to a repair" else L101
            place = reason.limit.source.place if reason.limit else ""
            found.append(code(f"{reason.what}: {reason.words} ({place})", place=reason.figure.key))
        elif reason.holds is None:
            found.append(L102(f"{reason.what}: {reason.words}", place=reason.figure.key))
    confirmed = {c.figure for c in case.document.confirm}
    if part.disposition == "not judged" and not confirmed & {"limits.largest", "limits.disposition"}:
        found.append(
            L103(
                f"largest dimension {show(float(part.largest), 'length', case.view, limit='least')}",
                place="data.limits",
            )
        )
    if part.disposition == "no structural repair":
        sized = [r.words for r in part.reasons if r.kind == "allowable size" and r.holds]
        if case.document.damage.depth == "surface":
            found.append(L105("the damage goes no deeper than the finish", place="damage.depth"))
        else:
            found.append(L105("; ".join(sized), place="data.limits.allowable"))
    if part.elsewhere:
        found.append(
            L109(
                "the damage in the far skin does not overlap the damage in the near one",
                place="damage.far_shape",
            )
        )
    return (*found, *_far_not_typed(case, part), *_far_face(case, part), *_places(case), *check_answers(case))


def _far_not_typed(case: Case, part: LimitsPart) -> list[Finding]:
    """Damage through both skins without a typed size in the far skin; if that was surveyed, the survey
    reports it."""
    damage, far = case.document.damage, part.far
    if damage.far_shape is not None or case.document.survey is not None or far is None:
        return []
    size = show(float(far.largest), "length", case.view, limit="least")
    area = show(float(far.area), "area", case.view, limit="least")
    return [L530(f"the plan uses there: {size}, {area}", place="damage.far_shape")]


def _far_face(case: Case, part: LimitsPart) -> list[Finding]:
    """A far outline of a curved panel, if it is not typed on which face it was measured."""
    typed, far = case.geometry.far_damage, part.far
    if case.document.damage.far_shape is None or typed is None or far is None:
        return []
    inner = outline_on(case, typed, "outside", "inside").area
    if math.isclose(inner, typed.area, rel_tol=1e-9):
        return []
    outer, on_inner, counted = (
        show(a, "area", case.view, limit="least") for a in (typed.area, inner, float(far.area))
    )
    words = f"{outer} as typed, {on_inner} on the inner face; the plan uses {counted}"
    return [L495(words, place="damage.far_shape")]


def _places(case: Case) -> list[Finding]:
    g = case.geometry
    found: list[Finding] = []
    for name, shape in (("damage.shape", g.damage), ("damage.far_shape", g.far_damage)):
        if shape is None:
            continue
        if not inside(shape, g.outline):
            found.append(L104("the outline of the damage runs outside the outline of the panel", place=name))
        for area in g.earlier:
            if clearance(shape, area.outline).overlaps:
                found.append(L107(f"the damage overlaps repair {area.id}", place=name))
    damage = case.document.damage
    if damage.moisture == "not checked" and damage.depth != "surface":
        cored = damage.cored
        over = "the core is open" if cored else "this repair heats core"
        found.append(L108(f"{over}, and nobody checked it for moisture", place="damage.moisture"))
    return found
