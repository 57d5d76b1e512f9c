"""What a prediction of heat gathers: sheets, core, curing resin, what is missing; its operation."""

from __future__ import annotations

from dataclasses import dataclass, field

from panelmend.document.approved import Cure
from panelmend.document.panel import Side
from panelmend.job.bag.part import BagOperation
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.cure.part import MissingConstant
from panelmend.job.cure.problem import Bled, CoreSheet, Curing, Sheet, Splice
from panelmend.job.curvature import outline_on
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.plies.part import PliesPart, Ply
from panelmend.materials.cure_law import glass_of, law_of
from panelmend.materials.model import Kinetics
from panelmend.shapes import Outline

BLEEDER = "bleeder"


@dataclass
class Gathered:
    """Sheets, core and curing resin of one operation, and what is missing for them."""

    sheets: list[Sheet] = field(default_factory=list)
    core: CoreSheet | None = None
    curing: list[Curing] = field(default_factory=list)
    bled: Bled | None = None
    splice: Splice | None = None
    missing: list[MissingConstant] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    uncounted: list[str] = field(default_factory=list)

    def without_heat(self, name: str) -> None:
        """Note once that what cures here has no heat of cure: it is predicted without, too cold."""
        if name not in self.uncounted:
            self.uncounted.append(name)
            self.notes.append(
                f"no heat of cure for {name}: its own heat is not counted, its degree not predicted"
            )

    def lacks(self, what: str, where: str, ask: str) -> None:
        """Note a missing constant once."""
        made = MissingConstant(what, where, ask)
        if made not in self.missing:
            self.missing.append(made)


@dataclass(frozen=True)
class Laid:
    """The operation's place in the repair: its own bag and cure, and what went before."""

    case: Case
    cutout: CutoutPart
    plies: PliesPart
    core: CorePart
    bag: BagOperation
    cure: Cure
    before: tuple[tuple[str, Side], ...]  # parts laid in earlier operations, and on which side
    coat: float = 0.0  # resin brushed on before the first ply [kg/m2]

    @property
    def near(self) -> Side:
        """The heated side."""
        return self.bag.heated_from

    def opening(self) -> Outline:
        """The hole in the near skin."""
        return next((s.cutout for s in self.plies.sides if s.side == self.near), self.cutout.opening.outline)

    def own(self) -> list[Ply]:
        """Plies laid in this operation; a cap that was cured on a plate is bonded, not laid."""
        lays = [part for part in self.bag.lays if not (part == "cap" and self.bag.bonds_cap)]
        # fill first: the order of sheets has no meaning, but a digest depends on it
        return sorted((p for p in self._all() if _part_of(p) in lays), key=lambda p: p.role != "fill")

    def earlier(self) -> list[Ply]:
        """Plies that are there already."""
        return [p for p in self._all() if (_part_of(p), self.near) in self.before]

    def _all(self) -> list[Ply]:
        here = [p for s in self.plies.sides if s.side == self.near for p in s.plies]
        return [*(p for p in self.core.cap if p.side == self.near), *here]


def _part_of(ply: Ply) -> str:
    return ply.role if ply.role in ("cap", "fill") else "plies"


def on_face(laid: Laid, outline: Outline | None, side: Side) -> Outline | None:
    """An outline of a skin's face as it is developed on the heated one."""
    return None if outline is None else outline_on(laid.case, outline, side, laid.near)


def given(
    made: Gathered, values: dict[str, float | None], of: str, where: str, ask: str
) -> tuple[float, ...] | None:
    """The values [SI] of ``values`` [SI], or None with what is missing noted."""
    lacking = [words for words, value in values.items() if not value]
    if lacking:
        made.lacks(f"{', '.join(lacking)} of {of}", where, ask)
        return None
    return tuple(float(v) for v in values.values() if v is not None)


def curing(made: Gathered, layer: str, rows: list[tuple[float, Outline, Kinetics, str]]) -> None:
    """One law for a layer: that of most heat [J/m2]; the others' heat goes with it."""
    totals: dict[str, float] = {}
    for heat, outline, _, name in rows:
        totals[name] = totals.get(name, 0.0) + heat * outline.area
    first = max(totals, key=lambda n: (totals[n], n))
    kinetics = next(k for _, _, k, n in rows if n == first)
    if len(totals) > 1:
        made.notes.append(f"{' and '.join(sorted(totals))} cure in one layer: both are taken as {first}")
    made.curing.append(
        Curing(layer, first, tuple((heat, o) for heat, o, _, _ in rows), law_of(kinetics), glass_of(kinetics))
    )


EPOXY = (
    0.2,
    0.2,
    1.3e6,
)  # W/(m K), W/(m K), J/(m3 K) of unfilled epoxy, from memory; 0.2 mm of it hardly matter
UNFILLED_EPOXY_DENSITY = 1150.0  # kg/m3 of unfilled epoxy, from memory
