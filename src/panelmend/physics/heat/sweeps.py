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
    T: Any, C: Any, Gx: Any, Gy: Any, Gz: Any, q: Any, s: Any, w: float, half: float, d: Any, u: Any
) -> None:
    """d1 (nz, ny, nx) [K]: right-hand side w (A T + q - s T) and the implicit sweep through the thickness."""
    nz, ny, nx = T.shape
    for j in range(ny):
        for k in range(nz):
            t, r = T[k, j], d[k, j]
            qq, ss = q[k, j], s[k, j]
            for i in range(nx):
                r[i] = qq[i] - ss[i] * t[i]
            g = Gx[k, j]
            for i in range(nx - 1):
                r[i] += g[i] * (t[i + 1] - t[i])
            for i in range(1, nx):
                r[i] -= g[i - 1] * (t[i] - t[i - 1])
            if j < ny - 1:
                g, other = Gy[k, j], T[k, j + 1]
                for i in range(nx):
                    r[i] += g[i] * (other[i] - t[i])
            if j > 0:
                g, other = Gy[k, j - 1], T[k, j - 1]
                for i in range(nx):
                    r[i] -= g[i] * (t[i] - other[i])
            if k < nz - 1:
                g, other = Gz[k, j], T[k + 1, j]
                for i in range(nx):
                    r[i] += g[i] * (other[i] - t[i])
            if k > 0:
                g, other = Gz[k - 1, j], T[k - 1, j]
                for i in range(nx):
                    r[i] -= g[i] * (t[i] - other[i])
            c, below = C[k, j], Gz[k, j]
            if k == 0:
                for i in range(nx):
                    b = 1.0 / (c[i] + half * (below[i] + ss[i]))
                    u[k, i] = half * below[i] * b
                    r[i] = w * r[i] * b
            else:
                above, last = Gz[k - 1, j], d[k - 1, j]
                for i in range(nx):
                    a = half * above[i]
                    b = 1.0 / (c[i] + a + half * (below[i] + ss[i]) - a * u[k - 1, i])
                    u[k, i] = half * below[i] * b
                    r[i] = (w * r[i] + a * last[i]) * b
        for k in range(nz - 2, -1, -1):
            r, after = d[k, j], d[k + 1, j]
            for i in range(nx):
                r[i] += u[k, i] * after[i]


def sweep_x(C: Any, G: Any, m: Any, half: float, d: Any) -> None:
    """The implicit sweep of ``d`` (nz, ny, nx) [K] along x by the pivots ``m``; ``half`` [s]."""
    nz, ny, nx = d.shape
    for k in range(nz):
        for j in range(ny):
            r, c, g, p = d[k, j], C[k, j], G[k, j], m[k, j]
            y = c[0] * r[0] * p[0]
            r[0] = y
            for i in range(1, nx):
                y = (c[i] * r[i] + half * g[i - 1] * y) * p[i]
                r[i] = y
            for i in range(nx - 2, -1, -1):
                y = r[i] + half * g[i] * p[i] * y
                r[i] = y


def sweep_y(C: Any, G: Any, m: Any, half: float, d: Any) -> None:
    """The implicit sweep of ``d`` (nz, ny, nx) [K] along y by the pivots ``m``; ``half`` [s]."""
    nz, ny, nx = d.shape
    for k in range(nz):
        r, c, p = d[k, 0], C[k, 0], m[k, 0]
        for i in range(nx):
            r[i] = c[i] * r[i] * p[i]
        for j in range(1, ny):
            r, c, p, g, last = d[k, j], C[k, j], m[k, j], G[k, j - 1], d[k, j - 1]
            for i in range(nx):
                r[i] = (c[i] * r[i] + half * g[i] * last[i]) * p[i]
        for j in range(ny - 2, -1, -1):
            r, p, g, after = d[k, j], m[k, j], G[k, j], d[k, j + 1]
            for i in range(nx):
                r[i] += half * g[i] * p[i] * after[i]


factor = compiled(factor)
sweep_z = compiled(sweep_z)
sweep_x = compiled(sweep_x)
sweep_y = compiled(sweep_y)
