"""The numbers of the nest stage."""

from __future__ import annotations

from panelmend.derive import Source, formula
from panelmend.job.nest.bound import roll_bound
from panelmend.job.nest.part import Nest, NestProblem
from panelmend.job.nest.placements import placed_boundary
from panelmend.job.nest.shelf import shelf_nest

OWN = Source("panelmend method page: nest")
_GEOMETRY = Source("plane geometry")


@formula("s = L - B", source=OWN, kind="length")
def above_bound(used: float, bound: float) -> float:
    """Roll used beyond the length that no layout can go below.

    used: roll length cut [m]
    bound: lower bound of the roll length [m]
    return: length above the bound [m]
    """
    return max(0.0, used - bound)


@formula("s = S - L", source=OWN, kind="length")
def saved(shelves: float, used: float) -> float:
    """Roll saved against plain shelves.

    shelves: roll length of the plain shelf layout [m]
    used: roll length cut [m]
    return: length saved [m]
    """
    return shelves - used


@formula("L = sum of the lengths cut from rolls", source=OWN, kind="length")
def roll_length(nest: Nest) -> float:
    """Roll cut, remnants not counted.

    nest: where every piece lies [-]
    return: length cut from rolls [m]
    """
    return nest.roll_length


@formula("l = far end of the last piece + kept edge", source=OWN, kind="length")
def used_on(nest: Nest, strip: str) -> float:
    """Length used on one strip.

    nest: where every piece lies [-]
    strip: name of the strip [-]
    return: length from its start to the cut [m]
    """
    return sum(layout.used_length for layout in nest.layouts if layout.strip.id == strip)


@formula("B = largest of the area, width and slice bounds", source=OWN, kind="length")
def lower_bound(problem: NestProblem) -> float:
    """Roll length below which no layout can go.

    problem: the pieces and strips [-]
    return: lower bound [m]
    """
    return roll_bound(problem)


@formula("S = shortest of the plain shelf layouts", source=OWN, kind="length")
def shelf_length(problem: NestProblem) -> float:
    """Roll a plain shelf layout takes, for comparison.

    problem: the pieces and strips [-]
    return: roll length [m]
    """
    return shelf_nest(problem).roll_length


@formula("W = widest reach of the pieces across the roll", source=_GEOMETRY, kind="length")
def nest_width(nest: Nest, problem: NestProblem, strip: str) -> float:
    """Width that a nest takes across its strip, from the kept edge to the farthest piece.

    nest: where every piece lies [-]
    problem: the pieces [-]
    strip: name of the strip [-]
    return: width [m]
    """
    pieces = {p.id: p for p in problem.pieces}
    reach = [
        float(placed_boundary(pieces[at.piece], at)[:, 1].max())
        for layout in nest.layouts
        if layout.strip.id == strip
        for at in layout.placements
    ]
    return max(reach, default=0.0)
