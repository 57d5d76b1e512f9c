"""What the strength stage finds."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from panelmend.derive import Figure
from panelmend.document.panel import Side
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


@dataclass(frozen=True)
class ModeRow:
    """One failure mode of the sandwich under one case: in the repair or in the sound panel."""

    case: str
    where: str
    mode: str
    place: str
    reserve: Figure | None
    reason: str


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

    def digest(self) -> str:
        """Equal for equal fields to four decimals."""
        return self._digest

    @cached_property
    def _digest(self) -> str:
        made = hashlib.sha256()
        for field in (self.x, self.y, self.strain, self.shear, self.hole_strain):
            made.update(np.array2string(np.round(field, 4), threshold=10**9, precision=4).encode("utf8"))
        return made.hexdigest()

    def summary(self) -> str:
        """Extremes in words."""
        shear = f"{np.nanmax(self.shear):.2f}" if np.isfinite(self.shear).any() else "not compared"
        return f"{self.case}: strain ratio up to {np.nanmax(self.strain):.2f}, core shear ratio {shear}"


@dataclass(frozen=True)
class HotSpot:
    """Where a ratio is largest: its value, place in standard axes [m], and the edge it lies at."""

    case: str
    what: str
    value: Figure
    at: tuple[float, float]
    near: str


@dataclass(frozen=True)
class Change:
    """What a change would do to the governing reserve."""

    what: str
    before: float
    after: float
    words: str


@dataclass(frozen=True)
class StrengthPart:
    """Parent against repair. ``governing`` is the least reserve that was computed; it approves nothing."""

    loads: tuple[tuple[str, str], ...]
    membrane: tuple[Ratio, ...]
    bending: tuple[Ratio, ...]
    bonds: tuple[BondRow, ...]
    modes: tuple[ModeRow, ...]
    maps: tuple[Maps, ...]
    hot_spots: tuple[HotSpot, ...]
    outlines: tuple[tuple[str, Outline], ...]
    mass_added: Figure | None
    moment_added: Figure | None
    moment_limit: Figure | None
    governing: Figure | None
    governing_words: str
    changes: tuple[Change, ...]
    not_checked: tuple[str, ...]
    assumptions: tuple[str, ...]
