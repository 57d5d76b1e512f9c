"""Loads of the comparison: those of the document, or unit loads that give ratios and nothing else."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

import numpy as np

from panelmend.document.approved import LoadCase
from panelmend.job.case import Case
from panelmend.units import show, to_unit

UNIT_LOAD = 1e3  # N/m
UNIT_PRESSURE = 1e3  # Pa


@dataclass(frozen=True)
class Load:
    """One case in standard axes: running loads [N/m], pressure [Pa] outside, below zero for suction;
    ``given``: by the document.
    """

    name: str
    nx: float
    ny: float
    nxy: float
    pressure: float
    given: bool
    place: str

    @property
    def suction(self) -> float:
        """What pulls the outside skin off [Pa], 0 under pressure."""
        return max(0.0, -self.pressure)

    def words(self, view: str) -> str:
        """The case with its values, as the engineer reads them; x along 0 degrees, seen from outside."""
        rows = (("Nx", self.nx), ("Ny", self.ny), ("Nxy", self.nxy))
        shown = [f"{n} {show(v, 'running load', view)}" for n, v in rows if v]
        size = show(abs(self.pressure), "pressure", view, decimals=-3)
        shown += [f"{'suction' if self.suction else 'pressure'} {size} outside"] if self.pressure else []
        return f"{self.name}: {', '.join(shown) or 'no load'}"


@dataclass(frozen=True)
class Resultants:
    """Running loads [N/m], moments [N] and shear [N/m] at one place under one case, kept as one figure."""

    n: tuple[float, float, float]
    m: tuple[float, float, float]
    q: tuple[float, float]
    pressure: float

    def digest(self) -> str:
        """Equal for equal resultants."""
        return hashlib.sha256(repr(self).encode("utf8")).hexdigest()

    def summary(self, view: str = "mm") -> str:
        """The resultants in words."""
        run, turn, per_run, per_turn = 1.0, 1.0, "N/m", "N"
        if view == "in":
            run, per_run = to_unit(1.0, "running load", "lbf/in"), "lbf/in"
            turn, per_turn = to_unit(1.0, "force", "lbf"), "in lbf/in"
        rows = ((self.n, run), (self.m, turn), (self.q, run))
        n, m, q = (", ".join(f"{v * factor:.4g}" for v in row) for row, factor in rows)
        return f"N {n} {per_run}; M {m} {per_turn}; Q {q} {per_run}"

    def arrays(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """N (3,) [N/m], M (3,) [N] and Q (2,) [N/m]."""
        return np.array(self.n), np.array(self.m), np.array(self.q)


def loads_of(case: Case) -> tuple[Load, ...]:
    """The document's cases, or unit cases where it gives none; shear changes sign from the other side."""
    sign = 1.0 if case.document.panel.seen_from == "outside" else -1.0
    given = case.document.data.strength.case
    if given:
        return tuple(_typed(c, sign) for c in given)
    return (
        Load("unit load along 0°", UNIT_LOAD, 0.0, 0.0, 0.0, False, ""),
        Load("unit load along 90°", 0.0, UNIT_LOAD, 0.0, 0.0, False, ""),
        Load("unit shear", 0.0, 0.0, UNIT_LOAD, 0.0, False, ""),
        Load("unit pressure", 0.0, 0.0, 0.0, UNIT_PRESSURE, False, ""),
    )


def _typed(c: LoadCase, sign: float) -> Load:
    return Load(c.name, c.nx, c.ny, sign * c.nxy, c.pressure or 0.0, True, c.place)
