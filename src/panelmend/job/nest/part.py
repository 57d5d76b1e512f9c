"""Nest: the pieces of cloth, the strips they are cut from, and where each piece lies.

Strip axes: +x along the roll (the warp), +y across it, the origin at the start and right-hand edge, seen
from the face side of the cloth. Piece axes: seen from the face side, the panel's 0 degrees along +x.
"""

from __future__ import annotations

import hashlib
import json
import math
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from panelmend.errors import InputError, ShapeError
from panelmend.job.nest import geometry

Boundary = tuple[tuple[float, float], ...]


def _finite(value: float, where: str, least: float) -> None:
    if not math.isfinite(value) or value < least:
        raise InputError(
            "not a usable length",
            where=where,
            read=f"{value:g} m",
            expected=f"a length of at least {least:g} m",
        )


@dataclass(frozen=True)
class Piece:
    """One cloth piece to cut.

    ``boundary`` [m] is a simple polygon that contains the true outline; it is kept counter-clockwise without
    repeated points. ``warp`` [rad] is the warp angle in piece axes. ``half_turn``: the weave has no
    direction, so the piece may also lie the other way round. ``mirror``: the cloth has no face, so the piece
    may be cut turned over. ``quantity`` copies are cut.
    """

    id: str
    boundary: Boundary
    warp: float
    half_turn: bool
    mirror: bool
    quantity: int = 1

    def __post_init__(self) -> None:
        where = f"piece {self.id}"
        if self.quantity < 1:
            raise InputError("a piece is cut at least once", where=where, read=f"{self.quantity} copies")
        if not math.isfinite(self.warp):
            raise InputError("the warp angle is not a number", where=where, read=f"{self.warp}")
        points = np.asarray(self.boundary, dtype=np.float64)
        if points.ndim == 2 and points.shape[1:] == (2,) and len(points) > 1:
            step = np.hypot(*(points - np.roll(points, 1, axis=0)).T)
            points = points[step > 1e-12] if np.isfinite(step).all() else points
        words = geometry.boundary_fault(points)
        if words:
            raise ShapeError(words, where=where, todo="draw the outline again")
        if geometry.signed_area(points) < 0.0:
            points = points[::-1]
        object.__setattr__(self, "boundary", tuple((float(x), float(y)) for x, y in points))

    def turns(self, mirrored: bool = False) -> tuple[float, ...]:
        """The only turns that lay this piece's warp along the roll [rad].

        Turning the cloth over (``mirrored``) changes the sense of the warp angle.
        """
        base = self.warp if mirrored else -self.warp
        return (base, base + math.pi) if self.half_turn else (base,)

    def area(self) -> float:
        """Area of the boundary [m2]."""
        return geometry.signed_area(np.asarray(self.boundary))

    def lying(self) -> geometry.Points:
        """The boundary with its warp along +x and the corner of its box at the origin, (n, 2) [m].

        Half turns and mirroring leave the box as it is, so its two sides hold for every allowed way to lie.
        """
        points = geometry.turned_boundary(self.boundary, -self.warp)
        made: geometry.Points = points - points.min(axis=0)
        return made

    def extents(self) -> tuple[float, float]:
        """Least box on the cloth: along the roll and across it [m]."""
        along, across = np.ptp(geometry.turned_boundary(self.boundary, -self.warp), axis=0)
        return float(along), float(across)


@dataclass(frozen=True)
class Strip:
    """A roll or a remnant.

    ``width`` [m]; ``length`` [m], None for a roll with more than enough on it, a number for a remnant or for
    what is left on a roll; ``edge`` [m] kept free along each long side and at both ends; ``gap`` [m] between
    pieces; ``remnant``: an offcut, used before the roll is cut.
    """

    id: str
    width: float
    length: float | None
    edge: float
    gap: float
    remnant: bool = False

    def __post_init__(self) -> None:
        where = f"strip {self.id}"
        _finite(self.edge, f"{where}, edge", 0.0)
        _finite(self.gap, f"{where}, gap", 0.0)
        _finite(self.width, f"{where}, width", 0.0)
        if self.remnant and self.length is None:
            raise InputError("a remnant needs its length", where=where)
        if self.length is not None:
            _finite(self.length, f"{where}, length", 0.0)
        if self.usable_width <= 0.0 or self.usable_length <= 0.0:
            raise InputError("the kept edge leaves no cloth", where=where, read=f"edge {self.edge:g} m")

    @property
    def usable_width(self) -> float:
        """Width between the kept edges [m]."""
        return self.width - 2.0 * self.edge

    @property
    def usable_length(self) -> float:
        """Length between the kept ends [m]; infinite for an open roll."""
        return math.inf if self.length is None else self.length - 2.0 * self.edge


@dataclass(frozen=True)
class Placement:
    """One copy of a piece on a strip: mirrored in its own x axis if so, turned [rad], then moved by x, y
    [m]."""

    piece: str
    copy: int
    strip: str
    x: float
    y: float
    turn: float
    mirrored: bool = False


