"""What a prediction says: traces, maps, places of thermocouples, limits, advice, likelihood.

Plain frozen data, made by the room ``predict`` and kept beside the document; the cure stage puts it into the
plan. Temperatures in K, times in s from the start of heat, places in standard axes [m]."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from typing import Literal

from panelmend.errors import InputError
from panelmend.job.cure.problem import Point, Unknown
from panelmend.units import show

PLUG_EDGE = "bond line over the paste"  # the layer of an extreme: hot by that paste's own heat of cure
SHARE_HELD, SHARE_MOSTLY = 0.9, 0.5  # shares of the cases tried; common practice, no source
HOPELESS = 50.0  # K; common practice, no source
LEAST_CASES = 35  # where all hold, Wilson's interval (95 %) begins at SHARE_HELD from so many cases on


class Outlook(StrEnum):
    """What a prediction and its cases come to. Findings, card and pages decide on this, never on words."""

    BREAKS = "breaks a limit"  # the run with likely values
    MOSTLY_BREAKS = "breaks a limit in most cases"  # holds with likely values, in fewer than SHARE_MOSTLY
    UNSURE = (
        "breaks a limit in some cases"  # fewer than SHARE_HELD or LEAST_CASES, heat uncounted, half wider
    )
    UNTRIED = "holds with likely values, no case tried"
    HOLDS = "holds in nearly all cases"


TraceKind = Literal["sensor", "check", "hottest", "coldest", "far skin", "structure"]
SensorRole = Literal["coldest", "hottest", "between", "behind", "check"]


@dataclass(frozen=True)
class Trace:
    """A temperature over time."""

    name: str
    kind: TraceKind
    kelvin: tuple[float, ...]


@dataclass(frozen=True)
class Extreme:
    """An extreme of the bond line: its value, when, where, and in which layer."""

    kelvin: float
    time: float
    at: Point
    layer: str


@dataclass(frozen=True)
class PlannedSensor:
    """A thermocouple: where, why there, and what it should read.

    ``at`` in standard axes; ``face`` "repair side" or "far face"; ``role`` "coldest", "hottest", "between",
    "behind" (followed by a second blanket) or "check" (watches and never counts). ``low`` and ``high`` are
    what it reads in the dwell [K], ``arrives`` when it enters the band [s] (None never). ``above_coldest`` is
    how far the coldest place of the bond line lies below its lowest reading in the dwell, ``below_hottest``
    how far the hottest lies above its highest [K]; both may be negative where it reads beyond.
    """

    id: str
    at: Point
    face: str
    role: SensorRole
    why: str
    low: float
    high: float
    arrives: float | None
    above_coldest: float
    below_hottest: float


@dataclass(frozen=True)
class HeatMap:
    """Temperatures of one layer at one time: ``u`` and ``v`` are grid lines [m] in the frame (along and
    across the opening from its centre); ``kelvin`` by rows of v, None where there is nothing."""

    title: str
    time: float
    layer: str
    u: tuple[float, ...]
    v: tuple[float, ...]
    kelvin: tuple[tuple[float | None, ...], ...]


class Limit(StrEnum):
    """Which limit a row is about. Findings and advice decide on this, never on the row's words."""

    COLDEST = "coldest"  # of the bond line in the longest dwell
    HOTTEST = "hottest"
    HELD = "held"  # time of the coldest in the band
    HELD_LONG = "held long"  # time of the thermocouples in a band, at most
    OTHER_DWELL = "other dwell"  # coldest or hottest of the bond line in another dwell
    SPREAD = "spread"
    PEAK = "peak"  # of the bond line at any time
    SHOWN = "shown"  # of the thermocouples at any time
    AROUND = "around"  # hottest of panel, structure or blanket
    BEHIND = "behind"  # hottest of the blanket behind
    INSULATION = "insulation"  # hottest of chosen insulation
    SPLICE = "splice"  # hottest of the paste round a plug
    RISE = "rise"  # fastest
    FALL = "fall"
    MEAN_RISE = "mean rise"  # slowest
    MEAN_FALL = "mean fall"


@dataclass(frozen=True)
class LimitRow:
    """A limit against what is predicted. ``sense`` is "below" or "above"; ``margin`` is positive when it
    holds, in the unit of its kind; ``code`` says which limit, ``what`` and ``place`` say it to people."""

    what: str
    place: str
    limit: float
    predicted: float
    kind: str  # "temperature", "temperature difference", "time" or "rate" [K, K, s, K/s]
    sense: str
    margin: float
    code: Limit

    @property
    def holds(self) -> bool:
        """Whether the prediction keeps it."""
        return self.margin >= 0.0


