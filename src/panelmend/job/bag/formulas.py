"""The numbers of the bag stage."""

from __future__ import annotations

import math

from panelmend.derive import Source, formula
from panelmend.derive.figure import PRACTICE
from panelmend.job.defaults import AC_BAG, TM_BAG
from panelmend.shapes import Outline, distance_to_point
from panelmend.units.fundamental import GRAVITY

_GEOMETRY = Source("plane geometry")


@formula("L + 2 m", source=_GEOMETRY, kind="length")
def beyond_both_ends(size: float, margin: float) -> float:
    """Size of a layer that reaches beyond another on both sides.

    size: size of what it reaches beyond [m]
    margin: reach beyond it on each side [m]
    return: size of the layer [m]
    """
    return size + 2.0 * margin


@formula("(L - l) / 2", source=_GEOMETRY, kind="length")
def half_of_what_is_over(outer: float, inner: float) -> float:
    """How far one layer reaches beyond another that lies in its middle.

    outer: size of the larger layer [m]
    inner: size of the smaller one [m]
    return: reach beyond it on each side [m]
    """
    return 0.5 * (outer - inner)


@formula("F = d A", source=TM_BAG, kind="force")
def push_through(difference: float, opening: float) -> float:
    """Push on what closes a hole while the vacuum on its two sides differs.

    difference: difference of the two vacuums [Pa]
    opening: area of the hole [m2]
    return: force [N]
    """
    return difference * opening


@formula("L - 2 i", source=AC_BAG, kind="length")
def inside_both_ends(size: float, inset: float) -> float:
    """Size of a layer that stays inside another on both sides, so that air passes round it.

    size: size of the larger layer [m]
    inset: how much smaller on each side [m]
    return: size of the layer [m]
    """
    return size - 2.0 * inset


@formula("widest extent of the outline along the direction", source=_GEOMETRY, kind="length")
def extent_along(outline: Outline, direction: float) -> float:
    """Extent of an outline along a direction.

    outline: the outline [outline]
    direction: direction from 0 degrees [rad]
    return: extent [m]
    """
    return outline.extent(direction)


@formula("L (1 + a)", source=PRACTICE, kind="length")
def with_pleats(size: float, allowance: float) -> float:
    """Bag film cut larger so that it can be pleated and follows every step.

    size: size between the sealing lines [m]
    allowance: share added [1]
    return: size to cut [m]
    """
    return size * (1.0 + allowance)


@formula("2 (L + W) (1 + a)", source=PRACTICE, kind="length")
def tape_length(length: float, width: float, allowance: float) -> float:
    """Sealing tape round the bag and up its pleats.

    length: length of the sealing line [m]
    width: width of the sealing line [m]
    allowance: share added for pleats [1]
    return: length of tape [m]
    """
    return 2.0 * (length + width) * (1.0 + allowance)


@formula("F = p A", source=TM_BAG, kind="force")
def force_of_bag(pressure: float, length: float, width: float) -> float:
    """Force with which the air presses on the bagged area; what holds the panel has to bear the most.

    pressure: pressure difference across the bag [Pa]
    length: length of the bagged area [m]
    width: width of the bagged area [m]
    return: force [N]
    """
    return pressure * length * width


@formula("m = p A / g", source=Source("weight of a mass, g = 9.80665 m/s2 (CGPM 1901)"), kind="weight")
def mass_that_presses(pressure: float, outline: Outline) -> float:
    """Mass of weights that press evenly on what is laid on a level panel.

    pressure: least pressure [Pa]
    outline: what is laid [outline]
    return: mass of all weights together [kg]
    """
    return pressure * outline.area / GRAVITY


@formula("p = v", source=Source("pressure difference"), kind="pressure")
def pressing(vacuum: float) -> float:
    """Pressure difference across the bag: what a gauge vacuum presses with.

    vacuum: gauge vacuum [Pa]
    return: pressure difference [Pa]
    """
    return vacuum


@formula("V = L W t", source=_GEOMETRY, kind="volume")
def gas_under_bag(length: float, width: float, thickness: float) -> float:
    """Room for gas under a bag: the breather out to the sealing line, its fibres counted as gas.

    length: length inside the sealing line [m]
    width: width inside the sealing line [m]
    thickness: thickness of the breather under vacuum [m]
    return: volume [m3]
    """
    return length * width * thickness


