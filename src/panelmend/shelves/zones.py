"""Zones of a panel as the manual draws them: which of them a damage lies in.

The outline of the damage decides, not the cut-out: limits are limits on the damage after clean-up.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pydantic import ValidationError

from panelmend.document.fault import Fault, fault_at
from panelmend.document.geometry import shape_outline
from panelmend.document.shape import Shape
from panelmend.document.wording import plain_complaint, shown
from panelmend.errors import InputError, ShapeError
from panelmend.shapes import Outline, clearance
from panelmend.shapes.boolean import united_area
from panelmend.shapes.overlap import farthest_outside
from panelmend.shelves.mirror import mirrored_shape
from panelmend.shelves.model import EntryFile
from panelmend.units import show

BARE = 1e-6  # m2: 1 mm2 of a damage beside all of several zones; less is the last digit of a drawn arc
OVER_THE_LINE = 1e-6  # m: by so little a damage may lie over the line of a zone; the last digit of a sum


@dataclass(frozen=True)
class FoundZones:
    """What the outlines say: the zones that a damage shares ground with, and what must be told of it."""

    zones: tuple[str, ...]
    outside: float  # m that it reaches out of the only zone it lies in
    bare: float = 0.0  # m2 of it that lie beside all of the several zones it lies in


def zone_faults(entry: EntryFile) -> Iterator[Fault]:
    """Everything wrong with the zones of an entry."""
    names = [z.name for z in entry.zone]
    for i, zone in enumerate(entry.zone):
        if names.index(zone.name) != i:
            yield fault_at(("zone", i, "name"), "a zone is drawn twice", shown(zone.name), "each once")
        try:
            shape_outline(Shape.model_validate(zone.shape))
        except ValidationError as error:
            first = error.errors(include_url=False)[0]
            path, wrong = plain_complaint({**first, "loc": first["loc"]}, zone.shape, Shape)
            yield ("zone", i, "shape", *path), wrong
        except ShapeError as error:
            yield ("zone", i, "shape"), error
    used = {z for t in entry.choose for row in t.row for z in row.zone}
    if names:
        for z in sorted(used - set(names)):
            yield fault_at(
                ("zone",),
                f"the zone {shown(z)} stands in a table and is not drawn",
                ", ".join(names),
                "every zone of the tables drawn, or none",
            )
        if not used:
            yield fault_at(("zone",), "no table goes by zone", ", ".join(names), "a table with by = zone")


def zones_at(entry: EntryFile, damages: Sequence[Outline], *, mirrored: bool) -> FoundZones:
    """The zones that outlines of a damage share ground with.

    Args:
        entry: the entry of data that draws them.
        damages: outlines of the damage in the axes the panel is typed in [m].
        mirrored: whether the entry is drawn for the other hand.
    """
    found, outlines, outside = [], list[Outline](), 0.0
    for zone in entry.zone:
        shape = Shape.model_validate(zone.shape)
        outline = shape_outline(mirrored_shape(shape) if mirrored else shape)
        if any(_share_ground(d, outline) for d in damages):
            found.append(zone.name)
            outlines.append(outline)
            outside = max(farthest_outside(d, outline)[0] for d in damages)
    if len(found) == 1:
        return FoundZones(tuple(found), outside)
    ground = united_area(outlines) if outlines else 0.0
    bare = max((united_area([*outlines, d]) - ground for d in damages), default=0.0) if outlines else 0.0
    return FoundZones(tuple(found), 0.0, bare)


def _share_ground(damage: Outline, zone: Outline) -> bool:
    """Whether they share more than a hair of ground."""
    if not clearance(damage, zone).overlaps:
        return False
    from panelmend.shapes import offset

    inner = offset(zone, -OVER_THE_LINE)
    return any(clearance(damage, o).overlaps for o in inner)


def zone_of(found: FoundZones, typed: str, view: str) -> tuple[str, str]:
    """The zone that counts, and what a person must be asked about it ("" for nothing).

    Args:
        found: what the outlines say.
        typed: the zone that the job names, "" for none.
        view: units of the reader.

    Raises:
        InputError: the damage lies in no zone, in several and none is named, or the job names another one.
    """
    if not found.zones:
        raise InputError(
            "the damage lies in no zone that the data draws",
            expected="a damage inside one of them",
            todo="stop, and ask the engineer responsible for what the approved data does not cover",
        )
    if found.outside > OVER_THE_LINE:
        raise InputError(
            f"the damage reaches out of zone {found.zones[0]} and lies in no other there",
            read=f"by {show(found.outside, 'length', view)}",
            expected="a damage wholly inside the zones",
            todo="stop, and ask the engineer responsible for what the approved data does not cover",
        )
    if found.bare > BARE:
        raise InputError(
            f"the damage lies in zones {' and '.join(found.zones)}, and part of it in none",
            read=f"{show(found.bare, 'area', view)} of it",
            expected="a damage wholly inside the zones",
            todo="stop, and ask the engineer responsible for what the approved data does not cover",
        )
    if typed and typed not in found.zones:
        raise InputError(
            "the job names another zone than the one the damage lies in",
            read=shown(typed),
            expected=" or ".join(map(shown, found.zones)),
            todo="see the place of the damage and the figure of the zones",
        )
    if len(found.zones) == 1:
        return found.zones[0], ""
    if not typed:
        raise InputError(
            f"the damage lies in {len(found.zones)} zones: {', '.join(found.zones)}",
            expected="zone under [use]: the one whose limits hold, as the data says",
            todo="where the data does not say it, ask the engineer",
        )
    return typed, f"it lies in {', '.join(found.zones)}; the job goes by {typed}"
