"""Writing steps: they get their numbers when the card is put together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from panelmend.derive import Figure
from panelmend.job.card.holds import HOLDS
from panelmend.job.card.order import Place
from panelmend.job.card.part import Blank, Caution, Hold, Mark, Step, StepTable, Words
from panelmend.units import unit_for


class Bound(StrEnum):
    """What stands in a blank for its limit; other words may stand there too, and are none of these."""

    RECORD = "write down"
    ASK = "limit: approved data"  # the document gives none: it is looked up, never made up
    ASK_WAIT = "limit: approved data, 15 usual"
    ASK_CURED = "limit: approved data; 0 where nothing cures"
    TOLERANCE = "tolerance: approved data"
    AS_BEFORE = "as before it came out; tolerance: approved data"

    @property
    def is_open(self) -> bool:
        """Whether a limit or tolerance is still to be looked up."""
        return self is not Bound.RECORD


RECORD, ASK, ASK_WAIT, ASK_CURED, TOLERANCE, AS_BEFORE = Bound


def step(
    place: Place | str,
    title: str,
    *words: Words | str,
    cautions: Sequence[Caution] = (),
    tools: Sequence[str] = (),
    materials: Sequence[str] = (),
    blanks: Sequence[Blank] = (),
    hold: str | Hold = "",
    drawing: str = "",
    tables: Sequence[StepTable] = (),
) -> Step:
    """A step without its number; plain text may stand where words with figures may."""
    return Step(
        0,
        Place(place) if isinstance(place, str) else place,
        title,
        word_lines(words),
        tuple(cautions),
        tuple(tools),
        tuple(materials),
        tuple(blanks),
        (HOLDS[hold] if hold else None) if isinstance(hold, str) else hold,
        drawing,
        tuple(tables),
    )


def word_lines(words: Sequence[Words | str]) -> tuple[Words, ...]:
    """Lines of words, plain text made into one."""
    return tuple((w,) if isinstance(w, str) else w for w in words)


def number(
    what: str,
    unit: str,
    low: Figure | None = None,
    high: Figure | None = None,
    said: str = "",
    aim: Figure | None = None,
) -> Blank:
    """A reading with its unit and limits; without any the limit is asked of the approved data."""
    known = low is not None or high is not None
    return Blank(what, low, high, unit, "number", said or ("" if known else TOLERANCE if aim else ASK), aim)


def clock_blank(what: str, said: str = "", mark: Mark = "") -> Blank:
    """A time of day; ``mark`` where a clock runs from it, to it or by it."""
    return Blank(what, None, None, "h:min", "time", said, mark=mark)


def tick(what: str, said: str = "yes") -> Blank:
    """Something that must be so: yes or no."""
    return Blank(what, None, None, "", "tick", said)


def note(what: str, mark: Mark = "") -> Blank:
    """A lot, a number, words; ``mark`` where it names lots or instruments that the records keep."""
    return Blank(what, None, None, "", "text", mark=mark)


@dataclass(frozen=True)
class Units:
    """The units blanks are written in, for the reader's view: those their limits are printed in."""

    length: str
    temperature: str
    weight: str
    vacuum: str
    moment: str
    area: str
    stress: str

    @staticmethod
    def of(view: str) -> Units:
        """Units for a view "mm" or "in"."""
        kinds = ("length", "temperature", "weight", "vacuum", "moment", "area", "stiffness")
        length, degrees, *rest = (unit_for(kind, view) for kind in kinds)
        return Units(length, f"°{degrees}", *rest)
