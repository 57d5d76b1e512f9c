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

GAP = 0.5e-3  # m, beside what is laid in place of cut plies


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


def plane(bond, load, straps, skin, core, plug, across, shear, *, fine=6.0, layers=3, fill=None):
    """Largest peel in the middle of the adhesive and largest pull on the springs [Pa].

    bond, straps (one a step), skin, core and plug as for ``peel_on_core``; ``across`` and ``shear``
    [Pa]: moduli of patch and skin through their thickness; ``fine``: cells at a step's end in the
    adhesive's thickness, ``layers`` through it (odd). ``fill``: depth [m] and modulus [Pa] of what is laid
    in place of cut plies in the first step, beside a gap at their end; the plies below run on.
    """
    glue, deep, reach = bond.adhesive, skin.thickness, 0.02
    ends = np.concatenate([[0.0], np.cumsum([s.length for s in bond.steps])])
    start = -min(plug.half, reach) if plug is not None else 0.0
    stops = np.concatenate([[start] if plug is not None else [], ends, [ends[-1] + reach]])
    h = glue.t / fine
    xs = [stops[:1]]
    if fill is not None:
        stops = np.sort(np.append(stops, ends[1] - GAP))
    for a, b in pairwise(stops):
        far_a, far_b = a < 0 or (plug is None and a == 0), b > ends[-1]
        xs.append(graded(a, b, 1e-3 if far_a else h, 1e-3 if far_b else h, 1.5, 1.5e-3)[1:])
    heights = sorted({round(b.thickness, 9) for b in straps})
    whole = -deep * np.linspace(1.0, 0.0, 5) ** 1.5
    if fill is not None:
        whole = np.concatenate([np.linspace(-deep, -fill[0], 4), np.linspace(-fill[0], 0.0, 4)[1:]])
    ys = [whole, np.linspace(0.0, glue.t, layers + 1)[1:]]
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
    if fill is not None:
        kept &= ~((y < 0) & (y > -fill[0]) & (x > ends[1] - GAP) & (x < ends[1]))
    mesh = whole.restrict(np.nonzero(kept)[0])
    x, y, step = where(mesh)
    adhesive, strap = (y > 0) & (y < glue.t), y > glue.t
    along1 = np.array([s.K1 / b.thickness for s, b in zip(bond.steps, straps, strict=True)])[step]
    along2 = np.array([s.K2 / deep for s in bond.steps])[step]
    if fill is not None:
        cut = fill[0] < deep
        left = np.where(cut, bond.steps[0].K2 / (deep - fill[0]), 0.0)
        along2 = np.where(step == 0, np.where(y > -fill[0], fill[1], left), along2)
        # what is laid in the cut is in the first step's K1 and stands on its own here
        along1 = np.where(step == 0, (bond.steps[0].K1 - fill[0] * fill[1]) / straps[0].thickness, along1)
    ex = np.where(adhesive, glue.E, np.where(strap, along1, along2))
    row = np.nonzero((abs(y - glue.t / 2) < 1e-9) & (x > 0) & (x < ends[-1]))[0]
    under = mesh.facets_satisfying(lambda p: np.isclose(p[1], -deep), boundaries_only=True)
    over = mesh.facets_satisfying(lambda p: np.isclose(p[1], 0.0) & (p[0] < 1e-12), boundaries_only=True)
    rests = [(under, core)] + ([(over, plug.spring)] if plug is not None else [])
    return _pulled(mesh, glue, adhesive, ex, across, shear, rests, (stops[0], stops[-1]), load / deep, row)


