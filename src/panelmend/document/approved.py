"""The approved repair data: every value with its place in the data."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from panelmend.document.category import Category, InterruptionData
from panelmend.document.finishing import FinishData
from panelmend.document.given import Given as Given
from panelmend.document.inspection import InspectionData
from panelmend.document.panel import Side
from panelmend.document.preparation import PreparationData
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
    RunningLoad,
    Share,
    Strain,
    Temperature,
    TemperatureDifference,
    TemperatureRate,
    Text,
    Typed,
)

CutoutForm = Literal["circle", "ellipse", "oval", "rectangle"]


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

    allowable: Given[Length] | None = None
    """Largest dimension that needs no structural repair."""
    repairable: Given[Length] | None = None
    """Largest dimension that may be repaired here."""
    repairable_area: Given[Area] | None = None
    """Largest area that may be repaired here."""
    edge_distance: Given[Length] | None = None
    """Least distance from the cut-out to the panel's edge."""
    repair_distance: Given[Length] | None = None
    """Least distance from the outermost ply to another repair."""
    fastener_distance: Given[Length] | None = None
    """Least distance from the outermost ply to a fastener or insert, over its own keep-out."""
    per_panel: Given[Count] | None = None
    """Most repairs in the panel, this one included."""
    resolution: Given[Length] | None = None
    """Step to which sizes are rounded up."""
    depths: Given[tuple[Literal["surface", "plies", "skin", "skin and core", "through"], ...]] | None = None
    """Depths the data covers."""
    merge_distance: Given[Length] | None = None
    """Damages nearer to each other than this count as one."""


class CutoutData(Typed):
    """The cut-out."""

    forms: Given[tuple[CutoutForm, ...]] | None = None
    """Permitted forms; oval is straight-sided."""
    margin: Given[Margin] | None = None
    """Sound material removed round the damage."""
    corner_radius: Given[Length] | None = None
    """Least corner radius of a rectangle."""
    held_to_axes: Given[Flag] | None = None
    """Whether the form must lie along the panel's axes."""
    size_step: Given[Length] | None = None
    """Step to which cut-out sizes are rounded up."""
    mouth_angle: Given[Angle] | None = None
    """Angle of the dressed mouth of the core opening."""


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
    """Stepped over the skin, let into a taper, or a patch on the outside."""
    first_margin: Given[Length] | None = None
    """First repair ply beyond the cut-out."""
    further_margin: Given[Length] | None = None
    """Each further ply beyond the one before."""
    sanding_margin: Given[Length] | None = None
    """Sanding ply beyond the last repair ply."""
    margins_are: Given[Literal["per side", "in total"]] | None = None
    """Whether the margins stand for each side or for both together."""
    corners: Given[Literal["trimmed", "rounded"]] | None = None
    """Corners of plies over a rectangle."""
    trim: Given[Length] | None = None
    """Longest corner trim at 45 degrees."""
    order: Given[Literal["smallest first", "largest first"]] | None = None
    """Which repair ply goes down first."""
    taper: Given[Ratio] | None = None
    """Scarf: length of taper to depth."""
    tape_width: Given[Length] | None = None
    """Width of the PTFE tape outside the last ply."""
    angle_tolerance: Given[Angle] | None = None
    """Permitted error of a ply's warp angle."""
    outside: SidePlies | None = None
    """Plies on the outer skin."""
    inside: SidePlies | None = None
    """Plies on the inner skin."""
    film_adhesive: Given[Name] | None = None
    """Film adhesive under the repair plies (material id)."""
    strain_most: Given[Strain] | None = None
    """Double curvature: largest strain of a flat template laid on the panel."""
    shear_most: Given[Angle] | None = None
    """Double curvature: largest shear of the cloth."""
    darts: Given[Flag] | None = None
    """Double curvature: whether plies may be darted."""


