"""Constants of a material that come in sets: stiffness and strength, heat and moisture, law of cure."""

from __future__ import annotations

import math
from typing import Annotated, Literal

from pydantic import model_validator

from panelmend.errors import InputError
from panelmend.materials.bounds import GRAM, JOULE, KELVIN, KILOJOULE, PSI_OR_PA, common, within
from panelmend.materials.quantities import (
    Conductivity,
    Density,
    Diffusivity,
    Duration,
    Expansion,
    MolarEnergy,
    Rate,
    Ratio,
    Share,
    SpecificEnergy,
    SpecificHeat,
    Stiffness,
    Temperature,
    Text,
    Typed,
)
from panelmend.units import show

MODULUS = common("50 MPa", "1500 GPa", usual=("1 GPa", "500 GPa"), what="modulus", todo=PSI_OR_PA)
STRENGTH = common("0.5 MPa", "20 GPa", usual=("8 MPa", "5 GPa"), what="strength", todo=PSI_OR_PA)
EXPANSION = common(
    "-500 ppm/K",
    "500 ppm/K",
    what="thermal expansion",
    todo="check the unit: ppm/K may have been written as 1/K",
)
ACTIVATION = common(
    "1 kJ/mol",
    "400 kJ/mol",
    what="activation energy",
    low_todo="check the unit: kJ/mol may have been written as J/mol",
    high_todo="check the unit: J/mol may have been written as kJ/mol",
)
ORDER = common("0", "10", usual=("0", "4"), what="order of reaction")


class Structural(Typed):
    """Stiffness and strength in one condition, material axes (1 along the warp)."""

    e1: Annotated[Stiffness, MODULUS]
    """Modulus along the warp."""
    e2: Annotated[Stiffness, MODULUS]
    """Modulus across the warp (along the fill)."""
    nu12: Annotated[Ratio, common("-1", "2", usual=("-0.1", "0.6"), what="Poisson's ratio")]
    """Major Poisson's ratio."""
    g12: Annotated[
        Stiffness,
        common("10 MPa", "200 GPa", usual=("0.3 GPa", "50 GPa"), what="shear modulus", todo=PSI_OR_PA),
    ]
    """In-plane shear modulus."""
    xt: Annotated[Stiffness | None, STRENGTH] = None
    """Tensile strength along the warp."""
    xc: Annotated[Stiffness | None, STRENGTH] = None
    """Compressive strength along the warp, as a positive number."""
    yt: Annotated[Stiffness | None, STRENGTH] = None
    """Tensile strength along the fill."""
    yc: Annotated[Stiffness | None, STRENGTH] = None
    """Compressive strength along the fill, as a positive number."""
    s: Annotated[Stiffness | None, STRENGTH] = None
    """In-plane shear strength."""

    @model_validator(mode="after")
    def _possible(self) -> Structural:
        # Positive definite stiffness: nu12^2 < E1/E2 (R. M. Jones, Mechanics of Composite Materials, 2nd ed.,
        # section 2.4, from memory).
        most = math.sqrt(self.e1 / self.e2)
        if abs(self.nu12) >= most:
            raise InputError(
                "no material can have this Poisson's ratio with these moduli",
                read=f"nu12 = {self.nu12:g}",
                expected=f"between {-most:.3g} and {most:.3g}, the root of e1 over e2",
                todo="check whether nu21 was written for nu12",
            )
        return self


class Thermal(Typed):
    """What the heat calculation needs to know of a material."""

    k_in_plane: Conductivity | None = None
    """Conductivity in the plane (across the ribbon for core)."""
    k_through: Conductivity | None = None
    """Conductivity through the thickness."""
    density: Annotated[
        Density | None,
        common("10 kg/m3", "20000 kg/m3", what="density", low_todo=GRAM, high_todo="check the unit"),
    ] = None
    """Density."""
    specific_heat: Annotated[
        SpecificHeat | None,
        within(
            "300 J/kgK",
            "5000 J/kgK",
            what="specific heat",
            low_todo=KILOJOULE,
            high_todo=JOULE,
            source="metals from 130, water 4190 J/(kg K), from memory",
        ),
    ] = None
    """Specific heat capacity."""
    expansion_1: Annotated[Expansion | None, EXPANSION] = None
    """Thermal expansion along the warp."""
    expansion_2: Annotated[Expansion | None, EXPANSION] = None
    """Thermal expansion across the warp."""
    moisture_d0: Diffusivity | None = None
    """Moisture diffusivity at infinite temperature (Arrhenius)."""
    moisture_ea: MolarEnergy | None = None
    """Activation energy of moisture diffusion."""
    moisture_saturation: Share | None = None
    """Water it holds when saturated, as a share of its dry mass."""


