"""Usual values that several rooms take where the approved data gives none: common practice, no source."""

from __future__ import annotations

HALF_BAND = 10 * 5 / 9  # K: plus or minus 10 F around a dwell without a band
RATE_WINDOW = 600.0  # s over which rates are taken
LEAST_SENSORS = 3
