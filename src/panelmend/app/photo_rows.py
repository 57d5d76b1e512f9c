"""What was found in photographs, as a person decided on it: what is used, as taps and as one outline."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

from panelmend.document.model import Document
from panelmend.errors import InputError, ReadingError
from panelmend.files import opening
from panelmend.job.survey.coverage import PLACE_WITHIN
from panelmend.photo import LOOKED_AT_BEYOND, MarksFile, Measured, PlaceRow, read_back, rows_of_spots
from panelmend.shapes.cylinder import Cylinder
from panelmend.survey import ReadingTable, propose_table, read_table
from panelmend.units import show

_TURN_APART = math.radians(3.0)


def rows_to_use(measured: Measured, corrected: Path | None) -> tuple[PlaceRow, ...]:
    """What is to be used, corrected by a person if there is a table. Raises ReadingError, MissingError."""
    if corrected is None:
        return rows_of_spots(measured.spots)
    with opening(corrected):
        data = corrected.read_bytes()
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
    made = read_back(text, corrected.name, measured.spots)
    _refuse_far_off(made, measured.places, corrected.name)
    return made


def _refuse_far_off(found: Sequence[PlaceRow], places: MarksFile, name: str) -> None:
    """Refuse places that the pictures cannot show: a slip of the decimal point."""
    x, y = zip(*(m.at for m in places.mark), strict=True)
    low, high = (
        (min(x) - LOOKED_AT_BEYOND, min(y) - LOOKED_AT_BEYOND),
        (max(x) + LOOKED_AT_BEYOND, max(y) + LOOKED_AT_BEYOND),
    )
    for r in found:
        out = any(not a <= v <= b for a, v, b in zip(low, r.at, high, strict=True))
        if r.use and out:
            raise ReadingError(
                "a place that lies far outside the marks",
                where=f"{name}, {r.id}",
                read=f"{show(r.at[0], 'length')}, {show(r.at[1], 'length')}",
                expected=f"at most {show(LOOKED_AT_BEYOND, 'length')} outside them",
            )


def refuse_undecided(found: Sequence[PlaceRow]) -> None:
    """Refuse while anything is undecided. Raises InputError."""
    open_ = [r.id for r in found if not r.settled]
    if open_:
        raise InputError(
            "some of what was found is not decided yet",
            read=", ".join(open_[:10]) + (" ..." if len(open_) > 10 else ""),
            todo="look at the picture, write yes or no under use in the table, and give it with --corrected; "
            "or take one more picture from another side",
        )


def placed_lines(found: Sequence[PlaceRow], wanted: str | None) -> None:
    """Refuse a used line that would go nowhere: a document holds one outline. Raises InputError."""
    outline_row(found, wanted)
    over = [r.id for r in found if r.use and len(r.outline) > 2 and r.id != wanted]
    if over:
        raise InputError(
            "a drawn line would be left out of the document",
            read=", ".join(over),
            todo="name it with --outline, or write no under use in the table and give it with --corrected",
        )


def taps_of(found: Sequence[PlaceRow]) -> ReadingTable:
    """The dots as a table of taps, as a survey reads it. Raises InputError, ReadingError."""
    taps = [r for r in found if r.use and r.meaning in ("dull", "sound")]
    if not taps:
        raise InputError(
            "no dot is used", expected="dots where it was tapped: dull in one colour, sound in another"
        )
    loose = [r.id for r in taps if r.radius > PLACE_WITHIN]
    if loose:
        raise InputError(
            "dots whose place is not known well enough for the survey's line",
            read=", ".join(loose[:10]),
            expected=f"95 % within {show(PLACE_WITHIN, 'length')}",
            todo="take one more picture, nearer and squarer, or write no and measure them with a ruler",
        )
    text = "x mm;y mm;tap\n" + "\n".join(
        f"{1e3 * r.at[0]:.2f};{1e3 * r.at[1]:.2f};{'d' if r.meaning == 'dull' else 's'}" for r in taps
    )
    return read_table(propose_table(text))


def outline_row(found: Sequence[PlaceRow], wanted: str | None) -> PlaceRow | None:
    """The line that is to be the outline of the damage.

    Raises:
        InputError: no such line, or several and none is named.
    """
    lines = [r for r in found if r.use and len(r.outline) > 2]
    if wanted is None:
        return None
    for r in lines:
        if r.id == wanted:
            return r
    raise InputError(
        "no used line has this id", read=wanted, expected=", ".join(r.id for r in lines) or "none was found"
    )


def fits(places: MarksFile, document: Document) -> None:
    """Refuse a file of marks that says another face or bend than the document. Raises InputError."""
    panel = document.panel
    if places.seen_from != panel.seen_from:
        raise InputError(
            "the marks' axes are drawn from another side than the document's",
            read=f"seen_from {places.seen_from}",
            expected=panel.seen_from,
        )
    curve, surface = panel.curvature, places.surface
    if curve is not None and curve.second_radius is not None:
        raise InputError(
            "a panel bent both ways is not measured from photographs",
            read="panel.curvature.second_radius",
            todo="measure along the surface with a tape",
        )
    if (curve is None) != (surface is None):
        raise InputError(
            "the document and the file of marks disagree whether the panel is curved",
            read="curved in the document" if curve else "curved in the file of marks",
            todo="give [surface] in the file of marks the radius, axis and bulge of the face",
        )
    if curve is None or surface is None:
        return
    turn = abs((curve.axis - surface.axis + math.pi / 2) % math.pi - math.pi / 2)
    if abs(curve.radius / surface.radius - 1.0) > 0.1 or turn > _TURN_APART or curve.bulges != surface.bulges:
        raise InputError(
            "the file of marks and the document give different curvature",
            read=f"{show(surface.radius, 'length')}, {math.degrees(surface.axis):.0f} deg, {surface.bulges}",
            expected=f"{show(curve.radius, 'length')}, {math.degrees(curve.axis):.0f} deg, {curve.bulges}",
        )
    if curve.second_radius is not None:
        raise InputError(
            "a picture of a panel that is bent both ways is not measured here",
            read=f"second_radius {show(curve.second_radius, 'length')}",
            todo="measure the places along the surface with a tape",
        )
    if curve.coordinates == "plan" and places.side == "inside":
        raise InputError(
            "places projected in plan cannot be taken from a picture of the inside",
            todo="measure along the surface (panel.curvature.coordinates)",
        )


def in_document_axes(found: Sequence[PlaceRow], document: Document) -> tuple[PlaceRow, ...]:
    """Rows as the document counts: projected in plan where it says so."""
    curve = document.panel.curvature
    if curve is None or curve.coordinates == "surface":
        return tuple(found)
    cylinder = Cylinder(curve.radius, curve.axis)
    return tuple(
        PlaceRow(
            r.id, r.meaning, r.use, r.settled, cylinder.project(r.at), r.radius,
            tuple(cylinder.project(p) for p in r.outline),
        )
        for r in found
    )  # fmt: skip