@formula("Q = V dp / dt", source=Source("ideal gas at constant temperature"), kind="throughput")
def leak_throughput(volume: float, drop: float, duration: float) -> float:
    """Flow of a leak that loses a vacuum in a time.

    volume: room for gas under the bag [m3]
    drop: loss of vacuum [Pa]
    duration: time in which it is lost [s]
    return: throughput [Pa m3/s]
    """
    return volume * drop / duration


@formula("a + 90 degrees", source=_GEOMETRY, kind="angle")
def square_to(direction: float) -> float:
    """Direction square to another.

    direction: a direction [rad]
    return: the direction square to it [rad]
    """
    return direction + 0.5 * math.pi


@formula("as it is", source=_GEOMETRY, kind="length")
def same_size(size: float) -> float:
    """A size taken over as it is.

    size: the size [m]
    return: the same [m]
    """
    return size


@formula("P = q L W", source=Source("definition of power density"), kind="power")
def power_needed(density: float, length: float, width: float) -> float:
    """Power of a blanket of the size that is wanted.

    density: power on the area of a blanket of the bay, at its rated voltage [W/m2]
    length: heated length that is wanted [m]
    width: heated width that is wanted [m]
    return: power [W]
    """
    return density * length * width


@formula("L - 2 b", source=_GEOMETRY, kind="length")
def heated_size(size: float, border: float) -> float:
    """Heated size of a blanket within its unheated border.

    size: size of the blanket [m]
    border: unheated border on each side [m]
    return: heated size [m]
    """
    return size - 2.0 * border


@formula("(p - c) . a, c the middle of the box round the patch along a", source=_GEOMETRY, kind="length")
def off_the_middle(patch: Outline, direction: float, towards: float, x: float, y: float) -> float:
    """How far a place lies off the middle of a patch, along a direction.

    patch: the patch [outline]
    direction: direction of the bag's length [rad]
    towards: direction that is asked for [rad]
    x: the place along 0 degrees [m]
    y: the place across it [m]
    return: distance along the direction, below zero against it [m]
    """
    at = middle_of(patch, direction)
    return (x - at[0]) * math.cos(towards) + (y - at[1]) * math.sin(towards)


@formula("L + 2 |o|", source=_GEOMETRY, kind="length")
def reach_of_moved(size: float, off: float) -> float:
    """Size about the middle of the patch of what holds a layer that lies off that middle.

    size: size of the layer [m]
    off: how far its middle lies off [m]
    return: size [m]
    """
    return size + 2.0 * abs(off)


@formula("least of (h - n) / 2 - |o| along and across", source=_GEOMETRY, kind="length")
def heated_past(
    length: float, width: float, needed_length: float, needed_width: float, along: float, across: float
) -> float:
    """How far a heated area that lies off the middle reaches past what it must heat, where it is least.

    length: heated length [m]
    width: heated width [m]
    needed_length: length that must be heated [m]
    needed_width: width that must be heated [m]
    along: how far its middle lies off along the length [m]
    across: how far its middle lies off across it [m]
    return: reach past it, below zero where it falls short [m]
    """
    return min(0.5 * (length - needed_length) - abs(along), 0.5 * (width - needed_width) - abs(across))


@formula("distance to the patch - m", source=_GEOMETRY, kind="length")
def past_the_adhesive(patch: Outline, x: float, y: float, margin: float) -> float:
    """How far a place lies past the adhesive round a patch.

    patch: the patch [outline]
    x: the place along 0 degrees [m]
    y: the place across it [m]
    margin: adhesive past the patch [m]
    return: distance, below zero on the adhesive or the patch [m]
    """
    return -distance_to_point(patch, (x, y)) - margin


@formula("distance to the edge of the outline", source=_GEOMETRY, kind="length")
def inside_of(outline: Outline, x: float, y: float) -> float:
    """How far inside an outline a place lies.

    outline: the outline [outline]
    x: the place along 0 degrees [m]
    y: the place across it [m]
    return: distance to its edge, below zero outside [m]
    """
    return distance_to_point(outline, (x, y))


def middle_of(patch: Outline, direction: float) -> tuple[float, float]:
    """Middle [m] of the box round the patch that lies along ``direction`` [rad]."""
    turned = patch.turned(-direction)
    x0, y0, x1, y1 = turned.bounds
    x, y = 0.5 * (x0 + x1), 0.5 * (y0 + y1)
    c, s = math.cos(direction), math.sin(direction)
    return (c * x - s * y, s * x + c * y)
