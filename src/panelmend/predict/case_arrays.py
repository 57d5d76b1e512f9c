"""Readings of many cases as arrays, a row a case, and what each row is judged to be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelmend.job.cure.problem import HeatProblem
from panelmend.predict.cases import CaseVerdict
from panelmend.predict.reading import CaseReading, CaseValues, case_verdict

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class CaseArrays:
    """Readings of many cases as arrays, a row for each case."""

    values: Array
    kelvin: Array
    rest: Array
    began: NDArray[np.bool_]

    def only(self, rows: slice) -> CaseArrays:
        """Some of them."""
        return CaseArrays(self.values[rows], self.kelvin[rows], self.rest[rows], self.began[rows])


def case_arrays(cases: Sequence[CaseValues], readings: Sequence[CaseReading]) -> CaseArrays:
    """Cases and what was read in each; a case without a solution is NaN."""

    def rows(of: list[tuple[float, ...]]) -> Array:
        width = max((len(r) for r in of), default=0) or 1
        made = [r if read.solved else (np.nan,) * width for r, read in zip(of, readings, strict=True)]
        return np.array(made, dtype=float).reshape(len(readings), width)

    return CaseArrays(
        np.array([c.values for c in cases]),
        rows([r.kelvin for r in readings]),
        rows([r.rest for r in readings]),
        np.array([r.began for r in readings], dtype=bool),
    )


def verdicts_of(problem: HeatProblem, got: CaseArrays) -> tuple[CaseVerdict | None, ...]:
    """The verdict of each row; None for a case without a solution."""
    solved: NDArray[np.bool_] = np.asarray(np.isfinite(got.kelvin).all(axis=1))
    return tuple(
        case_verdict(problem, [float(v) for v in row], [float(m) for m in rest], bool(b)) if ok else None
        for row, rest, b, ok in zip(got.kelvin, got.rest, got.began, solved, strict=True)
    )


def flags_of(verdict: CaseVerdict | None) -> tuple[bool, ...] | None:
    """What two ways of solving a case must agree in."""
    if verdict is None:
        return None
    return verdict.band, verdict.ceiling, verdict.limits, verdict.rest, verdict.seen
