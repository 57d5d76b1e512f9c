"""What becomes of what was done: of everything that was made, and of every step."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from panelmend.errors import Finding
from panelmend.job.card.part import Step
from panelmend.plan.plan import Plan


class Fate(Enum):
    """What becomes of something that was done or made."""

    STAYS = "stays"
    AGAIN = "again"
    SMALLER = "cut down"
    SCRAP = "scrapped"
    OUT = "comes out"
    MISFIT = "does not fit"
    NEW = "to do"


@dataclass(frozen=True)
class Made:
    """Something that was made, what becomes of it, and why."""

    what: str
    fate: Fate
    why: str
    operation: int = 0  # of the earlier plan, where it was made in one


@dataclass(frozen=True)
class StepFate:
    """A step of the new card: done and standing, to do again, or not done yet."""

    step: Step
    fate: Fate
    why: str = ""


@dataclass(frozen=True)
class Again:
    """The new plan against the old one: what was made, every step of the new card, and what was found."""

    old: Plan
    new: Plan
    made: tuple[Made, ...]
    steps: tuple[StepFate, ...]
    findings: tuple[Finding, ...]
    holding: str = (
        ""  # a cut-out that holds what is cut and the damage, to be typed; "" where none is asked for
    )

    @property
    def next(self) -> Step | None:
        """The first step of the new card that is to be done."""
        return next((s.step for s in self.steps if s.fate is not Fate.STAYS), None)
