"""A photograph of a panel laid under its drawing by two points, to be looked at; kept in the repair's folder.

Two points give place, turn and scale. What a slanted camera does to the rest stays in the picture: nothing is
measured in it, and no stage reads it. Points that are to count go through ``panelmend.photo``.
"""

from __future__ import annotations

import json
import math
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from panelmend.document.panel import Side
from panelmend.errors import InputError, MissingError, ReadingError
from panelmend.files import read_kept, replace_whole
from panelmend.records.canonical import sha256

INCH_MM = 25.4  # [mm], exactly
KEPT = "photographs.json"
VERSION = 1
Pair = tuple[tuple[float, float], tuple[float, float]]
LEAST_SIDE, MOST_ELEMENTS = (
    100,
    40_000_000,
)  # picture elements: a stamp shows nothing; a browser opens so many
APART_IN_PICTURE = 50.0  # picture elements between the two points; a finger is some five off
APART_ON_PANEL = 0.020  # [m]
FINEST_ELEMENT, COARSEST_ELEMENT = 1e-5, 1e-2  # [m] of the panel to a picture element
PALEST = 0.1  # share of the photograph that is seen at the least; less is hidden with its button


@dataclass(frozen=True)
class LaidPhotograph:
    """A photograph of one side.

    ``picture`` are two points in it (picture elements from its upper left, y down), ``places`` where they are
    on the panel (standard axes, seen from the outside, y up) [m]; both None until it was laid. ``by`` is who
    laid it, where people sign in.
    """

    side: Side
    digest: str
    ending: str
    width: int
    height: int
    picture: Pair | None = None
    places: Pair | None = None
    opacity: float = 1.0
    by: str = ""

    @property
    def file(self) -> str:
        """Its name in the repair's folder."""
        return f"photograph-{self.digest[:16]}{self.ending}"

    def scale(self) -> float:
        """Panel to a picture element [m]. Raises InputError before it was laid."""
        a, b, p, q = self._points()
        return math.dist(p, q) / math.dist(a, b)

    def matrix(self) -> tuple[float, float, float, float, float, float]:
        """From picture elements to millimetres of the drawing of its side (y down), as SVG has it.

        A photograph is as its side is seen and is never turned over. Raises InputError before it was laid.
        """
        a, b, p, q = self._points()
        over = -1.0 if self.side == "outside" else 1.0  # from the inside the drawing's y is the panel's
        (px, py), (qx, qy) = ((1e3 * x, 1e3 * over * y) for x, y in (p, q))
        across = complex(qx - px, qy - py) / complex(b[0] - a[0], b[1] - a[1])
        c, s = across.real, across.imag
        return c, s, -s, c, px - c * a[0] + s * a[1], py - s * a[0] - c * a[1]

    def _points(self) -> tuple[tuple[float, float], ...]:
        if self.picture is None or self.places is None:
            raise InputError("the photograph is not in place yet", todo="name two points and where they are")
        return (*self.picture, *self.places)


def photographs(folder: Path) -> dict[Side, LaidPhotograph]:
    """The photographs of a repair by side. Raises ReadingError for a file that is none of ours."""
    kept = read_kept(folder / KEPT, "photographs", VERSION, "lay the photograph again").get("photographs", {})
    try:
        return {row["side"]: _read(row) for row in kept.values()}
    except (KeyError, TypeError, ValueError) as error:
        raise ReadingError("this is no list of photographs", where=KEPT, todo="move it away") from error


def keep_photograph(folder: Path, side: Side, data: bytes) -> LaidPhotograph:
    """Keep a photograph for a side, in place of the one before, not laid yet.

    Args:
        folder: of the repair.
        side: that it shows.
        data: a JPEG or PNG file, upright.

    Raises:
        ReadingError: of another kind, or cut short.
        InputError: too small or too large.
        OutputError: it cannot be written.
    """
    from panelmend.photo.pictures import picture_head  # late: the room it stands in is large

    width, height, _ = picture_head(data, "photograph")
    if min(width, height) < LEAST_SIDE or width * height > MOST_ELEMENTS:
        raise InputError(
            "a photograph of this size cannot go under a drawing",
            read=f"{width} x {height} picture elements",
            expected=f"sides from {LEAST_SIDE}, and at most {MOST_ELEMENTS // 1_000_000} million in all",
            todo="save it at another size",
        )
    made = LaidPhotograph(side, sha256(data), ".png" if data[:1] == b"\x89" else ".jpg", width, height)
    there = photographs(folder)
    if side in there and there[side].digest == made.digest:
        return there[side]
    replace_whole(folder / made.file, data)
    _keep(folder, {**there, side: made})
    return made


