"""Cure recipes: what they lay is given, bands, ceilings, ramps that fall back."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.approved import Cure, Segment
from panelmend.document.fault import Fault, fault_at
from panelmend.document.faults.plausible import fault_outside
from panelmend.document.model import Document
from panelmend.document.places import Path
from panelmend.document.recipe import CurePart
from panelmend.units import show

SHORTEST_TYPED_DWELL, LONGEST_TYPED_DWELL = 60.0, 48 * 3600.0  # s; of a dwell
LONGEST_COOL, COOL_CURE = (
    14 * 86400.0,
    313.15,
)  # s, K; resins that cure near room temperature take up to a week


def _laid_but_not_given(document: Document) -> Iterator[Fault]:
    sides = [s for s in (document.data.plies.outside, document.data.plies.inside) if s is not None]
    given: dict[CurePart, tuple[bool, str]] = {
        "core": (True, ""),  # a damage that leaves no core to lay has its own fault
        "plies": (True, ""),
        "potting": (True, ""),
        "cap": (document.data.core.cap is not None, "data.core.cap"),
        "fill": (any(s.fill is not None for s in sides), "data.plies.outside.fill"),
    }
    for i, cure in enumerate(document.data.cure):
        for part in cure.lays:
            there, where = given[part]
            if not there:
                yield fault_at(
                    ("data", "cure", i, "lays"),
                    f"the operation lays a {part} that is not given",
                    repr(part),
                    f"{where} with its place",
                )


def _side(document: Document) -> Iterator[Fault]:
    damage = document.damage
    for i, cure in enumerate(document.data.cure):
        if cure.side is not None and not damage.through and cure.side != damage.side:
            yield fault_at(
                ("data", "cure", i, "side"),
                "a cure on the undamaged side",
                repr(cure.side),
                f'side "{damage.side}", where the damage is',
            )


def _recipes(document: Document) -> Iterator[Fault]:
    for i, cure in enumerate(document.data.cure):
        yield from _recipe(("data", "cure", i), cure)


def _recipe(path: Path, cure: Cure) -> Iterator[Fault]:
    before: float | None = None
    for j, segment in enumerate(cure.segment):
        here: Path = (*path, "segment", j)
        hottest = max(segment.to, segment.high or 0.0)
        if cure.ceiling is not None and hottest > cure.ceiling + 1e-9:
            yield fault_at(
                here,
                "above the cure cycle's maximum temperature (ceiling)",
                _c(hottest),
                f"at most {_c(cure.ceiling)}",
            )
        yield from _rates(here, segment)
        yield from _dwell(here, segment)
        if before is not None:
            yield from _step(here, segment, before)
        before = segment.to
    dwells = [s.to for s in cure.segment if s.kind == "dwell"]
    if not dwells:
        yield fault_at(
            (*path, "segment"), "a cure cycle without a dwell", expected='a segment of kind "dwell"'
        )
    elif cure.release_below is not None and cure.release_below > min(dwells):
        yield fault_at(
            (*path, "release_below"),
            "the vacuum would be released during the dwell",
            _c(cure.release_below),
            f"at most {_c(min(dwells))}",
        )


def _rates(here: Path, segment: Segment) -> Iterator[Fault]:
    low, high, rate = segment.rate_least, segment.rate_most, segment.rate
    if low is not None and high is not None and low > high:
        yield fault_at(here, "the least rate is above the greatest", _rate(low), f"at most {_rate(high)}")
    elif rate is not None and ((low is not None and rate < low) or (high is not None and rate > high)):
        yield fault_at(
            (*here, "rate"), "the set rate lies outside its own limits", _rate(rate), "between least and most"
        )
    if segment.kind == "dwell" and rate is not None:
        yield fault_at((*here, "rate"), "a dwell has no rate", _rate(rate), "rates on ramps and cooling only")


def _dwell(here: Path, segment: Segment) -> Iterator[Fault]:
    low, high = segment.low, segment.high
    if low is not None and high is not None and low >= high:
        yield fault_at(here, "the band is upside down", f"{_c(low)} to {_c(high)}", "low below high")
        return
    if segment.kind != "dwell":
        if segment.least is not None or segment.most is not None:
            yield fault_at(here, "only a dwell has a time", f'kind "{segment.kind}"', "no least or most")
        return
    if segment.least is None:
        yield fault_at(here, "'least' is missing", expected="the least dwell time")
    elif segment.least <= 0:
        yield fault_at((*here, "least"), "a dwell of no time", show(segment.least, "time"), "more than zero")
    elif segment.least < SHORTEST_TYPED_DWELL or segment.least > (
        LONGEST_TYPED_DWELL if segment.to > COOL_CURE else LONGEST_COOL
    ):
        yield from fault_outside(
            (*here, "least"),
            "dwell",
            segment.least,
            "time",
            SHORTEST_TYPED_DWELL,
            LONGEST_TYPED_DWELL if segment.to > COOL_CURE else LONGEST_COOL,
            low_todo="check the unit: minutes may have been written as seconds",
            high_todo="check the unit: minutes may have been written as hours",
        )
    elif segment.most is not None and segment.most < segment.least:
        yield fault_at(
            (*here, "most"),
            "the longest dwell is shorter than the least",
            show(segment.most, "time"),
            f"at least {show(segment.least, 'time')}",
        )
    if (low is not None and segment.to < low) or (high is not None and segment.to > high):
        yield fault_at(
            (*here, "to"), "the set point lies outside its own band", _c(segment.to), "between low and high"
        )


def _step(here: Path, segment: Segment, before: float) -> Iterator[Fault]:
    if segment.kind == "ramp" and segment.to <= before:
        yield fault_at(
            (*here, "to"),
            "a ramp that falls back",
            _c(segment.to),
            f"above {_c(before)}",
            'write kind = "cool" for cooling',
        )
    elif segment.kind == "cool" and segment.to >= before:
        yield fault_at((*here, "to"), "cooling that rises", _c(segment.to), f"below {_c(before)}")
    elif segment.kind == "dwell" and abs(segment.to - before) > 1e-6:
        low, high = segment.low or segment.to, segment.high or segment.to
        if not low - 1e-6 <= before <= high + 1e-6:
            yield fault_at(
                (*here, "to"),
                "a dwell that starts with a jump",
                _c(segment.to),
                f"{_c(before)}, where the segment before ends",
                "put a ramp before it",
            )


def _from_the_air(document: Document) -> Iterator[Fault]:
    """The first segment begins at the air of the bay."""
    air = document.bay.air_temperature
    if air is None or not 233.0 < air < 333.0:
        return
    for i, cure in enumerate(document.data.cure):
        first = cure.segment[0]
        here: Path = ("data", "cure", i, "segment", 0)
        if first.kind == "ramp" and first.to <= air:
            yield fault_at(
                (*here, "to"),
                "the first ramp ends no warmer than the air in the bay",
                _c(first.to),
                f"above {_c(air)}",
                "check C or F, and bay.air_temperature",
            )
        elif first.kind == "cool":
            yield fault_at(
                here, "a cure cycle that starts with cooling", _c(first.to), "a ramp or a dwell first"
            )


def _c(kelvin: float) -> str:
    return f"{show(kelvin, 'temperature')} ({show(kelvin, 'temperature', 'in')})"


def _rate(rate: float) -> str:
    return show(rate, "temperature rate")


CHECKS = (
    (_laid_but_not_given, ("data.cure", "data.core", "data.plies")),
    (_side, ("data.cure", "damage")),
    (_recipes, ("data.cure",)),
    (_from_the_air, ("data.cure", "bay")),
)
