"""How clear of its neighbours a piece stands along a surface that is bent both ways."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from panelmend.derive.memory import remembered
from panelmend.job.clearances import Neighbour
from panelmend.shapes import Outline, Point, to_polygon
from panelmend.shapes.torus import Array, Torus

EDGE_PLACE_STEP = 0.005  # [m] between places of a neighbour's edge that are looked at


@dataclass(frozen=True)
class Along:
    """Clear distance along the surface [m]; where the surface isn't known so far out, ``known`` is False and
    ``clear`` the least it can be, since lengths across the axis are true."""

    clear: float
    known: bool


@remembered
def clear_along(surface: Torus, centre: Point, piece: Outline, neighbour: Neighbour) -> Along:
    """How clear of a neighbour a piece stands that is laid from its centre [m].

    Every place of the neighbour's edge is carried to where it lies from the centre, by straightest lines
    along the surface, and held against the flat piece there. Lengths square to those lines are then too long
    by up to K d^2 / 6 at a distance d on a surface of curvature K above zero; they are shortened by it.
    """
    edge = _places(neighbour)
    u0, v0 = surface.local(*centre)
    u, v = surface.local(edge[:, 0], edge[:, 1])
    inside = surface.answers(u, v)
    half = 0.5 * neighbour.diameter if neighbour.kind == "spot" else 0.0
    reach = max(math.dist(centre, p) for p in to_polygon(piece, 1e-4))
    least = math.inf
    if not bool(surface.answers(u0, v0)):
        inside = np.zeros(len(u), bool)
    far = ~inside
    if far.any():
        least = float(np.min(np.abs(v[far] - v0))) - reach - half
    clear = math.inf
    if inside.any():
        size, way = surface.ways((float(u0), float(v0)), np.stack([u[inside], v[inside]], axis=-1))
        near = size <= float(size.min()) + 2.0 * reach
        for d, angle in zip(size[near], way[near] + surface.axis_angle, strict=True):
            way_there = (math.cos(angle), math.sin(angle))
            at = (centre[0] + d * way_there[0], centre[1] + d * way_there[1])
            nearest = piece.reach(*at)[1:]
            on = (at[0] - nearest[0]) * way_there[0] + (at[1] - nearest[1]) * way_there[1]
            off = (at[1] - nearest[1]) * way_there[0] - (at[0] - nearest[0]) * way_there[1]
            size_of = math.hypot(on, off * _shorter(surface, float(v0), float(d)))
            clear = min(clear, -size_of if piece.contains(at, 0.0) else size_of)
        clear -= half
    return Along(clear, True) if clear <= least else Along(least, False)


def _shorter(surface: Torus, v: float, distance: float) -> float:
    """What lengths square to a straightest line of ``distance`` [m] come to, at least [1]."""
    return 1.0 - max(0.0, float(surface.gauss(v))) * distance**2 / 6.0


def _places(neighbour: Neighbour) -> Array:
    """Places on the edge of a neighbour [m], EDGE_PLACE_STEP apart at most; the middle of a round one."""
    if neighbour.kind == "spot" or neighbour.outline is None:
        return np.array([neighbour.at])
    corners = np.array(to_polygon(neighbour.outline, 1e-5))
    found = []
    for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        count = max(1, math.ceil(float(np.hypot(*(b - a))) / EDGE_PLACE_STEP))
        found.append(a + (b - a) * (np.arange(count) / count)[:, None])
    return np.concatenate(found)