def lay(
    folder: Path, side: Side, digest: str, picture: Pair, places: Pair, opacity: float, by: str = ""
) -> LaidPhotograph:
    """Lay the photograph of a side by two points.

    Args:
        folder: of the repair.
        side: of the photograph.
        digest: of the photograph whose points these are.
        picture: two points in it [picture elements, y down].
        places: where they are [m], standard axes.
        opacity: share that is seen, from PALEST to 1.
        by: who laid it.

    Raises:
        MissingError: there is no such photograph (any more).
        InputError: a point outside it, points too near each other, or a scale that no photograph has.
        OutputError: it cannot be written.
    """
    there = photographs(folder)
    old = there.get(side)
    if old is None or old.digest != digest:
        raise MissingError("this photograph is no longer there: another was put in, or it was taken away")
    if not all(0 <= x <= old.width and 0 <= y <= old.height for x, y in picture):
        raise InputError(
            "a point lies outside the photograph",
            read=f"{picture}",
            expected=f"0 to {old.width} and 0 to {old.height} picture elements",
        )
    if math.dist(*picture) < APART_IN_PICTURE or math.dist(*places) < APART_ON_PANEL:
        raise InputError(
            "the two points are too close together to place a photograph",
            read=f"{math.dist(*picture):.0f} picture elements, {1e3 * math.dist(*places):.1f} mm",
            expected=f"at least {APART_IN_PICTURE:.0f} picture elements and {1e3 * APART_ON_PANEL:.0f} mm",
            todo="choose two points on either side of the damage",
        )
    made = replace(old, picture=picture, places=places, opacity=opacity, by=by)
    if not FINEST_ELEMENT <= made.scale() <= COARSEST_ELEMENT:
        raise InputError(
            "a photograph of a panel cannot have this scale",
            read=f"{1e3 * made.scale():.4g} mm to a picture element",
            expected=f"{1e3 * FINEST_ELEMENT:g} to {1e3 * COARSEST_ELEMENT:g} mm",
            todo="see that both places are in mm and belong to the points",
        )
    _keep(folder, {**there, side: made})
    return made


def take_photograph_away(folder: Path, side: Side) -> None:
    """Throw out the photograph of a side, if there is one. Raises OutputError."""
    there = photographs(folder)
    if side in there:
        _keep(folder, {s: p for s, p in there.items() if s != side})


def laying_told(laid: LaidPhotograph) -> str:
    """Its scale and turn in words, for the page."""
    c, s, *_ = laid.matrix()
    mm = 1e3 * laid.scale()
    return f"{mm:.3g} mm ({mm / INCH_MM:.2g} in), {-math.degrees(math.atan2(s, c)):+.1f}°"


def _keep(folder: Path, rows: dict[Side, LaidPhotograph]) -> None:
    used = {p.file for p in rows.values()}
    text = json.dumps({"version": VERSION, "photographs": {s: asdict(p) for s, p in rows.items()}}, indent=1)
    replace_whole(folder / KEPT, f"{text}\n".encode())
    for old in folder.glob("photograph-*"):
        if old.name not in used:
            old.unlink(missing_ok=True)


def _read(row: dict[str, Any]) -> LaidPhotograph:
    made = LaidPhotograph(**row)
    return replace(made, picture=_pair(made.picture), places=_pair(made.places))


def _pair(value: Any) -> Pair | None:
    if value is None:
        return None
    (ax, ay), (bx, by) = value
    return (float(ax), float(ay)), (float(bx), float(by))