class CapData(Typed):
    """A cured cap over the core plug."""

    plies: tuple[RepairPly, ...] = Field(min_length=1)
    """Plies of the cap."""
    margin: Margin
    """How far it is laid beyond the opening before it is trimmed."""
    peel_plies: Literal["none", "upper face", "bond face", "both faces"] | None = None
    """Cap cured on a plate: faces cured with a peel ply; the upper one stays on while it is bonded."""
    gap: Margin | None = None
    """Cap cured on a plate: gap left between its trimmed edge and the opening."""


class CoreData(Typed):
    """The core repair."""

    replace: Given[Flag] | None = None
    """Whether the core is replaced."""
    material: Given[Name] | None = None
    """Core accepted as replacement, where not the same."""
    splice_gap: Given[Margin] | None = None
    """Gap between plug and panel core, filled with adhesive."""
    fit_undersize: Given[Margin] | None = None
    """How much lower than the core the plug may end."""
    pot_limit: Given[Length] | None = None
    """Largest core damage that may be potted instead of replaced."""
    adhesive: Given[Name] | None = None
    """Paste adhesive of the splice (material id)."""
    floor_adhesive: Given[Name] | None = None
    """Adhesive between plug and far skin (material id)."""
    ribbon_tolerance: Given[Angle] | None = None
    """Permitted error of the ribbon direction."""
    cap: Given[CapData] | None = None
    """A cured cap under the plies."""
    sagitta_most: Given[Length] | None = None
    """Curved panel: how far a flat plug may stand off before it is formed or carved."""


class ResinData(Typed):
    """The laminating resin."""

    system: Given[Name] | None = None
    """Resin (material id); left out for prepreg."""
    resin_to_cloth: Given[Parts] | None = None
    """Mass of mixed resin on the mass of cloth."""
    allowance: Given[Fraction] | None = None
    """Added for what stays in cups and on rollers."""
    brush_coat: Given[ArealMass] | None = None
    """Mixed resin brushed on the bond area before the first ply, on its area."""
    wet_margin: Given[Length] | None = None
    """Wet lay-up: sheet wetted out beyond the pieces."""
    wet_out: Given[Literal["wet then cut", "cut then wet"]] | None = None
    """Wet lay-up: pieces cut from a wetted sheet, or cut dry and wetted one by one."""


class SurfaceData(Typed):
    """Preparing the surface."""

    grit: Given[Count] | None = None
    """Abrasive grit of the bonding surface."""
    clean_beyond: Given[Length] | None = None
    """Cleaned and masked beyond the repair."""
    bond_within: Given[Duration] | None = None
    """Longest time from abrading to bonding."""
    water_break: Given[Flag] | None = None
    """Whether a water-break check is asked."""
    solvent: Given[Name] | None = None
    """Solvent (consumable id)."""


class BagData(Typed):
    """The vacuum bag."""

    least_vacuum: Given[Pressure] | None = None
    """Least vacuum, gauge."""
    leak_drop: Given[Pressure] | None = None
    """Largest loss in the leak test."""
    leak_time: Given[Duration] | None = None
    """Duration of the leak test."""
    peel_ply_margin: Given[Length] | None = None
    """Peel ply beyond the largest ply."""
    bleeder_margin: Given[Length] | None = None
    """Bleeder beyond the largest ply."""
    film_inset: Given[Length] | None = None
    """Solid film smaller than the bleeder."""
    breather_margin: Given[Length] | None = None
    """Breather beyond blanket and probes."""
    tape_distance: Given[Length] | None = None
    """Inner edge of the sealing tape outside the blanket."""
    film_allowance: Given[Fraction] | None = None
    """Bag film added for pleats on length and width."""
    bleeder_plies: Given[Count] | None = None
    """Number of bleeder plies."""
    blanket_margin: Given[Length] | None = None
    """Blanket beyond patch and sensors."""
    adhesive_margin: Given[Length] | None = None
    """Adhesive beyond the patch."""
    sensor_margin: Given[Length] | None = None
    """Thermocouples beyond the adhesive."""
    lower_breather: Given[Flag] | None = None
    """Whether a breather lies under the blanket too and runs out past it."""
    edge_breather: Given[Length] | None = None
    """Width of edge breather laid against the plies' edge and out to the breather."""
    dry_bleeder: Given[Length] | None = None
    """Rim of the bleeder that must stay dry, so that air passes in it."""
    no_bleed: Given[Flag] | None = None
    """Whether no resin may leave the plies: no bleeder, edges open to air only."""
    both_sides: Given[Flag] | None = None
    """Hole through both skins: whether both sides are bagged at once."""
    support: Given[Name] | None = None
    """Hole through both skins: what closes and holds the other side to contour while one cures."""
    support_margin: Given[Length] | None = None
    """That support beyond the opening."""
    plate_margin: Given[Length] | None = None
    """Plate a cap is cured on, beyond the sealing tape."""


