"""The approved repair data: every value with its place in the data."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from panelmend.document.bagging import BagData as BagData
from panelmend.document.category import Category, InterruptionData, NothingOf
from panelmend.document.finishing import FinishData
from panelmend.document.given import Given as Given
from panelmend.document.inspection import InspectionData
from panelmend.document.ply_ways import Corners, LayingOrder, MarginsAre
from panelmend.document.preparation import PreparationData
from panelmend.document.pressing import Pressing as Pressing
from panelmend.document.put_back import PutBack as PutBack
from panelmend.document.recipe import CaulSheet as CaulSheet
from panelmend.document.recipe import Cure as Cure
from panelmend.document.recipe import CurePart as CurePart
from panelmend.document.recipe import PressurePad as PressurePad
from panelmend.document.recipe import Segment as Segment
from panelmend.document.strength_data import LoadCase as LoadCase
from panelmend.document.strength_data import StrengthData as StrengthData
from panelmend.materials.bounds import common, within
from panelmend.materials.quantities import (
    Angle,
    Area,
    ArealMass,
    Count,
    Day,
    Duration,
    Flag,
    Fraction,
    Length,
    Margin,
    Name,
    Parts,
    Pressure,
    Ratio,
    Share,
    Strain,
    Temperature,
    TemperatureRate,
    Typed,
)

CutoutForm = Literal["circle", "ellipse", "oval", "rectangle"]


PLY_MARGIN = common("0.5 mm", "1 m", usual=("3 mm", "100 mm"), words="a margin no repair has")


class Manual(Typed):
    """The document that holds the approved data."""

    title: Name
    """Title."""
    number: Name
    """Number."""
    revision: Name
    """Revision."""
    dated: Day
    """Date of the revision."""


class LimitsData(Typed):
    """Limits on the damage after clean-up."""

    allowable: Annotated[Given[Length] | None, common("0.5 mm", "5 m", usual=("1 mm", "300 mm"))] = None
    """Largest dimension that needs no structural repair."""
    repairable: Annotated[Given[Length] | None, common("2 mm", "5 m", usual=("5 mm", "1 m"))] = None
    """Largest dimension that may be repaired here."""
    repairable_area: Annotated[Given[Area] | None, common("10 mm2", "25 m2", usual=("1 cm2", "1 m2"))] = None
    """Largest area that may be repaired here."""
    edge_distance: Annotated[Given[Length] | None, common("0.5 mm", "5 m", usual=("3 mm", "500 mm"))] = None
    """Least distance from the cut-out to the panel's edge."""
    repair_distance: Annotated[Given[Length] | None, common("0.5 mm", "5 m", usual=("3 mm", "1 m"))] = None
    """Least distance from the outermost ply to another repair."""
    fastener_distance: Annotated[Given[Length] | None, common("0.5 mm", "5 m", usual=("1 mm", "500 mm"))] = (
        None
    )
    """Least distance from the outermost ply to a fastener or insert, on top of its own keep-out."""
    per_panel: Annotated[Given[Count] | None, common("1", "1000", usual=("1", "12"))] = None
    """Largest number of repairs in the panel, this one included."""
    resolution: Annotated[Given[Length] | None, common("0.001 mm", "50 mm", usual=("0.01 mm", "10 mm"))] = (
        None
    )
    """Step to which sizes are rounded up."""
    depths: Given[tuple[Literal["surface", "plies", "skin", "skin and core", "through"], ...]] | None = None
    """Depths the data covers."""
    merge_distance: Annotated[Given[Length] | None, common("0.5 mm", "5 m", usual=("2 mm", "500 mm"))] = None
    """Damages closer together than this count as one."""


