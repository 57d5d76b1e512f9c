"""What a material is: typed entries read from tables and from a document's own [[materials.*]]."""

from __future__ import annotations

from typing import Annotated, Any, Generic, Literal, TypeVar

from pydantic import model_validator

from panelmend.errors import InputError
from panelmend.materials.bounds import DEGREES, GRAM, PSI_OR_PA, common, within
from panelmend.materials.constants import NEEDED as NEEDED
from panelmend.materials.constants import Kinetics as Kinetics
from panelmend.materials.constants import Structural as Structural
from panelmend.materials.constants import Thermal as Thermal
from panelmend.materials.quantities import (
    Angle,
    ArealMass,
    Day,
    Density,
    Flag,
    Fraction,
    Length,
    Name,
    Parts,
    PotMass,
    Pressure,
    Ratio,
    Share,
    Stiffness,
    Temperature,
    Text,
    Typed,
    WorkingTime,
)

T = TypeVar("T")


PARTS = common("0.1", "10000", what="parts by weight")
MIX_TOLERANCE = common(
    "0.1 %",
    "50 %",
    usual=("0.5 %", "15 %"),
    what="tolerance of a mix",
    todo='three per cent is "3 %" or 0.03',
)
POT_LIFE = common(
    "30 s", "30 days", usual=("2 min", "48 h"), what="pot life", todo="check the unit: s, min or h"
)
POT_MASS = within(
    "0.5 g",
    "10 kg",
    usual=("5 g", "2 kg"),
    what="mass of a pot",
    high_todo="check the unit: g or kg; a large pot heats itself",
    source="common practice, no source: data sheets give pot lives for 100 g to 1 kg",
)
HOT_WET = common("1 %", "100 %", usual=("10 %", "100 %"), what="factor of hot and wet values")
CORE_SHEAR_MODULUS = common(
    "0.2 MPa", "20 GPa", usual=("2 MPa", "3 GPa"), what="shear modulus of a core", todo=PSI_OR_PA
)
CORE_STRENGTH = common(
    "10 kPa", "500 MPa", usual=("50 kPa", "60 MPa"), what="strength of a core", todo=PSI_OR_PA
)


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


# Of every weave: whether its two sides usually differ, and whether its yarns cross.
FACED = {"plain": False, "satin": True, "twill": True, "unidirectional": False}
WOVEN = {"plain": True, "satin": True, "twill": True, "unidirectional": False}


class Cloth(Material):
    """A fabric, dry or pre-impregnated."""

    weave: Literal["plain", "satin", "twill", "unidirectional"]
    """Weave: plain weaves have no face, satin weaves do."""
    fibre: Literal["glass", "carbon", "aramid", "quartz"]
    """Fibre."""
    areal_mass: Annotated[
        Sourced[ArealMass],
        common(
            "8 g/m2",
            "4 kg/m2",
            usual=("15 g/m2", "1500 g/m2"),
            what="mass of a cloth on its area",
            todo="check the unit: g/m2, kg/m2 or oz/yd2",
        ),
    ]
    """Mass of the dry cloth per area."""
    cured_thickness: Annotated[
        Sourced[Length], common("0.01 mm", "5 mm", usual=("0.02 mm", "1.5 mm"), what="thickness of a ply")
    ]
    """Thickness of one cured ply."""
    prepreg: Flag = False
    """Pre-impregnated: no resin is mixed for it."""
    has_face: Flag | None = None
    """One side differs from the other; if not said, satin and twill have a face and plain has none."""
    one_way: Flag = False
    """The warp has a direction (the cloth may not be turned through 180 degrees)."""
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
        """Whether a piece of it may not be turned over; KeyError for a weave that nobody knows."""
        usual = FACED[self.weave]
        return self.has_face if self.has_face is not None else usual

    @property
    def woven(self) -> bool:
        """Whether yarns cross in it, not all along the warp; KeyError for a weave that nobody knows."""
        return WOVEN[self.weave]


