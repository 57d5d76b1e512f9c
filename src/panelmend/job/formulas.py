"""Formulas that several stages share: sums, rounding, and what is measured on outlines."""

from __future__ import annotations

import math

from panelmend.derive import Source, formula
from panelmend.shapes import Outline, clearance, depth_within, distance_to_point, least_overlap

ARITHMETIC = Source("arithmetic")
GEOMETRY = Source("plane geometry, exact for lines and arcs")
ROUNDING = 1e-9  # [m] what is within this of a whole step is that step


@formula("sum of the parts", source=ARITHMETIC, kind="length")
def total(**parts: float) -> float:
    """Lengths added up.

    parts: the lengths [m]
    return: their sum [m]
    """
    return math.fsum(parts.values())


@formula("half of the total", source=ARITHMETIC, kind="length")
def half(whole: float) -> float:
    """One side of a length that stands for both sides together.

    whole: length on both sides together [m]
    return: length on one side [m]
    """
    return 0.5 * whole


@formula("2 x one side", source=ARITHMETIC, kind="length")
def both_sides(side: float) -> float:
    """A length on both sides together.

    side: length on one side [m]
    return: length on both sides together [m]
    """
    return 2.0 * side


@formula("the same value", source=ARITHMETIC, kind="length")
def same_length(value: float) -> float:
    """A length carried over under another name.

    value: the length [m]
    return: the length [m]
    """
    return value


@formula("the same value", source=ARITHMETIC, kind="angle")
def same_angle(value: float) -> float:
    """An angle carried over under another name.

    value: the angle [rad]
    return: the angle [rad]
    """
    return value


@formula("the other way round", source=Source("TM 1-1500-204-23-11", "para 5-7"), kind="angle")
def seen_from_behind(angle: float) -> float:
    """An angle as it is seen from the other side of the panel, turned over about 0 degrees.

    angle: the angle seen from the outside [rad]
    return: the angle seen from the inside [rad]
    """
    return 0.0 if angle == 0.0 else -angle


def rounded_up(value: float, step: float) -> float:
    """The next whole number of steps [m] at or above a value [m]."""
    return math.ceil(value / step - ROUNDING / step) * step


@formula("area enclosed by the outline", source=GEOMETRY, kind="area")
def area_of(outline: Outline) -> float:
    """Area of an outline.

    outline: the shape [outline]
    return: the area it encloses [m2]
    """
    return outline.area


@formula(
    "least distance from the inner outline to the outer one, below zero where it pokes out",
    source=GEOMETRY,
    kind="length",
)
def least_overlap_of(inner: Outline, outer: Outline) -> float:
    """How far the outer outline reaches beyond the inner one where it does so least, corners included.

    inner: the outline to be overlapped [outline]
    outer: the outline that overlaps it [outline]
    return: the least overlap [m]
    """
    return least_overlap(inner, outer)[0]


@formula(
    "least distance between the outlines, below zero by how deep they run into each other",
    source=GEOMETRY,
    kind="length",
)
def clear_between(piece: Outline, other: Outline) -> float:
    """Clear distance between two areas.

    piece: one area [outline]
    other: the other area [outline]
    return: the clear distance, below zero where they share ground [m]
    """
    found = clearance(piece, other)
    return -run_into(piece, other) if found.overlaps else found.distance


def run_into(a: Outline, b: Outline) -> float:
    """How deep two areas that share ground run into each other, at least 0 [m]: by the rim of each inside
    the other, arcs too, and by their middles (where both are alike no rim lies inside)."""
    middles = [min(distance_to_point(a, p), distance_to_point(b, p)) for p in (a.centroid, b.centroid)]
    return max(0.0, depth_within(a, b), depth_within(b, a), *middles)


@formula(
    "distance from the point to the outline less the radius, below zero where it is reached",
    source=GEOMETRY,
    kind="length",
)
def clear_to_spot(piece: Outline, x: float, y: float, diameter: float) -> float:
    """Clear distance from an area to the rim of a round thing.

    piece: the area [outline]
    x: centre of the round thing [m]
    y: centre of the round thing [m]
    diameter: its diameter [m]
    return: the clear distance, below zero where the area reaches it [m]
    """
    return -distance_to_point(piece, (x, y)) - 0.5 * diameter


@formula("clear distance - asked distance", source=ARITHMETIC, kind="length")
def spare(clear: float, asked: float) -> float:
    """What is left over of a clear distance.

    clear: the clear distance [m]
    asked: the distance asked for [m]
    return: what is left, below zero for a shortfall [m]
    """
    return clear - asked
