"""Outer faces of a cure: air, radiation and insulation over the bag and behind, and webs of ribs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from panelmend.job.cure.problem import HeatProblem, Rib
from panelmend.physics import film
from panelmend.physics.fin import fin_conductance
from panelmend.physics.heat import INSULATED, FaceCover
from panelmend.predict.problem_grid import ABSENT_BELOW, ProblemGrid

EMISSIVITY = 0.9
# by attitude: where the repaired and the far face look, and whether air rises along their greatest extent
ATTITUDES = {
    "repair up": ("up", "down", False),
    "repair down": ("down", "up", False),
    "upright": ("side", "side", True),
}
# by kind of structure: whether its web draws heat like a fin; a doubler or fitting is faced like its skin
WEBBED = {"rib": True, "spar": True, "doubler": False, "fitting": False}
FIN_RISE = 40.0  # K above the air: where the film of a fin is taken
SHARE_PARTS = 8  # a rib's share of a cell is taken in eighths, rounded up: rather a little colder


def covers_of(
    problem: HeatProblem, on: ProblemGrid, v: Mapping[str, float]
) -> tuple[tuple[FaceCover, ...], NDArray[np.int64], NDArray[np.int64]]:
    """Outer faces of a case: 0 nothing, 1 over the bag, 2 far face, 3 bare panel beside the bag, then some
    for each rib; and which of them lies above and below each place, shape (ny, nx) [1]."""
    air = problem.air + v.get("air", 0.0)
    emissivity = v.get("emissivity", EMISSIVITY)
    over, behind, tall = ATTITUDES[problem.attitude]
    x0, y0, x1, y1 = problem.seal_line.bounds
    size = max(y1 - y0, x1 - x0) if tall else (x1 - x0) * (y1 - y0) / (2.0 * (x1 - x0 + y1 - y0))

    def face(facing: str, draught: float, insulation: float) -> FaceCover:
        return FaceCover(
            air,
            film=problem.film,
            emissivity=emissivity,
            insulation=insulation,
            length=size,
            facing=facing,
            pressure=problem.pressure,
            draught=draught,
        )

    upper, lower = v.get("draught over", 0.0), v.get("draught behind", 0.0)
    covers = [
        INSULATED,
        face(over, upper, problem.insulation_over),
        face(behind, lower, problem.insulation_behind),
        face(over, upper, 0.0),
    ]
    inside = on.shares["panel"] > 0.5
    bagged = (on.layers["bag"].thickness > 0.0) if "bag" in on.layers else inside
    top = np.where(bagged, 1, np.where(inside, 3, 0))
    bottom = np.where(inside, 2, 0)
    for rib, share in on.ribs:
        if not WEBBED[rib.kind]:
            continue
        side = over if rib.near else behind
        still = (
            problem.film
            if problem.film is not None
            else film.convection(air + FIN_RISE, air, size, side, problem.pressure)
        )
        plain = top if rib.near else bottom
        made = plain.copy()
        for part in range(1, SHARE_PARTS + 1):
            where = (
                (share * rib.thickness > ABSENT_BELOW)
                & inside
                & (np.ceil(share * SHARE_PARTS - 1e-9) == part)
            )
            for under in np.unique(plain[where]):
                covers.append(_rib_cover(covers[under], still, rib, part / SHARE_PARTS))
                made[where & (plain == under)] = len(covers) - 1
        if rib.near:
            top = made
        else:
            bottom = made
    return tuple(covers), top.astype(np.int64), bottom.astype(np.int64)


def _rib_cover(plain: FaceCover, still: float, rib: Rib, share: float) -> FaceCover:
    """The face of a cell that a rib covers in part: what the cell gives off anyway, and what the web draws.

    Insulation lies on the flange and on both faces of the web, so each has it in series with its own film.
    ``still`` is the film of still air [W/(m2 K)].
    """
    bare = still + plain.draught + film.radiation(plain.air + FIN_RISE, plain.air, plain.emissivity)
    each = 1.0 / (1.0 / bare + plain.insulation)
    width = rib.outline.area / rib.outline.largest_extent()
    fin = fin_conductance(each, rib.conductivity, rib.thickness, rib.height) / width
    if plain.insulation == 0.0:
        return replace(plain, film=still + share * fin)
    return replace(plain, film=each + share * fin, emissivity=0.0, draught=0.0, insulation=0.0)
