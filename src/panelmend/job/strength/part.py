"""What the strength stage finds."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from panelmend.derive import Figure
from panelmend.document.panel import Side
from panelmend.job.strength.alike import SkinDifference
from panelmend.shapes import Outline


@dataclass(frozen=True)
class Ratio:
    """Stiffness of the repair over that of the sound panel in one direction."""

    side: Side
    direction: Figure
    parent: Figure
    repair: Figure
    ratio: Figure


@dataclass(frozen=True)
class NeutralRow:
    """E A and height of the neutral plane over the middle of the core, sound and repaired, in a direction."""

    direction: str
    sound: Figure
    repair: Figure
    sound_height: Figure
    repair_height: Figure


@dataclass(frozen=True)
class BondRow:
    """The bond of one skin in a direction and condition: load, reserve, or why it is not checked."""

    side: Side
    direction: str
    condition: str
    load: Figure | None
    ground: str
    reserve: Figure | None
    peaks: tuple[tuple[str, float], ...]
    lightly: float
    reason: str
    drawn: Figure | None = None


@dataclass(frozen=True)
class TipRow:
    """Peel in a bond and the pull on the skin-to-core bond under it: stresses, reserves, or why none.

    ``across_taken``: the adhesive's modulus across the layer is taken from that in shear; ``before`` the peel
    on a mesh half as fine [Pa], and whether the peak is ``resolved``; ``suction``: both carry one.
    """

    side: Side
    direction: str
    condition: str
    peel: Figure | None
    pull: Figure | None
    peel_reserve: Figure | None
    pull_reserve: Figure | None
    no_peel: str
    no_pull: str
    across_taken: bool = False
    before: float | None = None
    resolved: bool = True
    suction: bool = False


class Region(StrEnum):
    """Where in the panel a mode was looked for; the worst of every cell there is kept."""

    OVER_CUT = "over the cut-out"
    SPLICE = "edge of the plug"
    UNDER_PATCH = "under the patch"
    JUST_OUTSIDE = "just outside the patch"
    PANEL = "rest of the panel"
    SOUND = "sound panel"


class Rests(StrEnum):
    """What a reserve rests on that is not in the data of the document."""

    ACROSS = "modulus across the adhesive, taken as six times that in shear"
    STAND_IN = "the plug's paste adhesive, in place of the resin that bonds the patch"
    OWN_BOND = "the repair's adhesive, in place of what bonds the panel's own skin to its core"


@dataclass(frozen=True)
class ModeRow:
    """One failure mode of the sandwich under one case and condition, at its worst place in one region.

    ``form`` is the formula; ``at`` the place in standard axes [m]; ``before`` the reserve on the grid before,
    ``error`` the estimated share by which the finest one is off [1], and whether that is ``resolved``;
    ``rests``: what it takes for want of data.
    """

    case: str
    where: Region
    mode: str
    form: str
    place: str
    condition: str
    reserve: Figure | None
    reason: str
    at: tuple[float, float] | None = None
    before: float | None = None
    error: float | None = None
    resolved: bool = True
    rests: tuple[Rests, ...] = ()


class Ability(StrEnum):
    """What of the repair is compared with the sound panel without any load case."""

    FIRST_PLY = "first ply failure"
    LAST_PLY = "last ply failure"
    WRINKLING = "wrinkling"
    DIMPLING = "dimpling"
    CRIMPING = "crimping"
    CORE_SHEAR = "core shear"
    CRUSHING = "flatwise crushing"
    SPLICE = "adhesive of the core splice in shear"
    OFFSET = "first ply failure with secondary bending"


class Sense(StrEnum):
    """Which way a load pulls."""

    TENSION = "tension"
    COMPRESSION = "compression"
    EITHER = "either way"


@dataclass(frozen=True)
class OwnRow:
    """What the repair itself carries over what the sound panel carries; ``where``: its weakest zone."""

    what: Ability
    side: Side | None
    direction: str
    condition: str
    sense: Sense
    where: str
    sound: Figure | None
    repair: Figure | None
    ratio: Figure | None
    reason: str


class ReserveKind(StrEnum):
    """Which table a reserve stands in."""

    BOND = "bond"
    PEEL = "peel of the patch"
    PULL = "skin pulled off its core under the patch"
    MODE = "failure mode"
    OWN = "own strength, repair over sound"


@dataclass(frozen=True)
class Reserve:
    """One figure of the one list that the headline and the severe findings are taken from.

    ``rests``: what it takes for want of data.
    """

    kind: ReserveKind
    value: Figure
    what: str
    where: str
    condition: str
    ground: str
    resolved: bool = True
    rests: tuple[Rests, ...] = ()

    @property
    def words(self) -> str:
        """What, where, in which condition, on what ground, and what it takes for want of data."""
        said = ", ".join(
            w for w in (f"{self.kind}: {self.what}", self.where, self.condition, self.ground) if w
        )
        return f"{said}; rests on: {'; '.join(self.rests)}" if self.rests else said


class Compared(StrEnum):
    """What a map compares of the repaired and the sound panel."""

    STRAIN = "strain"
    SHEAR = "core shear"
    HOLE = "strain, hole left open"


@dataclass(frozen=True, eq=False)
class Maps:
    """Fields of the plate model under one case, on its grid: ``x`` and ``y`` are lines [m].

    ``strain`` and ``shear`` are ratios of the repaired to the sound panel (NaN where the sound one carries
    next to nothing); ``hole_strain`` the same with the hole left open.
    """

    case: str
    x: NDArray[np.float64]
    y: NDArray[np.float64]
    strain: NDArray[np.float64]
    shear: NDArray[np.float64]
    hole_strain: NDArray[np.float64]

    def of(self, what: Compared) -> NDArray[np.float64]:
        """One of its ratios [1], by cell (ny, nx)."""
        if what is Compared.STRAIN:
            return self.strain
        if what is Compared.SHEAR:
            return self.shear
        if what is Compared.HOLE:
            return self.hole_strain
        assert_never(what)

    def digest(self) -> str:
        """Equal for equal fields to four decimals."""
        return self._digest

    @cached_property
    def _digest(self) -> str:
        made = hashlib.sha256()
        for field in (self.x, self.y, self.strain, self.shear, self.hole_strain):
            whole = np.where(np.isfinite(field), np.rint(field * 1e4), np.iinfo(np.int64).min)
            made.update(repr(field.shape).encode("utf8") + whole.astype("<i8").tobytes())
        return made.hexdigest()

    def summary(self, view: str = "mm") -> str:
        """Extremes in words."""
        shear = f"{np.nanmax(self.shear):.2f}" if np.isfinite(self.shear).any() else "not compared"
        return f"{self.case}: strain ratio up to {np.nanmax(self.strain):.2f}, core shear ratio {shear}"


@dataclass(frozen=True)
class HotSpot:
    """Where a ratio is largest: its value, place in standard axes [m], and the edge it lies at.

    ``before`` is the largest on the grid before, ``error`` the estimated share by which ``value`` is off [1].
    """

    case: str
    what: Compared
    value: Figure
    at: tuple[float, float]
    near: str
    before: float
    error: float
    resolved: bool


@dataclass(frozen=True)
class Change:
    """What a change would do to the governing reserve."""

    what: str
    before: float
    after: float
    words: str


@dataclass(frozen=True)
class StrengthPart:
    """Parent against repair. ``reserves`` is every figure that is compared with 1; it approves nothing.

    ``loads_given`` is False where unit cases stand in for load cases nobody gave."""

    loads: tuple[tuple[str, str], ...]
    membrane: tuple[Ratio, ...]
    bending: tuple[Ratio, ...]
    neutral: tuple[NeutralRow, ...]
    bonds: tuple[BondRow, ...]
    tips: tuple[TipRow, ...]
    modes: tuple[ModeRow, ...]
    own: tuple[OwnRow, ...]
    reserves: tuple[Reserve, ...]
    maps: tuple[Maps, ...]
    hot_spots: tuple[HotSpot, ...]
    outlines: tuple[tuple[str, Outline], ...]
    mass_added: Figure | None
    moment_added: Figure | None
    moment_limit: Figure | None
    changes: tuple[Change, ...]
    differences: tuple[SkinDifference, ...]
    not_checked: tuple[str, ...]
    assumptions: tuple[str, ...]
    loads_given: bool = True

    @property
    def least(self) -> Reserve | None:
        """The least of all reserves that were computed, None where none was."""
        return min(self.reserves, key=lambda r: float(r.value), default=None)