class PressurePad(Typed):
    """A pad that presses on a cap or plies in a recess."""

    material: Name
    """Material id of the pad (a bagging material for "caul")."""
    thickness: Length | None = None
    """Thickness of all its sheets together."""
    proud: Margin | None = None
    """How far it stands above the skin round the opening."""
    inset: Margin | None = None
    """How far its edge stays inside the opening, all round."""
    wrapped: Flag = True
    """Wrapped in PTFE film or tape, so that nothing bonds to it."""


class PressureAid(Typed):
    """A caul, a rubber pad or the like that presses under the bag, as the shop has it."""

    what: Name
    """What it is, in the shop's words; nothing is decided by them."""
    material: Name | None = None
    """Material id (a bagging material for "caul"); left out, nothing is known of it."""
    covers: Literal["cut-out", "plies"] | None = None
    """What it is as large as; left out, the cut-out where core or cap alone is laid, else the plies."""


class CaulSheet(Typed):
    """A bare sheet of metal between bleeder and blanket, over the plies: it evens out the heat."""

    material: Name
    """Material id of the sheet (a bagging material for "caul")."""
    margin: Margin
    """How far it reaches past the plies, all round."""


class Segment(Typed):
    """One segment of a cure recipe."""

    kind: Literal["ramp", "dwell", "cool"]
    """Heating, holding or cooling."""
    to: Temperature
    """Temperature it goes to, or is held at."""
    rate_least: TemperatureRate | None = None
    """Least rate."""
    rate_most: TemperatureRate | None = None
    """Greatest rate."""
    rate: TemperatureRate | None = None
    """Set-point rate."""
    low: Temperature | None = None
    """Bottom of the dwell band."""
    high: Temperature | None = None
    """Top of the dwell band."""
    least: Duration | None = None
    """Least dwell."""
    most: Duration | None = None
    """Longest dwell."""
    summed: Flag = False
    """Whether interrupted dwell may be added up."""


CurePart = Literal["cap", "core", "fill", "plies", "potting"]


