"""A finding of a cure log, its judgement or the watch: an invented cure of straight lines, in and out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from judge_lines import START, TOP, made
from made_curelog import Made
from panelmend.errors import Code, Finding
from panelmend.plan.judge import (
    CureRecipe,
    find_faults,
    judge,
)

Found = tuple[Finding, ...]
Array = NDArray[np.float64]
APART = np.array([0.0, -0.3, 0.01, 0.3])  # K, each in a place of its own
BEGUN = datetime(2026, 11, 25, 8)


@dataclass(frozen=True)
class Judged:
    """A limit, and what is found: ``by(True)`` is inside."""

    limit: str
    by: Callable[[bool], Found]


JUDGED: dict[str, list[Judged]] = {}


def case(code: Code, limit: str, by: Callable[[bool], Found]) -> None:
    """Register a case."""
    JUDGED.setdefault(code.code, []).append(Judged(limit, by))


def faults(change: Callable[[Made, bool], None], **how: float) -> Callable[[bool], Found]:
    """Faults of the log after a change of a clean cure."""

    def by(inside: bool) -> Found:
        m = made(**how)  # type: ignore[arg-type]
        m.temps += APART
        change(m, inside)
        return tuple(f.finding for f in find_faults(m.log()))

    return by


def found(r: CureRecipe, m: Made | None = None, **more: object) -> Found:
    """Findings of the verdict."""
    return judge(r, (m or made()).log(), **more).findings  # type: ignore[arg-type]


def noisy(m: Made, sigma: float = 0.2) -> Made:
    m.temps += np.random.default_rng(8).normal(0, sigma, m.temps.shape)
    m.temps = np.round(m.temps - 273.15, 1) + 273.15
    return m


def heat(m: Made) -> Array:
    """The share of the rise, 0 in the cold and 1 in the hold."""
    return np.clip((m.temps[:, 3] - START) / (TOP - START), 0.0, 1.0)
