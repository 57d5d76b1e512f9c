"""What the core stage decides."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from panelmend.derive import Figure
from panelmend.document.panel import Side
from panelmend.job.curved import Bent
from panelmend.job.plies.part import Ply
from panelmend.shapes import Outline

FloorOn = Literal["far skin", "core", "far plies", "nothing"]


@dataclass(frozen=True)
class Plug:
    """The replacement core.

    ``opening`` is the hole in the core and ``outline`` the plug (smaller by the splice gap all round), both
    in standard axes; ``template`` is the plug seen from the working side with its centre at the origin;
    ``ribbon_seen`` is the ribbon's angle as seen from there.
    """

    material: str
    opening: Outline
    outline: Outline
    template: Outline
    thickness: Figure
    ribbon: Figure
    ribbon_seen: Figure
    ribbon_tolerance: Figure
    gap: Figure
    area: Figure
    mouth_angle: Figure


@dataclass(frozen=True)
class CorePart:
    """What happens to the core.

    ``splice_volume`` and ``floor_volume`` are of adhesive round and under the plug (or the potting, for
    "pot"). ``floor_on`` says what the plug is bonded to below: the far skin, core that stays in the panel,
    or plies laid on the far skin before; "nothing" where those are laid later. ``cap`` are the plies of the
    cured cap. ``cap_cured_on`` says where; from a plate it is trimmed to ``cap_outline`` (its template
    ``cap_template``) and bonded with ``cap_volume`` of adhesive; cured in place it is trimmed to the
    opening. On a curved panel ``sagitta`` is how far a flat plug stands off, ``sagitta_most`` how far it
    may, and ``bent`` what double curvature does to plug and cap.
    """

    action: Literal["none", "pot", "replace"]
    side: Side
    plug: Plug | None
    potting_outline: Outline | None
    adhesive: str
    floor_adhesive: str
    splice_volume: Figure | None
    floor_volume: Figure | None
    cap: tuple[Ply, ...]
    words: str
    sagitta: Figure | None = None
    sagitta_most: Figure | None = None
    bent: tuple[Bent, ...] = ()
    floor_on: FloorOn = "nothing"
    cap_cured_on: Literal["panel", "plate"] = "panel"
    cap_outline: Outline | None = None
    cap_template: Outline | None = None
    cap_gap: Figure | None = None
    cap_volume: Figure | None = None
