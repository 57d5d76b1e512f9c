"""Dull readings that leave a plan: read sound again or by a second method, and accepted by the inspector."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import assert_never

import numpy as np

from panelmend.document.panel import Side
from panelmend.document.survey import Cleared, Survey
from panelmend.job.survey.coverage import PLACE_WITHIN
from panelmend.job.survey.readings import SCORE, SkinReadings

SOUND_FOR_ONE_DULL = 2.0  # sound readings at a place for each one that spoke for damage
Point = tuple[float, float]


class NotCleared(StrEnum):
    """Why a place is not cleared."""

    NOTHING_DULL = "nothing was read as damaged there"
    NOT_AGAIN = "it was not read sound twice more for each damaged reading"
    NOT_INSPECTOR = "it is not accepted by the inspector named under people"
    OWN_WORK = "the technician cannot accept it"


@dataclass(frozen=True)
class Clearing:
    """Readings with the cleared ones set to sound, the places cleared, and those refused with the reason."""

    readings: SkinReadings
    accepted: tuple[Point, ...]
    refused: tuple[tuple[Point, NotCleared], ...]


def clear(
    readings: SkinReadings,
    survey: Survey,
    side: Side,
    place: Callable[[Point], Point],
    inspector: str,
    technician: str,
) -> Clearing:
    """Set readings to sound where an inspector accepted it.

    Args:
        readings: those of ``side``, in standard axes.
        survey: holds what was accepted.
        side: side of the panel.
        place: brings a point of the document into standard axes [m].
        inspector: name under people, who alone may accept.
        technician: name under people, who may not.
    """
    value, accepted, refused = readings.value.copy(), [], []
    dull = readings.dull
    for entry in survey.cleared:
        if entry.side != side:
            continue
        for typed in entry.at:
            at = place(typed)
            near = np.hypot(*(readings.at - at).T) <= PLACE_WITHIN if len(readings) else np.zeros(0, bool)
            why = _why(entry, int((near & dull).sum()), int((near & ~dull).sum()), inspector, technician)
            if why is not None:
                refused.append((at, why))
                continue
            hit = near & dull
            value[hit] = np.where(readings.noise[hit] > 0, -SCORE, 0.0)
            accepted.append(at)
    return Clearing(replace(readings, value=value), tuple(accepted), tuple(refused))


def _why(entry: Cleared, dull: int, sound: int, inspector: str, technician: str) -> NotCleared | None:
    if not dull:
        return NotCleared.NOTHING_DULL
    if not same_name(entry.by, inspector):
        return NotCleared.NOT_INSPECTOR
    if same_name(entry.by, technician):
        return NotCleared.OWN_WORK
    match entry.how:
        case "tapped again":
            return NotCleared.NOT_AGAIN if sound < SOUND_FOR_ONE_DULL * dull else None
        case "second method":
            return None
        case _:
            assert_never(entry.how)


def same_name(one: str, other: str) -> bool:
    """The same person, however blanks and capitals were typed; nobody is nobody."""
    a, b = (" ".join(n.casefold().split()) for n in (one, other))
    return bool(a) and a == b
