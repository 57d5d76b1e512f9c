"""How far out the outer lines must stand for a confidence: constants found by simulation, kept in a table."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib.resources import files
from typing import Any

from panelmend.errors import RangeError


@lru_cache(maxsize=1)
def calibration_table() -> dict[str, Any]:
    """The table as it stands: how it was made, ``reach`` [1] and ``level`` [logit] by confidence."""
    text = files("panelmend.job.survey").joinpath("calibration.toml").read_text("utf8")
    return tomllib.loads(text)


def level_at(confidence: float) -> float:
    """How far below 0 the compact line follows the mean of f [logit], for a confidence [1] of the table.

    Raises:
        RangeError: the table has no such confidence.
    """
    return _calibrated("level", confidence)


def reach_at(confidence: float) -> float:
    """How many coverage spacings [1] past the dull readings the line for any shape stands, by confidence [1].

    Raises:
        RangeError: the table has no such confidence.
    """
    return _calibrated("reach", confidence)


def _calibrated(what: str, confidence: float) -> float:
    known: dict[str, float] = calibration_table()[what]
    for name, value in known.items():
        if abs(float(name) - confidence) < 1e-9:
            return float(value)
    raise RangeError(f"confidence {confidence:g} was not calibrated; there are {', '.join(known)}")
