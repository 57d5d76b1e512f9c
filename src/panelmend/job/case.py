"""The case: a document with its geometry brought into one set of axes and its materials at hand.

Standard axes: along the outer surface (developed flat where the panel is curved), seen from the outside
(the tool side); x is 0 degrees, angles are counter-clockwise positive (ASTM D6507, CMH-17 convention). A
document drawn from the inside is turned over about its 0-degree direction here, once: y and every angle
change sign, so +45 and -45 swap (TM 1-1500-204-23-11 para 5-7).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, assert_never

from panelmend.document import Document, Loaded, catalogue_of
from panelmend.document.asked import asked_values
from panelmend.document.faults.curvature import LIMB
from panelmend.document.geometry import shape_outline
from panelmend.document.panel import Metal, Side, Skin
from panelmend.document.places import Path
from panelmend.document.question import Asked
from panelmend.document.shape import Shape
from panelmend.document.shelved import Shelved
from panelmend.document.typed_out import TypedFigure
from panelmend.errors import Finding, InputError, RangeError
from panelmend.materials import Catalogue
from panelmend.shapes import Cylinder, Outline
from panelmend.units import show

if TYPE_CHECKING:
    from panelmend.job.survey.part import Line, SurveyReadings

Point = tuple[float, float]


@dataclass(frozen=True)
class Spot:
    """A fastener or insert: ``diameter`` and ``keep_out`` (beyond its edge) in m; ``metal`` if known."""

    id: str
    kind: str
    at: Point
    diameter: float
    keep_out: float
    metal: Metal | None = None


@dataclass(frozen=True)
class Area:
    """A named area: structure behind, a solid area, an earlier repair."""

    id: str
    kind: str
    outline: Outline


@dataclass(frozen=True)
class Layer:
    """One ply of a skin in standard axes: ``warp`` [rad], cured ``thickness`` [m]."""

    cloth: str
    warp: float
    thickness: float


@dataclass(frozen=True)
class Geometry:
    """The panel in standard axes. ``outer`` and ``inner`` list plies from the outside in."""

    outline: Outline
    damage: Outline | None
    far_damage: Outline | None
    spots: tuple[Spot, ...]
    structure: tuple[Area, ...]
    solid: tuple[Area, ...]
    earlier: tuple[Area, ...]
    hinge: tuple[Point, Point] | None
    outer: tuple[Layer, ...]
    inner: tuple[Layer, ...]
    ribbon: float
    core_thickness: float
    cylinder: Cylinder | None
    bulges: Side | None


@dataclass(frozen=True)
class Case:
    """One repair, ready to plan: the document, its digest and name, geometry and materials.

    ``others`` are the other damages of the job, which are planned by themselves, ``wet`` the names of those
    where water was found (True) or nobody has looked (False); ``joined`` says in words why
    damages that were typed apart are planned as one. ``typed`` are the figures of the document as they were
    typed. ``told`` is what was found in reading it.
    """

    document: Document
    digest: str
    name: str
    geometry: Geometry
    catalogue: Catalogue
    survey: SurveyReadings | None = None
    far_survey: SurveyReadings | None = None
    text: str = ""
    shelved: Shelved | None = None
    odd: tuple[Asked, ...] = ()
    others: tuple[Area, ...] = ()
    wet: tuple[tuple[str, bool], ...] = ()
    joined: str = ""
    typed: tuple[TypedFigure, ...] = ()
    told: tuple[Finding, ...] = ()

    def typed_in(self, path: str) -> str:
        """The file a field of the document was typed in: the document itself, or a shelf entry."""
        where = _path_of(path)
        return self.name if self.shelved is None or where is None else self.shelved.stands.file_of(where)

    def stands_at(self, path: str) -> str:
        """File and line of a field that was typed in a job or on a shelf; "" for a document in one file."""
        where = _path_of(path)
        return "" if self.shelved is None or where is None else self.shelved.stands.at(where)

    def stands(self, value: object) -> str:
        """The same of an approved value or a material."""
        return "" if self.shelved is None else self.shelved.stands.of(value)

    def placed(self, error: InputError) -> InputError:
        """A refusal of a stage with file and line of the field it names, where that was typed on a shelf."""
        name, _, field = error.where.partition(", ")
        stands = self.stands_at(field) if name == self.name and field else ""
        if not stands:
            return error
        where = f"{stands}, {field}"
        return type(error)(
            error.words, where=where, read=error.read, expected=error.expected, todo=error.todo
        )

    @cached_property
    def questions(self) -> tuple[Asked, ...]:
        """Every typed value outside what is usual, whether it was confirmed or not."""
        return (*asked_values(self.document), *self.odd)

    @property
    def view(self) -> str:
        """Units everything is printed in: "mm" or "in"."""
        return self.document.repair.units

    @property
    def confidence(self) -> float:
        """Confidence of the survey's outer line [1]."""
        return _confidence(self.document)

    @property
    def line(self) -> Line:
        """What the survey's outer line is for: a damage of any shape, or a compact one."""
        return "any shape" if self.document.survey is None else self.document.survey.line

    @property
    def merge(self) -> float:
        """Distance below which damaged areas count as one [m]; 0 where the data gives none."""
        return _merge(self.document)

    def angle(self, typed: float) -> float:
        """A typed angle [rad] in standard axes [rad]."""
        return typed if self.document.panel.seen_from == "outside" else -typed

    def point(self, typed: Point) -> Point:
        """A typed point in standard axes [m]."""
        x, y = typed if self.document.panel.seen_from == "outside" else (typed[0], -typed[1])
        cylinder = self.geometry_of_surface()
        return cylinder.develop((x, y)) if cylinder is not None else (x, y)

    def outline(self, typed: Shape) -> Outline:
        """A typed shape in standard axes."""
        return _standard(self.document, typed)

    def geometry_of_surface(self) -> Cylinder | None:
        """The cylinder whose plan coordinates were typed, or None where coordinates run along the surface."""
        return _plan_cylinder(self.document)

    def skin_depth(self, side: Side) -> float:
        """Depth of the outer face of a skin below the panel's outer surface [m]: 0 outside."""
        if side == "outside":
            return 0.0
        g = self.geometry
        return sum(p.thickness for p in (*g.outer, *g.inner)) + g.core_thickness