@dataclass(frozen=True)
class CureState:
    """Degree of cure at the end, least and most, and the glass transition of the least [K] (None not
    known)."""

    name: str
    least: float
    most: float
    glass: float | None


@dataclass(frozen=True)
class Advice:
    """A change that was tried: the worst margin before and after [K], the time the cure takes [s], whether it
    would hold everything. ``tried``: quick cases that hold as planned, that hold with it, and of how many;
    None where none were tried, then it is no advice."""

    change: str
    field: str  # where the planner would write it, "" where it is not the planner's to choose
    before: float
    after: float
    duration: float
    holds: bool
    tried: tuple[int, int, int] | None = None

    @property
    def gain(self) -> float:
        """What it gains [K]."""
        return self.after - self.before


@dataclass(frozen=True)
class Driver:
    """What an unknown moves from the low fifth of its range to the high fifth, on average [K].

    ``either``: what both outer fifths together move the coldest and the hottest against the middle fifth [K]:
    what is off either way does the same harm, and would not show otherwise."""

    unknown: str
    coldest: float
    hottest: float
    either: tuple[float, float] = (0.0, 0.0)

    @property
    def most(self) -> float:
        """The most it moves anything, either way [K]."""
        return max(abs(v) for v in (self.coldest, self.hottest, *self.either))


@dataclass(frozen=True)
class Likelihood:
    """How many of the cases tried hold, and the interval of the share (95 %, Wilson).

    ``rests_on`` names what nobody measured and what moves the bond line by half a kelvin or more: while there
    is any, the count is no chance of anything and no share is to be printed. ``wider`` is how many hold of
    how many with every range that nobody measured half as wide again.

    ``method`` says whether full or reduced runs; ``held_out_rms``, ``held_out_worst`` [K] and
    ``held_out_cases`` are the reduced model's error on cases it did not see (None for full runs), ``wrong``
    how many of those it judged otherwise than the full run. ``firm`` of the cases hold with
    ``held_out_worst`` to spare on every temperature, ``perhaps`` would with it added. In ``blind`` cases
    every thermocouple would show a good cure while a limit is broken. ``quick_error`` [K]: how far the quick
    method was off on cases kept aside, where that was too much and cases were run in full in its stead.
    """

    cases: int
    seed: int
    method: str
    held_out_rms: float | None
    held_out_worst: float | None
    held_out_cases: int
    wrong: int
    band: int
    ceiling: int
    limits: int
    seen: int  # cases in which the thermocouples, read by the recipe, would conform
    everything: int
    low: float
    high: float
    coldest: tuple[float, float, float]  # coldest of the bond in the dwell: 5, 50, 95 % [K]
    hottest: tuple[float, float, float]
    drivers: tuple[Driver, ...]
    unsolved: int = 0  # cases in which the resin ran away: they hold nothing
    rest: int = 0  # cases that keep times, spread, rates, other dwells and the blanket behind
    rests_on: tuple[str, ...] = ()
    wider: tuple[int, int] | None = None
    firm: int | None = None
    perhaps: int | None = None
    blind: int | None = None
    quick_error: float | None = None

    @property
    def share(self) -> float:
        """Share of cases that hold everything [1]."""
        return self.everything / self.cases

    @property
    def measured(self) -> bool:
        """Whether every range that drives the result was measured or is published."""
        return not self.rests_on

    @property
    def hangs_on_ranges(self) -> bool:
        """Whether less than half hold with every range that nobody measured half as wide again."""
        wider = self.wider
        return not self.measured and wider is not None and wider[0] < SHARE_MOSTLY * wider[1]


@dataclass(frozen=True)
class Placing:
    """How far off things may lie: ``blanket`` before a limit breaks [m] (the largest tried where none
    does), ``way`` the worst way, ``margin`` the least margin with it off by its tolerance [K], and for each
    thermocouple the least margin with it off by its own [K]. ``behind``: the first three of the blanket
    behind."""

    blanket: float
    way: str
    margin: float
    sensors: tuple[tuple[str, float], ...]
    behind: tuple[float, str, float] | None = None


@dataclass(frozen=True)
class DriedCases:
    """The outermost of the cases of a drying that were tried over the ranges of what nobody measured.

    ``foot``: how warm the coldest place at the foot of the core gets, in the coldest and the warmest case;
    ``skin``: the hottest of the skins, likewise [K]. In ``near`` of ``cases`` the foot comes near the drying
    temperature, in the last of them after ``late`` [s] (None where it does not in every case). In ``over`` a
    limit of panel, structure or blanket is passed; ``unsolved`` could not be solved and are not among
    ``cases``. A case beyond them all there may be: so many cases are no bound."""

    cases: int
    seed: int
    foot: tuple[float, float]
    skin: tuple[float, float]
    near: int
    late: float | None
    over: int
    unsolved: int


