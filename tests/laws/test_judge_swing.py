"""In whole degrees a stop of every channel is told also where the part swings about its dwell."""

from __future__ import annotations

import numpy as np
import pytest

from made_curelog import INHG
from panelmend.plan.judge import codes, find_faults
from panelmend.plan.judge.log import Channel, ChannelRole, CureLog


def swinging(period: float, stop: float, seed: int) -> CureLog:
    """A dwell of two hours that swings by 3 K either way, whole degrees, a reading a minute; every channel
    stands for ``stop`` seconds."""
    drawn = np.random.default_rng(seed)
    times = np.arange(0.0, 12900.0, 60.0)
    base = np.interp(times, [0, 600, 3000, 10200, 12300], [21.0, 21.0, 121.5, 121.5, 51.5])
    swing = 3.0 * np.sin(2 * np.pi * times / period) * np.clip((base - 100) / 20, 0, 1)
    parts = [
        base + swing * (1 - 0.1 * i) + 0.4 * i - 0.6 + drawn.normal(0, 0.05, times.size) for i in range(4)
    ]
    temps = np.round(np.array(parts))
    gauge = np.round(24.6 + drawn.normal(0, 0.06, times.size), 1)
    begin = 5000 // 60
    end = begin + int(stop // 60)
    if stop:
        temps[:, begin:end] = temps[:, [begin]]
        gauge[begin:end] = gauge[begin]
    channels = [
        Channel(f"T{i}", ChannelRole.THERMOCOUPLE, "temperature", t + 273.15) for i, t in enumerate(temps)
    ]
    channels.append(Channel("Vac", ChannelRole.VACUUM, "pressure", gauge * INHG))
    return CureLog(times, tuple(channels), started="2026-11-25T08:00:00", digest="0" * 64)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("period", [900.0, 1300.0])
@pytest.mark.parametrize("stop", [0.0, 1740.0])
def test_a_stop_in_a_swing_is_told(stop: float, period: float, seed: int) -> None:
    found = {f.finding.code for f in find_faults(swinging(period, stop, seed))}
    assert (codes.FROZEN.code in found) is (stop > 0.0)