def case_of(loaded: Loaded) -> Case:
    """Make the case of a document that was read."""
    document = loaded.document
    catalogue = catalogue_of(document)
    panel, damage = document.panel, document.damage
    sign = 1.0 if panel.seen_from == "outside" else -1.0

    def place(point: Point) -> Point:
        x, y = point[0], sign * point[1]
        cylinder = _plan_cylinder(document)
        return cylinder.develop((x, y)) if cylinder is not None else (x, y)

    def layers(skin: Skin) -> tuple[Layer, ...]:
        return tuple(
            Layer(p.cloth, sign * p.warp, catalogue.cloth(p.cloth).cured_thickness.value) for p in skin.plies
        )

    def shape(typed: Shape | None) -> Outline | None:
        return None if typed is None else _standard(document, typed)

    spots = tuple(
        Spot(f.id, kind, place(f.at), f.diameter, f.keep_out, f.metal)
        for kind, group in (("fastener", panel.fastener), ("insert", panel.insert))
        for f in group
    )
    readings, far_readings = (_read(loaded.name, document, side, place) for side in _sides(damage.side))
    edge = _standard(document, panel.outline)
    found = shape(damage.shape)
    if found is None and readings is not None:
        found = _surveyed(loaded.name, document, readings, edge)
    other = shape(damage.far_shape)
    if other is None and damage.through and far_readings is not None:
        other = _far_surveyed(loaded.name, document, far_readings, edge)
    geometry = Geometry(
        outline=edge,
        damage=found,
        far_damage=other,
        spots=spots,
        structure=tuple(Area(s.id, s.kind, _standard(document, s.shape)) for s in panel.structure),
        solid=tuple(Area(a.id, "solid area", _standard(document, a.shape)) for a in panel.solid_area),
        earlier=tuple(Area(r.id, "repair", _standard(document, r.shape)) for r in panel.earlier_repair),
        hinge=None if panel.hinge is None else (place(panel.hinge.start), place(panel.hinge.end)),
        outer=layers(panel.outer_skin),
        inner=layers(panel.inner_skin),
        ribbon=sign * panel.core.ribbon,
        core_thickness=panel.core.thickness,
        cylinder=_cylinder(document),
        bulges=panel.curvature.bulges if panel.curvature else None,
    )
    return Case(
        document,
        loaded.digest,
        loaded.name,
        geometry,
        catalogue,
        readings,
        far_readings,
        loaded.text,
        loaded.shelved,
        loaded.odd,
        joined=loaded.joined,
        typed=loaded.typed,
        told=loaded.told,
    )


