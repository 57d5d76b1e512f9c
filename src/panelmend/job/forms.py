"""Forms of a cut-out: how each is made, and the smallest one round the damage with marked-out sizes."""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import assert_never

from panelmend.document.approved import CutoutForm
from panelmend.errors import SolverError
from panelmend.job.formulas import rounded_up
from panelmend.shapes import (
    Arc,
    EnclosingShape,
    Outline,
    circle,
    ellipse,
    inside,
    least_circle,
    least_ellipse,
    least_oval,
    least_overlap,
    least_rectangle,
    oval,
    rectangle,
)
from panelmend.units import show

DEGREE = math.pi / 180.0
MANY_ARCS = 8  # arcs from which points on them are quicker than the arcs themselves
Covered = tuple[Outline, ...] | list[tuple[float, float]]


@dataclass(frozen=True)
class Form:
    """A cut-out as it is marked out: ``centre`` [m], ``length`` along ``angle`` [m, rad], ``width`` [m],
    ``corner_radius`` [m] (half the width for all but the rectangle)."""

    form: CutoutForm
    centre: tuple[float, float]
    length: float
    width: float
    angle: float
    corner_radius: float

    @cached_property
    def outline(self) -> Outline:
        """The exact outline."""
        if self.form == "circle":
            return circle(self.centre, self.length)
        if self.form == "ellipse":
            return ellipse(self.centre, self.length, self.width, self.angle)
        if self.form == "oval":
            return oval(self.centre, self.length, self.width, self.angle)
        if self.form != "rectangle":
            assert_never(self.form)
        return rectangle(self.centre, self.length, self.width, self.angle, self.corner_radius)

    @cached_property
    def sharp(self) -> Outline:
        """The outline without rounded corners, for plies whose corners are trimmed."""
        if not has_corners(self.form):
            return self.outline
        return rectangle(self.centre, self.length, self.width, self.angle)

    def digest(self) -> str:
        """SHA-256 (hex) of form and sizes to 1e-9."""
        numbers = (*self.centre, self.length, self.width, self.angle, self.corner_radius)
        text = ",".join([self.form, *(f"{round(n, 9) + 0.0:.9f}" for n in numbers)])
        return hashlib.sha256(text.encode()).hexdigest()

    def summary(self, view: str = "mm") -> str:
        """One line for people."""
        if self.form == "circle":
            return f"circle, diameter {show(self.length, 'length', view)}"
        size = f"{show(self.length, 'length', view)} x {show(self.width, 'length', view)}"
        return f"{self.form}, {size} at {show(self.angle, 'angle', view)}"


@lru_cache(maxsize=256)
def smallest(
    form: CutoutForm,
    what: tuple[Outline, ...],
    margin: float,
    step: float,
    corner_radius: float,
    held: float | None,
) -> Form:
    """The form of least area that covers ``what`` with ``margin``, its sizes rounded up to ``step``.

    Turned freely it lies at the best angle, rounded to a whole degree so that it can be marked out, or to
    half a degree where that takes less.

    Args:
        form: which form.
        what: the outlines to cover.
        margin: sound material round them [m].
        step: sizes are whole numbers of this, grown the same on both sides [m].
        corner_radius: of a rectangle [m].
        held: direction of one of its axes [rad], None to turn freely.

    Raises:
        ShapeError, SolverError: no such cover was found.
    """
    if held is not None or form == "circle":
        return _stepped(form, what, margin, step, corner_radius, held)
    # Few points find the angle, which is rounded anyway; the ellipse is quicker on arcs than on points.
    rough = what if form == "ellipse" else _points(what, 0.1)
    free = _cover(form, rough, margin, corner_radius, None).angle
    turns = {round(free / turn) * turn for turn in (DEGREE, 0.5 * DEGREE)}
    found = [_stepped(form, what, margin, step, corner_radius, turn) for turn in sorted(turns, key=_odd)]
    return min(found, key=lambda made: round(made.outline.area, 9))


