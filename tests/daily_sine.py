"""A wall of four layers between still air and air that swings by the day."""

from __future__ import annotations

import math

import numpy as np

from panelmend.physics.heat import FaceCover, Grid, HeatLayer, HeatModel, HeatPlace, run

C0 = 273.15


def wall_answer() -> tuple[float, float]:
    """Flow at the inner face over the swing outside [W/(m2 K)], and its lag [h], in the seventh day."""
    day = 86400.0
    rows = (
        (0.015, 0.21, 1150, 1100),
        (0.096, 0.13, 500, 1600),
        (0.13, 0.043, 190, 2100),
        (0.015, 0.9, 1800, 1000),
    )
    layers = tuple(
        HeatLayer(f"layer {n}", d, 0.0, 0.0, k, rho * c, cells=max(6, round(d / 0.003)))
        for n, (d, k, rho, c) in enumerate(rows)
    )
    times = np.arange(0.0, 7 * day + 1.0, 300.0)
    air = tuple((float(t), C0 + 20.0 + 10.0 * math.sin(2 * math.pi * t / day)) for t in times)
    covers = (FaceCover(C0 + 20.0, film=1.0 / 0.13), FaceCover(C0 + 20.0, film=1.0 / 0.04, history=air))
    thin = HeatLayer("inner face", 1e-6, 0.0, 0.0, 1.0, 1e3)
    model = HeatModel(
        Grid((0.0, 1.0), (0.0, 1.0)),
        (thin, *layers),
        C0 + 20.0,
        covers,
        top=0,
        bottom=1,
        probes=(HeatPlace("face", "inner face", 0.5, 0.5),),
    )
    result = run(model, longest=7 * day, step=300.0, sample=300.0)
    last = result.times >= 6 * day - 1e-6
    t, flow = result.times[last], (result.probes["face"][last] - C0 - 20.0) / 0.13
    wave = np.exp(-2j * math.pi * t / day)
    answer = 2.0 * np.mean(flow[:-1] * wave[:-1])
    lag = (np.angle(answer) + math.pi / 2) % (2 * math.pi) / (2 * math.pi) * 24.0
    return float(abs(answer)) / 10.0, float(lag)
