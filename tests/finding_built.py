"""A place for findings that no document makes at will: what is tried, and why no document does it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from examples_here import case_from, text
from panelmend.derive import Figure, Source
from panelmend.derive.figure import Origin
from panelmend.errors import Finding
from panelmend.job.work import Work
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan

Found = tuple[Finding, ...]
TOOL = "only a fault of the tool itself makes it"
HEAT = "rests on a prediction of heat, which takes minutes"
STUDY = "rests on the strength study, which takes a minute"
KEPT = "rests on a layout that was kept beside the document"


@dataclass(frozen=True)
class Built:
    """Why no document makes the finding, what is tried, and what the stage finds: ``by(True)`` is inside."""

    why: str
    limit: str
    by: Callable[[bool], Found]


PARTS: dict[str, list[Built]] = {}


def built(code: str, why: str, limit: str, by: Callable[[bool], Found]) -> None:
    """Register a case."""
    PARTS.setdefault(code, []).append(Built(why, limit, by))


@cache
def door(*changes: tuple[str, str]) -> tuple[Plan, Work]:
    """The gear door with changes, planned."""
    of = text("gear_door")
    for old, new in changes:
        assert of.count(old) == 1, old
        of = of.replace(old, new)
    plan = make_plan(case_from(of))
    assert plan.work is not None
    return plan, plan.work


def figure(value: float, kind: str = "") -> Figure:
    """A figure of a test."""
    return Figure("made.up", value, kind, Origin.TYPED, Source("a test"))
