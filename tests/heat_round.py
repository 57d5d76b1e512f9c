"""The demonstration's cure of plies as a round model of its own: rings and layers, implicit Euler, no rib.

Every number is read off the document by hand; squares and ovals are circles of their area. Without lateral
heat each ring is a column for itself: what a calculation through the thickness alone would say.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.sparse import coo_matrix, diags
from scipy.sparse.linalg import splu

AIR, BOLTZMANN, GAS = 291.15, 5.670374419e-8, 8.314462
PLIES = (0.02766, 0.04027, 0.05516, 0.07233, 0.09177)  # m2
THICK = (0.25e-3, 0.25e-3, 0.25e-3, 0.25e-3, 0.1e-3)
CURES = (57e3, 57e3, 57e3, 57e3, 28.5e3)  # J/m2
BLED = (0.15, 0.15, 0.15, 0.15, 0.03)  # kg/m2, and 0.1 brushed on under the largest
SET, RATE, LOW, DWELL = 352.15, 0.55 / 60.0, 350.15, 7200.0
BESIDE = 0.0143  # m: thermocouples beyond the last ply


@dataclass(frozen=True)
class Cured:
    """Hottest of the bond line, and its coldest in the dwell [K]."""

    hottest: float
    coldest: float


def _radius(area: float) -> float:
    return math.sqrt(area / math.pi)


def _film(surface: np.ndarray, *, up: bool) -> np.ndarray:
    """McAdams' level plate, 985 hPa, and radiation [W/(m2 K)]."""
    mean, length = 0.5 * (surface + AIR), 0.604 / 4.0
    k = 2.64638e-3 * mean**1.5 / (mean + 245.4 * 10.0 ** (-12.0 / mean))
    mu = 1.458e-6 * mean**1.5 / (mean + 110.4)
    rho = 98500.0 / (287.053 * mean)
    rayleigh = 9.80665 * abs(surface - AIR) / mean * length**3 * (rho / mu) ** 2 * mu * 1007.0 / k
    top = np.where(rayleigh < 1e7, 0.54 * rayleigh**0.25, 0.15 * rayleigh ** (1.0 / 3.0))
    moved = (top if up else 0.27 * rayleigh**0.25) * k / length
    return moved + (2.0 if up else 1.0) + 0.9 * BOLTZMANN * (surface**2 + AIR**2) * (surface + AIR)