def scarf(glue, load, moduli, depth, cap, length, core, plug, across, shear, *, fine=4.0):
    """The same for a scarf through the whole skin: ``moduli`` [Pa] of patch, skin and cap, ``cap`` its
    thickness and how far it reaches past the rim [m] (0, 0: none).
    """
    thin, reach, tip = 2e-3 * depth, 0.02, cap[1] > 0.0
    end, h = length + cap[1], glue.t / fine
    stops = np.array([-min(plug.half, reach), 0.0, length, *([end] if tip else []), end + reach])
    xs = [stops[:1]]
    for a, b in pairwise(stops):
        xs.append(graded(a, b, 1e-3 if a < 0 else h, 1e-3 if b > end else h, 1.4, 6e-4)[1:])
    t = glue.t
    ys = [-depth * np.linspace(1.0, 0.0, 6), np.linspace(0.0, t, 4)[1:], t + depth * np.linspace(0, 1, 6)[1:]]
    if tip:
        ys.append(t + depth + np.linspace(0.0, cap[0], 4)[1:])
    whole = MeshQuad.init_tensor(np.concatenate(xs), np.concatenate(ys))
    x, y = whole.p[:, whole.t].mean(axis=1)
    kept = np.where(y < 0, x > 0, x < end)
    flat = whole.restrict(np.nonzero(kept)[0])
    x, y = flat.p[:, flat.t].mean(axis=1)
    adhesive = (y > 0) & (y < t)
    lap = np.where(x > length, moduli[2], moduli[0])
    ex = np.where(y < 0, moduli[1], np.where(adhesive, glue.E, np.where(y > t + depth, moduli[2], lap)))
    row = np.nonzero((abs(y - t / 2) < t / 20) & (x > 0) & (x < end))[0]
    under = flat.facets_satisfying(lambda p: np.isclose(p[1], -depth), boundaries_only=True)
    over = flat.facets_satisfying(lambda p: np.isclose(p[1], 0.0) & (p[0] < 1e-12), boundaries_only=True)
    px, py = flat.p
    share = np.clip(px / length, 0.0, 1.0)
    face = -(depth - thin) * (1.0 - share)  # where skin ends and adhesive begins
    patch = np.maximum(-face, thin)
    moved = np.where(py > t + depth, py - depth + patch + face, t + face + (py - t) * patch / depth)
    moved = np.where(py <= t + 1e-12, py + face, moved)
    moved = np.where(py <= 1e-12, -depth + (py + depth) * (depth + face) / depth, moved)
    mesh = MeshQuad(np.stack([px, moved]), flat.t)
    rests = [(under, core), (over, plug.spring)]
    ends = (stops[0], stops[-1])
    return _pulled(mesh, glue, adhesive, ex, across, shear, rests, ends, load / depth, row)


def _pulled(mesh, glue, adhesive, ex, across, shear, rests, ends, pulled, row):
    """Solve, and read the peel across ``row`` of the adhesive and the most that springs ``rests`` pull."""
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

    wide = {
        k: np.repeat(v[:, None], b.X.shape[-1], axis=1)
        for k, v in (("ex", ex), ("ey", ey), ("g", g), ("c", c12))
    }
    stiff = body.assemble(b, **wide)
    edges = [(b.boundary(facets), k) for facets, k in rests]
    for edge, k in edges:
        stiff = stiff + spring.assemble(edge, k=k)
    far = mesh.facets_satisfying(lambda p: np.isclose(p[0], ends[1]), boundaries_only=True)
    force = pull.assemble(b.boundary(far), t=pulled)
    held = b.get_dofs(mesh.facets_satisfying(lambda p: np.isclose(p[0], ends[0]), boundaries_only=True))
    fixed = np.concatenate([held.nodal["u^1"], held.facet["u^1"]])
    u = solve(*condense(stiff, force, D=fixed))
    middle = (np.array([[0.5], [0.5]]), np.array([1.0]))
    grad = Basis(mesh, ElementVector(ElementQuad2()), elements=row, quadrature=middle).interpolate(u).grad
    sx, sy = (glue.E * grad[i, i] + (glue.E - 2 * glue.G) * grad[1 - i, 1 - i] for i in (0, 1))
    sxy = glue.G * (grad[0, 1] + grad[1, 0])
    # across the layer, which lies aslant in a scarf
    a, d = mesh.p[:, mesh.t[0, row]], mesh.p[:, mesh.t[:, row]]
    slope = _slopes(d)[:, None]
    peel = (sy - 2 * slope * sxy + slope**2 * sx) / (1 + slope**2)
    assert a.shape[1] == len(row)
    sunk = [k * abs(edge.interpolate(u)[1]).max() for edge, k in edges]
    return float(abs(peel).max()), float(max(sunk))


def _slopes(corners):
    """Slope of the lower side of quads given by their corners, (2, 4, n)."""
    x, y = corners
    low = np.argsort(y - 1e-3 * (x - x.mean(axis=0)), axis=0)[:2]
    (x0, x1), (y0, y1) = np.take_along_axis(x, low, 0), np.take_along_axis(y, low, 0)
    return (y1 - y0) / (x1 - x0)
