"""The recipe of the judge from the repair document's approved data."""

from __future__ import annotations

from panelmend.document.approved import ApprovedData, BagData, Cure
from panelmend.document.approved import Segment as Given
from panelmend.errors import InputError
from panelmend.job.defaults import HALF_BAND, LEAST_SENSORS, RATE_WINDOW
from panelmend.plan.judge.recipe import (
    CureRecipe,
    LeakRule,
    RecipeLimit,
    RecipeSegment,
    SegmentKind,
    SensorRule,
    VacuumRule,
)

PRACTICE = "common practice, no source"
_WORDS = {"ramp": "heat-up", "dwell": "dwell", "cool": "cool-down"}


def recipe_of(data: ApprovedData, cure: Cure) -> CureRecipe:
    """One cure of the approved data as the judge reads it.

    Args:
        data: the approved data; its bag gives vacuum and leak test where the cure gives none and is bagged.
        cure: one of ``data.cure``.

    Returns:
        The recipe, without vacuum and leak test where nothing is bagged; limits that the data leaves open are
        filled from trade practice and marked as defaults.

    Raises:
        InputError: a dwell without its least time, or segments that contradict each other.
    """
    names = _names(cure)
    segments = tuple(_segment(s, n, cure) for s, n in zip(cure.segment, names, strict=True))
    bag: BagData | None = data.bag
    vacuum = None
    if not cure.bagged:
        bag = None  # no bag: neither vacuum nor leak test is required in its log
    if cure.vacuum is not None and cure.bagged:
        vacuum = VacuumRule(RecipeLimit(cure.vacuum, cure.place))
    elif bag is not None and bag.least_vacuum is not None:
        vacuum = VacuumRule(RecipeLimit(bag.least_vacuum.value, bag.least_vacuum.place))
    leak = None
    if bag is not None and bag.leak_drop is not None and bag.leak_time is not None:
        leak = LeakRule(RecipeLimit(bag.leak_drop.value, bag.leak_drop.place), bag.leak_time.value)
    asked = cure.thermocouples_least
    sensors = SensorRule(
        asked if asked is not None else LEAST_SENSORS,
        cure.place if asked is not None else PRACTICE,
        may_fail=cure.may_fail,
        default=asked is None,
        may_fail_place=cure.place if "may_fail" in cure.model_fields_set else PRACTICE,
        may_fail_default="may_fail" not in cure.model_fields_set,
    )
    return CureRecipe(
        cure.name,
        segments,
        sensors,
        ceiling=_limit(cure.ceiling, cure),
        vacuum=vacuum,
        release_most=_limit(cure.release_below, cure),
        leak=leak,
        longest_gap=cure.longest_gap,
        bagged=cure.bagged,
    )


def _limit(value: float | None, cure: Cure) -> RecipeLimit | None:
    return None if value is None else RecipeLimit(value, cure.place)


def _names(cure: Cure) -> list[str]:
    kinds = [s.kind for s in cure.segment]
    out = []
    for at, kind in enumerate(kinds):
        number = f" {kinds[: at + 1].count(kind)}" if kinds.count(kind) > 1 else ""
        out.append(_WORDS[kind] + number)
    return out


def _segment(s: Given, name: str, cure: Cure) -> RecipeSegment:
    window = cure.rate_window if cure.rate_window is not None else RATE_WINDOW
    rates = (_limit(s.rate_least, cure), _limit(s.rate_most, cure))
    if s.kind != "dwell":
        return RecipeSegment(
            name, SegmentKind(s.kind), s.to, rate_least=rates[0], rate_most=rates[1], rate_window=window
        )
    if s.least is None:
        raise InputError(
            "a dwell without its least time cannot be judged",
            where=f"{cure.name}: {name}",
            todo="take it from the approved data",
        )
    return RecipeSegment(
        name,
        SegmentKind.DWELL,
        s.to,
        rate_window=window,
        band_low=_limit(s.low, cure) or RecipeLimit(s.to - HALF_BAND, PRACTICE, default=True),
        band_high=_limit(s.high, cure) or RecipeLimit(s.to + HALF_BAND, PRACTICE, default=True),
        dwell_least=_limit(s.least, cure),
        dwell_most=_limit(s.most, cure),
        summed=s.summed,
        spread_most=_limit(cure.spread_most, cure),
    )
