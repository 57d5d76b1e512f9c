"""Writing steps: they are numbered when the card is put together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from panelmend.derive import Figure
from panelmend.job.card.part import Blank, Caution, Step, Table, Words

INSPECTOR = "inspector"
TECHNICIAN = ""


def step(
    stage: str,
    title: str,
    *words: Words | str,
    cautions: Sequence[Caution] = (),
    tools: Sequence[str] = (),
    materials: Sequence[str] = (),
    blanks: Sequence[Blank] = (),
    hold: str = TECHNICIAN,
    drawing: str = "",
    tables: Sequence[Table] = (),
) -> Step:
    """A step without its number; plain text may stand where words with figures may."""
    lines = tuple((w,) if isinstance(w, str) else w for w in words)
    return Step(
        0,
        stage,
        title,
        lines,
        tuple(cautions),
        tuple(tools),
        tuple(materials),
        tuple(blanks),
        hold,
        drawing,
        tuple(tables),
    )


def blank(what: str, low: Figure | None = None, high: Figure | None = None, unit: str = "") -> Blank:
    """A reading to write down, between its limits."""
    return Blank(what, low, high, unit)


def numbered(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps with their numbers, from 1."""
    return tuple(replace(s, number=i) for i, s in enumerate(steps, 1))


@dataclass(frozen=True)
class Units:
    """The units blanks are written in, for the reader's view."""

    length: str
    temperature: str
    mass: str
    vacuum: str

    @staticmethod
    def of(view: str) -> Units:
        """Units for a view "mm" or "in"."""
        return Units("mm", "°C", "g", "inHg") if view == "mm" else Units("in", "°F", "g", "inHg")
