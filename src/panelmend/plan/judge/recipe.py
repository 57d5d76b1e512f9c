"""The cure recipe as the judge reads it: every limit in SI, with its place in the approved data."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from panelmend.errors import InputError


@dataclass(frozen=True)
class RecipeLimit:
    """A limit: ``value`` in SI, ``place`` in the approved data, ``default`` when only trade practice."""

    value: float
    place: str
    default: bool = False

    def __post_init__(self) -> None:
        if not math.isfinite(self.value):
            raise InputError("a limit that is no number", where=self.place, read=str(self.value))


class SegmentKind(StrEnum):
    """What a segment of a cure does."""

    RAMP = "ramp"
    DWELL = "dwell"
    COOL = "cool"


@dataclass(frozen=True)
class RecipeSegment:
    """One segment of the recipe.

    ``target`` [K]: where a ramp or a cool-down ends, what a dwell holds. Rates [K/s] are positive numbers in
    both directions, taken over ``rate_window`` [s]; ``rate_above`` [K] is the temperature from which (ramp)
    or down to which (cool-down) they count, None for the whole segment. ``band_low`` and ``band_high`` [K],
    ``dwell_least`` and ``dwell_most`` [s], ``spread_most`` [K] and ``lag_most`` [s] (between the first and
    the last thermocouple to enter the band) belong to a dwell; ``summed`` adds the times in the band,
    otherwise one unbroken time must reach the least. ``ceiling`` [K] holds during the segment.
    """

    name: str
    kind: SegmentKind
    target: float
    rate_least: RecipeLimit | None = None
    rate_most: RecipeLimit | None = None
    rate_window: float = 600.0
    rate_above: float | None = None
    band_low: RecipeLimit | None = None
    band_high: RecipeLimit | None = None
    dwell_least: RecipeLimit | None = None
    dwell_most: RecipeLimit | None = None
    summed: bool = False
    ceiling: RecipeLimit | None = None
    spread_most: RecipeLimit | None = None
    lag_most: RecipeLimit | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.target) and self.target > 0):
            raise InputError("a target that is no temperature", where=self.name, read=f"{self.target} K")
        if not self.rate_window > 0:
            raise InputError("a rate needs a window longer than nothing", where=self.name)
        if self.kind is SegmentKind.DWELL:
            self._check_dwell()
        for low, high, words in (
            (self.rate_least, self.rate_most, "rates"),
            (self.band_low, self.band_high, "band"),
            (self.dwell_least, self.dwell_most, "dwell times"),
            (self.band_low, self.ceiling, "band and maximum temperature"),
        ):
            if low is not None and high is not None and low.value > high.value:
                raise InputError(
                    f"the {words} are the wrong way round",
                    where=self.name,
                    read=f"least {low.value:g}, most {high.value:g} (SI)",
                )

    def _check_dwell(self) -> None:
        if self.band_low is None or self.dwell_least is None:
            raise InputError(
                "a dwell needs the low end of its band and its least time",
                where=self.name,
                todo="take them from the approved data",
            )


@dataclass(frozen=True)
class VacuumRule:
    """Vacuum under the bag: ``least`` [Pa below ambient] from the start of heat to release.

    A dip below it is allowed down to ``dip_least`` [Pa below ambient] and for ``dip_longest`` [s].
    """

    least: RecipeLimit
    dip_least: float | None = None
    dip_longest: float = 0.0

    def __post_init__(self) -> None:
        if not 0 < self.least.value < 120e3:
            raise InputError(
                "vacuum is given in pascal below ambient",
                where=self.least.place,
                read=f"{self.least.value:g} Pa",
                expected="between 0 and one atmosphere",
            )


@dataclass(frozen=True)
class LeakRule:
    """A leak test: with the pump shut off the vacuum may fall by ``fall_most`` [Pa] in ``over`` [s], from
    ``start_least`` [Pa below ambient] or more; None for the least vacuum of the cure."""

    fall_most: RecipeLimit
    over: float
    start_least: RecipeLimit | None = None

    def __post_init__(self) -> None:
        if not self.over > 0 or self.fall_most.value < 0:
            raise InputError("a leak test needs a time and a fall", where=self.fall_most.place)


@dataclass(frozen=True)
class SensorRule:
    """How many thermocouples must work: ``least`` in number all through, at most ``may_fail`` lost on the way
    (None: no rule but ``least``), and those of ``must_work`` (channel names) always. ``default`` and
    ``may_fail_default``: the number is only trade practice; ``may_fail_place`` "" for the same place."""

    least: int
    place: str
    may_fail: int | None = None
    must_work: tuple[str, ...] = ()
    default: bool = False
    may_fail_place: str = ""
    may_fail_default: bool = False

    def __post_init__(self) -> None:
        if self.least < 1 or (self.may_fail is not None and self.may_fail < 0):
            raise InputError("a sensor rule needs at least one sensor", where=self.place)


@dataclass(frozen=True)
class CureRecipe:
    """A whole recipe. ``ceiling`` [K] holds all through; ``release_most`` [K] is the highest temperature at
    which vacuum may be released; ``degree_least`` [1] and ``glass_least`` [K] are asked of the slowest
    thermocouple when the resin's constants are known; ``longest_gap`` [s] between readings that still counts
    as unbroken, None where the data does not say. Not ``bagged``: neither vacuum nor leak is asked."""

    name: str
    segments: tuple[RecipeSegment, ...]
    sensors: SensorRule
    ceiling: RecipeLimit | None = None
    vacuum: VacuumRule | None = None
    release_most: RecipeLimit | None = None
    leak: LeakRule | None = None
    degree_least: RecipeLimit | None = None
    glass_least: RecipeLimit | None = None
    longest_gap: float | None = None
    bagged: bool = True

    def __post_init__(self) -> None:
        if self.longest_gap is not None and not self.longest_gap > 0:
            raise InputError(
                "the longest gap must be a time", where=self.name, read=f"{self.longest_gap:g} s"
            )
        if not any(s.kind is SegmentKind.DWELL for s in self.segments):
            raise InputError("a cure cycle without a dwell", where=self.name)
        if not self.bagged and (self.vacuum is not None or self.leak is not None):
            raise InputError("vacuum or a leak test asked of a cure without a bag", where=self.name)
        names = [s.name for s in self.segments]
        if len(set(names)) != len(names):
            raise InputError("two segments have the same name", where=self.name, read=", ".join(names))
        for before, after in zip(self.segments, self.segments[1:], strict=False):
            falls = before.kind is not SegmentKind.COOL and after.target < before.target
            if falls and after.kind is SegmentKind.RAMP:
                raise InputError("a ramp that falls back", where=f"{self.name}: {after.name}")
            if before.kind is SegmentKind.COOL:
                raise InputError("a segment after the cool-down", where=f"{self.name}: {after.name}")

    def dwells(self) -> tuple[RecipeSegment, ...]:
        """The dwells, in order."""
        return tuple(s for s in self.segments if s.kind is SegmentKind.DWELL)

    def top(self) -> float:
        """The highest ceiling, band or target of the recipe [K]."""
        values = [s.target for s in self.segments]
        limits = [self.ceiling, *(s.ceiling for s in self.segments), *(s.band_high for s in self.segments)]
        return max(values + [x.value for x in limits if x is not None])
