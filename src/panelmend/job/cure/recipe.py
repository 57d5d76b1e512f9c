"""The recipe as legs for a prediction, and the figures of its set point and rate."""

from __future__ import annotations

from dataclasses import replace
from typing import assert_never

from panelmend.derive import Figure, Source, formula
from panelmend.derive.figure import PRACTICE
from panelmend.document.approved import Cure, Segment
from panelmend.document.model import HeatChoice
from panelmend.job.basis import Basis
from panelmend.job.cure.problem import Leg
from panelmend.job.defaults import HALF_BAND

UNTOLD_HEATING_RATE = 2.0 / 60.0  # K/s where the data gives no rate at all; common practice, no source
_SHARE = 0.75


@formula("(least + most) / 2", source=Source("the middle of the data's limits"), kind="temperature rate")
def middle_rate(least: float, most: float) -> float:
    """Set-point rate where the data gives limits alone.

    least: least rate [K/s]
    most: greatest rate [K/s]
    return: rate of the set point [K/s]
    """
    return 0.5 * (least + most)


@formula(
    "three quarters of the greatest rate",
    source=Source("common practice, no source"),
    kind="temperature rate",
)
def below_most(most: float) -> float:
    """Set-point rate where the data gives a greatest rate alone: sensors overtake the set point a little.

    most: greatest rate [K/s]
    return: rate of the set point [K/s]
    """
    return _SHARE * most


def choice_for(basis: Basis, cure: Cure) -> HeatChoice | None:
    """What the planner chose for the heating of a cure."""
    return basis.case.document.choice.heat_for(cure.name)


def set_point(basis: Basis, key: str, cure: Cure) -> Figure:
    """Set point of the longest dwell: the planner's choice inside the band, or the data's."""
    chosen = choice_for(basis, cure)
    if chosen is not None and chosen.set_point is not None:
        at = basis.case.document.choice.heat.index(chosen) + 1
        path = f"choice.heat[{at}].set_point"
        return basis.typed(f"{key}.set_point", chosen.set_point, "temperature", path=path)
    dwell, source = cure.longest_dwell, recipe_place(basis, cure)
    stands = basis.case.stands(dwell)
    return basis.ledger.approved(f"{key}.set_point", dwell.to, "temperature", source=source, stands=stands)


def ramp_rate(basis: Basis, key: str, cure: Cure) -> Figure | None:
    """Rate of the set point while heating: chosen, given, or from the data's limits; None for no ramp."""
    ramp = next((s for s in cure.segment if s.kind == "ramp"), None)
    if ramp is None:
        return None
    chosen, ledger, name = choice_for(basis, cure), basis.ledger, f"{key}.rate"
    if chosen is not None and chosen.rate is not None:
        at = basis.case.document.choice.heat.index(chosen) + 1
        return basis.typed(name, chosen.rate, "temperature rate", path=f"choice.heat[{at}].rate")
    source, stands = recipe_place(basis, cure), basis.case.stands(ramp)
    if ramp.rate is not None:
        return ledger.approved(name, ramp.rate, "temperature rate", source=source, stands=stands)
    most = ramp.rate_most
    if most is None:
        return ledger.default(name, own_rate(ramp), "temperature rate", source=PRACTICE)
    top = ledger.approved(f"{key}.rate_most", most, "temperature rate", source=source, stands=stands)
    if ramp.rate_least is None:
        return ledger.derive(name, below_most, most=top)
    least = ledger.approved(
        f"{key}.rate_least", ramp.rate_least, "temperature rate", source=source, stands=stands
    )
    return ledger.derive(name, middle_rate, least=least, most=top)


def recipe_place(basis: Basis, cure: Cure) -> Source:
    """Where a recipe stands in the approved data."""
    manual = basis.case.document.data.manual
    return Source(f"{manual.number} rev {manual.revision}", cure.place)


def legs(cure: Cure, point: float, rate: float | None, *, chosen: bool = False) -> tuple[Leg, ...]:
    """Ramps and dwells joined into legs.

    Args:
        cure: the recipe.
        point: set point of the longest dwell and the ramp to it [K].
        rate: of the set point in the first ramp [K/s]; None for no ramp.
        chosen: the planner chose the rate, so it holds for every ramp; else each takes its own of the data.

    Returns:
        the legs in order.
    """
    made: list[Leg] = []
    longest = cure.longest_dwell
    first = next((s for s in cure.segment if s.kind == "ramp"), None)
    for n, segment in enumerate(cure.segment):
        limits = segment.rate_most, segment.rate_least
        if segment.kind == "cool":
            made.append(Leg(segment.to, _fall(segment), 0.0, segment.to, None, "cool", *limits))
        elif segment.kind == "ramp":
            after = cure.segment[n + 1] if n + 1 < len(cure.segment) else None
            target = point if after is longest else segment.to
            used = rate if rate is not None and (chosen or segment is first) else own_rate(segment)
            slowest = segment.rate_least if segment.rate_least is not None else segment.rate or 0.0
            made.append(Leg(target, used, 0.0, target - HALF_BAND, None, "heat", *limits, slowest))
        elif segment.kind == "dwell":
            target = point if segment is longest else segment.to
            low = segment.low if segment.low is not None else segment.to - HALF_BAND
            high = segment.high if segment.high is not None else segment.to + HALF_BAND
            if not (made and made[-1].kind == "heat" and made[-1].dwell == 0.0):
                made.append(Leg(target, rate or UNTOLD_HEATING_RATE, 0.0, low, high, "heat"))
            made[-1] = replace(
                made[-1],
                target=target,
                dwell=segment.least or 0.0,
                low=low,
                high=high,
                points=_points(cure, segment),
                dwell_most=segment.most,
            )
        else:
            assert_never(segment.kind)
    return tuple(made)


def own_rate(ramp: Segment) -> float:
    """Rate of the set point in a ramp by the data alone [K/s]: given, within its limits, or a usual one."""
    if ramp.rate is not None:
        return ramp.rate
    if ramp.rate_most is None:
        return max(UNTOLD_HEATING_RATE, ramp.rate_least or 0.0)
    if ramp.rate_least is None:
        return float(below_most(most=ramp.rate_most))
    return float(middle_rate(least=ramp.rate_least, most=ramp.rate_most))


def _fall(cool: Segment) -> float:
    """Rate of the set point in a cool-down [K/s]."""
    if cool.rate is not None:
        return cool.rate
    # thermocouples overtake a falling set point: at the greatest rate they would pass it
    most = float(below_most(most=cool.rate_most)) if cool.rate_most is not None else UNTOLD_HEATING_RATE
    return max(most, cool.rate_least or 0.0)


def _points(cure: Cure, dwell: Segment) -> tuple[float, float] | None:
    """Set points the data leaves to choose from [K]; None where it gives no band."""
    if dwell.low is None and dwell.high is None:
        return None
    low = dwell.low if dwell.low is not None else dwell.to
    high = dwell.high if dwell.high is not None else dwell.to
    return low, min(high, cure.ceiling) if cure.ceiling is not None else high


def notes_of(cure: Cure) -> list[str]:
    """What a prediction takes where the recipe does not say it."""
    made = []
    if cure.control is None:
        made.append("the data names no thermocouple to control by: the lagging one is taken")
    if any(s.kind == "dwell" and (s.low is None or s.high is None) for s in cure.segment):
        made.append("where the data gives no bottom or top of a band, 10 F (5.6 C) from the dwell is taken")
    if not any(s.kind == "cool" for s in cure.segment):
        made.append("the data gives no cool-down: the prediction ends with the dwell")
    return made
