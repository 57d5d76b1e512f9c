"""Peel in a bond and the pull it puts on the skin-to-core bond beneath: two beams, stretched and bent.

Patch and skin are beams tied by an adhesive that shears and opens; the skin lies on the core's springs
(Winkler). Stretch and bending are solved together, so the shear that bends the beams is the one that bent
beams leave (Bigwood and Crocombe 1989, from memory). Beyond the patch's tip the skin runs on alone; where the
skin is cut through, the patch runs on over the plug, on springs too. Elastic, small deflections.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from panelmend.errors import InputError
from panelmend.physics.joint.adhesive import AdhesiveLayer
from panelmend.physics.joint.band import Entries, solved_band
from panelmend.physics.joint.bond import Bond
from panelmend.physics.structure_inputs import Array, NotComputed, positive

FEATHER = 0.05  # of a step's other end: a thinner one is a feather edge, solved in longer digits
DECAYS = 8.0  # lengths of a beam on its springs beyond the bond
CELLS_BEYOND_BOND = 60  # of a beam beyond the bond
GAUSS = np.polynomial.legendre.leggauss(4)


@dataclass(frozen=True)
class BeamStep:
    """Of one adherend in one step: bending stiffness ``D`` [N m] about its middle, ``thickness`` [m], and how
    far its face stands off the common plane, ``below`` [m] (plies left under those that are cut; a patch let
    in stands below zero, and is bonded there); where it tapers, the same at the step's end.
    """

    D: float
    thickness: float
    below: float = 0.0
    D_end: float | None = None
    thickness_end: float | None = None
    below_end: float | None = None

    def __post_init__(self) -> None:
        for key, unit in (("D", "N m"), ("thickness", "m")):
            positive(getattr(self, key), f"adherend {key}", unit)
            if getattr(self, f"{key}_end") is not None:
                positive(getattr(self, f"{key}_end"), f"adherend {key}_end", unit)

    @property
    def feathered(self) -> bool:
        """Whether one end is next to nothing beside the other."""
        ends = (self.thickness, self.thickness if self.thickness_end is None else self.thickness_end)
        return min(ends) < FEATHER * max(ends)

    def at(self, share: Array) -> tuple[Array, Array, Array]:
        """D [N m], distance of the middle from the common plane and ``below`` [m] at shares of the step [1].

        D grows with the third power of what runs evenly from end to end, as that of a wedge does.
        """
        d, t, b = (getattr(self, f"{k}_end") for k in ("D", "thickness", "below"))
        root, last = self.D ** (1 / 3), (self.D if d is None else d) ** (1 / 3)
        thick = self.thickness + (0.0 if t is None else (t - self.thickness)) * share
        below = self.below + (0.0 if b is None else (b - self.below)) * share
        return (root + (last - root) * share) ** 3, thick / 2 + below, below

    def start(self) -> BeamStep:
        """The beam as it is where the step begins, all along."""
        return BeamStep(self.D, self.thickness, self.below)

    def end(self) -> BeamStep:
        """The beam as it is where the step ends, all along."""
        t = self.thickness if self.thickness_end is None else self.thickness_end
        b = self.below if self.below_end is None else self.below_end
        return BeamStep(self.D if self.D_end is None else self.D_end, t, b)


@dataclass(frozen=True)
class PlugSpring:
    """What the patch lies on where the skin is cut through: ``spring`` [N/m3], ``half`` the opening [m].

    Raises:
        InputError: a value that is not positive.
    """

    spring: float
    half: float

    def __post_init__(self) -> None:
        positive(self.spring, "plug spring", "N/m3")
        positive(self.half, "half the opening", "m")


@dataclass(frozen=True, eq=False)
class TipAnswer:
    """``x``, ``peel`` and ``tau`` along the bond, ``along`` and ``pull`` along the skin [m, Pa].

    Tension is positive. ``most_peel`` and ``most_pull`` are the largest by size [Pa], since the load may act
    either way; the pull is that on the skin's core or on the plug, whichever is larger.
    """

    x: Array
    peel: Array
    tau: Array
    along: Array
    pull: Array
    most_peel: float
    most_pull: float


def peel_on_core(
    bond: Bond,
    load: float,
    straps: Sequence[BeamStep],
    skins: Sequence[BeamStep],
    core: float,
    plug: PlugSpring | None,
    *,
    lever: bool,
    cells: int = 60,
) -> TipAnswer | NotComputed:
    """Peel along a bond under a running load of the skin [N/m], and the flatwise pull under it.

    Args:
        bond: its adhesive needs ``E``. Adherend 1 is the strap, adherend 2 the skin.
        load: running load of the skin beyond the patch [N/m].
        straps: bending of the strap, one entry a step.
        skins: bending of the skin, one entry a step; beyond the patch it is the last one.
        core: spring of the core under the skin [N/m3].
        plug: None where the bond starts at a symmetry plane of strap and skin; else the skin ends there and
            the strap runs on over the plug, to a symmetry plane at the middle of the opening.
        lever: whether the adhesive's own thickness is part of the lever between patch and skin. The pull on
            the core needs it (statics). Peel does not: the layer's end is free of shear, and beams that know
            nothing of it would see the couple of its thickness as a force at the last point.
        cells: in each step.

    Returns:
        The stresses, or NotComputed when the adhesive's E is not known.

    Raises:
        InputError: a number of entries that is not the number of steps; a spring that is not positive.
    """
    adhesive = bond.adhesive
    if adhesive.E is None:
        return NotComputed(f"{adhesive.name} has no modulus across the layer, so there is no peel")
    for beams in (straps, skins):
        if len(beams) != len(bond.steps):
            raise InputError("beam steps", read=str(len(beams)), expected=f"{len(bond.steps)}, one a step")
    positive(core, "core spring", "N/m3")
    made = _strip(bond, tuple(straps), tuple(skins), core, plug, cells)
    one, two, k, n = made.one, made.two, made.k, made.n
    parts = [*made.parts, _tied(one, two, k, n, adhesive, lever)]
    force = np.zeros(one.size + two.size)
    force[two.u(-1)] = load
    force[two.slope(-1)] = load * float(skins[-1].end().at(np.zeros(()))[1])
    held = [one.u(0), one.slope(0)] + ([two.u(0), two.slope(0)] if plug is None else [])
    w = solved_band(parts, force, held, np.concatenate([one.places(), two.places()]))
    up1, up2 = w[one.w_all()], w[two.w_all()]
    x, along = made.x.astype(float), made.along.astype(float)
    peel = np.asarray(adhesive.E / adhesive.t * (up1[k:] - up2[: n + 1]), float)
    w = w.astype(float)
    slip = w[one.u_all()][k:] - w[two.u_all()][: n + 1]
    deep = np.interp(x, (x[:-1] + x[1:]) / 2, made.deep.astype(float).mean(axis=1))
    slip -= deep * (w[one.u_all() + 2][k:] - w[two.u_all() + 2][: n + 1])
    if lever:
        slip += adhesive.t / 2 * (w[one.u_all() + 2][k:] + w[two.u_all() + 2][: n + 1])
    tau = adhesive.G / adhesive.t * slip
    up1, up2 = up1.astype(float), up2.astype(float)
    pull = core * up2
    plugged = float(abs(plug.spring * up1[: k + 1]).max()) if plug is not None else 0.0
    return TipAnswer(x, peel, tau, along, pull, float(abs(peel).max()), max(float(abs(pull).max()), plugged))


@dataclass(frozen=True, eq=False)
class _TwoBeams:
    """Two beams on their springs, without what ties them; ``k`` cells of the strap lie before the bond,
    ``n`` in it; ``deep`` how far below the common plane the bond lies there [m]."""

    x: Array
    along: Array
    one: _Beam
    two: _Beam
    parts: tuple[Entries, ...]
    k: int
    n: int
    deep: Array


@lru_cache(maxsize=4)
def _strip(
    bond: Bond,
    straps: tuple[BeamStep, ...],
    skins: tuple[BeamStep, ...],
    core: float,
    plug: PlugSpring | None,
    cells: int,
) -> _TwoBeams:
    """Kept for a moment: peel and pull are asked for one after the other."""
    # a feather edge bends next to nothing: short waves beside stiff stretch, more than double digits hold
    feathered = any(b.feathered for b in (*straps, *skins))
    x, step, at = _mesh(bond, cells, 8.0 if feathered else 6.0)
    x = x.astype(np.longdouble if feathered else float)
    n = len(step)
    away = np.expm1(np.linspace(0.0, 5.0, CELLS_BEYOND_BOND + 1)[1:]) / np.expm1(5.0)
    base, inner = skins[-1].end(), straps[0].start()
    along = np.concatenate([x, x[-1] + DECAYS * (4.0 * base.D / core) ** 0.25 * away])
    over = np.zeros(0)
    if plug is not None:
        over = -(min(plug.half, DECAYS * (4.0 * inner.D / plug.spring) ** 0.25) * away)[::-1]
    k, m = len(over), len(along) - 1 - n
    # K, D, middle and depth of the bond at the Gauss points of every cell
    upper, lower = (np.empty((4, n, len(at)), x.dtype) for _ in range(2))
    for i, s in enumerate(bond.steps):
        here, share = step == i, _fraction(x, step, i, at)
        for kept, stretch, beam in zip(
            (upper, lower), s.stiffness(share), (straps[i], skins[i]), strict=True
        ):
            kept[0][here] = stretch
            kept[1][here], kept[2][here], kept[3][here] = beam.at(share)
    ones = np.ones((k + m, len(at)))
    first = np.stack([bond.steps[0].K1 * ones[:k], *(v * ones[:k] for v in inner.at(np.zeros(())))])
    last_K = float(bond.steps[-1].stiffness(np.ones(1))[1][0])
    last = np.stack([last_K * ones[:m], *(v * ones[:m] for v in base.at(np.zeros(())))])
    one = _Beam(np.concatenate([over, x]), np.concatenate([first, upper], axis=1), 1.0, 0)
    two = _Beam(along, np.concatenate([lower, last], axis=1), -1.0, one.size)
    parts = [one.stiff(), two.stiff(), two.rests(core, 0, len(along) - 1)]
    if plug is not None:
        parts.append(one.rests(plug.spring, 0, k))
    return _TwoBeams(x, along, one, two, tuple(parts), k, n, upper[3])


def _mesh(bond: Bond, cells: int, graded: float) -> tuple[Array, np.ndarray, Array]:
    """Points graded to both ends of every step, the step of every cell, and Gauss points on (0, 1)."""
    half = np.expm1(np.linspace(0.0, graded, cells // 2 + 1)) / np.expm1(graded) / 2
    share = np.concatenate([half, 1.0 - half[-2::-1]])
    x, start = [np.zeros(1)], 0.0
    for s in bond.steps:
        x.append(start + s.length * share[1:])
        start += s.length
    step = np.repeat(np.arange(len(bond.steps)), len(share) - 1)
    return np.concatenate(x), step, (GAUSS[0] + 1.0) / 2


def _fraction(x: Array, step: np.ndarray, i: int, at: Array) -> Array:
    """Gauss points of a step's cells as fractions of the step, (cells, points)."""
    here = np.nonzero(step == i)[0]
    a, b = x[here[0]], x[here[-1] + 1]
    left, right = x[here], x[here + 1]
    return np.asarray((left[:, None] + (right - left)[:, None] * at - a) / (b - a))


