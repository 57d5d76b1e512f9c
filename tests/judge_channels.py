"""Small logs of whole columns, for faults of the judge asked one by one."""

from __future__ import annotations

from typing import Any

import numpy as np

from panelmend.plan.judge.log import Channel, ChannelRole, CureLog

KINDS = {
    "T": (ChannelRole.THERMOCOUPLE, "temperature"),
    "S": (ChannelRole.SET_POINT, "temperature"),
    "A": (ChannelRole.AIR, "temperature"),
    "V": (ChannelRole.VACUUM, "pressure"),
}


def log_of_columns(times: Any, columns: Any = (), kinds: str = "", **more: Any) -> CureLog:
    """Columns (n,) [SI] over times (n,) [s]; ``kinds``: a letter for each, else thermocouples."""
    kinds = kinds or "T" * len(columns)
    made = [
        Channel(f"{k}{i}", *KINDS[k], np.array(c, np.float64))
        for i, (k, c) in enumerate(zip(kinds, columns, strict=True))
    ]
    return CureLog(np.array(times, np.float64), tuple(made), **more)


def couples_log(step: float, *couples: Any, more: tuple[Channel, ...] = (), times: Any = None) -> CureLog:
    """Thermocouples T0, T1 ... (n,) [K] and ``more`` channels, a step [s] apart or at ``times`` (n,) [s]."""
    n = len(couples[0]) if couples else len(more[0].values)
    t = step * np.arange(n) if times is None else np.asarray(times, np.float64)
    made = (Channel(f"T{i}", *KINDS["T"], np.array(v, np.float64)) for i, v in enumerate(couples))
    return CureLog(t, (*made, *more))


def rows_of(n: int, step: float = 10.0, *channels: Channel) -> CureLog:
    """So many rows of a file, a step [s] apart."""
    return CureLog(step * np.arange(n), channels, lines=np.arange(n, dtype=np.int32))


def counted(*times: float) -> CureLog:
    """A thermocouple that reads the number of its sample above 300 K, at times [s]."""
    return log_of_columns(times, [300.0 + np.arange(len(times))])


def codes_told(found: Any) -> list[str]:
    """Codes of what was found, in its order."""
    return [f.finding.code for f in found]
