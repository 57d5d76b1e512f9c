"""Darts: wedges cut out of a template's rim so that what is left lies down, and the strain that stays."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from panelmend.derive import formula
from panelmend.job.curved_formulas import TORUS, local_points, reaches
from panelmend.shapes import Outline, Point, outline
from panelmend.shapes.torus import Array, Torus

MOST_DARTS = 6  # on each edge; more is no template any more


@dataclass(frozen=True)
class Dart:
    """A wedge to cut out: ``outline`` in the same axes as the piece, ``width`` at the rim, ``depth`` [m]."""

    outline: Outline
    width: float
    depth: float


@formula("darts on each edge: the least number between which each strip keeps within the limit", source=TORUS)
def darts_needed(
    outline: Outline, x: float, y: float, axis: float, radius: float, second: float, sense: int, most: float
) -> int:
    """How many darts each long edge of a template takes.

    outline: the piece [outline]
    x: its centre [m]
    y: its centre [m]
    axis: direction of the axis [rad]
    radius: r, across the axis [m]
    second: R, along the axis [m]
    sense: 1 where both bulge to the same side, -1 for a saddle (no dart helps there: 0) [1]
    most: strain that may stay [1]
    return: darts on each edge, 0 where none is needed or none helps [1]
    """
    if sense < 0:
        return 0
    strain = abs(1.0 - float(Torus(radius, second, sense).stretch(reaches(outline, x, y, axis)[1])))
    if strain <= most:
        return 0
    surface = Torus(radius, second, sense, axis)
    u, v = local_points(outline, x, y, surface)
    return next((n for n in range(1, MOST_DARTS + 1) if _left(u, v, surface, most, n) <= most), 0)


@formula("strips along the axis, each developed about its own middle line: the least number", source=TORUS)
def strips_needed(
    outline: Outline, x: float, y: float, axis: float, radius: float, second: float, sense: int, most: float
) -> int:
    """Into how many strips along the axis a template must be split so that each keeps within the limit.

    The curvature is taken as the greatest over the piece, a strip's strain as K b^2 / 2 at half its width b.

    outline: the piece [outline]
    x: its centre [m]
    y: its centre [m]
    axis: direction of the axis [rad]
    radius: r, across the axis [m]
    second: R, along the axis [m]
    sense: 1 where both bulge to the same side, -1 for a saddle [1]
    most: strain that may stay [1]
    return: number of strips, 1 where none need be split [1]
    """
    surface = Torus(radius, second, sense, axis)
    reach = reaches(outline, x, y, axis)[1]
    if abs(1.0 - float(surface.stretch(reach))) <= most:
        return 1
    most_bent = float(np.max(np.abs(surface.gauss(np.linspace(0.0, reach, 200)))))
    return math.ceil(reach / math.sqrt(2.0 * most / most_bent))


@formula("greater of what the strips and the wedges leave", source=TORUS, kind="strain")
def strain_left(
    outline: Outline,
    x: float,
    y: float,
    axis: float,
    radius: float,
    second: float,
    sense: int,
    most: float,
    darts: int,
) -> float:
    """Strain of a darted template.

    outline: the piece [outline]
    x: its centre [m]
    y: its centre [m]
    axis: direction of the axis [rad]
    radius: r, across the axis [m]
    second: R, along the axis [m]
    sense: 1 where both bulge to the same side, -1 for a saddle [1]
    most: strain at which the darts begin [1]
    darts: on each edge [1]
    return: the greatest strain that stays, as a size without sign [1]
    """
    surface = Torus(radius, second, sense, axis)
    if darts == 0:
        return abs(1.0 - float(surface.stretch(reaches(outline, x, y, axis)[1])))
    return _left(*local_points(outline, x, y, surface), surface, most, darts)


def darts_of(piece: Outline, centre: Point, surface: Torus, most: float, darts: int) -> tuple[Dart, ...]:
    """The wedges of a piece about its ``centre`` [m]: ``darts`` an edge, where strain passes ``most``."""
    if darts == 0:
        return ()
    u, v = local_points(piece, *centre, surface)
    begin = begins(surface, most)
    found = []
    for way in (1.0, -1.0):
        for strip in _strips(u, way * v, begin, darts):
            wide = strip.width * (1.0 - float(surface.stretch(strip.rim)))
            corners = [
                (strip.at + 0.5 * wide, strip.rim),
                (strip.at - 0.5 * wide, strip.rim),
                (strip.at, begin),
            ]
            placed = [_plane((c[0], way * c[1]), centre, surface.axis_angle) for c in corners]
            if way < 0.0:
                placed.reverse()
            found.append(Dart(outline([(*p, 0.0) for p in placed]), wide, strip.rim - begin))
    return tuple(found)


@dataclass(frozen=True)
class _Strip:
    """A part of an edge that strains too much: where its dart lies, how wide it is, its rim at the dart and
    how far it reaches at most [m]."""

    at: float
    width: float
    rim: float
    most: float


def _strips(u: Array, v: Array, begin: float, darts: int) -> list[_Strip]:
    """The part of the upper edge that lies more than ``begin`` [m] off the line, in equal strips."""
    u1, v1 = np.roll(u, -1), np.roll(v, -1)
    crossing = (v > begin) != (v1 > begin)
    t = (begin - v[crossing]) / (v1[crossing] - v[crossing])
    edge = np.concatenate([u[v > begin], u[crossing] + t * (u1[crossing] - u[crossing])])
    if not len(edge):
        return []
    low, width = float(edge.min()), float(edge.max() - edge.min()) / darts
    found = []
    for k in range(darts):
        at = low + width * (k + 0.5)
        places = np.concatenate([[at], u[(v > begin) & (np.abs(u - at) <= 0.5 * width)]])
        rims = [_rim(u, v, u1, v1, float(p)) for p in places]
        if rims[0] > begin:
            found.append(_Strip(at, width, rims[0], max(rims)))
    return found


def _rim(u: Array, v: Array, u1: Array, v1: Array, at: float) -> float:
    """Greatest v [m] of the polygon at ``at`` [m] along."""
    with np.errstate(divide="ignore", invalid="ignore"):
        t = (at - u) / (u1 - u)
    return float(np.max(np.where((t >= 0.0) & (t <= 1.0), v + t * (v1 - v), -np.inf)))


def _left(u: Array, v: Array, surface: Torus, most: float, darts: int) -> float:
    """Strain that stays: of the ground without darts, of each strip's own bend, and beside each wedge."""
    begin, worst = begins(surface, most), 0.0
    for way in (1.0, -1.0):
        reach = float(np.max(way * v))
        strips = _strips(u, way * v, begin, darts)
        if len(strips) < darts:
            worst = max(worst, abs(1.0 - float(surface.stretch(max(reach, 0.0)))))
            continue
        for strip in strips:
            places = np.linspace(0.0, strip.most, 200)
            lost = 1.0 - surface.stretch(places)
            full = 1.0 - float(surface.stretch(strip.rim))
            lost = lost - full * np.clip((places - begin) / (strip.rim - begin), 0.0, 1.0)
            worst = max(worst, float(np.max(np.abs(lost))), _strip(surface, 0.5 * strip.width))
    return worst


def begins(surface: Torus, most: float) -> float:
    """How far off the line a template's strain passes ``most`` [1]; [m]."""
    cosine = 1.0 - most * surface.second / surface.radius
    return surface.radius * math.acos(max(-1.0, min(1.0, cosine)))


def _strip(surface: Torus, half: float) -> float:
    """Strain of a strip ``half`` [m] to each side of its own middle line square to the axis."""
    other = Torus(surface.second, surface.radius, surface.sense)
    return abs(1.0 - float(other.stretch(half)))


def _plane(local: Point, centre: Point, angle: float) -> Point:
    c, s = math.cos(angle), math.sin(angle)
    return (centre[0] + c * local[0] - s * local[1], centre[1] + s * local[0] + c * local[1])
