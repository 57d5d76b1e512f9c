"""How pieces grow beyond a cut-out: rounded corners as exact offsets, trimmed ones from the sharp outline."""

from __future__ import annotations

from panelmend.derive import Source, formula
from panelmend.job.formulas import GEOMETRY
from panelmend.shapes import Outline, offset, trim_corners, trim_for_overlap

FORMULAS_STAND_AS = "job.reach"  # the name that plans in hand carry


@formula("every line and arc moved outwards by the margin, corners rounded", source=GEOMETRY)
def grown(outline: Outline, margin: float) -> Outline:
    """An outline grown by the same distance everywhere.

    outline: the shape [outline]
    margin: how far it grows [m]
    return: the grown shape [outline]
    """
    return offset(outline, margin)[0]


@formula(
    "the longest corner trim that keeps the margin to the cut-out and the step to the smaller ply",
    source=Source("plane geometry; found by halving to 1e-10 m"),
    kind="length",
)
def longest_trim(
    cutout: Outline, sharp: Outline, smaller: Outline, margin: float, smaller_margin: float, most: float
) -> float:
    """Corner trim of a ply over a rectangle, at 45 degrees.

    cutout: the cut-out [outline]
    sharp: the cut-out with sharp corners [outline]
    smaller: the next smaller ply, or the cut-out [outline]
    margin: of this ply beyond the cut-out [m]
    smaller_margin: of the next smaller ply [m]
    most: longest trim permitted [m]
    return: the trim edge [m]
    """
    whole = offset(sharp, margin, "mitre")[0]
    first = trim_for_overlap(cutout, whole, margin, most)
    if smaller_margin <= 0.0:
        return first
    return min(first, trim_for_overlap(smaller, whole, margin - smaller_margin, most))


@formula("sharp outline grown by the margin, each corner cut off by the trim", source=GEOMETRY)
def trimmed(sharp: Outline, margin: float, trim: float) -> Outline:
    """Outline of a ply over a rectangle with trimmed corners.

    sharp: the cut-out with sharp corners [outline]
    margin: beyond the cut-out [m]
    trim: length of the trim edge [m]
    return: outline of the ply [outline]
    """
    return trim_corners(offset(sharp, margin, "mitre")[0], trim)


@formula(
    "sharp outline grown by the margin, corners cut off as far as the margin to the cut-out allows",
    source=GEOMETRY,
)
def outermost(cutout: Outline, sharp: Outline, margin: float, most: float) -> Outline:
    """The largest ply over a rectangle that is only being tried.

    cutout: the cut-out [outline]
    sharp: the cut-out with sharp corners [outline]
    margin: beyond the cut-out [m]
    most: longest trim permitted [m]
    return: outline of the ply [outline]
    """
    whole = offset(sharp, margin, "mitre")[0]
    return trim_corners(whole, trim_for_overlap(cutout, whole, margin, most))
