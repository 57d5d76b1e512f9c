"""The end of a patch as a plane body: scikit-fem, quadratic elements, nothing shared with the beams.

Patch, adhesive and skin as orthotropic bodies in plane strain, the core (and the plug where the skin is cut
through) as springs. Tests only.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from skfem import (
    Basis,
    BilinearForm,
    ElementQuad2,
    ElementVector,
    LinearForm,
    MeshQuad,
    condense,
    solve,
)
from skfem.helpers import sym_grad


def graded(a, b, left, right, growth, most):
    """Points from a to b, cells of size left and right at the ends, growing inwards."""
    low, high = [a], [b]
    while low[-1] + left < high[-1] - right:
        if left <= right:
            low.append(low[-1] + left)
            left = min(left * growth, most)
        else:
            high.append(high[-1] - right)
            right = min(right * growth, most)
    return np.array(low + high[::-1])


def plane(bond, load, straps, skin, core, plug, across, shear, *, fine=6.0, layers=3):
    """Largest peel in the middle of the adhesive and largest pull on the springs [Pa].

    bond, straps (one a step), skin, core and plug as for ``peel_on_core``; ``across`` and ``shear``
    [Pa]: moduli of patch and skin through their thickness; ``fine``: cells at a step's end in the
    adhesive's thickness, ``layers`` through it (odd).
    """
    glue, deep, reach = bond.adhesive, skin.thickness, 0.02
    ends = np.concatenate([[0.0], np.cumsum([s.length for s in bond.steps])])
    start = -min(plug.half, reach) if plug is not None else 0.0
    stops = np.concatenate([[start] if plug is not None else [], ends, [ends[-1] + reach]])
    h = glue.t / fine
    xs = [stops[:1]]
    for a, b in pairwise(stops):
        far_a, far_b = a < 0 or (plug is None and a == 0), b > ends[-1]
        xs.append(graded(a, b, 1e-3 if far_a else h, 1e-3 if far_b else h, 1.5, 1.5e-3)[1:])
    heights = sorted({round(b.thickness, 9) for b in straps})
    ys = [-deep * np.linspace(1.0, 0.0, 5) ** 1.5, np.linspace(0.0, glue.t, layers + 1)[1:]]
    for low, high in zip([0.0, *heights[:-1]], heights, strict=True):
        ys.append(glue.t + np.linspace(low, high, 4)[1:])
    whole = MeshQuad.init_tensor(np.concatenate(xs), np.concatenate(ys))

    def where(mesh):
        x, y = mesh.p[:, mesh.t].mean(axis=1)
        step = np.clip(np.searchsorted(ends, x) - 1, 0, len(straps) - 1)
        return x, y, step

    x, y, step = where(whole)
    top = glue.t + np.array([b.thickness for b in straps])[step]
    kept = ((y < 0) & ((x > 0) | (plug is None))) | ((y > 0) & (y < top) & (x < ends[-1]))
    mesh = whole.restrict(np.nonzero(kept)[0])
    x, y, step = where(mesh)
    adhesive, strap = (y > 0) & (y < glue.t), y > glue.t
    along1 = np.array([s.K1 / b.thickness for s, b in zip(bond.steps, straps, strict=True)])[step]
    along2 = np.array([s.K2 / deep for s in bond.steps])[step]
    ex = np.where(adhesive, glue.E, np.where(strap, along1, along2))
    ey = np.where(adhesive, glue.E, across)
    g = np.where(adhesive, glue.G, shear)
    c12 = np.where(adhesive, glue.E - 2 * glue.G, 0.0)
    b = Basis(mesh, ElementVector(ElementQuad2()), intorder=4)

    @BilinearForm
    def body(u, v, w):
        e, d = sym_grad(u), sym_grad(v)
        cross = e[0, 0] * d[1, 1] + e[1, 1] * d[0, 0]
        return w.ex * e[0, 0] * d[0, 0] + w.ey * e[1, 1] * d[1, 1] + 4 * w.g * e[0, 1] * d[0, 1] + w.c * cross

    @BilinearForm
    def spring(u, v, w):
        return w.k * u[1] * v[1]

    @LinearForm
    def pull(v, w):
        return w.t * v[0]

    def edge(rule):
        return b.boundary(mesh.facets_satisfying(rule, boundaries_only=True))

    wide = {
        k: np.repeat(v[:, None], b.X.shape[-1], axis=1)
        for k, v in (("ex", ex), ("ey", ey), ("g", g), ("c", c12))
    }
    under = edge(lambda p: np.isclose(p[1], -deep))
    stiff = body.assemble(b, **wide) + spring.assemble(under, k=core)
    if plug is not None:
        over = edge(lambda p: np.isclose(p[1], 0.0) & (p[0] < 1e-12))
        stiff = stiff + spring.assemble(over, k=plug.spring)
    force = pull.assemble(edge(lambda p: np.isclose(p[0], stops[-1])), t=load / deep)
    held = b.get_dofs(mesh.facets_satisfying(lambda p: np.isclose(p[0], stops[0]), boundaries_only=True))
    fixed = np.concatenate([held.nodal["u^1"], held.facet["u^1"]])
    u = solve(*condense(stiff, force, D=fixed))
    row = np.nonzero((abs(y - glue.t / 2) < 1e-9) & (x > 0) & (x < ends[-1]))[0]
    middle = (np.array([[0.5], [0.5]]), np.array([1.0]))
    grad = Basis(mesh, ElementVector(ElementQuad2()), elements=row, quadrature=middle).interpolate(u).grad
    peel = glue.E * grad[1, 1] + (glue.E - 2 * glue.G) * grad[0, 0]
    sunk = [core * abs(under.interpolate(u)[1]).max()]
    if plug is not None:
        sunk.append(plug.spring * abs(over.interpolate(u)[1]).max())
    return float(abs(peel).max()), float(max(sunk))
