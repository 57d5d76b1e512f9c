"""What the plies stage lays down."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto
from typing import Literal

from panelmend.derive import Figure
from panelmend.document.panel import Side
from panelmend.document.ply_kinds import PlyRole
from panelmend.job.curved import Bent
from panelmend.shapes import Outline

Role = PlyRole | Literal["cap", "film adhesive"]


@dataclass(frozen=True)
class Ply:
    """One ply.

    ``id`` is short and unique in the repair; ``number`` its place from the panel outwards on its side.
    ``outline`` is in standard axes, developed at its own depth; ``template`` is the same piece seen from the
    side it is laid from, moved so that its centre is the origin, panel 0 degrees along +x.
    ``warp`` is in standard axes, ``warp_seen`` as seen from the working side (what the template shows).
    ``margin`` is beyond the cut-out on each side, ``margin_total`` on both sides together, ``trim`` the
    corner trim edge (0 for none), ``overlap`` the least distance to the cut-out all round, corners included,
    ``step`` the least distance to the next smaller ply (the cut-out for the first).
    """

    id: str
    side: Side
    role: Role
    number: int
    lay_order: int
    cloth: str
    outline: Outline
    template: Outline
    warp: Figure
    warp_seen: Figure
    margin: Figure
    margin_total: Figure
    trim: Figure
    overlap: Figure
    step: Figure
    area: Figure
    thickness: Figure
    half_turn: bool
    faced: bool
    warp_mark: str

    @property
    def has_warp(self) -> bool:
        """Whether it has a warp at all: a film adhesive has none, and no angle is printed for it."""
        return self.role != "film adhesive"


@dataclass(frozen=True)
class SideLayup:
    """All plies on one skin, from the panel outwards, and the PTFE tape outside them.

    ``seen_from`` says from which side templates and drawings of this skin are seen. ``cutout`` is the opening
    in this skin (standard axes, developed at its depth). ``tape_inner`` and ``tape_outer`` bound the tape.
    ``taper`` is the length of the scarf (None unless scarfed). ``centre`` is where the template origin lies.
    """

    side: Side
    seen_from: Side
    cutout: Outline
    plies: tuple[Ply, ...]
    tape_inner: Outline | None
    tape_outer: Outline | None
    tape_width: Figure
    taper: Figure | None
    centre: tuple[float, float]

    @property
    def largest(self) -> Ply:
        """The piece that reaches farthest, a film adhesive included."""
        return max(self.plies, key=lambda p: p.outline.area)

    @property
    def largest_ply(self) -> Ply:
        """The ply of cloth that reaches farthest."""
        return max((p for p in self.plies if p.role != "film adhesive"), key=lambda p: p.outline.area)


class FitKind(Enum):
    """What a clearance is about; findings weigh by it, never by its words."""

    NEIGHBOUR = auto()  # the repair cannot lie there
    GROUND = auto()  # it may, if somebody looks
    STORES = auto()  # roll or blanket too small


@dataclass(frozen=True)
class Fit:
    """One clearance of the repair: to what, how much there is, how much is asked, and what would cure it."""

    kind: FitKind
    what: str
    clear: Figure
    asked: Figure
    holds: bool
    cure: str


@dataclass(frozen=True)
class PliesPart:
    """Plies side by side, the angle tolerance, and how the repair fits its surroundings.

    On a curved panel ``pads`` says how far a flat caul or pad stands off each side's largest ply; ``bent``
    what double curvature does to each piece, against ``shear_most`` and ``strain_most``.
    """

    scheme: str
    order: str
    sides: tuple[SideLayup, ...]
    angle_tolerance: Figure
    fits: tuple[Fit, ...]
    bent: tuple[Bent, ...] = ()
    shear_most: Figure | None = None
    strain_most: Figure | None = None
    pads: tuple[Figure, ...] = ()

    @property
    def plies(self) -> tuple[Ply, ...]:
        """Every ply of every side."""
        return tuple(p for s in self.sides for p in s.plies)
