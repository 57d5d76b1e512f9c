"""Where each mark is stuck on the panel: a small TOML file that the technician fills in."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any, Literal

from pydantic import Field, ValidationError, model_validator

from panelmend.document.panel import Side
from panelmend.document.places import Places
from panelmend.errors import DocumentError, InputError, MissingError
from panelmend.materials.quantities import Angle, Count, Length, Margin, Name, Point, Typed
from panelmend.photo.sheet import CARD, HIGHEST_MARK

LARGEST_PLACES_FILE = 400_000  # bytes
ItemKind = Literal["thermocouple", "ply", "blanket", "other"]


class PlacedMark(Typed):
    """A mark whose centre was measured on the panel."""

    number: Count = Field(ge=1, le=HIGHEST_MARK)
    """Number printed beside the mark."""
    at: Point
    """Where its centre is, in the panel's axes; on a curved panel along the surface."""


class Item(Typed):
    """A thing whose true place is wanted: marks are stuck so that their pointers touch it."""

    name: Name
    """What it is called: TC3, P2, B1."""
    kind: ItemKind
    """What it is."""
    numbers: tuple[Count, ...] = Field(min_length=1, max_length=60)
    """Marks that point at it: one for a point, three or more round an edge, in order."""

    @model_validator(mode="after")
    def _points(self) -> Item:
        if self.kind == "thermocouple" and len(self.numbers) != 1:
            raise InputError(
                "a thermocouple is one point", read=f"{len(self.numbers)} marks", expected="one mark"
            )
        if self.kind in ("ply", "blanket") and len(self.numbers) < 3:
            raise InputError(
                "an edge needs three marks or more, in order round it", read=f"{len(self.numbers)} marks"
            )
        return self


class Surface(Typed):
    """Single curvature of the face that is photographed."""

    radius: Length
    """Radius of this face."""
    axis: Angle
    """Direction of the cylinder's axis in the panel's axes."""
    bulges: Side
    """Side towards which the panel bulges."""


class MarksFile(Typed):
    """The marks on one face of one panel."""

    side: Side
    """Face of the panel that the marks are on."""
    seen_from: Side
    """Side from which the panel's axes are drawn (panel.seen_from of the repair document)."""
    mark_side: Length
    """Side of the black square, measured on the print."""
    place_error: Margin = 0.0005
    """Usual error of each measured coordinate (one standard deviation)."""
    flatness: Margin = 0.0005
    """How far the face may stand off from flat, or from its cylinder (one standard deviation)."""
    surface: Surface | None = None
    """Curvature, where the face is not flat."""
    mark: tuple[PlacedMark, ...] = Field(min_length=1, max_length=60)
    """The measured marks."""
    item: tuple[Item, ...] = Field(default=(), max_length=100)
    """Things whose place is wanted."""
    other: tuple[Count, ...] = Field(default=(), max_length=100)
    """Marks that may be in the picture and count for nothing."""

    @model_validator(mode="after")
    def _whole(self) -> MarksFile:
        numbers = [m.number for m in self.mark] + [n for i in self.item for n in i.numbers] + list(self.other)
        twice = sorted({n for n in numbers if numbers.count(n) > 1})
        if twice:
            raise InputError(
                "a mark's number stands twice", read=", ".join(map(str, twice)), expected="each number once"
            )
        bad = sorted(n for n in numbers if not CARD < n <= HIGHEST_MARK)
        if bad:
            raise InputError(
                "no mark for places has this number",
                read=str(bad[0]),
                expected=f"1 to {HIGHEST_MARK} ({CARD} is the card)",
            )
        if not 0.008 <= self.mark_side <= 0.3:
            raise InputError(
                "not a likely side of a mark", read=f"{1e3 * self.mark_side:g} mm", expected="8 mm to 300 mm"
            )
        for i, a in enumerate(self.mark):
            for b in self.mark[:i]:
                if max(abs(a.at[0] - b.at[0]), abs(a.at[1] - b.at[1])) < self.mark_side:
                    raise InputError(
                        "two marks lie on each other",
                        read=f"{b.number} and {a.number}",
                        todo="measure both again",
                    )
        return self


def read_places(path: Path) -> MarksFile:
    """Read the file of a panel's marks.

    Raises:
        MissingError: no such file.
        DocumentError: it has faults; each with its line.
    """
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise MissingError(f"no file {path.name}") from None
    except OSError as error:
        raise InputError("cannot be opened", where=path.name, read=error.strerror or "") from None
    return parse_places(data, path.name)


def parse_places(data: bytes, name: str = "marks") -> MarksFile:
    """The file of a panel's marks from its bytes. Raises DocumentError."""
    try:
        if len(data) > LARGEST_PLACES_FILE:
            raise InputError("too large", where=name, expected="a file of marks, below 400 kB")
        text = data.decode("utf8")
        raw = tomllib.loads(text)
    except InputError as error:
        raise DocumentError([error]) from None
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError) as error:
        raise DocumentError(
            [InputError("this is no TOML", where=name, read=str(error)[:120], expected="a file of marks")]
        ) from None
    try:
        return MarksFile.model_validate(raw)
    except ValidationError as error:
        places = Places(text)
        faults = []
        for complaint in error.errors(include_url=False)[:50]:
            faults.append(_said(complaint, places, name))
        raise DocumentError(faults) from None


def _said(complaint: Any, places: Places, name: str) -> InputError:
    """A validator's complaint with its line and field."""
    path = tuple(complaint["loc"])
    field = ".".join(str(p) for p in path)
    where = f"{name}, line {places.line(path)}" + (f", {field}" if field else "")
    cause = complaint.get("ctx", {}).get("error")
    if isinstance(cause, InputError):
        return InputError(cause.words, where=where, read=cause.read, expected=cause.expected, todo=cause.todo)
    read = "" if complaint["type"] == "missing" else repr(complaint.get("input"))[:60]
    if complaint["type"] == "extra_forbidden":
        return InputError("no such field", where=where, todo="check the spelling")
    return InputError(complaint["msg"][:1].lower() + complaint["msg"][1:], where=where, read=read)


def blank_places(numbers: list[int], side: float) -> str:
    """A file of marks to be filled in.

    Args:
        numbers: the marks printed for places.
        side: of a mark, as printed [m].
    """
    rows = "\n".join(f'[[mark]]\nnumber = {n}\nat = "? mm, ? mm"\n' for n in numbers)
    return f"""# Where each mark is stuck. Fill in, take out marks that are not used.
side = "outside"        # face of the panel the marks are on: outside or inside
seen_from = "outside"   # panel.seen_from of the repair document
mark_side = "{1e3 * side:g} mm"     # measure a black square on the print and put it right here
place_error = "0.5 mm"  # usual error of each measured coordinate
flatness = "0.5 mm"     # how far the face may stand off from flat

# [surface]             # only for a curved face
# radius = "1200 mm"
# axis = "30 deg"
# bulges = "outside"

# Centre of each mark in the panel's axes (on a curved face, along the surface).
{rows}
# [[item]]              # a thing whose true place is wanted; the mark's pointer touches it
# name = "TC1"
# kind = "thermocouple" # or ply, blanket, other
# numbers = [101]       # an edge: three or more, in order round it
"""