def cured(*, lateral: bool = True, caul: bool = True, ring: float = 0.012, step: float = 30.0) -> Cured:
    """The cure with the likely values, a quarter of the bled resin gone to the edge.

    Args:
        lateral: whether rings give heat to each other.
        caul: whether the caul sheet lies on it.
        ring: widest ring under the bag [m].
        step: of time [s].
    """
    plies = [_radius(a) for a in PLIES]
    bleeder, sheet, bag, hole = (_radius(a) for a in (0.20673, 0.14783, 0.31136, 0.01439))
    heated, inner, panel = _radius(0.508**2), _radius((0.508 - 0.0508) ** 2), _radius(1.2 * 0.8)
    marks = sorted([0.0, *plies, bleeder, sheet, bag, hole, heated, inner, panel])
    edges = [0.0]
    for a, b in pairwise(marks):
        count = max(1, round((b - a) / (ring if b <= bag else 3.0 * ring)))
        edges += [a + (b - a) * n / count for n in range(1, count + 1)]
    e = np.array(edges)
    r, area = 0.5 * (e[1:] + e[:-1]), math.pi * np.diff(e**2)

    def over(values: tuple[float, ...]) -> np.ndarray:
        return np.sum([np.where(r < p, v, 0.0) for p, v in zip(plies, values, strict=True)], axis=0)

    resin = over(BLED) + np.where(r < plies[-1], 0.1, 0.0)
    free = (r < bleeder) & (r > plies[-1])
    wet = 0.75 * resin + 0.25 * (resin * area).sum() / area[free].sum() * free
    full = wet / 1150.0 / 1.2e-3
    wet_k = 0.06 + np.minimum(full, 1.0) * 0.174
    # thickness, through, along, heat capacity, cells, heat of cure [J/m2]
    layers = [
        (1.6e-3 * (r < heated), 0.25, 0.25, 2.1 * 1300.0 / 1.6e-3, 1, 0.0),
        (2.5e-3 * (r < bag), 0.05, 0.05, 195e3, 2, 0.0),
        (2.0e-3 * (r < sheet) * caul, 130.0, 130.0, 2.43e6, 1, 0.0),
        (1.2e-3 * (r < bleeder), wet_k, wet_k, 325e3 + full * 1.3e6, 2, wet * 380e3),
        (over(THICK), 0.3, 0.6, 1.8e6, 3, over(CURES)),
        (np.where(r < hole, 0.1e-3, 0.75e-3), 0.3, 0.6, 1.8e6, 1, 0.0),
        (np.full_like(r, 0.020), 0.07, 0.0505, 62400.0, 6, 0.0),
        (np.full_like(r, 0.5e-3), 0.3, 0.6, 1.8e6, 1, 0.0),
    ]
    spread = [[np.broadcast_to(v, r.shape) for v in (t, kz, kr, c, q)] for t, kz, kr, c, _, q in layers]
    cells = [
        (i, n, s)
        for i in range(len(r))
        for n, layer in enumerate(layers)
        for s in range(layer[4])
        if spread[n][0][i] > 1e-6
    ]
    at = {c: x for x, c in enumerate(cells)}
    rows, columns, values = list[int](), list[int](), list[float]()

    def join(a: int, b: int, g: float) -> None:
        rows.extend((a, b, a, b))
        columns.extend((a, b, b, a))
        values.extend((g, g, -g, -g))

    high = np.array([spread[n][0][i] / layers[n][4] for i, n, _ in cells])
    through, along, heat, joules = (np.array([spread[n][f][i] for i, n, _ in cells]) for f in (1, 2, 3, 4))
    own = np.array([area[i] for i, _, _ in cells])
    for x, (i, n, s) in enumerate(cells):
        if x + 1 < len(cells) and cells[x + 1][0] == i:
            join(x, x + 1, own[x] / (0.5 * high[x] / through[x] + 0.5 * high[x + 1] / through[x + 1]))
        y = at.get((i + 1, n, s))
        if lateral and y is not None:
            out = math.log(e[i + 1] / r[i]) / (along[x] * high[x])
            join(x, y, 2.0 * math.pi / (out + math.log(r[i + 1] / e[i + 1]) / (along[y] * high[y])))
    conducts = coo_matrix((values, (rows, columns)), shape=(len(cells),) * 2).tocsc()
    stores = heat * high * own
    cure = joules * own / np.array([layers[n][4] for _, n, _ in cells])
    power = np.array([7750.0 * area[i] * (1.0 - 0.1 * (r[i] > inner)) * (n == 0) for i, n, _ in cells])
    top = np.array([min(x for x, c in enumerate(cells) if c[0] == i) for i in range(len(r))])
    back = np.array([max(x for x, c in enumerate(cells) if c[0] == i) for i in range(len(r))])
    shown = at[int(np.argmin(abs(r - plies[-1] - BESIDE))), 5, 0]
    bond = [at[i, 4, 2] for i in range(len(r)) if (i, 4, 2) in at]
    kelvin, degree = np.full(len(cells), AIR), np.zeros(len(cells))
    faces = {True: np.full(len(r), AIR + 1.0), False: np.full(len(r), AIR + 1.0)}
    pace = -math.log(0.05) / 5400.0 * math.exp(62e3 / GAS / 355.15)  # 95 % in 90 min at 82 C
    target, kept, dwelt, hottest, coldest = AIR, 0.0, 0.0, AIR, math.inf
    while dwelt < DWELL:
        held = stores / step
        given = held * kelvin
        diagonal = held.copy()
        films = {}
        for up, which in ((True, top), (False, back)):
            inside = 0.5 * high[which] / through[which]
            outside = 1.0 / _film(faces[up], up=up)
            films[up] = which, outside / (inside + outside)
            diagonal[which] += own[which] / (inside + outside)
            given[which] += own[which] / (inside + outside) * AIR
        more = 1.0 - (1.0 - degree) * np.exp(-pace * np.exp(-62e3 / GAS / kelvin) * step)
        target = min(target + RATE * step, SET)
        off = 0.08 * (target - kelvin[shown])
        duty = min(max(off + kept, 0.0), 1.0)
        kept += off * step / 400.0 if 0.0 < off + kept < 1.0 else 0.0
        given += cure * (more - degree) / step + duty * power
        kelvin = splu(
            (conducts + diags(diagonal)).tocsc(),
            permc_spec="MMD_AT_PLUS_A",
            options={"SymmetricMode": True},
        ).solve(given)
        degree = more
        for up, (which, share) in films.items():
            faces[up] = AIR + (kelvin[which] - AIR) * share
        hottest = max(hottest, float(kelvin[bond].max()))
        if dwelt > 0.0 or (target == SET and kelvin[shown] >= LOW):
            dwelt += step
            coldest = min(coldest, float(kelvin[bond].min()))
    return Cured(hottest, coldest)