@dataclass(frozen=True)
class Layout:
    """What is cut from one strip.

    ``used_length`` [m] from the start of the strip to the cut, kept ends included; ``density`` [1] is the
    pieces' area over width times used length; ``bound`` [m] is a length below which these pieces cannot go
    on this strip.
    """

    strip: Strip
    placements: tuple[Placement, ...]
    used_length: float
    density: float
    bound: float


@dataclass(frozen=True)
class Unplaced:
    """Copies of a piece that no strip takes; ``shelf.why_left`` says by how much it fails."""

    piece: str
    copies: int


@dataclass(frozen=True)
class NestProblem:
    """All pieces cut from one sheet of cloth, and the strips of it: remnants and rolls, the preferred first.

    ``operation`` names the cure operation the pieces are wetted out for, "" where all are cut at once.
    """

    cloth: str
    pieces: tuple[Piece, ...]
    strips: tuple[Strip, ...]
    operation: str = ""

    @property
    def name(self) -> str:
        """What the sheet is called: the cloth, and the operation where there is one."""
        return f"{self.cloth} for {self.operation}" if self.operation else self.cloth

    def __post_init__(self) -> None:
        for what, ids in (("piece", [p.id for p in self.pieces]), ("strip", [s.id for s in self.strips])):
            twice = sorted({i for i in ids if ids.count(i) > 1})
            if twice or not ids:
                raise InputError(
                    f"each {what} needs its own name" if twice else f"there is no {what}",
                    where=f"cloth {self.cloth}",
                    read=", ".join(twice),
                )

    def piece(self, name: str) -> Piece | None:
        """The piece of that name, or None."""
        return next((p for p in self.pieces if p.id == name), None)

    def summary(self, view: str = "mm") -> str:
        """What there is to cut, in words."""
        return f"{sum(p.quantity for p in self.pieces)} pieces of {self.name}, {len(self.strips)} strips"

    def digest(self) -> str:
        """A key that is equal for equal problems (lengths to 1 nm, angles to 1 nrad)."""
        return self._digest

    @cached_property
    def _digest(self) -> str:
        def number(value: float | None) -> float | None:
            return None if value is None else round(value, 9) + 0.0

        pieces = [
            [
                p.id,
                [[number(x), number(y)] for x, y in p.boundary],
                number(p.warp),
                p.half_turn,
                p.mirror,
                p.quantity,
            ]
            for p in self.pieces
        ]
        strips = [
            [s.id, number(s.width), number(s.length), number(s.edge), number(s.gap), s.remnant]
            for s in self.strips
        ]
        text = json.dumps([self.cloth, pieces, strips], separators=(",", ":"))
        return hashlib.sha256(text.encode("utf8")).hexdigest()[:24]


@dataclass(frozen=True)
class Nest:
    """Layouts of one cloth: one for each strip that is cut, and what no strip takes."""

    layouts: tuple[Layout, ...]
    unplaced: tuple[Unplaced, ...] = ()

    @property
    def roll_length(self) -> float:
        """Length cut from rolls, remnants not counted [m]."""
        return sum(layout.used_length for layout in self.layouts if not layout.strip.remnant)

    def digest(self) -> str:
        """A key that is equal for equal layouts (places to 1 nm)."""
        rows = [
            [p.piece, p.copy, p.strip, round(p.x, 9), round(p.y, 9), round(p.turn, 9), p.mirrored]
            for layout in self.layouts
            for p in layout.placements
        ]
        text = json.dumps([rows, [[u.piece, u.copies] for u in self.unplaced]], separators=(",", ":"))
        return hashlib.sha256(text.encode("utf8")).hexdigest()

    def summary(self, view: str = "mm") -> str:
        """How much is laid on what, in words."""
        laid = sum(len(layout.placements) for layout in self.layouts)
        return f"{laid} pieces on {', '.join(n.strip.id for n in self.layouts) or 'nothing'}"

    def cost(self) -> tuple[int, float, float]:
        """What a better nest has less of: copies left over, then roll [m], then remnant cloth [m2]."""
        remnants = sum(n.strip.width * (n.strip.length or 0.0) for n in self.layouts if n.strip.remnant)
        return sum(u.copies for u in self.unplaced), self.roll_length, remnants


@dataclass(frozen=True)
class ClothNest:
    """The nest of one cloth as the plan carries it.

    ``bound`` [m]: less roll than this is impossible; ``shelf_length`` [m]: what plain shelves take from the
    roll; ``made_by``: "shelves", or "search" for a stored layout that was found by a search; ``refused``:
    why a stored layout may not be cut.
    """

    problem: NestProblem
    nest: Nest
    bound: float
    shelf_length: float
    made_by: str
    refused: tuple[str, ...] = ()


@dataclass(frozen=True)
class NestPart:
    """The nest stage: each cloth once, in the order the plies first use it."""

    cloths: tuple[ClothNest, ...] = field(default=())