# Constants a rate law cannot do without.
NEEDED: dict[str, tuple[str, ...]] = {
    "nth order": ("a1", "e1", "n"),
    "autocatalytic": ("a1", "e1", "a2", "e2", "m", "n"),
    "two stage": ("a1", "e1", "a2", "e2", "a3", "e3", "b"),
    "reference time": ("reference_time", "reference_temperature", "reference_degree", "e1"),
}


class Kinetics(Typed):
    """Constants of a cure rate law."""

    law: Literal["nth order", "autocatalytic", "two stage", "reference time"]
    """Which rate law: two stage is that of Lee, Loos and Springer (1982)."""
    a1: Rate | None = None
    """First pre-exponential factor."""
    e1: Annotated[MolarEnergy | None, ACTIVATION] = None
    """First activation energy."""
    a2: Rate | None = None
    """Second pre-exponential factor."""
    e2: Annotated[MolarEnergy | None, ACTIVATION] = None
    """Second activation energy."""
    a3: Rate | None = None
    """Third pre-exponential factor (two stage)."""
    e3: Annotated[MolarEnergy | None, ACTIVATION] = None
    """Third activation energy (two stage)."""
    m: Annotated[Ratio | None, ORDER] = None
    """Autocatalytic order."""
    n: Annotated[Ratio | None, ORDER] = None
    """Reaction order."""
    b: Annotated[Ratio | None, common("0", "10", usual=("0", "2"), what="end term")] = None
    """End term of the first stage (two stage)."""
    reference_time: Annotated[
        Duration | None, common("1 s", "60 days", what="reference time", todo="check the unit: s, min or h")
    ] = None
    """Time to the reference degree of cure at the reference temperature."""
    reference_temperature: Annotated[
        Temperature | None, common("270 K", "650 K", what="reference temperature", todo=KELVIN)
    ] = None
    """The reference temperature."""
    reference_degree: Annotated[
        Share | None, common("1 %", "99.99 %", usual=("10 %", "99.9 %"), what="reference degree of cure")
    ] = None
    """The reference degree of cure."""
    heat: Annotated[
        SpecificEnergy | None,
        common(
            "1 kJ/kg",
            "2000 kJ/kg",
            what="heat of reaction",
            low_todo="check the unit: kJ/kg (or J/g) may have been written as J/kg",
            high_todo="check the unit: J/kg may have been written as kJ/kg",
        ),
    ] = None
    """Heat of reaction per mass of resin."""
    tg0: Annotated[
        Temperature | None,
        common("150 K", "400 K", what="glass transition of the uncured resin", todo=KELVIN),
    ] = None
    """Glass transition temperature of the uncured resin."""
    tg_full: Annotated[
        Temperature | None, common("280 K", "650 K", what="glass transition of the cured resin", todo=KELVIN)
    ] = None
    """Glass transition temperature of the fully cured resin."""
    tg_lambda: Ratio | None = None
    """DiBenedetto's constant."""
    source: Text = ""
    """Where the constants come from."""

    @model_validator(mode="after")
    def _complete(self) -> Kinetics:
        missing = [name for name in NEEDED[self.law] if getattr(self, name) is None]
        if missing:
            raise InputError(
                f"the law '{self.law}' lacks constants",
                read=f"no {', '.join(missing)}",
                expected="all of them",
            )
        glass = [name for name in ("tg0", "tg_full", "tg_lambda") if getattr(self, name) is None]
        if len(glass) in (1, 2):
            raise InputError(
                "the glass transition lacks constants",
                read=f"no {', '.join(glass)}",
                expected="tg0, tg_full and tg_lambda, or none of them",
            )
        if self.tg0 is not None and self.tg_full is not None and self.tg0 >= self.tg_full:
            raise InputError(
                "the glass transition falls while the resin cures",
                read=f"tg0 {show(self.tg0, 'temperature')}, tg_full {show(self.tg_full, 'temperature')}",
                expected="tg0 below tg_full",
            )
        return self
