"""The compiled line sweeps of the heat solver: through the thickness, along x, along y.

With A = Ax + Ay + Az: (C - dt/2 Az) d1 = w (A T + q), (C - dt/2 Ax) d2 = C d1, (C - dt/2 Ay) d = C d2.
"""

from __future__ import annotations

from typing import Any

from panelmend.physics.heat.compiled import compiled


def factor(C: Any, G: Any, half: float, axis: int, m: Any) -> None:
    """Pivots of the line systems along x (axis 2) or y (axis 1), inverted, into ``m`` (nz, ny, nx) [K/J];
    ``half`` [s]."""
    nz, ny, nx = C.shape
    for k in range(nz):
        if axis == 2:
            for j in range(ny):
                before = 0.0
                for i in range(nx):
                    g0 = half * G[k, j, i - 1] if i > 0 else 0.0
                    m[k, j, i] = 1.0 / (C[k, j, i] + g0 + half * G[k, j, i] - g0 * before)
                    before = half * G[k, j, i] * m[k, j, i]
        else:
            for j in range(ny):
                for i in range(nx):
                    g0 = half * G[k, j - 1, i] if j > 0 else 0.0
                    before = g0 * m[k, j - 1, i] if j > 0 else 0.0
                    m[k, j, i] = 1.0 / (C[k, j, i] + g0 + half * G[k, j, i] - g0 * before)


def sweep_z(
    T: Any,
    C: Any,
    Gx: Any,
    Gy: Any,
    Gz: Any,
    q: Any,
    s: Any,
    w: float,
    half: float,
    span: Any,
    d: Any,
    u: Any,
) -> None:
    """d1 (nz, ny, nx) [K]: right-hand side w (A T + q - s T) and the implicit sweep through the thickness.

    ``T``, ``Gx`` and ``Gy`` are flat, with a row of zeros before and behind. ``span`` (blocks of rows, nz,
    3): of each layer of a block the first cell to work on, one beyond the last, and where the block begins
    in its plane. Conductances are 0 at the last cell of their axis, so what lies beyond it may be any. Short
    loops of few arrays, for a compiler gives up on vectors where many could overlap."""
    nz, ny, nx = d.shape
    plane = ny * nx
    R, cc, zz, qf, sf = d.reshape(-1), C.reshape(-1), Gz.reshape(-1), q.reshape(-1), s.reshape(-1)
    for n in range(span.shape[0]):
        for k in range(nz):
            many = span[n, k, 1] - span[n, k, 0]
            if many <= 0:
                continue
            at, base = k * plane + span[n, k, 0], span[n, k, 0] - span[n, k, 2]
            end, pad = at + many, at + nx
            out = pad + many
            up, down = plane if k > 0 else 0, plane if k < nz - 1 else 0
            t, r, c, ss, qq = T[pad:out], R[at:end], cc[at:end], sf[at:end], qf[at:end]
            g, h, a, b = Gy[pad:out], Gy[pad - nx : out - nx], T[pad + nx : out + nx], T[pad - nx : out - nx]
            for i in range(many):
                r[i] = qq[i] - ss[i] * t[i] + g[i] * (a[i] - t[i]) - h[i] * (t[i] - b[i])
            g, h, a, b = Gx[pad:out], Gx[pad - 1 : out - 1], T[pad + 1 : out + 1], T[pad - 1 : out - 1]
            for i in range(many):
                r[i] += g[i] * (a[i] - t[i]) - h[i] * (t[i] - b[i])
            below, above = zz[at:end], zz[at - up : end - up]
            a, b = T[pad + down : out + down], T[pad - up : out - up]
            for i in range(many):
                r[i] += below[i] * (a[i] - t[i]) - above[i] * (t[i] - b[i])
            v = u[k, base : base + many]
            if k == 0:
                for i in range(many):
                    v[i] = 1.0 / (c[i] + half * (below[i] + ss[i]))
                for i in range(many):
                    r[i] = w * r[i] * v[i]
            else:
                before, done = u[k - 1, base : base + many], R[at - up : end - up]
                for i in range(many):
                    v[i] = 1.0 / (c[i] + half * (above[i] + below[i] + ss[i]) - half * above[i] * before[i])
                for i in range(many):
                    r[i] = (w * r[i] + half * above[i] * done[i]) * v[i]
            for i in range(many):
                v[i] = half * below[i] * v[i]
        for k in range(nz - 2, -1, -1):
            many = span[n, k, 1] - span[n, k, 0]
            if many <= 0:
                continue
            at, base = k * plane + span[n, k, 0], span[n, k, 0] - span[n, k, 2]
            r, after, v = R[at : at + many], R[at + plane : at + plane + many], u[k, base : base + many]
            for i in range(many):
                r[i] += v[i] * after[i]


