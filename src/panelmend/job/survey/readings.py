"""Readings brought into standard axes and one measure: dull or sound, or how far towards dull."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from panelmend.document.panel import Side
from panelmend.document.survey import Survey, SurveyPass
from panelmend.units import KINDS

Array = NDArray[np.float64]
Points = list[tuple[float, float]]
DULL_FROM = 1.15  # ratio to sound from which a place counts as damaged: common practice, no source
SCORE = 3.0  # the measure of a numeric reading is held within this, in logits


@dataclass(frozen=True)
class SkinReadings:
    """Readings of one skin in one array each.

    ``at`` (n, 2) places [m]; ``value`` (n,) 0 or 1 for taps, else the measure in logits (0 at the limit
    between sound and damaged); ``noise`` (n,) standard deviation of a measure, 0 for taps.
    """

    at: Array
    value: Array
    noise: Array

    @property
    def dull(self) -> NDArray[np.bool_]:
        """Which readings (n,) [yes or no] speak for damage."""
        return np.asarray(np.where(self.noise > 0, self.value > 0, self.value > 0.5), dtype=bool)

    def __len__(self) -> int:
        return len(self.value)


def taps(at: Array, dull: Array) -> SkinReadings:
    """Readings from taps: ``at`` (n, 2) [m], ``dull`` (n,) 1 or 0 [1]."""
    return SkinReadings(np.asarray(at, float).reshape(-1, 2), np.asarray(dull, float), np.zeros(len(dull)))


def measures(at: Array, ratios: Array, dull_from: float = DULL_FROM, scatter: float = 0.03) -> SkinReadings:
    """Readings from ratios to a sound place.

    Args:
        at: places (n, 2) [m].
        ratios: reading over sound reference (n,) [1].
        dull_from: ratio from which a place counts as damaged [1].
        scatter: relative standard deviation of sound readings [1].

    Returns:
        The measure SCORE (ln ratio - ln dull_from) / ln dull_from, held within +-SCORE: a sound place
        (ratio 1) stands at -SCORE, the limit at 0.

    Raises:
        RangeError: ``dull_from`` is not above 1.
    """
    if not dull_from > 1.0:
        from panelmend.errors import RangeError

        raise RangeError(f"dull_from must be above 1, the ratio of a sound place: {dull_from:g}")
    width = math.log(dull_from)
    score = np.clip(SCORE * (np.log(ratios) - width) / width, -SCORE, SCORE)
    noise = max(1.0, SCORE * scatter / width)
    return SkinReadings(np.asarray(at, float).reshape(-1, 2), score, np.full(len(score), noise))


def joined_passes(parts: list[SkinReadings]) -> SkinReadings:
    """Several passes as one."""
    if not parts:
        return taps(np.zeros((0, 2)), np.zeros(0))
    return SkinReadings(
        np.concatenate([p.at for p in parts]),
        np.concatenate([p.value for p in parts]),
        np.concatenate([p.noise for p in parts]),
    )


def pass_places(part: SurveyPass) -> tuple[Points, list[float]]:
    """Places in the document's axes [m] and the values as typed."""
    if part.grid is None:
        scale, _ = KINDS["length"].units[part.unit or "m"]
        return [(r[0] * scale, r[1] * scale) for r in part.readings], [
            r[2] for r in part.readings if len(r) == 3
        ]
    g = part.grid
    down, c, s = g.row_spacing or g.spacing, math.cos(g.turn), math.sin(g.turn)

    def at(row: float, column: float) -> tuple[float, float]:
        u, v = (column - 1.0) * g.spacing, (row - 1.0) * down
        return (g.origin[0] + c * u - s * v, g.origin[1] + s * u + c * v)

    found = [(at(r[0], r[1]), r[2]) for r in part.readings if len(r) == 3]
    for i, row in enumerate(part.rows, 1):
        found += [(at(i, j), float(ch == "d")) for j, ch in enumerate(row, 1) if ch in "sd"]
    return [p for p, _ in found], [v for _, v in found]


def below_sound(survey: Survey, side: Side) -> int:
    """How many numeric readings of a side lie as far below the sound place as damage lies above it."""
    passes = [p for p in survey.sweep if p.side == side and p.kind in ("time", "ratio")]
    return sum(int(ratios_of(p, np.array(pass_places(p)[1], float)).low.sum()) for p in passes)


def readings_of(survey: Survey, side: Side, place: object = None) -> SkinReadings:
    """All passes over one side but moisture; ``place`` brings a point into standard axes."""
    parts = []
    for part in survey.sweep:
        if part.side != side or part.kind == "moisture":
            continue
        points, values = pass_places(part)
        if callable(place):
            points = [place(p) for p in points]
        parts.append(pass_readings(part, np.array(points, float).reshape(-1, 2), np.array(values, float)))
    return joined_passes(parts)


def pass_readings(part: SurveyPass, at: Array, values: Array) -> SkinReadings:
    """One pass's values (n,) [by its kind] as readings, ``at`` places (n, 2) [m]."""
    match part.kind:
        case "tap":
            return taps(at, values)
        case "time" | "ratio" | "moisture":
            pass
        case _:
            assert_never(part.kind)
    r = ratios_of(part, values)
    scatter = 0.03
    if len(r.reference) >= 4:
        scatter = max(0.01, float(np.std(r.reference, ddof=1)))
    return measures(at, r.value, r.limit, scatter)


@dataclass(frozen=True)
class Ratios:
    """One pass's readings over its sound place: ``value`` (n,), the ``reference`` readings over their own
    median (m,), and the ``limit`` from which a place counts as damaged (wet, for moisture), all [1]."""

    value: Array
    reference: Array
    limit: float

    @property
    def low(self) -> NDArray[np.bool_]:
        """Which readings (n,) [yes or no] lie as far below the sound place as damage lies above it."""
        return np.asarray(self.value < 1.0 / self.limit, dtype=bool)

    @property
    def high(self) -> NDArray[np.bool_]:
        """Which readings (n,) [yes or no] count as damaged (wet)."""
        return np.asarray(self.value >= self.limit, dtype=bool)

    @property
    def overlooked(self) -> NDArray[np.bool_]:
        """Which readings (n,) [yes or no] the usual limit calls damaged and the typed one does not."""
        return np.asarray((self.value >= DULL_FROM) & ~self.high, dtype=bool)

    @property
    def unsteady(self) -> bool:
        """Whether the reference readings differ among themselves as much as damage does."""
        r = self.reference
        return bool(len(r) and (r.max() >= self.limit * r.min()))


def ratios_of(part: SurveyPass, values: Array) -> Ratios:
    """The values of a pass of numbers (n,) over the median of its reference readings [1], where it has
    any."""
    return reading_ratios(values, part.reference, part.dull_from)


def reading_ratios(values: Array, reference: tuple[float, ...], dull_from: float | None) -> Ratios:
    """Numbers (n,) over the median of the ``reference`` readings, in the same unit [1]; as they are where
    there is none."""
    known = np.array(reference, float)
    sound = float(np.median(known)) if len(known) else 1.0
    return Ratios(values / sound, known / sound, dull_from or DULL_FROM)
