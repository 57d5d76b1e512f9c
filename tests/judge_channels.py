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


def codes_told(found: Any) -> list[str]:
    """Codes of what was found, in its order."""
    return [f.finding.code for f in found]
