"""Invented cure logs: plain curves with noise, and files written in many ways. Nothing here was measured."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from panelmend.plan.judge.log import Channel, ChannelRole, CureLog

INHG = 3386.389
AIR = 101325.0


@dataclass
class Made:
    """A made cure before it is written: times [s], temperatures [K] (n, sensors), vacuum [Pa]."""

    times: NDArray[np.float64]
    temps: NDArray[np.float64]
    vacuum: NDArray[np.float64]
    set_point: NDArray[np.float64]
    names: list[str]

    def log(self, **more: object) -> CureLog:
        """As a log."""
        channels = [
            Channel(n, ChannelRole.THERMOCOUPLE, "temperature", self.temps[:, i].copy())
            for i, n in enumerate(self.names)
        ]
        channels.append(Channel("Vacuum", ChannelRole.VACUUM, "pressure", self.vacuum.copy()))
        channels.append(Channel("Set point", ChannelRole.SET_POINT, "temperature", self.set_point.copy()))
        return CureLog(
            self.times - self.times[0],
            tuple(channels),
            started="2026-11-25T08:00:00",
            digest="0" * 64,
            **more,  # type: ignore[arg-type]
        )


def lagged(times: NDArray[np.float64], wanted: NDArray[np.float64], lag: float) -> NDArray[np.float64]:
    """``wanted`` followed with a first-order lag [s]."""
    out = np.empty_like(wanted)
    out[0] = wanted[0]
    for i in range(1, len(times)):
        share = 1 - np.exp(-(times[i] - times[i - 1]) / lag)
        out[i] = out[i - 1] + share * (wanted[i] - out[i - 1])
    return out


def made_cure(
    seed: int = 1,
    *,
    step: float = 10.0,
    sensors: int = 6,
    hold: float = 394.26,
    dwell: float = 3600.0,
    rate: float = 2.5 / 60,
    cool: float = 2.0 / 60,
    noise: float = 0.15,
    start: float = 294.0,
    end: float = 318.0,
    before: float = 600.0,
    vacuum: float = 24 * INHG,
    tail: float = 300.0,
) -> Made:
    """A clean cure: shop air, ramp, one dwell at ``hold``, cool-down, bag opened ``tail`` [s] before."""
    random = np.random.default_rng(seed)
    up = (hold - start) / rate
    margin = 900.0  # for the lag of the slowest sensor
    length = before + up + dwell + margin + (hold - end) / cool + tail
    times = np.arange(0.0, length, step)
    knots = np.array([0, before, before + up, before + up + dwell + margin, length - tail, length])
    program = np.interp(times, knots, [start, start, hold, hold, end, end])
    temps = np.empty((times.size, sensors))
    for i in range(sensors):
        offset = random.uniform(-1.2, 1.2)
        heat = np.clip((program - start) / (hold - start), 0, 1)
        temps[:, i] = lagged(times, program, random.uniform(30, 150)) + offset * heat
    temps += random.normal(0, noise, temps.shape)
    pump = np.where(times < length - tail, vacuum, 0.0)
    pressure = lagged(times, np.where(times < 60, 0.0, pump), 15.0) + random.normal(
        0, 0.02 * INHG, times.size
    )
    return Made(times, temps, pressure, program, [f"TC{i + 1}" for i in range(sensors)])


def written(
    made: Made,
    *,
    separator: str = ",",
    decimal: str = ".",
    stamp: str = "%Y-%m-%d %H:%M:%S",
    temperature: str = "C",
    vacuum: str = "inHg",
    header: str = "names with units",
    above: tuple[str, ...] = (),
    quoted: bool = False,
    ends: str = "\n",
    two: bool = False,
    start: datetime = datetime(2026, 11, 25, 8, 0, 0),
    below: tuple[str, ...] = (),
) -> str:
    """The cure as the text of a logger export; ``stamp`` is a strftime format or "s", "min", "h:m:s"."""
    out = io.StringIO()
    quoting = csv.QUOTE_ALL if quoted else csv.QUOTE_MINIMAL
    table = csv.writer(out, delimiter=separator, quoting=quoting, lineterminator=ends)
    for line in above:
        out.write(line + ends)
    time_names = ["Date", "Time"] if two else ["Elapsed" if stamp in ("s", "min", "h:m:s") else "Time"]
    time_units = ["", ""] if two else [stamp if stamp in ("s", "min") else ""]
    shown = {"C": "°C", "F": "°F"}[temperature]
    names = [*made.names, "Vacuum gauge", "Set point"]
    units = [shown] * len(made.names) + [vacuum, shown]
    if header == "names with units":
        plain = [
            f"{n} [{u}]" if u else n for n, u in zip(time_names + names, time_units + units, strict=True)
        ]
        table.writerow(plain)
    elif header in ("names", "unit row"):
        table.writerow(time_names + names)
        if header == "unit row":
            table.writerow(time_units + units)

    def mark(value: float, places: int) -> str:
        return "" if not np.isfinite(value) else f"{value:.{places}f}".replace(".", decimal)

    scale, offset = {"C": (1.0, 273.15), "F": (5 / 9, 273.15 - 32 * 5 / 9)}[temperature]
    for i, t in enumerate(made.times):
        clock = start + timedelta(seconds=float(t))
        if two:
            first = [clock.strftime(p) for p in stamp.split("|")]
        elif stamp in ("s", "min"):
            first = [mark(t / {"s": 1, "min": 60}[stamp], 4)]
        elif stamp == "h:m:s":
            first = [f"{int(t) // 3600}:{int(t) // 60 % 60:02d}:{int(t) % 60:02d}"]
        else:
            first = [clock.strftime(stamp)]
        row = [mark((x - offset) / scale, 3) for x in (*made.temps[i], made.set_point[i])]
        row.insert(
            len(made.names), mark(made.vacuum[i] / {"inHg": INHG, "kPa": 1e3, "mbar": 100.0}[vacuum], 4)
        )
        table.writerow(first + row)
    for line in below:
        out.write(line + ends)
    return out.getvalue()