class CutoutData(Typed):
    """The cut-out."""

    forms: Given[tuple[CutoutForm, ...]] | None = None
    """Permitted forms; oval is straight-sided."""
    margin: Annotated[
        Given[Margin] | None,
        common("0.05 mm", "500 mm", usual=("1 mm", "75 mm"), what="margin round the damage", zero=True),
    ] = None
    """Sound material removed round the damage."""
    corner_radius: Annotated[
        Given[Length] | None, common("0.5 mm", "1 m", usual=("3 mm", "150 mm"), what="corner radius")
    ] = None
    """Least corner radius of a rectangle."""
    held_to_axes: Given[Flag] | None = None
    """Whether the form must lie along the panel's axes."""
    size_step: Annotated[
        Given[Length] | None, common("0.01 mm", "100 mm", usual=("0.1 mm", "13 mm"), what="step of sizes")
    ] = None
    """Step to which cut-out sizes are rounded up."""
    mouth_angle: Annotated[
        Given[Angle] | None, common("5 deg", "90 deg", usual=("15 deg", "90 deg"), what="angle of the mouth")
    ] = None
    """Angle of the core edge chamfer."""


class RepairPly(Typed):
    """One ply of the repair."""

    cloth: Name
    """Material id of the cloth."""
    warp: Angle
    """Warp angle."""


class SidePlies(Typed):
    """The plies on one skin, in the order of the data: first to last from the panel outwards."""

    fill: Given[tuple[RepairPly, ...]] | None = None
    """Plies that fill the cut-out, flush with the skin."""
    repair: Given[tuple[RepairPly, ...]] | None = None
    """Repair plies."""
    extra: Given[tuple[RepairPly, ...]] | None = None
    """Extra plies over the repair plies."""
    sanding: Given[RepairPly] | None = None
    """Sanding ply."""


class PliesData(Typed):
    """The plies and their margins."""

    scheme: Given[Literal["stepped", "scarf", "external"]] | None = None
    """Stepped over the skin, scarfed into it, or an external patch."""
    first_margin: Annotated[
        Given[Length] | None,
        common("0.5 mm", "1 m", usual=("5 mm", "150 mm"), words="a margin no repair has"),
    ] = None
    """Overlap of the first repair ply beyond the cut-out."""
    further_margin: Annotated[Given[Length] | None, PLY_MARGIN] = None
    """Overlap of each further ply beyond the one before."""
    sanding_margin: Annotated[Given[Length] | None, PLY_MARGIN] = None
    """Overlap of the sanding ply beyond the last repair ply."""
    margins_are: Given[MarginsAre] | None = None
    """Whether margins are given per side or for both sides together."""
    corners: Given[Corners] | None = None
    """Corners of plies over a rectangle."""
    trim: Annotated[
        Given[Length] | None,
        common("0.5 mm", "1 m", usual=("1 mm", "100 mm"), words="a margin no repair has"),
    ] = None
    """Longest corner trim at 45 degrees."""
    order: Given[LayingOrder] | None = None
    """Which repair ply goes down first."""
    taper: Annotated[
        Given[Ratio] | None, common("1", "1000", usual=("8", "150"), words="not a taper anyone could sand")
    ] = None
    """Scarf: length of the taper over its depth."""
    tape_width: Annotated[
        Given[Length] | None,
        common("0.5 mm", "1 m", usual=("3 mm", "150 mm"), words="a margin no repair has"),
    ] = None
    """Width of the PTFE tape outside the last ply."""
    angle_tolerance: Annotated[
        Given[Angle] | None,
        common("0.1 deg", "45 deg", usual=("0.5 deg", "10 deg"), words="not a tolerance of a warp angle"),
    ] = None
    """Tolerance of a ply's warp angle."""
    outside: SidePlies | None = None
    """Plies on the outer skin."""
    inside: SidePlies | None = None
    """Plies on the inner skin."""
    film_adhesive: Given[Name] | None = None
    """Film adhesive under the repair plies (material id)."""
    strain_most: Annotated[
        Given[Strain] | None,
        common(
            "1e-5 strain", "0.5 strain", usual=("0.0002 strain", "0.1 strain"), what="strain of a template"
        ),
    ] = None
    """Double curvature: largest strain of a flat template laid on the panel."""
    shear_most: Annotated[
        Given[Angle] | None, common("0.1 deg", "80 deg", usual=("0.5 deg", "50 deg"), what="shear of a cloth")
    ] = None
    """Double curvature: largest shear of the cloth."""
    darts: Given[Flag] | None = None
    """Double curvature: whether plies may be darted."""