_PART = re.compile(r"([A-Za-z_]\w*)|\[(\d+)\]")


def _path_of(text: str) -> Path | None:
    """A field's path as it is written in messages, counted from one; as much of it as is one."""
    path: list[str | int] = []
    at = 0
    for match in _PART.finditer(text):
        if text[at : match.start()] not in ("", "."):
            break
        path.append(match[1] if match[1] is not None else int(match[2]) - 1)
        at = match.end()
    return tuple(path) or None


def _sides(worked: Side) -> tuple[Side, Side]:
    return (worked, "inside" if worked == "outside" else "outside")


def _read(
    name: str, document: Document, side: Side, place: Callable[[Point], Point]
) -> SurveyReadings | None:
    """The readings of one side; None where there is no survey. InputError for one out of sight in plan."""
    people = document.people
    if document.survey is None:
        return None
    from panelmend.job.survey.part import readings_figure  # late: most documents have no survey

    curve = document.panel.curvature

    def seen(point: Point) -> Point:
        if curve is not None and curve.coordinates == "plan":
            far = abs(point[1] * math.cos(curve.axis) - point[0] * math.sin(curve.axis))
            if far > LIMB * curve.radius * (1.0 + 1e-9):
                raise InputError(
                    "a reading lies too near to where the surface runs out of sight in plan",
                    where=f"{name}, survey, {side}",
                    read=f"{show(point[0], 'length')}, {show(point[1], 'length')}: {show(far, 'length')} off "
                    f"the reference line, radius {show(curve.radius, 'length')}",
                    expected=f"at most {show(LIMB * curve.radius, 'length')} (60 degrees round)",
                    todo="measure along the surface and type coordinates = 'surface', or check the place",
                )
        return place(point)

    return readings_figure(document.survey, side, seen, people.inspector, people.technician)


def _confidence(document: Document) -> float:
    given = "95 %" if document.survey is None else document.survey.confidence
    return float(given.removesuffix(" %")) / 100.0


def _merge(document: Document) -> float:
    given = document.data.limits.merge_distance
    return 0.0 if given is None else given.value


def _surveyed(name: str, document: Document, readings: SurveyReadings, edge: Outline) -> Outline:
    """The outline a survey gives; InputError where it gives none."""
    from panelmend.job.survey.part import below_sound, outer_outline  # late, as above

    try:
        made = outer_outline(
            readings=readings,
            confidence=_confidence(document),
            merge=_merge(document),
            panel=edge,
            line="any shape" if document.survey is None else document.survey.line,
        )
    except RangeError as error:
        survey, side = document.survey, document.damage.side
        low = below_sound(survey, side) if survey is not None else 0
        sound = (
            f"{low} readings lie far below the sound place: read it again, in the same unit; " if low else ""
        )
        raise InputError(
            f"the survey gives no outline: {error}",
            where=f"{name}, survey",
            todo=f"{sound}read these and more places again, or give damage.shape",
        ) from None
    assert isinstance(made, Outline)
    return made


def _far_surveyed(name: str, document: Document, readings: SurveyReadings, edge: Outline) -> Outline | None:
    """The outline the far side's survey gives; None where it gives none: its dull readings are then named."""
    dull = readings.readings().dull
    if not dull.any():
        return None
    if dull.all():
        raise InputError(
            f"all {len(dull)} readings on the far side speak for damage: nothing says where it ends there",
            where=f"{name}, survey",
            todo="tap further out on that side, or type damage.far_shape",
        )
    try:
        return _surveyed(name, document, readings, edge)
    except InputError:
        return None


def _cylinder(document: Document) -> Cylinder | None:
    curve = document.panel.curvature
    if curve is None:
        return None
    sign = 1.0 if document.panel.seen_from == "outside" else -1.0
    return Cylinder(curve.radius, sign * curve.axis)


def _plan_cylinder(document: Document) -> Cylinder | None:
    curve = document.panel.curvature
    if curve is None:
        return None
    match curve.coordinates:
        case "plan":
            return _cylinder(document)
        case "surface":
            return None
        case _:
            assert_never(curve.coordinates)


def _standard(document: Document, typed: Shape) -> Outline:
    made = shape_outline(typed)
    if document.panel.seen_from == "inside":
        made = made.mirrored_y()
    cylinder = _plan_cylinder(document)
    return cylinder.developed(made) if cylinder is not None else made
