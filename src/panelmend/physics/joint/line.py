"""A bond of any number of steps as one line: shear along it, elastic-plastic, unequal adherends, heat.

The adherends stretch, the adhesive shears (the assumptions of Volkersen 1938 and Hart-Smith, NASA CR-112235
to CR-112237)::

    T1' = -faces tau(gamma)
    t gamma' = (T2/K2 + a2 dT) - (T1/K1 + a1 dT),   T2 = total - T1

Solved by a fourth-order two-point scheme on a graded mesh with Newton's method; K may vary linearly in a
step (scarf) and jump between steps.
"""

from __future__ import annotations

import math

import numpy as np

from panelmend.errors import SolverError
from panelmend.physics.joint.bond import Bond, BondAnswer, Ends, StepPeak, length_where
from panelmend.physics.joint.scheme import Mesh, mesh_of, system
from panelmend.physics.structure_inputs import Array


def solve_bond(bond: Bond, ends: Ends, cells: int = 120) -> BondAnswer:
    """Shear along a bond under given ends.

    Args:
        bond: the bond.
        ends: loads at its ends and temperature.
        cells: mesh cells a step.

    Returns:
        The whole answer along the bond.

    Raises:
        InputError: symmetry asked at both ends.
        SolverError: the load is more than the adhesive can carry in flow, so there is no equilibrium.
    """
    return answer_at(bond, ends, cells)


def answer_at(bond: Bond, ends: Ends, cells: int, guess: Array | None = None) -> BondAnswer:
    """As :func:`solve_bond`; ``guess`` are node values (T1 [N/m], gamma [1]) that already solve the
    scheme."""
    mesh = mesh_of(bond, cells)
    return _answer(bond, ends, mesh, _newton(bond, ends, mesh) if guess is None else guess)


def _newton(bond: Bond, ends: Ends, mesh: Mesh) -> Array:
    """Node values (T1, gamma), flattened, that satisfy the scheme."""
    y = _linear(bond, ends, mesh)
    for load in (None, 8, 32):
        found = _iterate(bond, ends, mesh, y)
        if found is not None:
            return found
        if load is None:
            continue
        y = _linear(bond, ends.scaled(1.0 / load), mesh)
        for k in range(1, load + 1):
            found = _iterate(bond, ends.scaled(k / load), mesh, y)
            if found is None:
                break
            y = found
        if found is not None:
            return found
    raise SolverError(
        f"the bond carries no such load: total {ends.total:g} N/m over {bond.length:g} m; "
        "ask for its capacity instead, or make the overlap longer"
    )


def _linear(bond: Bond, ends: Ends, mesh: Mesh) -> Array:
    elastic = Bond(bond.steps, bond.adhesive.elastic(), bond.faces)
    zero = np.zeros(2 * len(mesh.x))
    residual, jacobian = system(elastic, ends, mesh, zero)
    return jacobian.solve(-residual)


def _iterate(bond: Bond, ends: Ends, mesh: Mesh, y: Array) -> Array | None:
    for _ in range(40):
        residual, jacobian = system(bond, ends, mesh, y)
        try:
            step = jacobian.solve(-residual)
        except np.linalg.LinAlgError:
            return None
        if not np.isfinite(step).all() or np.abs(step[1::2]).max() > 1e6:
            return None
        y = y + step
        still = all(
            np.abs(step[part::2]).max() <= 1e-11 * np.abs(y[part::2]).max() + 1e-300 for part in (0, 1)
        )
        if still:
            return np.asarray(y)
    return None


def _answer(bond: Bond, ends: Ends, mesh: Mesh, y: Array) -> BondAnswer:
    T1, gamma = y[0::2].copy(), y[1::2].copy()
    tau, _ = bond.adhesive.shear(gamma)
    peaks = []
    for a, b in zip(mesh.first[:-1], mesh.first[1:], strict=True):
        part = slice(a, b + 1)
        size = np.abs(gamma[part])
        k = a + int(np.argmax(size))
        flow = bond.adhesive.g_flow
        plastic = 0.0 if math.isinf(flow) else length_where(mesh.x[part], size - flow)
        peaks.append(
            StepPeak(
                float(tau[k]), float(gamma[k]), float(mesh.x[k]), plastic, float(np.abs(tau[part]).min())
            )
        )
    return BondAnswer(bond, ends, mesh.x, tau, gamma, T1, ends.total - T1, mesh.first, tuple(peaks))
