"""The numbers of the cut-out."""

from __future__ import annotations

from typing import Any

from panelmend.derive import Source, formula
from panelmend.document.approved import CutoutForm
from panelmend.job.forms import Form, smallest
from panelmend.job.formulas import ARITHMETIC, GEOMETRY
from panelmend.shapes import Outline

SEARCH = Source("least cover of its form, sizes rounded up to the step; checked to cover")


@formula("the form of least area that covers the damage with its margin, sizes rounded up", source=SEARCH)
def least_form(damage: Outline, margin: float, form: CutoutForm, lie: str, step: float, **more: Any) -> Form:
    """The smallest cut-out of a form.

    damage: what must be covered [outline]
    margin: sound material removed round it [m]
    form: circle, ellipse, oval or rectangle [1]
    lie: free, or held to the panel's axes [1]
    step: to which sizes are rounded up [m]
    more: far: damage of the other skin, carried to this one; corner_radius: of a rectangle [m]
    return: form, place and sizes [m]
    """
    what = (damage, more["far"]) if "far" in more else (damage,)
    held = None if lie == "free" else 0.0
    return smallest(form, what, margin, step, more.get("corner_radius", 0.0), held)


@formula("overall length of the form", source=GEOMETRY, kind="length")
def length_of(form: Form) -> float:
    """Length of a cut-out.

    form: the cut-out [form]
    return: its overall length [m]
    """
    return form.length


@formula("overall width of the form", source=GEOMETRY, kind="length")
def width_of(form: Form) -> float:
    """Width of a cut-out.

    form: the cut-out [form]
    return: its overall width [m]
    """
    return form.width


@formula("direction of the form's length", source=GEOMETRY, kind="angle")
def angle_of(form: Form) -> float:
    """Direction of a cut-out's length.

    form: the cut-out [form]
    return: direction of its length from 0 degrees [rad]
    """
    return form.angle


@formula("radius of the form's corners or ends", source=GEOMETRY, kind="length")
def corner_radius_of(form: Form) -> float:
    """Radius of a cut-out's corners; half the width for all but the rectangle.

    form: the cut-out [form]
    return: the radius [m]
    """
    return form.corner_radius


@formula("outline of the form", source=GEOMETRY)
def outline_of(form: Form) -> Outline:
    """Outline of a cut-out.

    form: the cut-out [form]
    return: its outline [outline]
    """
    return form.outline


@formula("outline of the form with sharp corners", source=GEOMETRY)
def sharp_outline_of(form: Form) -> Outline:
    """Outline of a cut-out without rounded corners, from which trimmed plies are drawn.

    form: the cut-out [form]
    return: its outline with sharp corners [outline]
    """
    return form.sharp


@formula("area of the cut-out - area of the damage", source=ARITHMETIC, kind="area")
def sound_removed(opening: float, damage: float) -> float:
    """Sound material removed with the damage.

    opening: area of the cut-out [m2]
    damage: area of the damage [m2]
    return: the difference [m2]
    """
    return opening - damage
