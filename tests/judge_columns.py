"""A log of a thousand rows ten seconds apart, made of columns."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from panelmend.plan.judge import Channel, ChannelRole, CureLog

Array = NDArray[np.float64]
N = 1000
T = np.arange(N) * 10.0


def log_of(times: Array, *couples: Array, vacuum: Array | None = None, ambient: float = math.nan) -> CureLog:
    """Thermocouples T0, T1 ... and a gauge of the vacuum."""
    channels = [
        Channel(f"T{i}", ChannelRole.THERMOCOUPLE, "temperature", v.copy()) for i, v in enumerate(couples)
    ]
    if vacuum is not None:
        channels.append(Channel("V", ChannelRole.VACUUM, "pressure", vacuum.copy()))
    return CureLog(np.asarray(times, np.float64).copy(), tuple(channels), ambient=ambient)
