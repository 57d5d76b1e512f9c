"""The load a bond carries, and the overlap a load needs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from panelmend.errors import SolverError
from panelmend.physics.joint.bond import Bond, BondAnswer, Ends
from panelmend.physics.joint.line import answer_at
from panelmend.physics.joint.scheme import Mesh, mesh_of, system
from panelmend.physics.structure_inputs import Array, NotComputed


@dataclass(frozen=True, eq=False)
class Capacity:
    """``factor`` [1] on the given ends at which the adhesive breaks, ``at`` [m] where, ``answer`` there."""

    factor: float
    at: float
    answer: BondAnswer


def capacity(bond: Bond, ends: Ends, cells: int = 120) -> Capacity | NotComputed:
    """The multiple of the load in ``ends`` at which the shear strain reaches the adhesive's limit.

    The temperature in ``ends`` stays while the load grows. Solved directly for the load (the strain at the
    critical point is prescribed), so bonds that flow all along are no exception.

    Args:
        bond: the bond; its adhesive needs ``tau_p``.
        ends: the load that is scaled.
        cells: mesh cells a step.

    Returns:
        The factor, by bisection (to 1e-6, from below) where the direct way does not settle; 0 when
        temperature alone breaks the bond; NotComputed without a shear strength or load.

    Raises:
        SolverError: no equilibrium was found.
    """
    if bond.adhesive.tau_p is None:
        return NotComputed(f"{bond.adhesive.name} has no shear strength")
    mesh = mesh_of(bond, cells)
    limit = bond.adhesive.g_break
    elastic = Bond(bond.steps, bond.adhesive.elastic(), bond.faces)
    by_load, unit = _elastic(elastic, Ends(ends.T1_start, ends.T1_end, ends.total, 0.0), mesh)
    size = np.abs(unit[1::2])
    if size.max() == 0.0:
        return NotComputed("the load puts no shear on the bond")
    hot = _elastic(elastic, ends.scaled(0.0), mesh)[1] if ends.dT else np.zeros_like(unit)
    if np.abs(hot[1::2]).max() > bond.adhesive.g_flow:
        held = answer_at(bond, ends.scaled(0.0), cells)
        if abs(held.peak.gamma) >= limit:
            return Capacity(0.0, held.peak.at, held)
    # start at the elastic estimate of the load at which the first point flows
    with np.errstate(divide="ignore", invalid="ignore"):
        sign = np.sign(unit[1::2])
        room = (bond.adhesive.g_flow - sign * hot[1::2]) / size
    k = int(np.nanargmin(np.where(size > 0, room, np.inf)))
    factor = float(room[k])
    y = hot + factor * unit
    found = _by_strain(bond, ends, mesh, y, factor, k, limit, by_load)
    if found is None:
        return _by_bisection(bond, ends, cells, max(factor, 0.0), limit)
    y, factor, k = found
    return Capacity(factor, float(mesh.x[k]), answer_at(bond, ends.scaled(factor), cells, y))


def _by_strain(
    bond: Bond, ends: Ends, mesh: Mesh, y: Array, factor: float, k: int, limit: float, by_load: Array
) -> tuple[Array, float, int] | None:
    """Lead the strain at the critical point to the limit; None when that does not settle."""
    for _ in range(12):
        toward = float(np.sign(y[2 * k + 1]) or 1.0)
        led = _march(bond, ends, mesh, y, factor, k, toward * limit, by_load)
        if led is None or led[1] <= 0.0:
            return None
        y, factor = led
        worst = int(np.argmax(np.abs(y[1::2])))
        if abs(y[2 * worst + 1]) <= limit * (1 + 1e-9):
            return y, factor, k
        k = worst
    return None


def _by_bisection(bond: Bond, ends: Ends, cells: int, start: float, limit: float) -> Capacity:
    """The slow, sure way: raise the load until the bond breaks or finds no equilibrium, then halve."""

    def held(factor: float) -> BondAnswer | None:
        try:
            answer = answer_at(bond, ends.scaled(factor), cells)
        except SolverError:
            return None
        return answer if abs(answer.peak.gamma) <= limit else None

    low, best = 0.0, held(0.0)
    if best is None:
        raise SolverError("temperature alone leaves the bond without equilibrium; check the adhesive's data")
    high = start if start > 0.0 else 1e-6
    for _ in range(200):
        answer = held(high)
        if answer is None:
            break
        low, best, high = high, answer, 2.0 * high
    else:
        raise SolverError("no load breaks the bond; check the adhesive's data")
    while high - low > 1e-6 * high:
        middle = (low + high) / 2
        answer = held(middle)
        if answer is None:
            high = middle
        else:
            low, best = middle, answer
        if high < 1e-12:
            break
    return Capacity(low, best.peak.at, best)


def _elastic(bond: Bond, ends: Ends, mesh: Mesh) -> tuple[Array, Array]:
    """The residual of nothing under the ends, and the elastic answer."""
    zero = np.zeros(2 * len(mesh.x))
    residual, jacobian = system(bond, ends, mesh, zero)
    return residual, jacobian.solve(-residual)


def _march(
    bond: Bond, ends: Ends, mesh: Mesh, y: Array, factor: float, k: int, target: float, by_load: Array
) -> tuple[Array, float] | None:
    """Newton for (y, factor) with the strain at node k led to ``target`` in growing strides."""
    now = float(y[2 * k + 1])
    for strides in (1, 4, 16, 64):
        trial, f = y.copy(), factor
        good = True
        for goal in np.linspace(now, target, strides + 1)[1:]:
            found = _bordered(bond, ends, mesh, trial, f, k, float(goal), by_load)
            if found is None:
                good = False
                break
            trial, f = found
        if good:
            return trial, f
    return None


def _bordered(
    bond: Bond, ends: Ends, mesh: Mesh, y: Array, factor: float, k: int, goal: float, by_load: Array
) -> tuple[Array, float] | None:
    """``by_load``: derivative of the residual, which is linear in the load: that of nothing, without heat."""
    y = y.copy()
    for _ in range(40):
        residual, jacobian = system(bond, ends.scaled(factor), mesh, y)
        try:
            step, more = jacobian.bordered(-residual, by_load, k, goal - float(y[2 * k + 1]))
        except np.linalg.LinAlgError:
            return None
        if not np.isfinite(step).all() or not abs(more) <= 1e12:
            return None
        y, factor = y + step, factor + more
        loads = np.abs(y[0::2]).max() + 1e-12
        if np.abs(step[0::2]).max() < 1e-10 * loads and np.abs(step[1::2]).max() < 1e-10 * abs(goal):
            return y, factor
    return None
