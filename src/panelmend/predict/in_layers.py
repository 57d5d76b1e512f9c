"""What cures, bleeds and stands as water in the layers of a case."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from panelmend.job.cure.problem import HeatProblem
from panelmend.physics.heat import HeatResin, Water
from panelmend.predict.problem_grid import ProblemGrid, Stacked

Array = NDArray[np.float64]


def resins_of(problem: HeatProblem, on: ProblemGrid, v: Mapping[str, float]) -> dict[str, HeatResin]:
    """What cures in each layer of a case, heat of full cure [J/m2], shape (ny, nx). Bled resin that is still
    in the plies cures with them."""
    heat, pace = v.get("cure heat", 1.0), v.get("cure rate", 1.0)
    joules = {c.layer: on.resin[c.layer] for c in problem.curing}
    laws = {c.layer: c.law for c in problem.curing}
    bled = problem.bled
    if bled is not None and bled.law is not None:
        left, kept = bled_masses(on, v)
        laws["bleeder"], joules["bleeder"] = bled.law, left * bled.heat
        if "patch" in on.layers:
            laws.setdefault("patch", bled.law)
            joules["patch"] = joules.get("patch", 0.0 * kept) + kept * bled.heat
    return {
        name: HeatResin(law.faster(pace), joules[name] * heat)
        for name, law in laws.items()
        if name in on.layers
    }


def bled_masses(on: ProblemGrid, v: Mapping[str, float]) -> tuple[Array, Array]:
    """Bled resin in the bleeder, and what is still in the plies, shape (ny, nx) [kg/m2]."""
    over, beside = on.bled
    aside = v.get("bled aside", 0.0)
    kept = v.get("bled kept", 0.0) if "patch" in on.layers else 0.0
    if "patch" in on.layers:
        stays = np.where(on.layers["patch"].thickness > 0.0, kept * over, 0.0)
    else:
        stays = 0.0 * over
    moves = over - stays
    whole = float((over * on.grid.area).sum())
    share = float((moves * on.grid.area).sum()) / whole if whole > 0.0 else 0.0
    return (1.0 - aside) * moves + aside * share * beside, stays


def wetted(problem: HeatProblem, on: ProblemGrid, v: Mapping[str, float], dry: Stacked) -> Stacked:
    """The bleeder with resin in its pores: it stores more and conducts better. Fibres and resin beside each
    other, at most the whole thickness full, shape (ny, nx) [W/(m K), J/(m3 K)]."""
    if problem.bled is None:
        return dry
    mass, _ = bled_masses(on, v)
    there = dry.thickness > 0.0
    full = np.where(there, mass / problem.bled.density / np.where(there, dry.thickness, 1.0), 0.0)
    more = np.minimum(full, 1.0) * (WET_K - AIR_K)
    return Stacked(dry.thickness, dry.k_x + more, dry.k_y + more, dry.k_z + more, dry.heat + full * WET_HEAT)


WET_K, WET_HEAT = 0.2, 1.3e6  # W/(m K), J/(m3 K) of unfilled epoxy, from memory
AIR_K = 0.026  # W/(m K) of the air it drives out


def water_of(problem: HeatProblem, on: ProblemGrid, core: Stacked) -> tuple[Water | None, Array | float]:
    """Water in closed cells of the core [kg/m3], and what its vapour adds to the conductivity through them,
    shape (ny, nx) [W/(m K)]."""
    wet = problem.wet
    if wet is None:
        return None, 0.0
    share = np.where(core.thickness > 0.0, on.shares["wet"], 0.0)
    depth = np.where(core.thickness > 0.0, core.thickness, 1.0)
    return Water(WATER_DENSITY * wet.depth * share / depth, sealed=True), wet.conductivity * share


WATER_DENSITY = 1000.0  # kg/m3
