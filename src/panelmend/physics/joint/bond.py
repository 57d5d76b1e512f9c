"""A bond as data: its steps, its ends, and the answer along it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from panelmend.errors import InputError
from panelmend.physics.joint.adhesive import AdhesiveLayer
from panelmend.physics.structure_inputs import Array, finite, positive


@dataclass(frozen=True)
class BondStep:
    """One step of a bond: ``length`` [m]; membrane stiffness E t [N/m] of adherends 1 and 2 at its start and,
    where they taper, at its end; thermal expansion [1/K] of each.

    Raises:
        InputError: a length or stiffness that is not positive.
    """

    length: float
    K1: float
    K2: float
    K1_end: float | None = None
    K2_end: float | None = None
    alpha1: float = 0.0
    alpha2: float = 0.0

    def __post_init__(self) -> None:
        positive(self.length, "step length", "m")
        for key in ("K1", "K2", "K1_end", "K2_end"):
            if getattr(self, key) is not None:
                positive(getattr(self, key), f"step {key}", "N/m")
        finite(self.alpha1, "alpha1", "1/K")
        finite(self.alpha2, "alpha2", "1/K")

    def stiffness(self, at: Array) -> tuple[Array, Array]:
        """K1 and K2 [N/m] at fractions of the step's length [1]."""
        e1 = self.K1 if self.K1_end is None else self.K1_end
        e2 = self.K2 if self.K2_end is None else self.K2_end
        return self.K1 + (e1 - self.K1) * at, self.K2 + (e2 - self.K2) * at


@dataclass(frozen=True)
class Bond:
    """A bond: ``steps`` in order, one ``adhesive``, ``faces`` bonded faces (2: adherend 1 is two straps)."""

    steps: tuple[BondStep, ...]
    adhesive: AdhesiveLayer
    faces: int = 1

    def __post_init__(self) -> None:
        if not self.steps:
            raise InputError("a bond without steps", expected="at least one step")
        if self.faces not in (1, 2):
            raise InputError("bonded faces", read=str(self.faces), expected="1 or 2")

    @property
    def length(self) -> float:
        """Whole length [m]."""
        return math.fsum(s.length for s in self.steps)


@dataclass(frozen=True)
class Ends:
    """How a bond is loaded.

    ``T1_start`` and ``T1_end`` [N/m]: running load in adherend 1 at each end (None: a symmetry plane, no slip
    there); ``total`` [N/m]: both adherends together, the same all along; ``dT`` [K] from the stress-free
    state.
    """

    T1_start: float | None
    T1_end: float | None
    total: float
    dT: float = 0.0

    def __post_init__(self) -> None:
        for key in ("T1_start", "T1_end", "total", "dT"):
            value = getattr(self, key)
            if value is not None:
                finite(value, key, "K" if key == "dT" else "N/m")

    def scaled(self, by: float) -> Ends:
        """The mechanical load times ``by`` [1], temperature as it is."""
        one = None if self.T1_start is None else self.T1_start * by
        two = None if self.T1_end is None else self.T1_end * by
        return Ends(one, two, self.total * by, self.dT)


def lap(P: float, dT: float = 0.0) -> Ends:
    """Ends of a joint that hands a running load P [N/m] over from adherend 1 to 2, at dT [K]."""
    return Ends(P, 0.0, P, dT)


@dataclass(frozen=True)
class StepPeak:
    """In one step: largest shear stress ``tau`` [Pa] and strain ``gamma`` [1] by size, with sign; ``at`` [m];
    ``plastic`` length that flows [m], ``least`` shear stress by size [Pa].
    """

    tau: float
    gamma: float
    at: float
    plastic: float
    least: float


@dataclass(frozen=True, eq=False)
class BondAnswer:
    """Along the bond, all of shape (n,): ``x`` [m], ``tau`` [Pa], ``gamma`` [1], ``T1``, ``T2`` [N/m];
    ``first`` the index of the first point of each step (the last entry closes the last step);
    ``peaks`` one a step; ``bond`` and ``ends`` that were solved.
    """

    bond: Bond
    ends: Ends
    x: Array
    tau: Array
    gamma: Array
    T1: Array
    T2: Array
    first: tuple[int, ...]
    peaks: tuple[StepPeak, ...]

    @property
    def peak(self) -> StepPeak:
        """The worst step's peak by shear strain."""
        return max(self.peaks, key=lambda p: abs(p.gamma))

    def lightly_stressed(self, fraction: float = 0.1) -> float:
        """Length [m] stressed below ``fraction`` [1] of the bond's largest shear stress."""
        size = np.abs(self.tau)
        return length_where(self.x, fraction * size.max() - size)


def length_where(x: Array, f: Array) -> float:
    """Length [same as x] over which the piecewise-linear f [any] is above zero."""
    a, b = f[:-1], f[1:]
    h = np.diff(x)
    with np.errstate(divide="ignore", invalid="ignore"):
        part = np.where(a > 0, a, b) / np.abs(a - b)
    share = np.where((a > 0) & (b > 0), 1.0, np.where((a <= 0) & (b <= 0), 0.0, part))
    return float((h * share).sum())


def shear_decay(adhesive: AdhesiveLayer, K1: float, K2: float, faces: int = 1) -> float:
    """lambda [1/m], the rate at which the shear peak dies out: sqrt(G/t (1/K1 + 1/K2) faces).

    Args:
        adhesive: the layer.
        K1: E t of one adherend [N/m].
        K2: E t of the other [N/m].
        faces: bonded faces between the two (2: K1 holds both outer straps of a double lap).

    Raises:
        InputError: a stiffness that is not positive.
    """
    both = 1.0 / positive(K1, "K1", "N/m") + 1.0 / positive(K2, "K2", "N/m")
    return math.sqrt(adhesive.G / adhesive.t * both * faces)
