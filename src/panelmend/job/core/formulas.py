"""The numbers of the core stage."""

from __future__ import annotations

from panelmend.derive import Source, formula
from panelmend.job.formulas import GEOMETRY
from panelmend.shapes import Outline, offset


@formula("every line and arc of the opening moved inwards by the gap", source=GEOMETRY)
def plug_outline(opening: Outline, gap: float) -> Outline:
    """Outline of the plug.

    opening: hole in the core [outline]
    gap: splice gap all round [m]
    return: the plug [outline]
    """
    found = offset(opening, -gap)
    return max(found, key=lambda o: o.area)


@formula("(area of the opening - area of the plug) x depth", source=GEOMETRY, kind="volume")
def splice_volume(opening: Outline, plug: Outline, depth: float) -> float:
    """Adhesive round the plug, net.

    opening: hole in the core [outline]
    plug: the plug in it [outline]
    depth: depth of the splice [m]
    return: volume between them [m3]
    """
    return (opening.area - plug.area) * depth


@formula("area x thickness", source=GEOMETRY, kind="volume")
def layer_volume(outline: Outline, thickness: float) -> float:
    """Adhesive of an even layer, or of a potted hole, net.

    outline: the area it covers [outline]
    thickness: of the layer, or depth of the hole [m]
    return: its volume [m3]
    """
    return outline.area * thickness


@formula("largest dimension at most the limit", source=Source("the approved data's potting limit"))
def may_pot(largest: float, limit: float) -> str:
    """Whether the data lets core damage of this size be potted.

    largest: largest dimension of the damage [m]
    limit: largest core damage that may be potted [m]
    return: yes or no [1]
    """
    return "yes" if largest <= limit * (1.0 + 1e-9) else "no"
