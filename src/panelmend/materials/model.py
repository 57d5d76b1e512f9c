"""What a material is: typed entries read from tables and from a document's own [[materials.*]]."""

from __future__ import annotations

import math
from typing import Any, Generic, Literal, TypeVar

from pydantic import model_validator

from panelmend.errors import InputError
from panelmend.materials.quantities import (
    Angle,
    ArealMass,
    Conductivity,
    Day,
    Density,
    Diffusivity,
    Duration,
    Expansion,
    Flag,
    Fraction,
    Length,
    MolarEnergy,
    Name,
    Parts,
    PotMass,
    Pressure,
    Rate,
    Ratio,
    Share,
    SpecificEnergy,
    SpecificHeat,
    Stiffness,
    Temperature,
    Text,
    Typed,
    WorkingTime,
)
from panelmend.units import show

T = TypeVar("T")


class Sourced(Typed, Generic[T]):
    """A value with the source it was taken from; written plain, it takes the material's source."""

    value: T
    """The value."""
    source: Text = ""
    """Where this value stands, if not where the rest of the material does."""

    @model_validator(mode="before")
    @classmethod
    def _plain(cls, given: Any) -> Any:
        return given if isinstance(given, dict | Sourced) else {"value": given}


class Material(Typed):
    """What every material has."""

    id: Name
    """Short name used in the document."""
    name: Name
    """Name in words."""
    source: Name
    """Where the values come from: book, standard or data sheet with its revision."""
    dated: Day
    """When the values were taken from the source."""
    invented: Flag = False
    """Made up for a demonstration; never for real work."""


class Structural(Typed):
    """Stiffness and strength in one condition, material axes (1 along the warp)."""

    e1: Stiffness
    """Modulus along the warp."""
    e2: Stiffness
    """Modulus across the warp (along the fill)."""
    nu12: Ratio
    """Major Poisson's ratio."""
    g12: Stiffness
    """In-plane shear modulus."""
    xt: Stiffness | None = None
    """Tensile strength along the warp."""
    xc: Stiffness | None = None
    """Compressive strength along the warp, as a positive number."""
    yt: Stiffness | None = None
    """Tensile strength along the fill."""
    yc: Stiffness | None = None
    """Compressive strength along the fill, as a positive number."""
    s: Stiffness | None = None
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
    """What the heat computation needs of a material."""

    k_in_plane: Conductivity | None = None
    """Conductivity in the plane (across the ribbon for core)."""
    k_through: Conductivity | None = None
    """Conductivity through the thickness."""
    density: Density | None = None
    """Density."""
    specific_heat: SpecificHeat | None = None
    """Specific heat capacity."""
    expansion_1: Expansion | None = None
    """Thermal expansion along the warp."""
    expansion_2: Expansion | None = None
    """Thermal expansion across the warp."""
    moisture_d0: Diffusivity | None = None
    """Moisture diffusivity at infinite temperature (Arrhenius)."""
    moisture_ea: MolarEnergy | None = None
    """Activation energy of moisture diffusion."""
    moisture_saturation: Share | None = None
    """Water it holds when saturated, on its dry mass."""


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
    e1: MolarEnergy | None = None
    """First activation energy."""
    a2: Rate | None = None
    """Second pre-exponential factor."""
    e2: MolarEnergy | None = None
    """Second activation energy."""
    a3: Rate | None = None
    """Third pre-exponential factor (two stage)."""
    e3: MolarEnergy | None = None
    """Third activation energy (two stage)."""
    m: Ratio | None = None
    """Autocatalytic order."""
    n: Ratio | None = None
    """Reaction order."""
    b: Ratio | None = None
    """End term of the first stage (two stage)."""
    reference_time: Duration | None = None
    """Time to the reference degree of cure at one temperature."""
    reference_temperature: Temperature | None = None
    """That temperature."""
    reference_degree: Share | None = None
    """That degree of cure."""
    heat: SpecificEnergy | None = None
    """Heat of reaction on the mass of resin."""
    tg0: Temperature | None = None
    """Glass transition of the uncured resin."""
    tg_full: Temperature | None = None
    """Glass transition of the fully cured resin."""
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


class Cloth(Material):
    """A fabric, dry or pre-impregnated."""

    weave: Literal["plain", "satin", "twill", "unidirectional"]
    """Weave: plain weaves have no face, satin weaves do."""
    fibre: Literal["glass", "carbon", "aramid", "quartz"]
    """Fibre."""
    areal_mass: Sourced[ArealMass]
    """Mass of the dry cloth on its area."""
    cured_thickness: Sourced[Length]
    """Thickness of one cured ply."""
    prepreg: Flag = False
    """Pre-impregnated: no resin is mixed for it."""
    has_face: Flag | None = None
    """One side differs from the other; if not said, satin and twill have a face and plain has none."""
    one_way: Flag = False
    """The warp has a direction (the cloth may not be turned by half a turn)."""
    warp_mark: Text = ""
    """How to find the warp on this cloth, such as a tracer yarn and its spacing."""
    room: Structural | None = None
    """Cured lamina at room temperature, dry."""
    hot_wet: Structural | None = None
    """Cured lamina hot and wet."""
    thermal: Thermal | None = None
    """Thermal and moisture values of the cured lamina."""
    kinetics: Kinetics | None = None
    """Cure constants of the resin of a prepreg."""

    @property
    def faced(self) -> bool:
        """Whether a piece of it may not be turned over."""
        return self.has_face if self.has_face is not None else self.weave in ("satin", "twill")


