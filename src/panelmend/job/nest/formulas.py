"""The nest's printed numbers."""

from __future__ import annotations

from panelmend.derive import Source, formula
from panelmend.derive.figure import PRACTICE

_GEOMETRY = Source("plane geometry")


@formula("length = far end of the last piece + kept edge", source=_GEOMETRY, kind="length")
def used_length(reach: float, edge: float) -> float:
    """Length of cloth that is cut off.

    reach: far end of the last piece from the start of the strip [m]
    edge: kept free at the end [m]
    return: length from the start to the cut [m]
    """
    return reach + edge


@formula("yield = piece area / (width x length)", source=_GEOMETRY, kind="ratio")
def cloth_yield(area: float, width: float, length: float) -> float:
    """Share of the cut-off cloth that becomes pieces.

    area: area of the pieces [m2]
    width: width of the strip [m]
    length: used length [m]
    return: yield [1]
    """
    return area / (width * length)


@formula("side = size of the nest + 2 x margin", source=PRACTICE, kind="length")
def wet_out_side(size: float, margin: float) -> float:
    """One side of the sheet that is wetted out between films before the pieces are cut from it.

    size: length or width of the nest [m]
    margin: sheet beyond the nest on each side [m]
    return: side of the sheet [m]
    """
    return size + 2.0 * margin
