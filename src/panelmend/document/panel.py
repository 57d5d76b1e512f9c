"""The panel and its damage, as they are typed."""

from __future__ import annotations

from typing import Annotated, Literal, assert_never

from pydantic import Field

from panelmend.document.pace import Directions
from panelmend.document.shape import Shape
from panelmend.materials.bounds import DEGREES, common
from panelmend.materials.quantities import (
    Angle,
    Area,
    Count,
    FilmCoefficient,
    Length,
    Margin,
    Moment,
    Name,
    Point,
    Temperature,
    Text,
    Typed,
)

Side = Literal["outside", "inside"]
Metal = Literal["aluminium", "steel", "stainless steel", "titanium", "copper", "none"]
"""Steel stands for plain and plated steel; none for a part that somebody found to be of no metal."""


class SkinPly(Typed):
    """One ply of a skin."""

    cloth: Name
    """Material id of the cloth."""
    warp: Angle
    """Warp angle."""


class Skin(Typed):
    """A skin, ply by ply, listed from the outside of the panel inwards."""

    plies: tuple[SkinPly, ...] = Field(min_length=1, max_length=60)
    """The plies, the one nearest the outside first."""
    metal: Metal | None = None
    """Metal of a sheet, mesh or foil on or in it, per its drawing; leave out if nobody has looked."""


class PanelCore(Typed):
    """The core between the skins."""

    material: Name
    """Material id of the core."""
    thickness: Annotated[
        Length, common("1 mm", "300 mm", usual=("2.5 mm", "100 mm"), what="thickness of the core")
    ]
    """Thickness."""
    ribbon: Angle
    """Angle of the ribbon direction."""
    bond: Text = ""
    """Adhesive that bonds the skins to the core (material id), if known."""


class Curvature(Typed):
    """Curvature: part of a cylinder, or of a torus where a second radius is given."""

    radius: Annotated[
        Length, common("10 mm", "1000 m", usual=("100 mm", "100 m"), what="radius of the panel")
    ]
    """Radius of the outer surface, across the axis."""
    axis: Angle
    """Direction of the cylinder's axis."""
    bulges: Side
    """Side towards which the panel bulges: the convex side."""
    coordinates: Literal["surface", "plan"] = "surface"
    """Whether coordinates run along the surface or are projected on the tangent plane at the origin."""
    second_radius: Annotated[
        Length | None, common("10 mm", "1000 m", usual=("100 mm", "100 m"), what="second radius of the panel")
    ] = None
    """Radius of the outer surface along the axis, if it is curved both ways."""
    second_bulges: Side | None = None
    """Side towards which it bulges along the axis; for a saddle, the opposite of `bulges`."""


class Fastener(Typed):
    """A fastener or an insert, with the clearance it needs."""

    id: Name
    """Short name."""
    at: Point
    """Position of its axis."""
    diameter: Annotated[Length, common("1 mm", "1 m", usual=("2 mm", "80 mm"), what="diameter")]
    """Diameter of head, hole or insert, whichever is largest."""
    keep_out: Annotated[
        Margin, common("0.1 mm", "1 m", usual=("0.5 mm", "150 mm"), what="distance to keep out", zero=True)
    ] = 0.0
    """Distance round its edge that a repair must keep clear of."""
    metal: Metal | None = None
    """Metal it is made of or plated with, per its drawing; leave out if nobody has looked."""


class Structure(Typed):
    """Structure behind the panel, which draws heat away."""

    id: Name
    """Short name."""
    kind: Literal["rib", "spar", "fitting", "doubler"]
    """What it is."""
    shape: Shape
    """Where it touches the panel."""
    thickness: Annotated[Length, common("0.1 mm", "500 mm", what="thickness of a {kind}")]
    """Thickness of its web or body, or depth for a fitting."""
    height: Annotated[Length | None, common("1 mm", "5 m", what="height of a web")] = None
    """Height of its web away from the panel, if known."""
    metal: Literal["aluminium", "steel", "titanium", "composite"]
    """What it is made of."""
    side: Side = "inside"
    """Side of the panel it stands on."""
    contact: Annotated[
        FilmCoefficient | None,
        common(
            "1 W/m2K",
            "1e6 W/m2K",
            what="contact conductance",
            low_todo="leave it out if it is not known; a part that does not touch draws no heat",
        ),
    ] = None
    """Thermal conductance of its contact with the panel, if known."""
    limit: Annotated[Temperature | None, common("40 C", "400 C", what="limit of a {kind}", todo=DEGREES)] = (
        None
    )
    """Highest temperature it may reach."""


class EarlierRepair(Typed):
    """A repair already in the panel."""

    id: Name
    """Its number."""
    shape: Shape
    """Outline of its largest ply."""


