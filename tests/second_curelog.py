"""A second, independent family of invented cures: a controlled panel with its own physics and its own logger.

Nothing of the judge was ever tuned on it; `scripts/rates_curelog.py` measures on it. A lumped panel
(blanket, skins, one node per thermocouple) is heated by a switching controller with dead time and overshoot;
sensors are first order and have tolerances of their own; the logger samples unevenly, rounds to its own
digits and writes in its own ways.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from panelmend.physics.thermocouple import reading

Floats = NDArray[np.float64]
PER_INHG = 3386.389


@dataclass
class Run:
    """A cure as it was (``true`` [C], shape (n, sensors)) and as the logger saw it (``seen`` [C], vacuum
    [Pa])."""

    times: Floats
    true: Floats
    seen: Floats
    vacuum: Floats
    air: float
    stamps: Floats = field(default_factory=lambda: np.zeros(0))
    planted: str = ""

    def __post_init__(self) -> None:
        if not self.stamps.size:
            self.stamps = self.times.copy()


@dataclass(frozen=True)
class Plan:
    """One cure: ``goal`` [C], ``hold`` [s] after the slowest has arrived, ``rate`` and ``cool`` [C/min],
    ``spread`` [C] between the places at the top, ``vacuum`` [inHg], ``release`` [C]."""

    seed: int
    goal: float = 120.0
    hold: float = 4200.0
    rate: float = 1.8
    spread: float = 2.0
    vacuum: float = 25.0
    cool: float = 1.8
    release: float = 45.0


def runs(plans: Sequence[Plan], sensors: int = 5, step: float = 1.0) -> list[Run]:
    """The cures of several plans, gone through side by side."""
    k = len(plans)
    dice = [np.random.default_rng(910_000 + p.seed) for p in plans]

    def each(low: float, high: float) -> Floats:
        return np.array([d.uniform(low, high) for d in dice])

    def of(name: str) -> Floats:
        return np.array([getattr(p, name) for p in plans], np.float64)

    goal, hold, rate, cool = of("goal"), of("hold"), of("rate") / 60, of("cool") / 60
    air, begin, own, power = each(15, 27), each(120, 500), each(900, 1500), each(0.18, 0.28)
    wait = each(60, 400)
    places = np.array([d.uniform(-0.5, 0.5, sensors) for d in dice])
    places -= places.mean(axis=1)[:, None]
    places *= (of("spread") / np.maximum(np.ptp(places, axis=1), 0.2))[:, None]
    lags = np.array([d.uniform(8, 45, sensors) for d in dice])
    late = np.array([int(d.integers(5, 25)) for d in dice])
    orders = np.zeros((32, k))
    blanket, panel, point = air.copy(), air.copy(), air.copy()
    nodes = np.repeat(air[:, None], sensors, axis=1)
    seen = nodes.copy()
    level, integral = np.zeros(k), np.zeros(k)
    arrived, off, done = np.full(k, np.inf), np.full(k, np.inf), np.full(k, np.inf)
    rows_true, rows_seen, rows_level = [], [], []
    now = 0.0
    while now < 40000 and not (now > done).all():
        cooling = now > arrived + hold
        rising = (now > begin) & ~cooling
        point = np.where(rising, np.minimum(goal, point + rate * step), point)
        point = np.where(cooling, np.maximum(air + 3, point - cool * step), point)
        error = point - seen.mean(axis=1)
        asked = 0.35 * error + 0.0004 * integral
        want = np.clip(asked, 0, 1)
        integral = np.clip(integral + np.where(asked == want, error * step, 0.0), -400, 400)
        tick = round(now / step)
        orders[tick % 32] = (now % 12.0) < 12.0 * want
        heat = orders[(tick - late) % 32, np.arange(k)]
        blanket = blanket + step * (power * heat * 3.0 - (blanket - panel) / 25.0)
        panel = panel + step * ((blanket - panel) / 75.0 - (panel - air) / own)
        share = np.maximum(0.0, (panel - air) / np.maximum(goal - air, 1.0))
        nodes = nodes + step * (panel[:, None] + places * share[:, None] - nodes) / 20.0
        seen = seen + step * (nodes - seen) / lags
        arrived = np.where(np.isinf(arrived) & (nodes.min(axis=1) > goal - 4.0), now, arrived)
        cold = cooling & np.isinf(off) & (seen.max(axis=1) < of("release"))
        off = np.where(cold, now + wait * (of("release") < 50), off)
        done = np.where(np.isinf(done) & (now > off) & (seen.max(axis=1) < 42.0), now + 240, done)
        pump = np.where((now > 40) & ~(now > off), of("vacuum") * PER_INHG, 0.0)
        level = level + (pump - level) * step / np.where(pump > 0, 8.0, 4.0)
        rows_true.append(nodes)
        rows_seen.append(seen)
        rows_level.append(level)
        now += step
    true, shown, bags = (np.array(x) for x in (rows_true, rows_seen, rows_level))
    out = []
    for i, d in enumerate(dice):
        n = int(min(done[i], len(true) - 1))
        times = np.arange(n) * step
        read = shown[:n, i] + d.normal(0, 0.4, sensors) * (shown[:n, i] - air[i]) / 100.0  # wire
        read = read + d.normal(0, 1, read.shape) * d.uniform(0.02, 0.15)
        wander = np.cumsum(d.normal(0, 1.2, n))
        wander = np.clip(wander - np.linspace(0, wander[-1], n), -700, 700) + d.normal(0, 25, n)
        bag = np.maximum(0.0, bags[:n, i] + (bags[:n, i] > 2e4) * wander)
        out.append(Run(times, true[:n, i], read, bag, float(air[i])))
    return out


def sampled(r: Run, seed: int) -> Run:
    """As a logger takes it: uneven steps of 2 to 40 s, jitter, rounding to its digits."""
    dice = np.random.default_rng(920_000 + seed)
    usual = float(dice.choice([2.0, 5.0, 10.0, 15.0, 20.0, 30.0]))
    kind = int(dice.integers(3))
    steps = np.full(int(r.times[-1] / usual) + 2, usual)
    if kind == 1:
        steps = steps + dice.uniform(-0.2, 0.2, steps.size) * usual
    if kind == 2:
        steps = dice.uniform(0.5, 1.6, steps.size) * usual
    at = np.cumsum(steps)
    at = at[at < r.times[-1]]
    row = at.astype(int)
    digits = int(dice.choice([1, 1, 2, 0]))
    coarse = float(dice.choice([0.1, 0.1, 0.5])) * PER_INHG
    return Run(
        at,
        r.true[row],
        np.round(r.seen[row], digits),
        np.round(r.vacuum[row] / coarse) * coarse,
        r.air,
        np.floor(at) if kind else at,
        r.planted,
    )


def wrong_wire(r: Run, wire: str, instrument: str, sensor: int = 0) -> None:
    """Another wire on the input of one thermocouple."""
    r.seen[:, sensor] = [
        reading(wire, instrument, v + 273.15, r.air + 273.15) - 273.15 for v in r.seen[:, sensor]
    ]


def text_of(r: Run, seed: int, begun: datetime = datetime(2026, 11, 25, 8, 0)) -> str:
    """The file as one of five made-up loggers writes it."""
    way = seed % 5
    n = r.seen.shape[1]
    bag = r.vacuum / PER_INHG
    lines: list[str] = []
    if way == 0:
        lines = [
            "plant 3;oven row B",
            "No.;Datum;Zeit;" + ";".join(f"Fühler {i + 1} [°C]" for i in range(n)) + ";Unterdruck [inHg]",
        ]
        for k, s in enumerate(r.stamps):
            clock = begun + timedelta(seconds=float(s))
            cells = [*(f"{v:.2f}" for v in r.seen[k]), f"{bag[k]:.2f}"]
            lines.append(f"{k + 1};{clock:%d.%m.%Y};{clock:%H:%M:%S};" + ";".join(cells).replace(".", ","))
    elif way == 1:
        lines = [
            "unit 12,firmware 3",
            "TIMESTAMP,RECORD," + ",".join(f"Probe_{i + 1}" for i in range(n)) + ",Bag_vac",
        ]
        lines += ["TS,RN," + ",".join(["Deg C"] * n) + ",inHg", ",," + ",".join(["Avg"] * n) + ",Smp"]
        for k, s in enumerate(r.stamps):
            clock = begun + timedelta(seconds=float(s))
            lines.append(
                f'"{clock:%Y-%m-%d %H:%M:%S}",{k},' + ",".join(f"{v:.2f}" for v in [*r.seen[k], bag[k]])
            )
    elif way == 2:
        lines = ["Elapsed (s)\t" + "\t".join(f"CH{i + 1} degF" for i in range(n)) + "\tVac kPa"]
        for k, s in enumerate(r.stamps):
            cells = [f"{v * 1.8 + 32:.1f}" for v in r.seen[k]]
            lines.append(f"{s:.1f}\t" + "\t".join(cells) + f"\t{r.vacuum[k] / 1e3:.2f}")
    elif way == 3:
        lines = ["Scan,Time," + ",".join(f"{100 + i} <T{i + 1}> (C)" for i in range(n)) + ",110 <BAG> (inHg)"]
        for k, s in enumerate(r.stamps):
            clock = begun + timedelta(seconds=float(s))
            lines.append(
                f"{k + 1},{clock:%m/%d/%Y %H:%M:%S}," + ",".join(f"{v:.2f}" for v in [*r.seen[k], bag[k]])
            )
    else:
        lines = ["time | " + " | ".join(f"TC-{i + 1} °C" for i in range(n)) + " | bag vacuum mbar"]
        for k, s in enumerate(r.stamps):
            clock = begun + timedelta(seconds=float(s))
            cells = " | ".join(f"{v:.2f}" for v in r.seen[k])
            lines.append(f"{clock:%Y-%m-%dT%H:%M:%S} | {cells} | {r.vacuum[k] / 100:.1f}")
    return "\n".join(lines) + "\n"