def sweep_x(C: Any, G: Any, m: Any, half: float, rows: Any, d: Any) -> None:
    """The implicit sweep of ``d`` (nz, ny, nx) [K] along x by the pivots ``m``; ``half`` [s].

    ``rows`` (n, 4): layer, first of four rows beside each other, first and last cell of where they are there.
    Four rows at once, for each cell waits for the one before it."""
    ny = d.shape[1]
    for n in range(rows.shape[0]):
        k, j, a, b = rows[n, 0], rows[n, 1], rows[n, 2], rows[n, 3]
        if j + 4 > ny:
            for one in range(j, ny):
                _line(C[k, one, a:b], G[k, one, a:b], m[k, one, a:b], half, d[k, one, a:b])
            continue
        r0, c0, g0, p0 = d[k, j, a:b], C[k, j, a:b], G[k, j, a:b], m[k, j, a:b]
        r1, c1, g1, p1 = d[k, j + 1, a:b], C[k, j + 1, a:b], G[k, j + 1, a:b], m[k, j + 1, a:b]
        r2, c2, g2, p2 = d[k, j + 2, a:b], C[k, j + 2, a:b], G[k, j + 2, a:b], m[k, j + 2, a:b]
        r3, c3, g3, p3 = d[k, j + 3, a:b], C[k, j + 3, a:b], G[k, j + 3, a:b], m[k, j + 3, a:b]
        y0, y1, y2, y3 = 0.0, 0.0, 0.0, 0.0
        e0, e1, e2, e3 = 0.0, 0.0, 0.0, 0.0
        for i in range(b - a):
            y0 = c0[i] * r0[i] * p0[i] + (e0 * p0[i]) * y0
            y1 = c1[i] * r1[i] * p1[i] + (e1 * p1[i]) * y1
            y2 = c2[i] * r2[i] * p2[i] + (e2 * p2[i]) * y2
            y3 = c3[i] * r3[i] * p3[i] + (e3 * p3[i]) * y3
            r0[i], r1[i], r2[i], r3[i] = y0, y1, y2, y3
            e0, e1, e2, e3 = half * g0[i], half * g1[i], half * g2[i], half * g3[i]
        for i in range(b - a - 2, -1, -1):
            y0 = r0[i] + (half * g0[i] * p0[i]) * y0
            y1 = r1[i] + (half * g1[i] * p1[i]) * y1
            y2 = r2[i] + (half * g2[i] * p2[i]) * y2
            y3 = r3[i] + (half * g3[i] * p3[i]) * y3
            r0[i], r1[i], r2[i], r3[i] = y0, y1, y2, y3


def _line(c: Any, g: Any, p: Any, half: float, r: Any) -> None:
    y, e = 0.0, 0.0
    for i in range(r.size):
        y = c[i] * r[i] * p[i] + (e * p[i]) * y
        r[i] = y
        e = half * g[i]
    for i in range(r.size - 2, -1, -1):
        y = r[i] + (half * g[i] * p[i]) * y
        r[i] = y


def sweep_y(C: Any, G: Any, m: Any, half: float, boxes: Any, d: Any) -> None:
    """The implicit sweep of ``d`` (nz, ny, nx) [K] along y by the pivots ``m``; ``half`` [s].

    ``boxes`` (nz, 4): first and last row and cell of where each layer is there."""
    for k in range(d.shape[0]):
        j0, j1, i0, i1 = boxes[k, 0], boxes[k, 1], boxes[k, 2], boxes[k, 3]
        if j0 >= j1:
            continue
        r, c, p = d[k, j0, i0:i1], C[k, j0, i0:i1], m[k, j0, i0:i1]
        for i in range(i1 - i0):
            r[i] = c[i] * r[i] * p[i]
        for j in range(j0 + 1, j1):
            r, c, p = d[k, j, i0:i1], C[k, j, i0:i1], m[k, j, i0:i1]
            g, last = G[k, j - 1, i0:i1], d[k, j - 1, i0:i1]
            for i in range(i1 - i0):
                r[i] = (c[i] * r[i] + half * g[i] * last[i]) * p[i]
        for j in range(j1 - 2, j0 - 1, -1):
            r, p, g, after = d[k, j, i0:i1], m[k, j, i0:i1], G[k, j, i0:i1], d[k, j + 1, i0:i1]
            for i in range(i1 - i0):
                r[i] += half * g[i] * p[i] * after[i]


_line = compiled(_line)
factor = compiled(factor)
sweep_z = compiled(sweep_z)
sweep_x = compiled(sweep_x)
sweep_y = compiled(sweep_y)