class Resin(Material):
    """A two-part laminating resin."""

    resin_parts: Sourced[Parts]
    """Parts of resin by weight."""
    hardener_parts: Sourced[Parts]
    """Parts of hardener by weight."""
    ratio_tolerance: Sourced[Share] | None = None
    """Permitted relative deviation of the hardener share, such as 0.02."""
    pot_life: Sourced[WorkingTime]
    """Working time of a pot."""
    pot_mass: Sourced[PotMass]
    """Largest mass to mix in one pot; a larger pot heats itself."""
    density: Sourced[Density]
    """Density of the mix."""
    kinetics: Kinetics | None = None
    """Cure constants."""


class Adhesive(Material):
    """A film or paste adhesive."""

    form: Literal["film", "paste"]
    """Film on a carrier, or paste mixed from two parts."""
    areal_mass: Sourced[ArealMass] | None = None
    """Mass of the film on its area."""
    thickness: Sourced[Length] | None = None
    """Cured bond line thickness."""
    resin_parts: Sourced[Parts] | None = None
    """Paste: parts of resin by weight."""
    hardener_parts: Sourced[Parts] | None = None
    """Paste: parts of hardener by weight."""
    ratio_tolerance: Sourced[Share] | None = None
    """Paste: permitted relative deviation of the hardener share, such as 0.02."""
    filler: Sourced[Fraction] | None = None
    """Paste: mass of filler on the mass of mixed adhesive."""
    pot_life: Sourced[WorkingTime] | None = None
    """Paste: working time."""
    pot_mass: Sourced[PotMass] | None = None
    """Paste: largest mass to mix in one pot."""
    density: Sourced[Density] | None = None
    """Density as applied, with filler."""
    shear_modulus: Sourced[Stiffness] | None = None
    """Shear modulus, room temperature."""
    shear_strength: Sourced[Stiffness] | None = None
    """Yield shear stress, room temperature."""
    plastic_strain: Sourced[Ratio] | None = None
    """Plastic shear strain, room temperature."""
    peel_strength: Sourced[Stiffness] | None = None
    """Peel (through-thickness tension) strength, room temperature."""
    peel_modulus: Sourced[Stiffness] | None = None
    """Modulus across the layer, held sideways between its adherends, room temperature."""
    hot_wet_factor: Sourced[Share] | None = None
    """Hot and wet values as a fraction of those at room temperature."""
    flatwise_strength: Sourced[Pressure] | None = None
    """Flatwise tension strength of the bond to core, room temperature."""
    flatwise_hot_wet: Sourced[Pressure] | None = None
    """Flatwise tension strength of the bond to core, hot and wet."""
    kinetics: Kinetics | None = None
    """Cure constants."""

    @model_validator(mode="after")
    def _mixed(self) -> Adhesive:
        if (self.resin_parts is None) != (self.hardener_parts is None):
            raise InputError(
                "half a mix ratio",
                read="resin_parts only" if self.hardener_parts is None else "hardener_parts only",
                expected="resin_parts and hardener_parts, or none of them for one-part paste and film",
            )
        return self


class Core(Material):
    """A honeycomb (or foam) core."""

    fibre: Literal["aramid", "aluminium", "glass", "foam"]
    """What the cell walls are made of."""
    cell_size: Sourced[Length]
    """Distance across the flats of a cell."""
    density: Sourced[Density]
    """Density of the core."""
    e_through: Sourced[Stiffness] | None = None
    """Compressive modulus through the thickness."""
    g_ribbon: Sourced[Stiffness] | None = None
    """Shear modulus along the ribbon."""
    g_across: Sourced[Stiffness] | None = None
    """Shear modulus across the ribbon."""
    s_ribbon: Sourced[Stiffness] | None = None
    """Shear strength along the ribbon."""
    s_across: Sourced[Stiffness] | None = None
    """Shear strength across the ribbon."""
    crush_strength: Sourced[Stiffness] | None = None
    """Flatwise compressive strength."""
    hot_wet_factor: Sourced[Share] | None = None
    """Hot and wet values as a fraction of those at room temperature."""
    wall_thickness: Sourced[Length] | None = None
    """Thickness of a single cell wall."""
    thermal: Thermal | None = None
    """Thermal values."""


class Bagging(Material):
    """A bagging material that comes on a roll."""

    use: Literal[
        "peel ply",
        "parting film",
        "perforated film",
        "bleeder",
        "breather",
        "bag film",
        "sealing tape",
        "PTFE tape",
        "caul",
        "insulation",
    ]
    """What it is for."""
    roll_width: Sourced[Length] | None = None
    """Width of the roll."""
    thickness: Sourced[Length] | None = None
    """Thickness under vacuum."""
    limit_temperature: Sourced[Temperature] | None = None
    """Highest temperature it may see."""
    thermal: Thermal | None = None
    """Thermal values."""


class Consumable(Material):
    """Something used up by the piece or by volume: solvent, wipes, gloves, abrasive."""

    unit: Name
    """What it is counted in."""
    hazard: Text = ""
    """The caution that goes with it."""
    taper_angle: Angle | None = None
    """For cutters and abrasives shaped to an angle."""


class MaterialSet(Typed):
    """Materials by kind, as they stand in a table or a document."""

    cloth: tuple[Cloth, ...] = ()
    """Fabrics."""
    resin: tuple[Resin, ...] = ()
    """Laminating resins."""
    adhesive: tuple[Adhesive, ...] = ()
    """Adhesives."""
    core: tuple[Core, ...] = ()
    """Cores."""
    bagging: tuple[Bagging, ...] = ()
    """Bagging materials."""
    consumable: tuple[Consumable, ...] = ()
    """Consumables."""