def _odd(turn: float) -> float:
    """Whole degrees before halves."""
    return abs(math.remainder(turn / DEGREE, 1.0))


def _stepped(
    form: CutoutForm,
    what: tuple[Outline, ...],
    margin: float,
    step: float,
    corner_radius: float,
    held: float | None,
) -> Form:
    """The least form along ``held`` [rad], its sizes rounded up to ``step`` [m]."""
    found = _exact(form, what, margin, corner_radius, held)
    angle = 0.0 if form == "circle" else _half_turn(found.angle)
    # A size that is a whole step but for rounding stays that step if it covers; else the next one does.
    for slack, more in ((1e-6, 0), (0.0, 0), (0.0, 1), (0.0, 2)):
        length, width = (rounded_up(x - slack, step) + more * step for x in (found.length, found.width))
        radius = corner_of(form, corner_radius, 0.5 * width)
        made = Form(form, found.centre, length, width, angle, radius)
        if all(inside(o, made.outline, margin) for o in what):
            return made
    raise SolverError(f"no {form} with sizes in steps of {show(step, 'length')} covers the damage")


def has_corners(form: CutoutForm) -> bool:
    """Whether a form has corners of a radius of their own, which the data limits and plies may trim."""
    if form == "circle" or form == "ellipse" or form == "oval":
        return False
    if form == "rectangle":
        return True
    assert_never(form)


def corner_of(form: CutoutForm, own: float, other: float) -> float:
    """Radius of a form's corners [m]: ``own`` [m] where it is chosen, ``other`` where it is not."""
    return own if has_corners(form) else other


def _points(what: tuple[Outline, ...], turn: float) -> list[tuple[float, float]]:
    """Vertices, and points on arcs no more than ``turn`` [rad] apart."""
    found = []
    for part in (s for o in what for s in o.segments()):
        n = max(1, math.ceil(part.sweep / turn)) if isinstance(part, Arc) and part.sweep > 0.0 else 1
        found += [part.at(k / n) for k in range(n)]
    return found


def _exact(
    form: CutoutForm, what: tuple[Outline, ...], margin: float, corner_radius: float, held: float | None
) -> EnclosingShape:
    """The least cover of outlines; where arcs are many by points on them, enlarged by what lacks."""
    arcs = sum(isinstance(s, Arc) for o in what for s in o.segments())
    if arcs <= MANY_ARCS or form in ("circle", "ellipse"):
        return _cover(form, what, margin, corner_radius, held)
    found = _cover(form, _points(what, 0.02), margin, corner_radius, held)
    for _ in range(6):
        radius = corner_of(form, corner_radius, 0.5 * found.width)
        made = Form(form, found.centre, found.length, found.width, found.angle, radius)
        lacks = max(margin - least_overlap(o, made.outline)[0] for o in what)
        if lacks <= 1e-9:
            return found
        more = 2.1 * lacks
        found = replace(found, length=found.length + more, width=found.width + more)
    return _cover(form, what, margin, corner_radius, held)


def _cover(
    form: CutoutForm, what: Covered, margin: float, corner_radius: float, held: float | None
) -> EnclosingShape:
    if form == "circle":
        return least_circle(what, margin)
    if form == "oval":
        return least_oval(what, margin, held)
    if form == "ellipse":
        return least_ellipse(what, margin, held)
    if form == "rectangle":
        return least_rectangle(what, corner_radius, margin, held)
    assert_never(form)


def _half_turn(angle: float) -> float:
    """The same direction within (-90, 90] degrees, in half degrees where it is one."""
    degrees = math.remainder(angle / DEGREE, 180.0)
    if degrees <= -90.0 + 1e-9:
        degrees += 180.0
    whole = 0.5 * round(2.0 * degrees)
    return (whole if abs(degrees - whole) < 1e-7 else degrees) * DEGREE + 0.0
