"""What is laid where: stacks and sections of the sound panel, the repair, and every zone between."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

from panelmend.derive import Source
from panelmend.document.panel import Side
from panelmend.document.ply_kinds import CARRIES
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.plies.part import PliesPart, Ply, SideLayup
from panelmend.job.strength.formulas import membrane_along
from panelmend.job.strength.stacks import Condition, Section, Stack, sandwich_core_of, stack_of, stack_rows
from panelmend.physics.sandwich import SandwichCore
from panelmend.physics.structure_inputs import NotComputed

DIRECTIONS = (("0°", 0.0), ("45°", math.pi / 4), ("90°", math.pi / 2), ("−45°", -math.pi / 4))
LAID = Source("what the plies and core stages lay")
PLATE = Source("docs/method/plate.md")
Rows = list[tuple[str, float, float]]


@dataclass(frozen=True)
class AsLaid:
    """The case's lay-up in one condition, with ways to change it.

    ``off`` [rad] turns each repair ply by up to that angle, the way that lowers its own stiffness along
    ``off_along`` [rad] most, or raises it most where ``off`` is below zero.
    """

    case: Case
    cutout: CutoutPart
    plies: PliesPart
    core: CorePart
    condition: Condition = "room"
    off: float = 0.0
    off_along: float = 0.0
    twice: bool = False
    core_id: str = ""

    def side(self, side: Side) -> SideLayup | None:
        """The lay-up of a skin, None where it is not repaired."""
        return next((s for s in self.plies.sides if s.side == side), None)

    def carrying(self, side: Side) -> list[Ply]:
        """Plies of a skin that carry load, from the panel outwards; the sanding ply does not count."""
        layup = self.side(side)
        found = [p for p in layup.plies if p.role in CARRIES] if layup is not None else []
        found.sort(key=lambda p: p.number)
        return [*found, self._one_more(found)] if self.twice and found else found

    def _one_more(self, found: list[Ply]) -> Ply:
        """A ply like the widest one, with a step of its own beyond it: as long as the last step."""
        ends = sorted({round(float(p.margin), 9) for p in found if p.role != "fill"})
        last = max(found, key=lambda p: float(p.margin))
        further = self.case.document.data.plies.further_margin
        step = ends[-1] - ends[-2] if len(ends) > 1 else (further.value if further is not None else ends[-1])
        wider = replace(last.margin, key=f"{last.margin.key}.one_more", value=float(last.margin) + step)
        return replace(last, id="one more", margin=wider)

    def patch(self, plies: list[Ply]) -> Rows:
        """Rows of patch plies from the panel outwards."""
        return [self._off((p.cloth, float(p.warp), float(p.thickness))) for p in plies]

    def _off(self, row: tuple[str, float, float]) -> tuple[str, float, float]:
        if not self.off:
            return row
        cloth, warp, thickness = row
        tried: list[tuple[float, float]] = []
        for turn in (0.0, abs(self.off), -abs(self.off)):
            one = self.stack("one ply", [(cloth, warp + turn, thickness)])
            if isinstance(one, NotComputed):
                return row
            tried.append((float(membrane_along(stack=one, direction=self.off_along)), warp + turn))
        chosen = min(tried) if self.off > 0.0 else max(tried)
        return cloth, chosen[1], thickness

    def skin(self, side: Side) -> Rows:
        """The whole sound skin from the inside out."""
        g = self.case.geometry
        return stack_rows(g.outer if side == "outside" else g.inner)

    def left(self, side: Side) -> Rows:
        """What the cut leaves of a skin, from the inside out; empty where it is cut through."""
        rows, layup = self.skin(side), self.side(side)
        if layup is None:
            return rows
        cut = self.cutout.plies_cut if side == self.cutout.side else len(rows)
        return rows[: len(rows) - cut] if side == "outside" else rows[cut:]

    def cut(self, side: Side) -> Rows:
        """The plies that are cut, from the inside out."""
        rows, left = self.skin(side), self.left(side)
        return rows[len(left) :] if side == "outside" else rows[: len(rows) - len(left)]

    def scarf_run(self, side: Side) -> float | None:
        """How far the scarf of a skin runs beyond the bottom of the cut [m]; None without one."""
        layup = self.side(side)
        if self.plies.scheme != "scarf" or layup is None or layup.taper is None:
            return None
        return float(layup.taper)

    def beyond_scarf(self, side: Side) -> list[Ply]:
        """Plies that run on over the whole skin, past the rim of the scarf; none without a scarf."""
        run = self.scarf_run(side)
        return [] if run is None else [p for p in self.carrying(side) if float(p.margin) > run + 1e-9]

    def base(self, side: Side, over: list[Ply]) -> Rows:
        """What is there of a skin beyond the bottom of the cut, under the plies that are laid at that place.

        The whole skin under steps; under a scarf the plies below its face where the next ply has ended.
        """
        run, rows = self.scarf_run(side), self.skin(side)
        past = self.beyond_scarf(side)
        let_in = [p for p in self.carrying(side) if p.role != "fill" and p not in past]
        if run is None or not any(p in over for p in let_in):
            return rows
        ended = max((float(p.margin) for p in let_in if p not in over), default=0.0)
        cut = self.cut(side) if side == "outside" else self.cut(side)[::-1]
        height = sum(t for _, _, t in cut) * ended / run
        kept = [k for k in range(len(cut) + 1) if sum(t for _, _, t in cut[:k]) <= height + 1e-9][-1]
        left = len(self.left(side)) + kept
        return rows[:left] if side == "outside" else rows[len(rows) - left :]

    def with_patch(self, side: Side, base: Rows, plies: list[Ply]) -> Rows:
        """A skin with patch plies on its face, from the inside out."""
        patch = self.patch(plies)
        return [*base, *patch] if side == "outside" else [*reversed(patch), *base]

    def stack(self, name: str, rows: Rows) -> Stack | NotComputed:
        """A stack of rows in this condition."""
        key = (name, *rows)
        if key not in self._stacks:
            self._stacks[key] = stack_of(self.case, name, rows, self.condition)
        return self._stacks[key]

    @cached_property
    def _stacks(self) -> dict[object, Stack | NotComputed]:
        return {}

    def core_constants(self, *, plug: bool) -> SandwichCore | NotComputed:
        """The panel's core, or the plug's."""
        own = self.case.document.panel.core.material
        ident = self.core.plug.material if plug and self.core.plug is not None else own
        return sandwich_core_of(self.case, self.core_id if plug and self.core_id else ident, self.condition)

    def section(self, name: str, inner: Rows, outer: Rows, *, plug: bool) -> Section | NotComputed:
        """A sandwich of two skins in this condition."""
        low, high = self.stack(f"{name}, inside", inner), self.stack(f"{name}, outside", outer)
        core = self.core_constants(plug=plug)
        for part in (low, high, core):
            if isinstance(part, NotComputed):
                return part
        assert isinstance(low, Stack)
        assert isinstance(high, Stack)
        assert isinstance(core, SandwichCore)
        g = self.case.geometry
        plugged = plug and self.core.plug is not None
        ribbon = float(self.core.plug.ribbon) if plugged and self.core.plug is not None else g.ribbon
        return Section(low, high, core, g.core_thickness, ribbon)

    def parent(self) -> Section | NotComputed:
        """The sound panel."""
        return self._parent

    @cached_property
    def _parent(self) -> Section | NotComputed:
        return self.section("sound panel", self.skin("inside"), self.skin("outside"), plug=False)

    def middle(self) -> Section | NotComputed:
        """The repair at its middle: what is left, every ply over it, the plug."""
        rows = {s: self.with_patch(s, self.left(s), self.carrying(s)) for s in ("inside", "outside")}
        return self.section("repair", rows["inside"], rows["outside"], plug=True)

    def patched(self) -> Section | NotComputed:
        """Every ply of the patch over the whole skins: just beyond the edge of the cut-out.

        Of a scarf, the plies that run on past its rim; where none does, those in its first band.
        """
        sides: tuple[Side, Side] = ("inside", "outside")
        over = {s: self.beyond_scarf(s) or [p for p in self.carrying(s) if p.role != "fill"] for s in sides}
        rows = {s: self.with_patch(s, self.base(s, over[s]), over[s]) for s in sides}
        return self.section("patch over skin", rows["inside"], rows["outside"], plug=False)