class SolidArea(Typed):
    """An area without core (an edge band, a hard point)."""

    id: Name
    """Short name."""
    shape: Shape
    """Where it is."""
    metal: Metal | None = None
    """Metal of the member in it, per its drawing; leave out if nobody has looked."""


class Hinge(Typed):
    """The hinge line of a control surface."""

    start: Point
    """One point of the line."""
    end: Point
    """Another point of the line."""
    moment_limit: Annotated[
        Moment | None, common("1e-4 N m", "1e5 N m", usual=("1e-3 N m", "500 N m"), what="change of moment")
    ] = None
    """Largest permitted change of the moment about the line."""
    place: Text = ""
    """Where the limit stands in the approved data."""


class Panel(Typed):
    """The panel."""

    name: Name
    """Name of the part."""
    part_number: Name
    """Part number."""
    serial: Text = ""
    """Serial number."""
    outline: Shape
    """Edge of the panel in panel axes."""
    seen_from: Side
    """Side from which this document's coordinates and angles are seen."""
    zero: Name
    """Which way 0 degrees points, in words."""
    directions: Directions = Directions.model_construct()
    """Its directions as the aircraft's drawings name them."""
    outer_skin: Skin
    """Skin on the outside (the tool side)."""
    inner_skin: Skin
    """Skin on the inside."""
    core: PanelCore
    """Core."""
    edge_band: Annotated[
        Margin, common("0.5 mm", "2 m", usual=("6 mm", "250 mm"), what="width of the edge band", zero=True)
    ] = 0.0
    """Width of the edge band (no core) all round; 0 for none."""
    edge_metal: Metal | None = None
    """Metal of the members in the edge band, per its drawing; leave out if nobody has looked."""
    surface: Literal["flat", "single", "double"] | None = None
    """Found flat, curved one way (single) or curved both ways (double) where it is repaired."""
    curvature: Curvature | None = None
    """Curvature, if the panel is not flat."""
    fastener: tuple[Fastener, ...] = Field(default=(), max_length=500)
    """Fasteners."""
    insert: tuple[Fastener, ...] = Field(default=(), max_length=500)
    """Inserts."""
    structure: tuple[Structure, ...] = Field(default=(), max_length=100)
    """Structure behind the panel."""
    solid_area: tuple[SolidArea, ...] = Field(default=(), max_length=100)
    """Areas without core."""
    earlier_repair: tuple[EarlierRepair, ...] = Field(default=(), max_length=100)
    """Repairs already in the panel."""
    hinge: Hinge | None = None
    """Hinge line of a control surface."""
    limit: Annotated[Temperature | None, common("40 C", "400 C", what="limit of the panel", todo=DEGREES)] = (
        None
    )
    """Highest temperature its skins, core and bonds may reach."""


class Damage(Typed):
    """The damage after clean-up."""

    id: Text = ""
    """Short name, if the job has several: A, B, C."""
    shape: Shape | None = None
    """Outline of the damage; may be left out if a survey gives it."""
    depth: Literal["surface", "plies", "skin", "skin and core", "through"]
    """How deep: finish only, some plies, one whole skin, one skin and the core, or both skins."""
    plies: Count | None = Field(default=None, ge=1, le=60)
    """Number of damaged plies, if the depth is "plies"."""
    side: Side
    """Side the damage is on (for "through": the side worked from first)."""
    far_shape: Shape | None = None
    """Outline of the damage in the far skin, if it goes through and differs there."""
    core_depth: Annotated[Length | None, common("0.1 mm", "300 mm", what="depth of core damage")] = None
    """Depth of core damage, if less than the core's thickness."""
    moisture: Literal["none found", "found", "not checked"]
    """Water in the core."""
    wet_area: Annotated[
        Area | None, common("0.1 cm2", "100 m2", usual=("1 cm2", "2 m2"), what="wet area")
    ] = None
    """Area found wet, if it was mapped."""
    how_found: Text = ""
    """How the extent was found."""
    notes: Text = ""
    """Anything else."""

    @property
    def through(self) -> bool:
        """Whether both skins are damaged.

        Raises:
            AssertionError: a depth that nobody knows; it must not leave a skin out.
        """
        return self._reach == "both skins"

    @property
    def cored(self) -> bool:
        """Whether the core is damaged.

        Raises:
            AssertionError: a depth that nobody knows; it must not leave the core out.
        """
        return self._reach in ("core", "both skins")

    @property
    def _reach(self) -> Literal["skin", "core", "both skins"]:
        match self.depth:
            case "surface" | "plies" | "skin":
                return "skin"
            case "skin and core":
                return "core"
            case "through":
                return "both skins"
            case _:
                assert_never(self.depth)