class Resin(Material):
    """A two-part laminating resin."""

    resin_parts: Annotated[Sourced[Parts], PARTS]
    """Parts of resin by weight."""
    hardener_parts: Annotated[Sourced[Parts], PARTS]
    """Parts of hardener by weight."""
    ratio_tolerance: Annotated[Sourced[Share] | None, MIX_TOLERANCE] = None
    """Tolerance of the mix ratio, relative: 3 % of 100:30 is 29.1 to 30.9 parts."""
    pot_life: Annotated[Sourced[WorkingTime], POT_LIFE]
    """Pot life: working time once mixed."""
    pot_mass: Annotated[Sourced[PotMass], POT_MASS]
    """Largest mass to mix as one batch; a larger one exotherms."""
    density: Annotated[
        Sourced[Density],
        common(
            "500 kg/m3",
            "4000 kg/m3",
            usual=("700 kg/m3", "2500 kg/m3"),
            what="density",
            low_todo=GRAM,
            high_todo="check the unit",
        ),
    ]
    """Density of the mix."""
    kinetics: Kinetics | None = None
    """Cure constants."""


class Adhesive(Material):
    """A film or paste adhesive."""

    form: Literal["film", "paste"]
    """Film on a carrier, or paste mixed from two parts."""
    areal_mass: Annotated[
        Sourced[ArealMass] | None,
        common(
            "10 g/m2",
            "5 kg/m2",
            usual=("40 g/m2", "2 kg/m2"),
            what="mass of a film on its area",
            todo="check the unit: g/m2, kg/m2 or lb/ft2",
        ),
    ] = None
    """Mass of the film per area."""
    thickness: Annotated[
        Sourced[Length] | None,
        common("0.01 mm", "10 mm", usual=("0.02 mm", "2 mm"), what="thickness of a bond line"),
    ] = None
    """Cured bond line thickness."""
    resin_parts: Annotated[Sourced[Parts] | None, PARTS] = None
    """Paste: parts of resin by weight."""
    hardener_parts: Annotated[Sourced[Parts] | None, PARTS] = None
    """Paste: parts of hardener by weight."""
    ratio_tolerance: Annotated[Sourced[Share] | None, MIX_TOLERANCE] = None
    """Paste: tolerance of the mix ratio, relative: 3 % of 100:30 is 29.1 to 30.9 parts."""
    filler: Annotated[
        Sourced[Fraction] | None,
        common(
            "0.01 %",
            "500 %",
            usual=("0.1 %", "150 %"),
            what="share of filler",
            zero=True,
            todo='twelve per cent is "12 %" or 0.12',
        ),
    ] = None
    """Paste: mass of filler over the mass of mixed adhesive."""
    pot_life: Annotated[Sourced[WorkingTime] | None, POT_LIFE] = None
    """Paste: pot life."""
    pot_mass: Annotated[Sourced[PotMass] | None, POT_MASS] = None
    """Paste: largest mass to mix as one batch."""
    density: Annotated[
        Sourced[Density] | None,
        common(
            "100 kg/m3",
            "6000 kg/m3",
            usual=("250 kg/m3", "3000 kg/m3"),
            what="density",
            low_todo=GRAM,
            high_todo="check the unit",
        ),
    ] = None
    """Density as applied, with filler."""
    shear_modulus: Annotated[
        Sourced[Stiffness] | None,
        common(
            "0.5 MPa", "20 GPa", usual=("5 MPa", "3 GPa"), what="shear modulus of an adhesive", todo=PSI_OR_PA
        ),
    ] = None
    """Shear modulus, room temperature."""
    shear_strength: Annotated[
        Sourced[Stiffness] | None,
        common(
            "0.05 MPa",
            "500 MPa",
            usual=("1 MPa", "100 MPa"),
            what="shear strength of an adhesive",
            todo=PSI_OR_PA,
        ),
    ] = None
    """Yield shear stress, room temperature."""
    plastic_strain: Annotated[
        Sourced[Ratio] | None, common("0.001", "10", usual=("0.005", "2"), what="plastic strain", zero=True)
    ] = None
    """Plastic shear strain, room temperature."""
    peel_strength: Annotated[
        Sourced[Stiffness] | None,
        common("0.05 MPa", "1 GPa", usual=("0.5 MPa", "150 MPa"), what="peel strength", todo=PSI_OR_PA),
    ] = None
    """Peel (through-thickness tension) strength, room temperature."""
    peel_modulus: Annotated[
        Sourced[Stiffness] | None,
        common("0.5 MPa", "50 GPa", usual=("5 MPa", "15 GPa"), what="peel modulus", todo=PSI_OR_PA),
    ] = None
    """Through-thickness modulus of the layer, restrained between its adherends, room temperature."""
    hot_wet_factor: Annotated[Sourced[Share] | None, HOT_WET] = None
    """Hot and wet values as a fraction of those at room temperature."""
    flatwise_strength: Annotated[
        Sourced[Pressure] | None,
        common("10 kPa", "200 MPa", usual=("200 kPa", "30 MPa"), what="flatwise strength", todo=PSI_OR_PA),
    ] = None
    """Flatwise tension strength of the bond to core, room temperature."""
    flatwise_hot_wet: Annotated[
        Sourced[Pressure] | None,
        common("10 kPa", "200 MPa", usual=("50 kPa", "30 MPa"), what="flatwise strength", todo=PSI_OR_PA),
    ] = None
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
    cell_size: Annotated[
        Sourced[Length], common("0.02 mm", "100 mm", usual=("0.05 mm", "30 mm"), what="size of a cell")
    ]
    """Distance across the flats of a cell."""
    density: Annotated[
        Sourced[Density],
        common(
            "10 kg/m3",
            "1500 kg/m3",
            usual=("15 kg/m3", "500 kg/m3"),
            what="density",
            low_todo=GRAM,
            high_todo="check the unit",
        ),
    ]
    """Density of the core."""
    e_through: Annotated[
        Sourced[Stiffness] | None,
        common("0.5 MPa", "50 GPa", usual=("5 MPa", "10 GPa"), what="modulus of a core", todo=PSI_OR_PA),
    ] = None
    """Compressive modulus through the thickness."""
    g_ribbon: Annotated[Sourced[Stiffness] | None, CORE_SHEAR_MODULUS] = None
    """Shear modulus along the ribbon."""
    g_across: Annotated[Sourced[Stiffness] | None, CORE_SHEAR_MODULUS] = None
    """Shear modulus across the ribbon."""
    s_ribbon: Annotated[Sourced[Stiffness] | None, CORE_STRENGTH] = None
    """Shear strength along the ribbon."""
    s_across: Annotated[Sourced[Stiffness] | None, CORE_STRENGTH] = None
    """Shear strength across the ribbon."""
    crush_strength: Annotated[Sourced[Stiffness] | None, CORE_STRENGTH] = None
    """Flatwise compressive strength."""
    tension_strength: Annotated[Sourced[Stiffness] | None, CORE_STRENGTH] = None
    """Flatwise tensile strength."""
    hot_wet_factor: Annotated[Sourced[Share] | None, HOT_WET] = None
    """Hot and wet values as a fraction of those at room temperature."""
    wall_thickness: Annotated[
        Sourced[Length] | None,
        common("0.002 mm", "2 mm", usual=("0.01 mm", "0.5 mm"), what="thickness of a cell wall"),
    ] = None
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
    roll_width: Annotated[Sourced[Length] | None, common("2 mm", "10 m", what="width of a roll")] = None
    """Width of the roll."""
    thickness: Annotated[
        Sourced[Length] | None,
        common("0.002 mm", "200 mm", usual=("0.01 mm", "50 mm"), what="thickness of a bagging material"),
    ] = None
    """Thickness under vacuum."""
    limit_temperature: Annotated[
        Sourced[Temperature] | None, common("40 C", "700 C", what="limit of a bagging material", todo=DEGREES)
    ] = None
    """Highest temperature it is rated for."""
    thermal: Thermal | None = None
    """Thermal values."""


class Consumable(Material):
    """Something used up, by the piece or by volume: solvent, wipes, gloves, abrasives."""

    unit: Name
    """Unit it is counted in."""
    hazard: Text = ""
    """The caution that goes with it."""
    taper_angle: Annotated[Angle | None, common("0.1 deg", "90 deg", what="angle of a cutter")] = None
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
