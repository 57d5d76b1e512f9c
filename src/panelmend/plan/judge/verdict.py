"""The verdict: each rule with its outcome, and the overall outcome."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any

from panelmend.errors import Code, Finding
from panelmend.plan.judge import codes
from panelmend.plan.judge.log import CureLog
from panelmend.plan.judge.recipe import RecipeLimit
from panelmend.plan.judge.said import MOST_DIGITS, show


class Outcome(StrEnum):
    """Outcome of a rule, or of the whole."""

    CONFORMS = "conforms"
    DOES_NOT = "does not conform"
    UNKNOWN = "cannot be judged"


@dataclass(frozen=True)
class Reason:
    """One rule applied once.

    ``code`` is the finding code ("" when it conforms); ``value`` and ``limit`` are SI of ``kind``, NaN where
    there is none; ``time`` [s] into the log, ``clock`` and ``line`` the same for people; ``place`` is where
    the limit stands in the approved data, ``default`` True when it is only trade practice; ``by`` and
    ``states``: who states what this rests on, and what; "" where it rests on readings.
    """

    outcome: Outcome
    rule: str
    segment: str
    sensor: str
    time: float
    clock: str
    line: int
    value: float
    limit: float
    kind: str
    place: str
    default: bool
    words: str
    code: str = ""
    by: str = ""
    states: str = ""


@dataclass(frozen=True)
class SegmentRow:
    """What became of a segment; times [s], NaN when it was not found; ``held`` [s] counts towards a dwell."""

    name: str
    kind: str
    start: float
    end: float
    slowest: str
    fastest: str
    least: float
    most: float
    held: float
    outcome: str  # an :class:`Outcome`, or "no limit in the data"


@dataclass(frozen=True)
class Interruption:
    """Heat that fell out of the band and came back: temperatures [K], times [s], least ``vacuum`` [Pa]."""

    segment: str
    start: float
    end: float
    least: float
    held_before: float
    vacuum: float
    words: str


@dataclass(frozen=True)
class Verdict:
    """The verdict on one cure. ``reasons`` holds every rule applied, those that matter first."""

    outcome: Outcome
    recipe: str
    digest: str
    reasons: tuple[Reason, ...]
    findings: tuple[Finding, ...]
    segments: tuple[SegmentRow, ...]
    lost_sensors: tuple[tuple[str, float], ...]
    interruptions: tuple[Interruption, ...]
    degree: float  # of the slowest [1], NaN without constants
    glass: float  # [K], NaN without constants
    stood: float = 0.0  # [s], the longest time in which no thermocouple changed and that was let pass
    stood_alone: tuple[tuple[str, float], ...] = ()  # thermocouples that did for five minutes and more [s]
    rests: tuple[str, ...] = ()  # what nobody looked at and no reading shows, in words
    unread: tuple[tuple[str, float], ...] = ()  # dwells, and how long not every thermocouple was read [s]

    def against(self) -> tuple[Reason, ...]:
        """The reasons that keep the cure from conforming."""
        return tuple(r for r in self.reasons if r.outcome is not Outcome.CONFORMS)

    def rests_on(self) -> tuple[str, ...]:
        """Statements by people that no reading shows and without which the cure would not conform, and what
        was not checked; to be printed with the outcome itself. Nothing where it does not conform."""
        if self.outcome is not Outcome.CONFORMS:
            return ()
        by = (f"{r.by}'s statement of {r.rule} ({r.sensor}): {r.states}" for r in self.reasons if r.by)
        return (*by, *self.rests)

    def to_json(self) -> str:
        """As JSON text in SI; numbers that are not known are null; the same verdict gives the same bytes."""
        return json.dumps(nan_as_none(asdict(self)), indent=2, sort_keys=True, ensure_ascii=False) + "\n"


def nan_as_none(data: Any) -> Any:
    """Data with NaN as None, for JSON."""
    if isinstance(data, float):
        return None if not math.isfinite(data) else float(f"{data:.9g}")
    if isinstance(data, dict):
        return {k: nan_as_none(v) for k, v in data.items()}
    if isinstance(data, list | tuple):
        return [nan_as_none(v) for v in data]
    return data


class VerdictRecorder:
    """Collects reasons and findings while the rules are applied."""

    def __init__(self, log: CureLog) -> None:
        self.log = log
        self.reasons: list[Reason] = []
        self.findings: list[Finding] = []

    def enter(
        self,
        outcome: Outcome,
        rule: str,
        words: str,
        *,
        limit: RecipeLimit | None = None,
        value: float = math.nan,
        kind: str = "",
        segment: str = "",
        sensor: str = "",
        time: float = 0.0,
        code: Code | None = None,
        place: str = "",
        default: bool = False,
        clock: str = "",
        by: str = "",
        states: str = "",
    ) -> Reason:
        """One rule with its outcome, its value [SI] and time [s]; one that does not conform is also a
        finding. ``clock``: when, in words, for what stands in no line of the log; ``by`` and ``states``: as
        in :class:`Reason`."""
        reason = Reason(
            outcome,
            rule,
            segment,
            sensor,
            math.nan if clock else time,
            clock or self.log.clock(time),
            0 if clock else self.log.line_at(time),
            value,
            limit.value if limit else math.nan,
            kind,
            limit.place if limit else place,
            limit.default if limit else default,
            words,
            code.code if code and outcome is not Outcome.CONFORMS else "",
            by,
            states,
        )
        self.reasons.append(reason)
        if code is not None and outcome is not Outcome.CONFORMS:
            more = {"sensor": sensor, "segment": segment, "place": reason.place, "clock": clock}
            self.note(code, words, time=time, limited=limit is not None, **more)
        return reason

    def unknown(self, rule: str, words: str, **more: Any) -> Reason:
        """A rule that cannot be judged."""
        return self.enter(Outcome.UNKNOWN, rule, words, code=codes.UNKNOWN, **more)

    def note(
        self,
        code: Code,
        words: str,
        *,
        sensor: str = "",
        segment: str = "",
        time: float = 0.0,
        place: str = "",
        clock: str = "",
        limited: bool = True,
    ) -> None:
        """A finding only, ``time`` [s]; ``clock`` as in :meth:`enter`; ``limited``: the place is that of a
        limit."""
        line = "" if clock else f"line {self.log.line_at(time)}"
        where = ", ".join(x for x in (segment, sensor, line) if x)
        data = f"; {'limit in ' if limited else ''}{place}" if place else ""
        text = f"{code.title}: {words} (at {clock or self.log.clock(time)}{data})"
        self.findings.append(code(text, place=where))

    def measure(
        self,
        rule: str,
        value: float,
        limit: RecipeLimit,
        kind: str,
        code: Code,
        *,
        most: bool,
        segment: str = "",
        sensor: str = "",
        time: float = 0.0,
        unit: str = "",
        decimals: int = 1,
        more: str = "",
        clock: str = "",
        unsure: float = 0.0,
        between: tuple[float, float] | None = None,
    ) -> Outcome:
        """Enter a measured value [SI] against its most or its least; exactly on the limit conforms.
        ``unsure`` [SI]: how far the value may be from this because the stamps are coarse; one that conforms
        by less cannot be judged. ``between`` [SI]: the least and the most that it can be for a hole in the
        readings; where one of them conforms and the other does not, it cannot be judged."""
        slack = 1e-6 * max(1.0, abs(limit.value)) if kind != "temperature rate" else 1e-6 * abs(limit.value)

        def keeps(x: float) -> bool:
            return x <= limit.value + slack if most else x >= limit.value - slack

        good = keeps(value)
        shown, bound = (
            told_apart(
                not good,
                lambda finer: show(
                    cured(value) if kind == "ratio" else value, kind, unit=unit, decimals=decimals + finer
                ),
                lambda finer: show(limit.value, kind, unit=unit, decimals=decimals + finer),
            )
            if kind
            else (f"{value:g}", f"{limit.value:g}")
        )
        words = (
            f"{rule}: {sensor + ' ' if sensor else ''}{shown}, {'most' if most else 'least'} {bound}{more}"
        )
        outcome = Outcome.CONFORMS if good else Outcome.DOES_NOT
        short = limit.value - value if most else value - limit.value
        if good and unsure > 0.0 and short < unsure - slack:
            outcome, code = Outcome.UNKNOWN, codes.UNKNOWN
            words += f"; the stamps leave it open by {show(unsure, kind, decimals=decimals)}"
        if between is not None and keeps(between[0]) != keeps(between[1]):
            outcome, code = Outcome.UNKNOWN, codes.UNKNOWN
            ends = [show(x, kind, decimals=decimals) for x in between]
            far = int(keeps(between[0]))  # the end that does not keep to the limit
            ends[far] = told_apart(
                True,
                lambda finer: show(between[far], kind, decimals=decimals + finer),
                lambda finer: show(limit.value, kind, decimals=decimals + finer),
            )[0]
            words += f"; no reading shows when it came there: from {ends[0]} to {ends[1]}"
        self.enter(
            outcome,
            rule,
            words,
            limit=limit,
            value=value,
            kind=kind,
            segment=segment,
            sensor=sensor,
            time=time,
            code=code,
            clock=clock,
        )
        return outcome


def told_apart(apart: bool, value: Callable[[int], str], limit: Callable[[int], str]) -> tuple[str, str]:
    """A value and its limit in words.

    Args:
        apart: the value does not keep to the limit: then with as many digits as it takes to see that.
        value: the value's words, from how many more digits are wanted [1].
        limit: the limit's, likewise.
    """
    for more in range(MOST_DIGITS + 1):
        shown, bound = value(more), limit(more)
        if not apart or shown != bound:
            break
    return shown, bound


def cured(degree: float) -> float:
    """A degree of cure [1] to be shown, rounded down to tenths of a percent [1]: none is ever whole."""
    return min(999, math.floor(1000.0 * degree + 1e-6)) / 1000.0


def worst_outcome(outcomes: list[Outcome]) -> Outcome:
    """The worst of several outcomes: a failure outweighs "cannot be judged", which outweighs "conforms"."""
    for outcome in (Outcome.DOES_NOT, Outcome.UNKNOWN):
        if outcome in outcomes:
            return outcome
    return Outcome.CONFORMS
