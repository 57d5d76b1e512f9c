"""What the survey stage found, and the outline it gives to the stages after it."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from panelmend.derive import Figure, Source, formula
from panelmend.document.panel import Side
from panelmend.document.survey import Survey
from panelmend.errors import RangeError
from panelmend.job.survey.field import merged, spacing_of
from panelmend.job.survey.next_taps import NextTap, next_taps
from panelmend.job.survey.readings import Readings, readings_of
from panelmend.job.survey.trace import Traced, merge_near, trace
from panelmend.shapes import Outline, common, polygon

MODEL = Source("Rasmussen and Williams, Gaussian Processes for Machine Learning, 2006", "algorithms 3.1, 3.2")
SIMULATED = Source("survey calibration", "simulated damages, scripts/calibrate_survey.py")
COUNTED = Source("counting")
Place = Callable[[tuple[float, float]], tuple[float, float]]


@dataclass(frozen=True)
class SurveyReadings:
    """Readings of one side in standard axes, kept as one figure: rows of x, y [m], value and noise."""

    rows: tuple[tuple[float, float, float, float], ...]

    def digest(self) -> str:
        """SHA-256 (hex) of the readings, rounded to 1e-9."""
        text = ";".join(",".join(f"{round(v, 9) + 0.0:.9f}" for v in row) for row in self.rows)
        return hashlib.sha256(text.encode()).hexdigest()

    def summary(self) -> str:
        """One line for people."""
        return f"{len(self.rows)} readings"

    def readings(self) -> Readings:
        """The readings as arrays."""
        a = np.array(self.rows, float).reshape(-1, 4)
        return Readings(a[:, :2], a[:, 2], a[:, 3])


@dataclass(frozen=True)
class SurveyPart:
    """The survey stage: areas, lines and doubts; ``outline`` is the figure the repair is planned on.

    ``shades`` are the lines of probabilities 0.1, 0.5 and 0.9, for drawing. ``groups`` says which areas
    count as one by the data's distance; the first holds the largest area.
    """

    side: Side
    confidence: Figure
    count: Figure
    dull: Figure
    spacing: Figure
    areas: Figure
    outline: Figure | None
    outers: tuple[Outline, ...]
    middles: tuple[Outline, ...]
    groups: tuple[tuple[int, ...], ...]
    shades: tuple[tuple[float, tuple[Outline, ...]], ...]
    runs_off: bool
    doubtful: tuple[tuple[float, float], ...]
    contradictory: tuple[tuple[float, float], ...]
    next_taps: tuple[NextTap, ...]


def readings_figure(survey: Survey, side: Side, place: Place) -> SurveyReadings:
    """The readings of one side; ``place`` brings a point of the document into standard axes [m]."""
    r = readings_of(survey, side, place)
    rows = zip(r.at[:, 0], r.at[:, 1], r.value, r.noise, strict=True)
    return SurveyReadings(tuple((float(x), float(y), float(v), float(n)) for x, y, v, n in rows))


@lru_cache(maxsize=16)
def traced_of(readings: SurveyReadings, confidence: float) -> Traced:
    """The trace of a survey at a confidence [1]."""
    return trace(readings.readings(), confidence)


@lru_cache(maxsize=16)
def next_of(readings: SurveyReadings, confidence: float) -> tuple[NextTap, ...]:
    """The five places to tap next."""
    return next_taps(traced_of(readings, confidence))


def groups_of(traced: Traced, merge: float) -> tuple[tuple[int, ...], ...]:
    """Areas that count as one because they are nearer than ``merge`` [m]; the largest's group first."""
    outers = [a.outer for a in traced.areas]
    groups = [[i] for i in range(len(outers))] if merge <= 0 else merge_near(outers, merge)
    return tuple(tuple(g) for g in sorted(groups))


def whole(outers: list[Outline]) -> Outline:
    """One outline round several: the polygon of least perimeter round them; one alone stays as it is."""
    from shapely import MultiPoint

    if len(outers) == 1:
        return outers[0]
    hull = MultiPoint([(v.x, v.y) for o in outers for v in o.vertices]).convex_hull
    return polygon(list(hull.exterior.coords)[:-1])


@formula("line round the places where the field's mean is above the calibrated level", source=MODEL)
def outer_outline(readings: SurveyReadings, confidence: float, merge: float, panel: Outline) -> Outline:
    """The outer line of the largest damaged area, with those that count as one with it.

    readings: taps and measures of the side [readings]
    confidence: that the line contains the damage [1]
    merge: areas nearer than this count as one, 0 for none [m]
    panel: the panel's edge, past which nothing is damaged [outline]
    return: the outline [outline]
    """
    traced = traced_of(readings, confidence)
    if not traced.areas:
        raise RangeError("the survey finds no damaged area: no place is likelier damaged than sound")
    found = whole([traced.areas[i].outer for i in groups_of(traced, merge)[0]])
    cut = common(found, panel)
    if not cut:
        raise RangeError("the survey's damaged area lies outside the panel: check origin, unit and turn")
    return cut[0].outer


@formula("number of readings", source=COUNTED)
def count_of(readings: SurveyReadings) -> int:
    """Readings of the side, moisture not counted.

    readings: taps and measures of the side [readings]
    return: their number [1]
    """
    return len(readings.rows)


@formula("number of readings that speak for damage", source=COUNTED)
def dull_of(readings: SurveyReadings) -> int:
    """Dull taps and measures past the limit.

    readings: taps and measures of the side [readings]
    return: their number [1]
    """
    return int(readings.readings().dull.sum())


@formula("median distance to the nearest other place", source=COUNTED, kind="length")
def spacing_between(readings: SurveyReadings) -> float:
    """Spacing of the survey.

    readings: taps and measures of the side [readings]
    return: the spacing [m]
    """
    return spacing_of(merged(readings.readings()).at)


@formula("areas inside outer lines that hold a 50 % line", source=MODEL)
def areas_of(readings: SurveyReadings, confidence: float) -> int:
    """Damaged areas found.

    readings: taps and measures of the side [readings]
    confidence: of the outer line [1]
    return: their number [1]
    """
    return len(traced_of(readings, confidence).areas)
