"""A slow, independent way to the same answer: own assembly, absent cells left out, BDF in time."""

from __future__ import annotations

import numpy as np
from scipy.integrate import solve_ivp

from panelmend.physics.heat import HeatModel


def solve(model: HeatModel, times: list[float], duty: float = 1.0) -> tuple[np.ndarray, np.ndarray]:
    """Temperatures [K], shape (times, nz, ny, nx), NaN where absent; degree of cure alike.

    Constant duty, no water, no edges. Films are tabled twenty times finer than the solver does.
    """
    ny, nx = model.grid.shape
    dx, dy = model.grid.dx, model.grid.dy
    cells = []  # (k, j, i, layer, sublayer)
    k = 0
    for layer in model.layers:
        thick = np.broadcast_to(layer.thickness, (ny, nx))
        for s in range(layer.cells):
            cells += [(k, j, i, layer, s) for j in range(ny) for i in range(nx) if thick[j, i] > 0.0]
            k += 1
    nz = k
    number = {(c[0], c[1], c[2]): n for n, c in enumerate(cells)}

    def value(field: object, j: int, i: int) -> float:
        return float(np.broadcast_to(np.asarray(field, dtype=float), (ny, nx))[j, i])

    def height(c: tuple) -> float:
        return value(c[3].thickness, c[1], c[2]) / c[3].cells

    n = len(cells)
    capacity, a, source = np.zeros(n), np.zeros((n, n)), np.zeros(n)
    heat_of_cure, laws = np.zeros(n), [None] * n
    for m, c in enumerate(cells):
        _, j, i, layer, _ = c
        capacity[m] = value(layer.heat, j, i) * height(c) * dx[i] * dy[j]
        if layer.resin is not None:
            heat_of_cure[m] = value(layer.resin.heat, j, i) * dx[i] * dy[j] / layer.cells
            laws[m] = layer.resin.law
        for heater in model.heaters:
            if heater.layer == layer.name:
                source[m] += duty * value(heater.power, j, i) * dx[i] * dy[j] / layer.cells

    def join(m: int, o: int, g: float) -> None:
        a[m, m] -= g
        a[o, o] -= g
        a[m, o] += g
        a[o, m] += g

    for m, c in enumerate(cells):
        k, j, i, layer, sub = c
        east, north = number.get((k, j, i + 1)), number.get((k, j + 1, i))
        if east is not None:
            other = cells[east]
            r1 = 0.5 * dx[i] / (value(layer.k_x, j, i) * height(c) * dy[j])
            r2 = 0.5 * dx[i + 1] / (value(layer.k_x, j, i + 1) * height(other) * dy[j])
            join(m, east, 1.0 / (r1 + r2))
        if north is not None:
            other = cells[north]
            r1 = 0.5 * dy[j] / (value(layer.k_y, j, i) * height(c) * dx[i])
            r2 = 0.5 * dy[j + 1] / (value(layer.k_y, j + 1, i) * height(other) * dx[i])
            join(m, north, 1.0 / (r1 + r2))
        below = next((number[(kk, j, i)] for kk in range(k + 1, nz) if (kk, j, i) in number), None)
        if below is not None:
            other = cells[below]
            contact = value(layer.contact, j, i) if sub == layer.cells - 1 else 0.0
            r = 0.5 * height(c) / value(layer.k_z, j, i) + contact
            r += 0.5 * height(other) / value(other[3].k_z, j, i)
            join(m, below, dx[i] * dy[j] / r)
    faces: dict[int, list[tuple[int, float, float]]] = {}
    for j in range(ny):
        for i in range(nx):
            column = [kk for kk in range(nz) if (kk, j, i) in number]
            for kk, which in ((column[0], model.top), (column[-1], model.bottom)):
                m = number[(kk, j, i)]
                series = 0.5 * height(cells[m]) / value(cells[m][3].k_z, j, i)
                cover = int(np.broadcast_to(which, (ny, nx))[j, i])
                faces.setdefault(cover, []).append((m, dx[i] * dy[j], series))
    fine = np.arange(250.0, 560.0, 0.5)
    films = {c: np.array([model.covers[c].coefficient(t) for t in fine]) for c in faces}
    groups = {
        c: (np.array([f[0] for f in fs]), np.array([f[1] for f in fs]), np.array([f[2] for f in fs]))
        for c, fs in faces.items()
    }

    def slope(_: float, y: np.ndarray) -> np.ndarray:
        t, alpha = y[:n], y[n:]
        q = a @ t + source
        for c, (m, area, series) in groups.items():
            air, face = model.covers[c].air, t[m]
            for _ in range(8):
                face = air + (t[m] - air) / (1.0 + np.interp(face, fine, films[c]) * series)
            np.subtract.at(q, m, area * (t[m] - face) / series)
        rate = np.array([law(alpha[m], t[m]) if law else 0.0 for m, law in enumerate(laws)])
        return np.concatenate([(q + heat_of_cure * rate) / capacity, rate])

    start = np.array([value(model.start, c[1], c[2]) for c in cells])
    y0 = np.concatenate([start, np.zeros(n)])
    found = solve_ivp(slope, (0.0, times[-1]), y0, "BDF", times, rtol=1e-6, atol=1e-6)
    temperature = np.full((len(times), nz, ny, nx), np.nan)
    degree = np.full_like(temperature, np.nan)
    for m, c in enumerate(cells):
        temperature[:, c[0], c[1], c[2]] = found.y[m]
        degree[:, c[0], c[1], c[2]] = found.y[n + m]
    return temperature, degree
