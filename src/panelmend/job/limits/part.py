"""What the limits stage finds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from panelmend.derive import Figure

Disposition = Literal["no structural repair", "repair", "engineering", "not judged"]


@dataclass(frozen=True)
class Reason:
    """One comparison: what, the figure, its limit (None where the data gives none), the outcome."""

    what: str
    figure: Figure
    limit: Figure | None
    holds: bool | None
    words: str


@dataclass(frozen=True)
class LimitsPart:
    """Sizes of the damage after clean-up and the disposition they lead to.

    ``along`` and ``across`` are extents along 0 and 90 degrees, ``largest`` the largest dimension in any
    direction (all rounded up to the data's resolution), ``area`` the damaged area.
    """

    along: Figure
    across: Figure
    largest: Figure
    area: Figure
    disposition: Disposition
    reasons: tuple[Reason, ...]
