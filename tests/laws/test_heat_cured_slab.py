"""A 20 mm laminate cured between hot walls, beside an integration of its own.

The set-up is of others: S. G. Advani and E. M. Sozer, Process Modeling in Composites Manufacturing, example
8.5, its data as in a public companion to the book. The book's own temperatures were not seen, so the answer
is ours: a method of lines through scipy's stiff integrator, 41 nodes.
"""

from __future__ import annotations

import numpy as np
from scipy.integrate import solve_ivp

from panelmend.physics.cure_chemistry import n_order
from panelmend.physics.heat import FaceCover, Grid, HeatLayer, HeatModel, HeatPlace, HeatResin, run

C0, GAS = 273.15, 8.314462618
FIBRE, K_FIBRE, K_RESIN = 0.40, 1.20, 0.20
THICK, START, WALL = 0.020, 20.0 + C0, 120.0 + C0
K = 1.0 / ((1.0 - FIBRE) / K_RESIN + FIBRE / K_FIBRE)
HEAT = FIBRE * 2500.0 * 800.0 + (1.0 - FIBRE) * 1200.0 * 700.0  # J/(m3 K)
JOULES = (1.0 - FIBRE) * 1200.0 * 280e3  # J/m3
SECONDS = 300.0


def _beside(times: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Temperature of the middle and extent of reaction there."""
    n = 41
    dz = THICK / (n - 1)

    def slope(_: float, y: np.ndarray) -> np.ndarray:
        t, c = y[:n], y[n:]
        rate = 2.0 * np.exp(-1000.0 / t) * 0.5 * (1.0 - c) ** 2
        dt = np.zeros(n)
        dt[1:-1] = (K * (t[2:] - 2.0 * t[1:-1] + t[:-2]) / dz**2 + JOULES * rate[1:-1]) / HEAT
        return np.concatenate([dt, rate])

    start = np.concatenate([np.full(n, START), np.zeros(n)])
    start[[0, n - 1]] = WALL
    found = solve_ivp(slope, (0.0, times[-1]), start, method="BDF", t_eval=times, rtol=1e-7, atol=1e-8)
    return found.y[n // 2], found.y[n + n // 2]


def test_a_laminate_between_hot_walls() -> None:
    resin = HeatResin(n_order(1.0, 1000.0 * GAS, 2.0), JOULES * THICK)
    cells = 41
    layer = HeatLayer("part", THICK, 0.0, 0.0, K, HEAT, cells=cells, resin=resin)
    walls = FaceCover(WALL, film=1e7)
    model = HeatModel(
        Grid((0.0, 1.0), (0.0, 1.0)),
        (layer,),
        START,
        (walls,),
        probes=(HeatPlace("middle", "part", 0.5, 0.5, cells // 2),),
    )
    made = run(model, longest=SECONDS, step=0.5, sample=10.0)
    middle, _ = _beside(made.times)
    assert np.abs(made.probes["middle"] - middle).max() < 0.5
    assert middle.max() > WALL + 15.0, "its own heat carries the middle past the walls"
    assert made.times[int(made.probes["middle"].argmax())] == made.times[int(middle.argmax())]
