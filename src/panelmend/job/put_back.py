"""Which part of the panel the approved data puts back, where a cut takes it away."""

from __future__ import annotations

from typing import Literal

from panelmend.document.panel import Side
from panelmend.document.put_back import PutBack
from panelmend.job.case import Case, Spot
from panelmend.job.curvature import point_on
from panelmend.shapes import distance_to_point

Kind = Literal["insert", "fastener", "solid area", "edge band"]
SPOTS: dict[str, Kind] = {"insert": "insert", "fastener": "fastener"}
ROOM_CURE_MOST = 313.15
"""[K] 40 C: a cure that must be warmer takes a heater (common practice, no source)."""
OTHER_SIDE: dict[Side, Side] = {"outside": "inside", "inside": "outside"}


def names(b: PutBack, kind: Kind, ident: str) -> bool:
    """Whether an entry is about a part; the edge band is one, whatever its short name."""
    return b.kind == kind and (kind == "edge band" or b.id == ident)


def heated(b: PutBack) -> bool:
    """Whether its compound is cured by heat: warmer than a room, or nobody said that a room will do."""
    low, high = b.cure_low, b.cure_high
    return low > ROOM_CURE_MOST if low is not None else high is not None and high > ROOM_CURE_MOST


def put_back_of(case: Case, kind: Kind, ident: str) -> PutBack | None:
    """The data's way to put a part back; None where it has none, or two: nobody knows which holds."""
    found = [b for b in case.document.data.put_back if names(b, kind, ident)]
    return found[0] if len(found) == 1 else None


def goes_with_the_damage(case: Case, spot: Spot) -> bool:
    """Whether an insert or fastener may go with the cut-out, put back by the data: plies need not keep clear.

    It lies in the damage or in the margin cut round it, or the planner chose the cut-out by hand. No
    cut-out is made larger to take one away that the damage left alone.
    """
    if put_back_of(case, SPOTS[spot.kind], spot.id) is None:
        return False
    if case.document.choice.cutout is not None:
        return True
    margin = case.document.data.cutout.margin
    reach = 0.5 * spot.diameter + (margin.value if margin is not None else 0.0)
    near: Side = case.document.damage.side
    hurt = ((near, case.geometry.damage), (OTHER_SIDE[near], case.geometry.far_damage))
    return any(
        h is not None and distance_to_point(h, point_on(case, spot.at, "outside", side)) > -reach
        for side, h in hurt
    )
