"""A log of a thousand rows ten seconds apart, made of columns."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from panelmend.plan.judge import Channel, ChannelRole, CureLog

Array = NDArray[np.float64]
N = 1000
T = np.arange(N) * 10.0


def log_of(
    times: Array,
    *couples: Array,
    vacuum: Array | None = None,
    point: Array | None = None,
    air: Array | None = None,
    ambient: float = math.nan,
    stamp: float = 0.0,
) -> CureLog:
    """Thermocouples T0, T1 ... and a gauge of the vacuum, a set point, the air where they are given."""
    channels = [
        Channel(f"T{i}", ChannelRole.THERMOCOUPLE, "temperature", v.copy()) for i, v in enumerate(couples)
    ]
    for name, role, kind, values in (
        ("V", ChannelRole.VACUUM, "pressure", vacuum),
        ("SP", ChannelRole.SET_POINT, "temperature", point),
        ("Air", ChannelRole.AIR, "temperature", air),
    ):
        if values is not None:
            channels.append(Channel(name, role, kind, values.copy()))
    made = np.asarray(times, np.float64).copy()
    return CureLog(made, tuple(channels), ambient=ambient, stamp_step=stamp)