class _Beam:
    """A beam about its bonded face: quadratic stretch there, cubic deflection; ``side`` 1 lies above."""

    def __init__(self, x: Array, made: Array, side: float, first: int) -> None:
        self.x, self.h, self.first, self.points = x, np.diff(x), first, len(x)
        self.K, self.D, self.e, self.below = made[0], made[1], side * made[2], made[3]
        self.size = 4 * len(x) - 1  # u, w, w' at points, u at middles
        self.whole = self._shapes()
        cell = np.arange(len(self.h))
        # u of left, middle, right; w, w' of left and right
        self.dof = first + np.stack(
            [4 * cell, 4 * cell + 3, 4 * cell + 4, 4 * cell + 1, 4 * cell + 2, 4 * cell + 5, 4 * cell + 6],
            axis=1,
        )

    def places(self) -> Array:
        """Where along the bond each number lies [m]."""
        found = np.empty((self.points, 4))
        found[:, :3] = self.x[:, None]
        found[:-1, 3] = (self.x[1:] + self.x[:-1]) / 2
        return found.ravel()[: self.size]

    def u(self, point: int) -> int:
        """Number of the face's stretch at a point."""
        return self.first + 4 * (point % self.points)

    def slope(self, point: int) -> int:
        """Number of the slope at a point."""
        return self.u(point) + 2

    def u_all(self) -> np.ndarray:
        """Numbers of the stretch at every point."""
        return np.asarray(self.first + 4 * np.arange(self.points))

    def w_all(self) -> np.ndarray:
        """Numbers of the deflection at every point."""
        return self.u_all() + 1

    def shapes(self, lo: int, hi: int) -> tuple[Array, Array, Array, Array, Array, Array]:
        """u, u', w, w', w'' (cells, points, 7) and weights (cells, points) of cells lo to hi."""
        u, du, w, dw, ddw, g = (v[lo:hi] for v in self.whole)
        return u, du, w, dw, ddw, g

    def _shapes(self) -> tuple[Array, Array, Array, Array, Array, Array]:
        s = (GAUSS[0] + 1.0) / 2
        h = self.h[:, None]
        one, zero = np.ones_like(h * s), np.zeros_like(h * s)
        u = [(1 - s) * (1 - 2 * s) * one, 4 * s * (1 - s) * one, s * (2 * s - 1) * one, *[zero] * 4]
        du = [(4 * s - 3) / h, (4 - 8 * s) / h, (4 * s - 1) / h, *[zero] * 4]
        w = [(1 - 3 * s**2 + 2 * s**3) * one, h * (s - 2 * s**2 + s**3)]
        w += [(3 * s**2 - 2 * s**3) * one, h * (s**3 - s**2)]
        dw = [(6 * s**2 - 6 * s) / h, 1 - 4 * s + 3 * s**2, (6 * s - 6 * s**2) / h, 3 * s**2 - 2 * s]
        ddw = [(12 * s - 6) / h**2, (6 * s - 4) / h, (6 - 12 * s) / h**2, (6 * s - 2) / h]
        bent = [[*[zero] * 3, *v] for v in (w, dw, ddw)]
        parts = [np.stack(np.broadcast_arrays(*v), axis=-1) for v in (u, du, *bent)]
        return parts[0], parts[1], parts[2], parts[3], parts[4], h * GAUSS[1] / 2

    def stiff(self) -> tuple[Array, Array, Array]:
        """Stretch of the middle and bending, as entries."""
        _, du, _, _, ddw, g = self.shapes(0, len(self.h))
        middle = du - self.e[..., None] * ddw
        blocks = _outer(g * self.K, middle) + _outer(g * self.D, ddw)
        return _entries(blocks, self.dof, self.dof)

    def rests(self, spring: float, lo: int, hi: int) -> tuple[Array, Array, Array]:
        """Cells lo to hi on springs [N/m3], as entries."""
        _, _, w, _, _, g = self.shapes(lo, hi)
        return _entries(_outer(spring * g, w), self.dof[lo:hi], self.dof[lo:hi])


