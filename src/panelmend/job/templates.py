"""Templates: a piece as it is seen from the side it is laid from, its centre at the origin."""

from __future__ import annotations

from panelmend.derive import Source, formula
from panelmend.job.formulas import GEOMETRY
from panelmend.shapes import Outline

SEEN = Source("TM 1-1500-204-23-11", "para 5-7: seen from the inside, 0 degrees stays and +45 and -45 swap")


@formula("outline moved so that the centre is the origin", source=GEOMETRY)
def template_outside(outline: Outline, x: float, y: float) -> Outline:
    """Template of a piece laid from the outside.

    outline: the piece in standard axes [outline]
    x: centre of the cut-out [m]
    y: centre of the cut-out [m]
    return: the template [outline]
    """
    return outline.moved(-x, -y)


@formula("outline moved so that the centre is the origin, then turned over about 0 degrees", source=SEEN)
def template_inside(outline: Outline, x: float, y: float) -> Outline:
    """Template of a piece laid from the inside.

    outline: the piece in standard axes [outline]
    x: centre of the cut-out [m]
    y: centre of the cut-out [m]
    return: the template as it is seen from the inside [outline]
    """
    return outline.moved(-x, -y).mirrored_y()


@formula("the same outline", source=GEOMETRY)
def same_outline(outline: Outline) -> Outline:
    """An outline carried over under another name.

    outline: the shape [outline]
    return: the shape [outline]
    """
    return outline
