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
from panelmend.job.survey.cleared import NotCleared, clear
from panelmend.job.survey.next_taps import NextTap, next_taps, set_of
from panelmend.job.survey.readings import SkinReadings, readings_of
from panelmend.job.survey.readings import below_sound as below_sound
from panelmend.job.survey.trace import Line as Line
from panelmend.job.survey.trace import TracedSurvey, Withheld, merge_near, trace
from panelmend.shapes import Outline, common, polygon
from panelmend.units import show

SIMULATED = Source("survey calibration", "simulated damages, scripts/calibrate_survey.py")
COUNTED = Source("counting")
Point = tuple[float, float]
Place = Callable[[Point], Point]


@dataclass(frozen=True)
class SurveyReadings:
    """Readings of one side in standard axes, kept as one figure: rows of x, y [m], value and noise.

    ``cleared`` are places once dull that an inspector accepted as sound (their readings are sound here);
    ``refused`` those that were to be cleared and are not, with the reason.
    """

    rows: tuple[tuple[float, float, float, float], ...]
    cleared: tuple[Point, ...] = ()
    refused: tuple[tuple[Point, NotCleared], ...] = ()

    def digest(self) -> str:
        """SHA-256 (hex) of the readings, rounded to 1e-9."""
        rows = [*self.rows, *self.cleared]
        text = ";".join(",".join(f"{round(v, 9) + 0.0:.9f}" for v in row) for row in rows)
        return hashlib.sha256(text.encode()).hexdigest()

    def summary(self, view: str = "mm") -> str:
        """One line for people."""
        more = f", {len(self.cleared)} places cleared" if self.cleared else ""
        return f"{len(self.rows)} readings{more}"

    def readings(self) -> SkinReadings:
        """The readings as arrays."""
        a = np.array(self.rows, float).reshape(-1, 4)
        return SkinReadings(a[:, :2], a[:, 2], a[:, 3])


@dataclass(frozen=True)
class SurveyPart:
    """The survey stage: areas, lines and doubts; ``outline`` is the figure the repair is planned on.

    ``gaps`` are places in untapped ground beside the damage, ``withheld`` says why the outer line carries no
    per cent, ``least`` is the least width of dull ground in any area [m].

    ``shades`` are the lines of probabilities 0.1, 0.5 and 0.9, for drawing. ``groups`` says which areas
    count as one by the data's distance; the first holds the largest area.

    ``together`` is the area of the outer lines [m2] where all ``next_taps`` sound; None where they are asked
    for one by one.
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
    doubtful: tuple[Point, ...]
    contradictory: tuple[Point, ...]
    next_taps: tuple[NextTap, ...]
    together: float | None
    gaps: tuple[Point, ...]
    withheld: tuple[Withheld, ...]
    least: float

    @property
    def claimed(self) -> bool:
        """Whether the line carries its per cent."""
        return not self.withheld


def readings_figure(
    survey: Survey, side: Side, place: Place, inspector: str = "", technician: str = ""
) -> SurveyReadings:
    """The readings of one side; ``place`` brings a point of the document into standard axes [m].

    What ``inspector`` accepted as sound is sound; nobody's word, and the ``technician``'s, clears nothing.
    """
    cleared = clear(readings_of(survey, side, place), survey, side, place, inspector, technician)
    r = cleared.readings
    rows = zip(r.at[:, 0], r.at[:, 1], r.value, r.noise, strict=True)
    typed = tuple((float(x), float(y), float(v), float(n)) for x, y, v, n in rows)
    return SurveyReadings(typed, cleared.accepted, cleared.refused)


@lru_cache(maxsize=16)
def traced_of(
    readings: SurveyReadings, confidence: float, line: Line = "any shape", panel: Outline | None = None
) -> TracedSurvey:
    """The trace of a survey at a confidence [1]."""
    return trace(readings.readings(), confidence, line=line, panel=panel)


@lru_cache(maxsize=16)
def next_of(
    readings: SurveyReadings, confidence: float, line: Line = "any shape", panel: Outline | None = None
) -> tuple[NextTap, ...]:
    """The five places to tap next, for a ``confidence`` [1]."""
    return next_taps(traced_of(readings, confidence, line, panel))


@lru_cache(maxsize=16)
def together_of(
    readings: SurveyReadings, confidence: float, line: Line = "any shape", panel: Outline | None = None
) -> float | None:
    """Area of the lines [m2] at a ``confidence`` [1] where all places to tap next sound; None where they
    are asked for singly."""
    made = set_of(traced_of(readings, confidence, line, panel))
    return made.area if made is not None and made.whole else None


def groups_of(traced: TracedSurvey, merge: float) -> tuple[tuple[int, ...], ...]:
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


@formula("line that holds the damage at the calibrated confidence", source=SIMULATED)
def outer_outline(
    readings: SurveyReadings, confidence: float, merge: float, panel: Outline, line: Line
) -> Outline:
    """The outer line of the largest damaged area, with those that count as one with it.

    readings: taps and measures of the side [readings]
    confidence: that the line contains the damage [1]
    merge: areas nearer than this count as one, 0 for none [m]
    panel: the panel's edge, past which nothing is damaged [outline]
    line: any shape, or compact [1]
    return: the outline [outline]

    Raises:
        RangeError: no damaged area, or one outside the panel.
    """
    traced = traced_of(readings, confidence, line, panel)
    if not traced.areas:
        more = ""
        if traced.doubtful:
            told = "; ".join(f"{show(x, 'length')}, {show(y, 'length')}" for x, y in traced.doubtful)
            more = f": single dull readings at {told}"
        raise RangeError(f"the survey finds no damaged area{more}")
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
    """Dull taps and measures past the limit, without those that were cleared.

    readings: taps and measures of the side [readings]
    return: their number [1]
    """
    return int(readings.readings().dull.sum())


@formula(
    "sqrt(2) x radius of the largest empty circle between readings, near the damage",
    source=COUNTED,
    kind="length",
)
def spacing_between(readings: SurveyReadings, confidence: float, line: Line, panel: Outline) -> float:
    """Coverage spacing of the survey: on a square grid, the grid's.

    readings: taps and measures of the side [readings]
    confidence: of the outer line, whose reach is looked at [1]
    line: any shape, or compact [1]
    panel: the panel's edge [outline]
    return: the spacing [m]
    """
    return traced_of(readings, confidence, line, panel).spacing


@formula("damaged areas inside their outer lines", source=COUNTED)
def areas_of(readings: SurveyReadings, confidence: float, line: Line, panel: Outline) -> int:
    """Damaged areas found.

    readings: taps and measures of the side [readings]
    confidence: of the outer line [1]
    line: any shape, or compact [1]
    panel: the panel's edge [outline]
    return: their number [1]
    """
    return len(traced_of(readings, confidence, line, panel).areas)