def _tied(one: _Beam, two: _Beam, k: int, n: int, adhesive: AdhesiveLayer, lever: bool) -> Entries:
    """The adhesive between cells k to k + n of the strap and the first n of the skin, as entries."""
    u, _, w, dw, _, g = one.shapes(k, k + n)
    turned = adhesive.t / 2 * dw * lever  # the layer turns with the beams
    deep = one.below[k : k + n, :, None] * dw  # a patch let in is bonded below the common plane
    slip = np.concatenate([u - deep + turned, turned + deep - u], axis=2)
    gap = np.concatenate([w, -w], axis=2)
    shear = _outer(g * (adhesive.G / adhesive.t), slip)
    assert adhesive.E is not None, "asked for by the caller"
    open_ = _outer(g * (adhesive.E / adhesive.t), gap)
    dof = np.concatenate([one.dof[k : k + n], two.dof[:n]], axis=1)
    return _entries(shear + open_, dof, dof)


def _outer(weight: Array, rows: Array) -> Array:
    """Sum over points of weight (cells, points) times rows (cells, points, n) squared, (cells, n, n)."""
    return np.asarray((weight[..., None] * rows).swapaxes(1, 2) @ rows)


def _entries(blocks: Array, i: np.ndarray, j: np.ndarray) -> tuple[Array, Array, Array]:
    return (
        np.broadcast_to(i[:, :, None], blocks.shape).ravel(),
        np.broadcast_to(j[:, None, :], blocks.shape).ravel(),
        blocks.ravel(),
    )