class Cure(Typed):
    """One cure operation: what is laid for it, how it is bagged and heated."""

    name: Name
    """Name of the operation."""
    lays: tuple[CurePart, ...] = Field(min_length=1)
    """What goes down in it."""
    side: Side | None = None
    """Skin it is done on, where both skins are repaired one after the other."""
    place: Name
    """Where the recipe stands in the approved data."""
    cured_on: Literal["panel", "plate"] = "panel"
    """On the panel, or beforehand on a heat-proof plate away from it (a cap)."""
    heated_by: Literal["blanket", "oven", "room temperature"] = "blanket"
    """What heats it; at room temperature nothing does."""
    bagged: Flag = True
    """Whether it is cured under a vacuum bag."""
    pressure_aid: PressureAid | None = None
    """Caul, rubber pad or the like."""
    pad: PressurePad | None = None
    """Pressure pad over a cap or plies in a recess."""
    caul_sheet: CaulSheet | None = None
    """Sheet of metal over bleeder and film that evens out the heat."""
    sand_after: Duration | None = None
    """Least time from vacuum on (or laying) before it may be sanded, cured at room temperature."""
    load_after: Duration | None = None
    """Least time from vacuum on (or laying) before it may be loaded, cured at room temperature."""
    segment: tuple[Segment, ...] = Field(min_length=1, max_length=40)
    """Segments in order."""
    ceiling: Temperature | None = None
    """No thermocouple may ever pass it."""
    control: Literal["leading", "lagging", "average"] | None = None
    """Which thermocouple the controller follows."""
    release_below: Temperature | None = None
    """Vacuum is held until all are below."""
    thermocouples_least: Count | None = Field(default=None, ge=1, le=64)
    """Least number of working thermocouples."""
    may_fail: Count = Field(default=0, ge=0, le=64)
    """How many thermocouples may fail during the cure."""
    spread_most: TemperatureDifference | None = None
    """Largest difference between thermocouples in the dwell."""
    vacuum: Pressure | None = None
    """Least vacuum in this cure, gauge, where it differs from the bag's."""
    rate_window: Duration | None = None
    """Window over which rates are taken."""
    longest_gap: Duration | None = None
    """Longest time without readings that still counts as unbroken in the cure log, where the data says so."""

    @property
    def aid_covers(self) -> Literal["cut-out", "plies"]:
        """What a pressure aid is as large as."""
        if self.pressure_aid is not None and self.pressure_aid.covers is not None:
            return self.pressure_aid.covers
        return "cut-out" if set(self.lays) <= {"core", "cap", "potting"} else "plies"

    @property
    def longest_dwell(self) -> Segment:
        """The longest dwell: the one that counts. A recipe without any is refused when it is read."""
        return max((s for s in self.segment if s.kind == "dwell"), key=lambda s: s.least or 0.0)


class DryingData(Typed):
    """Drying before the bond."""

    temperature: Given[Temperature] | None = None
    """Drying temperature."""
    duration: Given[Duration] | None = None
    """Least drying time."""
    rate_most: Given[TemperatureRate] | None = None
    """Greatest heating rate."""
    vacuum: Given[Pressure] | None = None
    """Vacuum while drying, gauge."""
    content: Given[Share] | None = None
    """Moisture content (fraction of saturation) to dry to."""


class LoadCase(Typed):
    """One load case for the strength comparison."""

    name: Name
    """Name."""
    nx: RunningLoad = 0.0
    """Running load along 0 degrees."""
    ny: RunningLoad = 0.0
    """Running load along 90 degrees."""
    nxy: RunningLoad = 0.0
    """Running shear load."""
    pressure: Pressure | None = None
    """Pressure on the outside."""
    place: Text = ""
    """Where it comes from."""


class StrengthData(Typed):
    """Loads for the strength comparison."""

    case: tuple[LoadCase, ...] = Field(default=(), max_length=50)
    """Load cases."""
    allowable_strain: Given[Strain] | None = None
    """Allowable strain of the sound panel."""
    edges: Literal["simply supported", "clamped"] = "simply supported"
    """How the panel's edges are held."""


class ApprovedData(Typed):
    """The approved repair data that is used."""

    manual: Manual
    """The document."""
    repair: Name
    """Which repair of it."""
    limits: LimitsData = LimitsData()
    """Limits on the damage."""
    cutout: CutoutData = CutoutData()
    """The cut-out."""
    plies: PliesData = PliesData()
    """The plies."""
    core: CoreData = CoreData()
    """The core."""
    resin: ResinData = ResinData()
    """The resin."""
    surface: SurfaceData = SurfaceData()
    """The surface."""
    bag: BagData = BagData()
    """The bag."""
    drying: DryingData = DryingData()
    """Drying."""
    cure: tuple[Cure, ...] = Field(default=(), max_length=10)
    """Cure operations in order."""
    strength: StrengthData = StrengthData()
    """Loads."""
    preparation: PreparationData = PreparationData()
    """Making the panel ready."""
    inspection: InspectionData = InspectionData()
    """Inspecting each bond after its cure."""
    finishing: FinishData = FinishData()
    """Finishing."""
    interruption: InterruptionData = InterruptionData()
    """What is done when a cure is interrupted."""
    category: Category | None = None
    """Category of the repair."""