class CapData(Typed):
    """A cured cap over the core plug."""

    plies: tuple[RepairPly, ...] = Field(min_length=1)
    """Plies of the cap."""
    margin: Annotated[
        Margin, common("0.5 mm", "500 mm", usual=("2 mm", "150 mm"), what="margin of a cap", zero=True)
    ]
    """How far it is laid up beyond the opening before it is trimmed."""
    peel_plies: Literal["none", "upper face", "bond face", "both faces"] | None = None
    """Cap cured on a plate: faces cured with a peel ply; the upper one stays on while the cap is bonded."""
    gap: Annotated[
        Margin | None, common("0.02 mm", "20 mm", usual=("0.1 mm", "5 mm"), what="gap round a cap", zero=True)
    ] = None
    """Cap cured on a plate: gap left between its trimmed edge and the opening."""


class CoreData(Typed):
    """The core repair."""

    replace: Given[Flag] | None = None
    """Whether the core is replaced."""
    material: Given[Name] | None = None
    """Replacement core that is accepted, if not the same as the original."""
    splice_gap: Annotated[
        Given[Margin] | None,
        common(
            "0.05 mm",
            "12 mm",
            usual=("0.2 mm", "5 mm"),
            what="gap of a splice",
            high_todo="check the unit; what is wider is potted",
            zero=True,
        ),
    ] = None
    """Gap between plug and panel core, filled with adhesive."""
    fit_undersize: Annotated[
        Given[Margin] | None,
        common("0.01 mm", "10 mm", usual=("0.02 mm", "2 mm"), what="undersize of a plug", zero=True),
    ] = None
    """How far below the surrounding core the plug may end."""
    pot_limit: Annotated[
        Given[Length] | None, common("1 mm", "500 mm", usual=("3 mm", "150 mm"), what="limit of potting")
    ] = None
    """Largest core damage that may be potted instead of replaced."""
    adhesive: Given[Name] | None = None
    """Paste adhesive for the core splice (material id)."""
    floor_adhesive: Given[Name] | None = None
    """Core-to-skin adhesive between plug and far skin (material id)."""
    ribbon_tolerance: Annotated[
        Given[Angle] | None,
        common("0.1 deg", "90 deg", usual=("1 deg", "30 deg"), what="tolerance of the ribbon direction"),
    ] = None
    """Tolerance of the ribbon direction."""
    cap: Given[CapData] | None = None
    """A cured cap under the plies."""
    sagitta_most: Annotated[
        Given[Length] | None,
        common("0.01 mm", "50 mm", usual=("0.05 mm", "5 mm"), what="stand-off of a plug"),
    ] = None
    """Curved panel: how far a flat plug may stand off before it must be formed or carved."""


class ResinData(Typed):
    """The laminating resin."""

    system: Given[Name] | None = None
    """Resin (material id); left out for prepreg."""
    resin_to_cloth: Annotated[
        Given[Parts] | None,
        within(
            "0.2",
            "4",
            usual=("0.6", "2"),
            what="mass of resin on the mass of cloth",
            todo="50 % of resin by weight is 1.0: as much resin as cloth",
            source="common practice: 38 to 67 % of resin by weight, laid on by hand, is 0.6 to 2; no source",
        ),
    ] = None
    """Mass of mixed resin over the mass of cloth: 1.0 is 50 % of resin by weight."""
    allowance: Annotated[
        Given[Fraction] | None,
        common(
            "0.1 %",
            "300 %",
            usual=("1 %", "50 %"),
            what="allowance for resin",
            zero=True,
            todo='ten per cent is "10 %" or 0.1',
        ),
    ] = None
    """Extra resin for waste in cups and on rollers."""
    brush_coat: Annotated[
        Given[ArealMass] | None,
        common("1 g/m2", "3 kg/m2", usual=("20 g/m2", "500 g/m2"), what="resin of a brush coat"),
    ] = None
    """Mixed resin brushed on the bond area before the first ply, per area."""
    wet_margin: Annotated[
        Given[Length] | None,
        common("0.5 mm", "1 m", usual=("3 mm", "150 mm"), what="margin of a wetted sheet"),
    ] = None
    """Wet lay-up: how far the sheet is wetted out beyond the pieces."""
    wet_out: Given[Literal["wet then cut", "cut then wet"]] | None = None
    """Wet lay-up: pieces cut from a wetted-out sheet, or cut dry and wetted out one by one."""


