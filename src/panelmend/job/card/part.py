"""What the job card holds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from panelmend.derive import Figure

Words = tuple[str | Figure, ...]
Hazard = Literal["dust", "solvent", "blade", "heat", "electricity", "resin", "vacuum", "pressure", "general"]


@dataclass(frozen=True)
class Caution:
    """A caution that stands before its step."""

    hazard: Hazard
    words: str


@dataclass(frozen=True)
class Blank:
    """A reading to write down: what, its limits (None where there is none), its unit."""

    what: str
    low: Figure | None
    high: Figure | None
    unit: str


@dataclass(frozen=True)
class Table:
    """A small table in a step: its title, the heads of its columns, and rows of words with figures in them."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Words, ...], ...]


@dataclass(frozen=True)
class Step:
    """One step: words with figures in them, what is needed, what is measured, who must come.

    ``drawing`` names the drawing that goes with it: "panel", "cutout", "layup outside", "layup inside",
    "core", "drying", "nest CLOTH", "bag NAME", "cure NAME" or "".
    """

    number: int
    stage: str
    title: str
    words: tuple[Words, ...]
    cautions: tuple[Caution, ...]
    tools: tuple[str, ...]
    materials: tuple[str, ...]
    blanks: tuple[Blank, ...]
    hold: str
    drawing: str
    tables: tuple[Table, ...] = ()


@dataclass(frozen=True)
class CardPart:
    """All steps in working order."""

    steps: tuple[Step, ...]