@dataclass(frozen=True)
class Prediction:
    """The prediction of one cure.

    ``problem`` is the digest of what was predicted. ``dwell_from`` and ``dwell_to`` bound the longest dwell
    as the controller counts it [s]; ``coldest_arrives`` is when the coldest place of the bond line enters the
    band (None never); ``duration`` the whole cycle. ``overshoot`` is how far the hottest place passes the set
    point [K]. ``duty`` is the greatest duty in the ramp and the mean in the dwell [1]. ``worst`` is the least
    margin of all limits on temperature [K]. ``around`` is the hottest of panel, blankets and structure, with
    a limit or without [K]. ``uncounted`` names what cures without a heat of cure that anybody gave: the bond
    line gets hotter than is predicted."""

    problem: str
    operation: str
    times: tuple[float, ...]
    set_point: tuple[float, ...]
    traces: tuple[Trace, ...]
    sensors: tuple[PlannedSensor, ...]
    hottest: Extreme
    coldest: Extreme
    dwell_from: float | None
    dwell_to: float | None
    coldest_arrives: float | None
    duration: float
    finished: bool
    overshoot: float
    duty: tuple[float, float]
    limits: tuple[LimitRow, ...]
    cured: tuple[CureState, ...]
    maps: tuple[HeatMap, ...]
    advice: tuple[Advice, ...]
    likelihood: Likelihood | None
    unknowns: tuple[Unknown, ...]
    worst: float
    energy_unbalanced: float
    cells: int
    step: float
    notes: tuple[str, ...]
    placing: Placing | None = None
    around: tuple[tuple[str, float], ...] = ()
    uncounted: tuple[str, ...] = ()
    tried: DriedCases | None = None  # of a drying

    @property
    def holds(self) -> bool:
        """Whether the recipe comes to its end and every limit holds."""
        return self.finished and all(row.holds for row in self.limits)

    @property
    def hopeless(self) -> bool:
        """Whether a limit on temperature is passed by so much that no change of the usual kind mends it. Not
        that of paste round a plug and the bond line over it: at a slower rate it runs away no more."""
        own = {Limit.SPLICE} | ({Limit.HOTTEST, Limit.PEAK} if self.hottest.layer == PLUG_EDGE else set())
        rows = (r.margin for r in self.limits if r.kind == "temperature" and r.code not in own)
        return min(rows, default=0.0) < -HOPELESS

    @property
    def outlook(self) -> Outlook:
        """What it comes to with its cases: the likely values alone say little."""
        tried = self.likelihood
        if not self.holds:
            return Outlook.BREAKS
        if tried is None:
            return Outlook.UNTRIED
        if tried.everything < SHARE_MOSTLY * tried.cases:
            return Outlook.MOSTLY_BREAKS
        firm = tried.everything if tried.firm is None else tried.firm
        sure = firm >= SHARE_HELD * tried.cases and tried.cases >= LEAST_CASES and not self.uncounted
        sure = sure and not tried.hangs_on_ranges
        return Outlook.HOLDS if sure else Outlook.UNSURE

    def digest(self) -> str:
        """The same for the same prediction."""
        return self._digest

    @cached_property
    def _digest(self) -> str:
        return hashlib.sha256(repr(self).encode("utf8")).hexdigest()

    def summary(self, view: str = "mm") -> str:
        """The extremes of the bond line in words."""
        cold, hot = (show(e.kelvin, "temperature", view) for e in (self.coldest, self.hottest))
        least = show(self.worst, "temperature difference", view)
        return f"{self.operation}: bond line {cold} to {hot}, least margin {least}"


HELD, DIGEST_LETTERS = "holds_", 6
OWN_HEAT = "own_heat_"
UNPREDICTED = "unpredicted_"


def held_key(number: int, made: Prediction) -> str:
    """Key of the count of an operation's cases that hold. It names the numbers and the set-up they were
    counted for, so that who accepts them under ``[[confirm]]`` accepts these and no others.

    Raises:
        InputError: no cases were tried.
    """
    found = made.likelihood
    if found is None:
        raise InputError("no cases were tried of this cure, so there is no count", read=made.operation)
    return f"cure.{number}.{HELD}{found.everything}_of_{found.cases}_{made.problem[:DIGEST_LETTERS]}"


def may_be_accepted(key: str) -> bool:
    """Whether a key is that of a count of cases, or of a potting whose heat nobody predicted, which a named
    person may take on as it is."""
    return key.startswith("cure.") and key.split(".")[-1].startswith((HELD, OWN_HEAT))
