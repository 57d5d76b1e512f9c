"""Formulas of weighing: how many pots, how much in each, and the window the hardener is weighed into."""

from __future__ import annotations

import math

from panelmend.derive import Source, formula
from panelmend.derive.figure import PRACTICE

FORMULAS_STAND_AS = "job.kit.formulas"  # the name that plans in hand carry

_BALANCE = Source("mass balance")
_WINDOW = Source("guard-banded weighing", "hardener weighed to the resin that is in the pot")


@formula("(a + b)/b (u (1 + b/a) + n d/2) / t", source=_WINDOW, kind="mass")
def least_batch(
    resin_parts: float,
    hardener_parts: float,
    tolerance: float,
    step: float,
    uncertainty: float,
    readings: int,
) -> float:
    """Least batch of which the balance can tell that its ratio is right.

    resin_parts: parts of resin by weight [1]
    hardener_parts: parts of hardener by weight [1]
    tolerance: permitted relative deviation of hardener over resin [1]
    step: step of the balance [kg]
    uncertainty: uncertainty of one reading [kg]
    readings: readable values wanted in the window [1]
    return: mass of the mix [kg]
    """
    share = hardener_parts / resin_parts
    window = uncertainty * (1.0 + share) + 0.5 * readings * step
    return (resin_parts + hardener_parts) / hardener_parts * window / tolerance


@formula("(b/a)(1 - t)(A + u) + u, up to the step", source=_WINDOW, kind="mass")
def least_hardener(
    resin: float, resin_parts: float, hardener_parts: float, tolerance: float, step: float, uncertainty: float
) -> float:
    """Least reading of hardener that is surely within the ratio's tolerance.

    resin: resin in the pot as read [kg]
    resin_parts: parts of resin by weight [1]
    hardener_parts: parts of hardener by weight [1]
    tolerance: permitted relative deviation of hardener over resin [1]
    step: step of the balance [kg]
    uncertainty: uncertainty of one reading [kg]
    return: mass [kg]
    """
    least = hardener_parts / resin_parts * (1.0 - tolerance) * (resin + uncertainty) + uncertainty
    return math.ceil(least / step - 1e-9) * step


@formula("(b/a)(1 + t)(A - u) - u, down to the step", source=_WINDOW, kind="mass")
def most_hardener(
    resin: float, resin_parts: float, hardener_parts: float, tolerance: float, step: float, uncertainty: float
) -> float:
    """Greatest reading of hardener that is surely within the ratio's tolerance.

    resin: resin in the pot as read [kg]
    resin_parts: parts of resin by weight [1]
    hardener_parts: parts of hardener by weight [1]
    tolerance: permitted relative deviation of hardener over resin [1]
    step: step of the balance [kg]
    uncertainty: uncertainty of one reading [kg]
    return: mass [kg]
    """
    most = hardener_parts / resin_parts * (1.0 + tolerance) * (resin - uncertainty) - uncertainty
    return math.floor(most / step + 1e-9) * step


@formula("n max(T / n, M), up to the step", source=_WINDOW, kind="mass")
def batch_for(need: float, pots: int, least: float, step: float) -> float:
    """What is mixed in all: no pot smaller than the balance can tell.

    need: mass the work takes, losses included [kg]
    pots: number of equal pots [1]
    least: least batch that can be weighed [kg]
    step: step of the balance [kg]
    return: mass of all pots together [kg]
    """
    return pots * math.ceil(max(need / pots, least) / step - 1e-9) * step


@formula("M to its printed place", source=_BALANCE, kind="mass")
def as_printed(mass: float, places: int) -> float:
    """A mass as the card prints it: the hardener's window belongs to the resin that can be read there.

    mass: mass in the pot [kg]
    places: decimals of a gram in print [1]
    return: mass [kg]
    """
    return round(1e3 * mass, places) * 1e-3


@formula("batch - need", source=_BALANCE, kind="mass")
def surplus_of(batch: float, need: float) -> float:
    """What is mixed beyond the need and thrown away.

    batch: mass of all pots together [kg]
    need: mass the work takes [kg]
    return: mass [kg]
    """
    return batch - need


@formula("n = ceil(T / p)", source=PRACTICE)
def pot_count(total: float, pot: float) -> int:
    """Number of equal pots, none above the largest permitted.

    total: mass of the mix [kg]
    pot: largest mass in one pot [kg]
    return: number of pots [1]
    """
    return max(1, math.ceil(total / pot - 1e-9))


@formula("M / n", source=_BALANCE, kind="mass")
def in_each_pot(mass: float, pots: int) -> float:
    """Share of one pot.

    mass: mass in all [kg]
    pots: number of pots [1]
    return: mass in one pot [kg]
    """
    return mass / pots
