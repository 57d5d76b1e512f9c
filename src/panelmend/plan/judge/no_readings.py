"""Cells that hold a number but are not readings: logger codes such as 9999 and -9999."""

from __future__ import annotations

import dataclasses

import numpy as np

from panelmend.plan.judge.fault import BoolArray
from panelmend.plan.judge.log import ChannelRole, CureLog, FloatArray, matrix

HOTTEST = 2093.15  # K: 1820 C, where the table of the hottest standard thermocouple ends (from memory)
NO_AIR = 120e3  # Pa either way: no air gives such a vacuum, no bag holds it (common practice, no source)
FEW = 0.02  # of the readings; more beyond the air are a wrong unit
MOST_OF_ONE = 0.5  # of the readings, where all that lie beyond the air are one value


def no_temperature(values: FloatArray) -> BoolArray:
    """Cells (n,) [K] that no thermocouple reads: below absolute zero or beyond every standard type."""
    out = np.zeros(values.size, np.bool_)
    if values.size and not (np.min(values) >= 0.0 and np.max(values) <= HOTTEST):  # also where one is missing
        out |= (values < 0.0) | (values > HOTTEST)
    return out


def no_vacuum(values: FloatArray, most: float = NO_AIR) -> BoolArray:
    """Cells (n,) [Pa below ambient] beyond ``most`` [Pa], or as far above ambient as no air is: few of them,
    or all of one value; many different ones are a wrong unit or sense, which is found elsewhere."""
    out = np.zeros(values.size, np.bool_)
    if values.size and not (np.min(values) >= -NO_AIR and np.max(values) <= most):
        beyond = (values < -NO_AIR) | (values > most)
        read, count = int(np.isfinite(values).sum()), int(beyond.sum())
        one = count and float(np.ptp(values[beyond])) <= 1e-6 * abs(float(values[beyond][0]))
        if count <= FEW * read or (one and count < MOST_OF_ONE * read):
            out |= beyond
    return out


def without_codes(log: CureLog, most: float, lowest: float, highest: float) -> CureLog:
    """The log with such cells missing.

    Args:
        log: as read.
        most: the strongest vacuum that the air can give [Pa].
        lowest, highest: what thermocouples can read [K]; rows in which all of them, two at least, say one
            value outside of it are codes of the logger too.
    """
    couples = log.of_role(ChannelRole.THERMOCOUPLE)
    spoilt = {c.name: no_temperature(c.values) for c in couples}
    spoilt |= {c.name: no_vacuum(c.values, most) for c in log.of_role(ChannelRole.VACUUM)}
    if len(couples) > 1 and len(log):
        first = couples[0].values
        with np.errstate(invalid="ignore"):
            alike = (first < lowest) | (first > highest)
        if alike.any():
            rows = np.flatnonzero(alike)
            table = matrix(couples, len(log))[rows]
            alike[rows] = (table == table[:, :1]).all(axis=1)
            for c in couples:
                spoilt[c.name] |= alike
    if not any(s.any() for s in spoilt.values()):
        return log
    channels = tuple(
        dataclasses.replace(c, values=np.where(spoilt[c.name], np.nan, c.values))
        if c.name in spoilt and spoilt[c.name].any()
        else c
        for c in log.channels
    )
    return dataclasses.replace(log, channels=channels)