class SurfaceData(Typed):
    """Surface preparation."""

    grit: Annotated[
        Given[Count] | None,
        common("16", "5000", usual=("60", "800"), what="grit", todo="a grit number, such as 150"),
    ] = None
    """Abrasive grit of the bonding surface."""
    clean_beyond: Annotated[
        Given[Length] | None, common("1 mm", "5 m", usual=("10 mm", "500 mm"), what="width that is cleaned")
    ] = None
    """How far beyond the repair it is cleaned and masked."""
    bond_within: Annotated[
        Given[Duration] | None,
        common("1 min", "90 days", usual=("1 h", "7 days"), what="time from abrading to bonding"),
    ] = None
    """Longest time from abrading to bonding."""
    water_break: Given[Flag] | None = None
    """Whether a water-break check is required."""
    solvent: Given[Name] | None = None
    """Solvent (consumable id)."""


class DryingData(Typed):
    """Drying before bonding."""

    temperature: Given[Temperature] | None = None
    """Drying temperature."""
    duration: Given[Duration] | None = None
    """Least drying time."""
    rate_most: Given[TemperatureRate] | None = None
    """Greatest heating rate."""
    vacuum: Annotated[
        Given[Pressure] | None,
        common(
            "1 kPa",
            "110 kPa",
            what="vacuum while drying",
            todo="check the unit: inHg, kPa or psi, gauge",
            zero=True,
        ),
    ] = None
    """Vacuum while drying, gauge."""
    content: Given[Share] | None = None
    """Moisture content to dry to, as a fraction of saturation."""


class ApprovedData(Typed):
    """The approved repair data in use."""

    manual: Manual
    """The document."""
    repair: Name
    """Which repair in it."""
    limits: LimitsData = LimitsData.model_construct()
    """Limits on the damage."""
    cutout: CutoutData = CutoutData.model_construct()
    """The cut-out."""
    plies: PliesData = PliesData.model_construct()
    """The plies."""
    core: CoreData = CoreData.model_construct()
    """The core."""
    resin: ResinData = ResinData.model_construct()
    """The resin."""
    surface: SurfaceData = SurfaceData.model_construct()
    """The surface."""
    bag: BagData = BagData.model_construct()
    """The bag."""
    drying: DryingData = DryingData.model_construct()
    """Drying."""
    cure: tuple[Cure, ...] = Field(default=(), max_length=10)
    """Cure operations, in order."""
    strength: StrengthData = StrengthData.model_construct()
    """Loads."""
    preparation: PreparationData = PreparationData.model_construct()
    """Getting the panel ready."""
    inspection: InspectionData = InspectionData.model_construct()
    """Inspecting each bond after its cure."""
    finishing: FinishData = FinishData.model_construct()
    """Finishing."""
    put_back: tuple[PutBack, ...] = Field(default=(), max_length=20)
    """How what is cut away besides skin and core is put back."""
    interruption: InterruptionData = InterruptionData.model_construct()
    """What is done when a cure is interrupted."""
    category: Category | None = None
    """Category of the repair."""
    nothing_of: tuple[NothingOf, ...] = Field(default=(), max_length=4)
    """Parts the data does not have at all; what is missing and not listed here waits for somebody."""
