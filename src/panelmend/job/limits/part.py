"""Result of the limits stage."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from panelmend.derive import Figure
from panelmend.document.panel import Side

Compared = Literal[
    "allowable size",
    "repairable size",
    "repairable area",
    "depth",
    "number of repairs",
    "distance to a repair",
]
Disposition = Literal["no structural repair", "repair", "engineering", "not judged"]


@dataclass(frozen=True)
class LimitReason:
    """One comparison: of what ``kind`` and on which skin (None for the panel), the figure, its limit.

    ``limit`` is None where the data gives none, ``holds`` then too. ``what`` is the same in words.
    """

    kind: Compared
    side: Side | None
    what: str
    figure: Figure
    limit: Figure | None
    holds: bool | None
    words: str


@dataclass(frozen=True)
class Sizes:
    """Sizes of the damage in one skin: as :class:`LimitsPart` has them."""

    side: Side
    along: Figure
    across: Figure
    largest: Figure
    area: Figure


@dataclass(frozen=True)
class LimitsPart:
    """Sizes of the damage after clean-up and the disposition they lead to.

    ``along`` and ``across`` are extents along 0 and 90 degrees, ``largest`` the largest dimension in any
    direction (all rounded up to the data's resolution), ``area`` the damaged area, of the skin worked on
    first. ``far`` are those of the other skin where the damage goes through; ``elsewhere`` says that its
    damage shares no ground with the near one, so that it is a second damage.
    """

    along: Figure
    across: Figure
    largest: Figure
    area: Figure
    disposition: Disposition
    reasons: tuple[LimitReason, ...]
    far: Sizes | None
    elsewhere: bool
