"""A second, independent plate: scikit-fem biquadratic elements with 2 x 2 points (reduced integration).

Used by tests and benchmarks as the other opinion; it shares no code with the plate it checks.
"""

from __future__ import annotations

import numpy as np
from skfem import Basis, BilinearForm, ElementQuad2, ElementVector, LinearForm, MeshQuad, condense


def basis(x, y):
    """Five-component biquadratic basis on a tensor grid, 2 x 2 Gauss points."""
    g = 0.5 / np.sqrt(3.0)
    points = np.array([[0.5 - g, 0.5 + g, 0.5 - g, 0.5 + g], [0.5 - g, 0.5 - g, 0.5 + g, 0.5 + g]])
    mesh = MeshQuad.init_tensor(x, y)
    return Basis(mesh, ElementVector(ElementQuad2(), 5), quadrature=(points, np.full(4, 0.25)))


def matrices(b, abd, shear):
    """Stiffness for abd (6, 6) and shear (2, 2), constant or functions of x, y; load of a unit pressure."""

    @BilinearForm
    def stiff(u, v, w):
        c = abd(w.x[0], w.x[1]) if callable(abd) else abd
        s = shear(w.x[0], w.x[1]) if callable(shear) else shear
        a, b_ = _strains(u), _strains(v)
        g, h = _shears(u), _shears(v)
        total = sum(c[i, j] * b_[i] * a[j] for i in range(6) for j in range(6) if np.any(c[i, j]))
        return total + sum(s[i, j] * h[i] * g[j] for i in range(2) for j in range(2) if np.any(s[i, j]))

    @LinearForm
    def push(v, w):
        return v[2]

    return stiff.assemble(b), push.assemble(b)


def _strains(u):
    d = u.grad
    return d[0][0], d[1][1], d[0][1] + d[1][0], d[3][0], d[4][1], d[3][1] + d[4][0]


def _shears(u):
    d = u.grad
    return d[2][0] + u[3], d[2][1] + u[4]


def simply_supported(x, y, abd, shear, *, solver=None):
    """Centre deflection under unit pressure: w and the rotation along each edge held, u and v held too.

    In-plane: the edge's own direction is held (u on bottom and top, v on left and right), as Navier's
    solution for cross-plies asks.
    """
    b = basis(x, y)
    k, f = matrices(b, abd, shear)
    held = _edges(b, x, y)
    system = condense(k, f, D=held)
    matrix, load, full, keep = system
    if solver is None:
        from scipy.sparse.linalg import splu

        answer = splu(
            matrix.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
        ).solve(load)
    else:
        answer = solver(matrix, load)
    u = np.array(full, dtype=float)
    u[keep] = answer
    return centre(b, u, x, y), b.N


def _edges(b, x, y):
    """Numbers of the held unknowns, found by their position."""
    px, py = b.doflocs
    comp = np.full(b.N, -1)
    for dofs in (b.nodal_dofs, b.facet_dofs, b.interior_dofs):
        for k in range(5):
            comp[dofs[k]] = k
    on_x = np.isclose(px, x[0]) | np.isclose(px, x[-1])
    on_y = np.isclose(py, y[0]) | np.isclose(py, y[-1])
    held = (on_x & np.isin(comp, (1, 2, 4))) | (on_y & np.isin(comp, (0, 2, 3)))
    return np.flatnonzero(held)


def centre(b, u, x, y):
    """Deflection at the node in the middle."""
    xm, ym = (x[0] + x[-1]) / 2, (y[0] + y[-1]) / 2
    px, py = b.doflocs
    for dofs in (b.nodal_dofs, b.facet_dofs, b.interior_dofs):
        d = dofs[2]
        hit = np.flatnonzero(np.isclose(px[d], xm) & np.isclose(py[d], ym))
        if hit.size:
            return float(u[d[hit[0]]])
    raise LookupError("no node in the middle")
