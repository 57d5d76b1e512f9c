"""What stands round a repair: panel edge, fasteners, inserts, earlier repairs, solid areas, structure.

Each neighbour knows how clear of it a piece stands and which way the piece would have to move. Used with
plain numbers while alternatives are tried, and with figures for what is printed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, assert_never

from panelmend.derive import Figure, Source
from panelmend.document.panel import Side
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.curvature import on_skin, outline_on, point_on
from panelmend.job.defaults import OFF_METAL
from panelmend.job.formulas import clear_between, clear_to_spot, least_overlap_of, run_into, total
from panelmend.job.put_back import goes_with_the_damage
from panelmend.shapes import Outline, circle, clearance, distance_to_point, least_overlap

Piece = Literal["cut-out", "largest ply", "tape"]
Weight = Literal["stop", "caution"]


@dataclass(frozen=True)
class Neighbour:
    """Something a piece must keep clear of.

    ``edge`` is the panel's edge, ``area`` something with an outline (``flat`` on the outer face),
    ``spot`` something round: ``at`` [m] and ``diameter`` [m]. ``asked`` is the distance to
    keep [m]; ``path`` names its field; ``put_back`` says that it may be cut away, for the data puts it back.
    """

    key: str
    what: str
    side: Side
    piece: Piece
    kind: Literal["edge", "area", "spot"]
    outline: Outline | None
    flat: Outline | None
    at: tuple[float, float]
    diameter: float
    asked: float
    own: float
    limit: str
    path: str
    weight: Weight
    put_back: bool = False

    def counts(self, cut: Outline) -> bool:
        """Whether pieces keep clear of it: not where this cut-out takes it away and the data puts it back."""
        return not (self.put_back and self.clear(cut) < 0.0)

    def clear(self, piece: Outline) -> float:
        """Clear distance of a piece from it [m], below zero where they share ground."""
        if self.kind == "spot":
            return -distance_to_point(piece, self.at) - 0.5 * self.diameter
        assert self.outline is not None
        match self.kind:
            case "edge":
                return least_overlap(piece, self.outline)[0]
            case "area":
                found = clearance(piece, self.outline)
                return -run_into(piece, self.outline) if found.overlaps else found.distance
            case _:
                assert_never(self.kind)

    def away(self, piece: Outline) -> tuple[float, float]:
        """Unit direction (x, y) [1] in which a piece moves away from it."""
        centre = piece.centroid
        if self.kind == "spot":
            return _unit(self.at, centre)
        assert self.outline is not None
        match self.kind:
            case "edge":
                short, at_piece, at_edge = least_overlap(piece, self.outline)
                if short > 1e-6:
                    return _unit(at_edge, at_piece)
                return _unit(at_piece, at_edge) if short < -1e-6 else _unit(at_piece, centre)
            case "area":
                found = clearance(piece, self.outline)
                if found.overlaps or found.distance < 1e-6:
                    return _unit(self.outline.centroid, centre)
                return _unit(found.at_b, found.at_a)
            case _:
                assert_never(self.kind)

    def figures(self, basis: Basis, piece: Figure, key: str) -> tuple[Figure, Figure]:
        """The clear distance under ``key`` and the distance asked for, as figures."""
        derive, typed = basis.ledger.derive, basis.typed
        if self.kind == "spot":
            x, y = (
                typed(f"{self.key}.{self.side}.{n}", v, "length", path=f"{self.path}.at")
                for n, v in zip("xy", self.at, strict=True)
            )
            size = typed(f"{self.key}.diameter", self.diameter, "length", path=f"{self.path}.diameter")
            clear = derive(key, clear_to_spot, piece=piece, x=x, y=y, diameter=size)
        else:
            assert self.flat is not None
            flat = typed(self.key, self.flat, path=self.path)
            here = on_skin(basis, f"{self.key}.{self.side}", flat, "outside", self.side)
            match self.kind:
                case "edge":
                    clear = derive(key, least_overlap_of, inner=piece, outer=here)
                case "area":
                    clear = derive(key, clear_between, piece=piece, other=here)
                case _:
                    assert_never(self.kind)
        return clear, self._asked(basis)

    def _asked(self, basis: Basis) -> Figure:
        own = None
        if self.kind == "spot":
            path = f"{self.path}.keep_out"
            own = basis.typed(f"{self.key}.keep_out", self.own, "length", path=path, limit="least")
        if self.limit:
            given = getattr(basis.case.document.data.limits, self.limit)
            limit = basis.given(f"limits.{self.limit}", given, "length")
            if own is None:
                return limit
            key = f"{self.key}.asked"
            return basis.ledger.derive_limit("least", "length", key, total, keep_out=own, distance=limit)
        if own is not None:
            return own
        return basis.ledger.table("fit.no_overlap", 0.0, "length", source=Source("plies lie on free ground"))


def no_place_for_sensors(case: Case, side: Side, off_metal: float = OFF_METAL) -> tuple[Outline, ...]:
    """Fasteners, inserts and earlier repairs as they lie on a face, and what is nearer than ``off_metal``
    [m]: it reads otherwise."""
    spots = [
        circle(point_on(case, s.at, "outside", side), s.diameter + 2 * off_metal) for s in case.geometry.spots
    ]
    return (*spots, *(outline_on(case, a.outline, "outside", side) for a in case.geometry.earlier))


def _unit(start: tuple[float, float], end: tuple[float, float]) -> tuple[float, float]:
    dx, dy = end[0] - start[0], end[1] - start[1]
    size = math.hypot(dx, dy)
    return (dx / size, dy / size) if size > 0.0 else (1.0, 0.0)


def neighbours(basis: Basis, side: Side) -> tuple[Neighbour, ...]:
    """Everything pieces on one skin must keep clear of, developed on that skin's face."""
    case = basis.case
    g, limits = case.geometry, case.document.data.limits
    found: list[Neighbour] = []

    def area(
        kind: Literal["edge", "area"],
        what: str,
        name: str,
        shape: Outline,
        piece: Piece,
        limit: str,
        path: str,
        weight: Weight = "stop",
    ) -> None:
        given = getattr(limits, limit) if limit else None
        asked = 0.0 if given is None else given.value
        here = outline_on(case, shape, "outside", side)
        found.append(
            Neighbour(
                f"panel.{name}",
                what,
                side,
                piece,
                kind,
                here,
                shape,
                (0.0, 0.0),
                0.0,
                asked,
                0.0,
                limit if given is not None else "",
                path,
                weight,
            )
        )

    if limits.edge_distance is not None:
        area("edge", "panel edge", "edge", g.outline, "cut-out", "edge_distance", "panel.outline")
    area("edge", "panel edge", "edge", g.outline, "largest ply", "", "panel.outline")
    area("edge", "panel edge", "edge", g.outline, "tape", "", "panel.outline", "caution")
    for r in g.earlier:
        area(
            "area",
            f"repair {r.id}",
            f"repair.{r.id}",
            r.outline,
            "largest ply",
            "repair_distance",
            "panel.earlier_repair",
        )
    for a in g.solid:
        area(
            "area",
            f"solid area {a.id}",
            f"solid.{a.id}",
            a.outline,
            "cut-out",
            "",
            "panel.solid_area",
            "caution",
        )
    for a, typed in zip(g.structure, case.document.panel.structure, strict=True):
        if typed.side == side:
            area(
                "area",
                f"{a.kind} {a.id}",
                f"structure.{a.id}",
                a.outline,
                "largest ply",
                "",
                "panel.structure",
            )
    extra = limits.fastener_distance
    for spot in g.spots:
        more = extra.value if extra else 0.0
        found.append(
            Neighbour(
                f"panel.{spot.kind}.{spot.id}",
                f"{spot.kind} {spot.id}",
                side,
                "largest ply",
                "spot",
                None,
                None,
                point_on(case, spot.at, "outside", side),
                spot.diameter,
                spot.keep_out + more,
                spot.keep_out,
                "fastener_distance" if extra else "",
                f"panel.{spot.kind}",
                "stop",
                goes_with_the_damage(case, spot),
            )
        )
    return tuple(found)
