"""Core material, and what theory says of a hexagonal honeycomb from its foil."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from panelmend.errors import InputError
from panelmend.physics.structure_inputs import Array, finite, positive


@dataclass(frozen=True)
class SandwichCore:
    """A sandwich core.

    ``GL GW`` [Pa] transverse shear moduli along and across the ribbon (equal for foam); ``Ez`` [Pa] through
    the thickness; ``FL FW`` [Pa] shear strengths; ``Fc Ft`` [Pa] flatwise compression and tension
    strengths; ``cell`` [m] across flats; ``density`` [kg/m3]. None where nobody measured it.

    Raises:
        InputError: a value that is not positive.
    """

    GL: float
    GW: float
    Ez: float | None = None
    FL: float | None = None
    FW: float | None = None
    Fc: float | None = None
    Ft: float | None = None
    cell: float | None = None
    density: float | None = None
    name: str = "core"

    def __post_init__(self) -> None:
        for key in ("GL", "GW", "Ez", "FL", "FW", "Fc", "Ft", "cell", "density"):
            value = getattr(self, key)
            if value is not None or key in ("GL", "GW"):
                unit = {"cell": "m", "density": "kg/m3"}.get(key, "Pa")
                positive(value, f"{self.name}: {key}", unit)

    def shear_moduli(self, ribbon: float) -> Array:
        """Transverse shear moduli [Pa], shape (2, 2) for xz and yz, for a ribbon at an angle [rad] from x."""
        c, s = math.cos(ribbon), math.sin(ribbon)
        turn = np.array([[c, s], [-s, c]])
        return np.asarray(turn.T @ np.diag([self.GL, self.GW]) @ turn)


@dataclass(frozen=True)
class HoneycombTheory:
    """Bounds for a regular hexagonal honeycomb: ``GL_low GL_high GW Ez`` [Pa], ``density`` [kg/m3].

    ``Ez`` is the rule of mixtures; measured values lie between .5 and 1.05 of it.
    """

    GL_low: float
    GL_high: float
    GW: float
    Ez: float
    density: float


def honeycomb(E: float, nu: float, rho: float, foil: float, cell: float) -> HoneycombTheory:
    """Constants of an expanded hexagonal honeycomb with doubled ribbon walls, from its foil.

    Source: Kelsey, Gellatly, Clark, The shear modulus of foil honeycomb cores, Aircraft Engineering 30
    (1958) 294; area by counting the walls of one cell.

    Args:
        E: Young's modulus of the foil [Pa].
        nu: its Poisson's ratio [1].
        rho: its density [kg/m3].
        foil: foil thickness [m].
        cell: cell size across flats [m].

    Returns:
        GW = Gf t/s; GL between 1.5 and 5/3 of that; Ez = (8/3) E t/s; density (8/3) rho t/s.

    Raises:
        InputError: values not positive, nu outside (-1, .5], foil thicker than a tenth of the cell.
    """
    positive(E, "foil modulus", "Pa")
    positive(rho, "foil density", "kg/m3")
    positive(foil, "foil thickness", "m")
    positive(cell, "cell size", "m")
    if not -1.0 < finite(nu, "foil Poisson's ratio", "1") <= 0.5:
        raise InputError("foil Poisson's ratio out of bounds", read=f"{nu:g}", expected="-1 to .5")
    ratio = foil / cell
    if ratio > 0.1:
        raise InputError("foil too thick for thin-wall theory", read=f"t/s = {ratio:g}", expected="below .1")
    g = E / (2.0 * (1.0 + nu)) * ratio
    return HoneycombTheory(1.5 * g, 5.0 / 3.0 * g, g, 8.0 / 3.0 * E * ratio, 8.0 / 3.0 * rho * ratio)
