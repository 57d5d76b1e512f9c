"""A cut-out that holds what is cut already and the new plan's own, as it would be typed."""

from __future__ import annotations

import math
from dataclasses import replace

from panelmend.errors import ShapeError, SolverError
from panelmend.job.cutout.make import permitted
from panelmend.job.forms import Form, smallest
from panelmend.plan.again.same import openings, past
from panelmend.plan.plan import Plan

PLACES = 4  # a centre is typed to a tenth of a millimetre


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
            made = smallest(form, what, 0.0, step, radius if form == "rectangle" else 0.0, held)
        except (ShapeError, SolverError):
            continue
        x, y = (round(c, PLACES) for c in made.centre)
        made = replace(made, centre=(x, y))
        for _ in range(4):  # the centre was rounded: grow until it holds again
            if max(past(o, made.outline) for o in what) <= 1e-9:
                found.append(made)
                break
            made = replace(made, length=made.length + step, width=made.width + step)
            if made.form != "rectangle":
                made = replace(made, corner_radius=0.5 * made.width)
    if not found:
        return ""
    return _typed(min(found, key=lambda f: f.outline.area), seen_from=new.case.document.panel.seen_from)


def _typed(form: Form, seen_from: str) -> str:
    """The form as it is typed under [choice], in millimetres and in the axes of the panel's drawing."""
    sign = 1.0 if seen_from == "outside" else -1.0
    centre = f'centre = "{_mm(form.centre[0])}, {_mm(sign * form.centre[1])} mm"'
    if form.form == "circle":
        return f'cutout = {{ circle = {{ {centre}, diameter = "{_mm(form.length)} mm" }} }}'
    sizes = f'length = "{_mm(form.length)} mm", width = "{_mm(form.width)} mm"'
    turned = f'angle = "{round(math.degrees(sign * form.angle), 2) + 0.0:g} deg"'
    corner = f', corner_radius = "{_mm(form.corner_radius)} mm"' if form.form == "rectangle" else ""
    return f"cutout = {{ {form.form} = {{ {centre}, {sizes}, {turned}{corner} }} }}"


def _mm(metres: float) -> str:
    return f"{round(1000.0 * metres, 4) + 0.0:.10g}"
