"""A cut-out that holds what is cut already and the new plan's own, as it would be typed."""

from __future__ import annotations

import math
from dataclasses import replace

from panelmend.errors import ShapeError, SolverError
from panelmend.job.cutout.make import permitted
from panelmend.job.forms import Form, corner_of, has_corners, smallest
from panelmend.plan.again.same import openings, past
from panelmend.plan.plan import Plan
from panelmend.units import INCH

UNITS = {"mm": (1e-3, 1), "in": (INCH, 2)}
"""Unit [m] that sizes are typed in, by the reader's view, and decimals of a centre in it."""


def holding(old: Plan, new: Plan) -> str:
    """The least permitted form round the old opening and the new one, as a line of the document.

    "" where the new plan cuts nothing, none is found, or the coordinates are in plan: none are typed back.
    """
    if new.work is None or old.work is None or new.case.geometry_of_surface() is not None:
        return ""
    side = new.work.cutout.side
    what = tuple(o for o in (openings(old).get(side), openings(new).get(side)) if o is not None)
    step = float(new.ledger["cutout.size_step"].value)  # type: ignore[arg-type]
    data = new.case.document.data.cutout
    held = 0.0 if data.held_to_axes is not None and data.held_to_axes.value else None
    radius = float(new.work.cutout.opening.corner_radius)
    if data.corner_radius is not None:
        radius = data.corner_radius.value
    found = []
    for form in permitted(new.case):
        try:
            made = smallest(form, what, 0.0, step, corner_of(form, radius, 0.0), held)
        except (ShapeError, SolverError):
            continue
        unit, places = UNITS[new.case.view]
        x, y = (round(c / unit, places) * unit for c in made.centre)
        made = replace(made, centre=(x, y))
        for _ in range(4):  # the centre was rounded: grow until it holds again
            if max(past(o, made.outline) for o in what) <= 1e-9:
                found.append(made)
                break
            made = replace(made, length=made.length + step, width=made.width + step)
            if not has_corners(made.form):
                made = replace(made, corner_radius=0.5 * made.width)
    if not found:
        return ""
    least = min(found, key=lambda f: f.outline.area)
    return _typed(least, new.case.document.panel.seen_from, new.case.view)


def _typed(form: Form, seen_from: str, view: str) -> str:
    """The form as it is typed under [choice], in the reader's unit and in the axes of the panel's drawing."""
    sign = 1.0 if seen_from == "outside" else -1.0

    def size(metres: float) -> str:
        return f"{round(metres / UNITS[view][0], 9) + 0.0:.10g}"

    centre = f'centre = "{size(form.centre[0])}, {size(sign * form.centre[1])} {view}"'
    if form.form == "circle":
        return f'cutout = {{ circle = {{ {centre}, diameter = "{size(form.length)} {view}" }} }}'
    sizes = f'length = "{size(form.length)} {view}", width = "{size(form.width)} {view}"'
    turned = f'angle = "{round(math.degrees(sign * form.angle), 2) + 0.0:g} deg"'
    corner = f', corner_radius = "{size(form.corner_radius)} {view}"' if has_corners(form.form) else ""
    return f"cutout = {{ {form.form} = {{ {centre}, {sizes}, {turned}{corner} }} }}"
