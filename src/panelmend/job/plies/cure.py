"""Cures for a repair that does not fit: a shift, another permitted form, a turn; else the engineer.

Each cure named has been computed and holds every clearance; the damage stays covered with its margin.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from panelmend.document.panel import Side
from panelmend.document.ply_ways import corners_rounded
from panelmend.errors import ShapeError, SolverError
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.clearances import Neighbour, neighbours
from panelmend.job.curvature import outline_on
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.defaults import USUAL
from panelmend.job.forms import Form, corner_of, has_corners, smallest
from panelmend.job.plies.part import SideLayup
from panelmend.job.ply_offsets import outermost
from panelmend.shapes import Outline, inside, offset
from panelmend.units import DEGREE, show

ENGINEER = "no shift, turn or other permitted form cures it: ask the engineer"
PUSHES = 12
WARP_TURNS = tuple(15.0 * DEGREE * k for k in range(12))


def cure_for(basis: Basis, cutout: CutoutPart, sides: tuple[SideLayup, ...]) -> str:
    """Words for the first cure that holds, in the order shift, other form, turn."""
    case = basis.case
    around = tuple((s.side, float(s.largest.margin), neighbours(basis, s.side)) for s in sides)
    now = _form(cutout)
    view = case.view
    moved = _shift(case, cutout, now, around)
    if moved is not None:
        dx, dy = moved
        size, way = math.hypot(dx, dy), math.degrees(math.atan2(dy, dx)) % 360.0
        seen = "" if case.document.panel.seen_from == "outside" else " (seen from the outside)"
        shift = f"shift the cut-out {show(size, 'length', view)} towards {way:.0f}°{seen}"
        return f"{shift}: it still covers the damage"
    for candidate in cutout.candidates:
        if candidate.fits and candidate.opening.form != cutout.opening.form:
            length, width = (
                show(float(x), "length", view) for x in (candidate.opening.length, candidate.opening.width)
            )
            return f"take the {candidate.opening.form} {length} x {width} instead"
    for form in _at_other_angles(case, cutout, now):
        if _push_away(case, cutout, form, around) is None:
            return f"turn it: {form.summary(view)}"
    return ENGINEER


_Around = tuple[tuple[Side, float, tuple[Neighbour, ...]], ...]


def _form(cutout: CutoutPart) -> Form:
    o = cutout.opening
    return Form(o.form, o.centre, float(o.length), float(o.width), float(o.angle), float(o.corner_radius))


def _targets(case: Case, side: Side) -> tuple[Outline, ...]:
    shapes = (case.geometry.damage, case.geometry.far_damage)
    return tuple(outline_on(case, s, "outside", side) for s in shapes if s is not None)


def _pieces(case: Case, cutout: CutoutPart, form: Form, side: Side, margin: float) -> dict[str, Outline]:
    data = case.document.data.plies
    rounded = data.corners is not None and corners_rounded(data.corners.value)
    hole = outline_on(case, form.outline, cutout.side, side)
    if margin <= 0.0:
        largest = hole
    elif not has_corners(form.form) or rounded:
        largest = offset(hole, margin)[0]
    else:
        sharp = outline_on(case, form.sharp, cutout.side, side)
        most = data.trim.value if data.trim is not None else _usual(case, "plies.trim")
        largest = outermost(cutout=hole, sharp=sharp, margin=margin, most=most)
    return {"cut-out": hole, "largest ply": largest}


def _push_away(case: Case, cutout: CutoutPart, form: Form, around: _Around) -> tuple[float, float] | None:
    """None where every clearance holds and the damage is covered, else the push away from what is worst."""
    if not all(inside(d, form.outline, float(cutout.margin)) for d in _targets(case, cutout.side)):
        return (math.nan, math.nan)
    worst: tuple[float, Neighbour, Outline] | None = None
    for side, margin, near in around:
        pieces = _pieces(case, cutout, form, side, margin)
        for n in near:
            if n.weight != "stop" or not n.counts(pieces["cut-out"]):
                continue
            over = n.clear(pieces[n.piece]) - n.asked
            if over < -1e-9 and (worst is None or over < worst[0]):
                worst = (over, n, pieces[n.piece])
    if worst is None:
        return None
    ux, uy = worst[1].away(worst[2])
    return (-worst[0] * ux, -worst[0] * uy)


def _shift(case: Case, cutout: CutoutPart, form: Form, around: _Around) -> tuple[float, float] | None:
    """A shift away from what is worst until everything holds; None if none was found."""
    x, y = form.centre
    for _ in range(PUSHES):
        moved = replace(form, centre=(x, y))
        push = _push_away(case, cutout, moved, around)
        if push is None:
            return (x - form.centre[0], y - form.centre[1])
        if not all(math.isfinite(p) for p in push):
            return None
        x, y = (
            x + push[0] * 1.02 + math.copysign(1e-6, push[0]),
            y + push[1] * 1.02 + math.copysign(1e-6, push[1]),
        )
    return None


def _usual(case: Case, key: str) -> float:
    """A usual length [m] of documents in this one's units."""
    value = USUAL[key].of(case.view)
    assert isinstance(value, float)
    return value


def _at_other_angles(case: Case, cutout: CutoutPart, form: Form) -> Iterator[Form]:
    """The smallest covers of the same form at other angles, where the data leaves it free to turn."""
    data = case.document.data.cutout
    if form.form == "circle" or (data.held_to_axes is not None and data.held_to_axes.value):
        return
    step = _usual(case, "cutout.size_step") if data.size_step is None else data.size_step.value
    radius = corner_of(form.form, form.corner_radius, 0.0)
    for angle in WARP_TURNS:
        try:
            yield smallest(form.form, _targets(case, cutout.side), float(cutout.margin), step, radius, angle)
        except (ShapeError, SolverError):
            continue
