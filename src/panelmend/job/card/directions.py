"""Directions in the words of the panel, and where the cut-out lies from two of the panel's edges."""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass

from panelmend.derive import Figure, Source, formula
from panelmend.derive.figure import Origin
from panelmend.document.panel import Side
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.formulas import seen_from_behind
from panelmend.job.work import Work
from panelmend.shapes import Outline, Point

_GEOMETRY = Source("plane geometry, exact for lines and arcs")


def _names(case: Case) -> dict[int, str]:
    """Words at 0, 90, 180 and 270 degrees in standard axes."""
    given, over = case.document.panel.directions, case.document.panel.seen_from == "inside"
    found = {0: given.at_0, 90: given.at_90, 180: given.at_180, 270: given.at_270}
    return {(-a % 360 if over else a): w for a, w in found.items() if w}


def direction_words(case: Case, angle: float) -> str:
    """Where an angle in standard axes [rad] points, in words: "FWD", "FWD-UP"; "" where the document has none."""
    names = _names(case)
    degrees = math.degrees(angle) % 360.0
    nearest = round(degrees / 45.0) * 45 % 360
    if abs(math.remainder(degrees - nearest, 360.0)) > 22.5 or not names:
        return ""
    if nearest % 90 == 0:
        return names.get(nearest, "")
    one, two = names.get((nearest - 45) % 360, ""), names.get((nearest + 45) % 360, "")
    return "-".join(w for w in (one, two) if w) if one and two else ""


def line(case: Case, angle: float) -> str:
    """A line without direction (warp, ribbon) at an angle in standard axes [rad]: "FWD to AFT"."""
    one, two = direction_words(case, angle), direction_words(case, angle + math.pi)
    return f"{one} to {two}" if one and two else one or two


def bracketed(words: str) -> str:
    """Words in brackets after a number; nothing for none."""
    return f" ({words})" if words else ""


@dataclass(frozen=True)
class Sight:
    """The way from a point in the panel to its edge along a direction [rad], in standard axes."""

    at: Point
    edge: Outline
    direction: float

    def digest(self) -> str:
        """The same for the same point, edge and direction."""
        text = repr((self.at, self.edge.digest(), self.direction))
        return hashlib.sha256(text.encode("utf8")).hexdigest()

    def summary(self, view: str = "mm") -> str:
        """In words."""
        return f"way to the edge along {math.degrees(self.direction):.0f}°"


@formula("distance along a direction to the panel's edge", source=_GEOMETRY, kind="length")
def to_edge(sight: Sight) -> float:
    """How far the panel's edge is along a direction.

    sight: from where, to which edge, along which direction [sight]
    return: distance [m]
    """
    low, high = 0.0, 2.0 * sight.edge.largest_extent()
    c, s = math.cos(sight.direction), math.sin(sight.direction)
    for _ in range(60):
        middle = 0.5 * (low + high)
        if sight.edge.contains((sight.at[0] + middle * c, sight.at[1] + middle * s)):
            low = middle
        else:
            high = middle
    return low


@formula("extent of a hole along its length", source=_GEOMETRY, kind="length")
def hole_length(outline: Outline, direction: float) -> float:
    """Length of a hole as it is measured on its own skin.

    outline: the hole [outline]
    direction: of its length [rad]
    return: length [m]
    """
    return outline.extent(direction)


@formula("extent of a hole square to its length", source=_GEOMETRY, kind="length")
def hole_width(outline: Outline, direction: float) -> float:
    """Width of a hole as it is measured on its own skin.

    outline: the hole [outline]
    direction: of its length [rad]
    return: width [m]
    """
    return outline.extent(direction + 0.5 * math.pi)


def hole_sizes(basis: Basis, work: Work, side: Side) -> tuple[Figure, Figure] | None:
    """Length and width of the hole in a skin that plies are laid on; None where none are."""
    ledger, of = basis.ledger, f"plies.{side}.cutout"
    if of not in ledger:
        return None
    made = []
    for name, by in (("length", hole_length), ("width", hole_width)):
        key = f"card.hole.{side}.{name}"
        made.append(
            ledger[key]
            if key in ledger
            else ledger.derive(key, by, outline=ledger[of], direction=work.cutout.opening.angle)
        )
    return made[0], made[1]


def turn_of_cutout(basis: Basis, work: Work) -> Figure:
    """How far the cut-out's length is turned from 0 degrees, as seen from the side that is worked on."""
    angle, key = work.cutout.opening.angle, "card.cutout_turned"
    if work.cutout.side == "outside":
        return angle
    return (
        basis.ledger[key] if key in basis.ledger else basis.ledger.derive(key, seen_from_behind, angle=angle)
    )


@dataclass(frozen=True)
class FromEdge:
    """A distance from the centre of the cut-out to an edge of the panel, and which edge in words."""

    distance: Figure
    edge: str


def position(basis: Basis, work: Work, side: Side) -> tuple[FromEdge, FromEdge]:
    """The centre of a cut-out measured from the nearer two edges of the panel, along 0 and along 90 degrees."""
    case, ledger = basis.case, basis.ledger
    layup = next((s for s in work.plies.sides if s.side == side), None)
    centre = work.cutout.opening.centre if layup is None else layup.centre
    found = []
    for name, quarter in (("along_0", 0), ("along_90", 1)):
        ways = []
        for half in (0, 1):
            direction = 0.5 * math.pi * quarter + math.pi * half
            key = f"card.position.{side}.{name}.{half}"
            if f"{key}.sight" not in ledger:
                thing = Sight(centre, case.geometry.outline, direction)
                ledger.add(Figure(f"{key}.sight", thing, "", Origin.COMPUTED, _GEOMETRY))
            figure = (
                ledger[key] if key in ledger else ledger.derive(key, to_edge, sight=ledger[f"{key}.sight"])
            )
            ways.append((float(figure), half, figure, direction))
        _, half, figure, direction = min(ways, key=lambda w: (w[0], w[1]))
        seen = direction if side == "outside" else -direction
        degrees = round(math.degrees(seen)) % 360
        words = direction_words(case, direction)
        found.append(FromEdge(figure, f"{words} edge ({degrees}°)" if words else f"edge towards {degrees}°"))
    return found[0], found[1]
