"""The recipe as legs for a prediction, and the figures of its set point and rate."""

from __future__ import annotations

from dataclasses import replace

from panelmend.derive import Figure, Source, formula
from panelmend.document.approved import Cure, Segment
from panelmend.document.model import HeatChoice
from panelmend.job.cure.problem import Leg
from panelmend.job.ground import Ground

HALF_BAND = 10 * 5 / 9  # K: plus or minus 10 F where the data gives no band; common practice, no source
RATE = 2.0 / 60.0  # K/s where the data gives no rate at all; common practice, no source
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


def choice_for(ground: Ground, cure: Cure) -> HeatChoice | None:
    """What the planner chose for the heating of a cure."""
    return next((c for c in ground.case.document.choice.heat if c.cure == cure.name), None)


def main_dwell(cure: Cure) -> Segment:
    """The longest dwell: the one that counts."""
    dwells = [s for s in cure.segment if s.kind == "dwell"]
    return max(dwells, key=lambda s: s.least or 0.0)


def set_point(ground: Ground, key: str, cure: Cure) -> Figure:
    """Set point of the longest dwell: the planner's choice inside the band, or the data's."""
    chosen = choice_for(ground, cure)
    if chosen is not None and chosen.set_point is not None:
        at = ground.case.document.choice.heat.index(chosen) + 1
        path = f"choice.heat[{at}].set_point"
        return ground.typed(f"{key}.set_point", chosen.set_point, "temperature", path=path)
    return ground.ledger.approved(
        f"{key}.set_point", main_dwell(cure).to, "temperature", source=place_of(ground, cure)
    )


def ramp_rate(ground: Ground, key: str, cure: Cure) -> Figure | None:
    """Rate of the set point while heating: chosen, given, or from the data's limits; None for no ramp."""
    ramp = next((s for s in cure.segment if s.kind == "ramp"), None)
    if ramp is None:
        return None
    chosen, ledger, name = choice_for(ground, cure), ground.ledger, f"{key}.rate"
    if chosen is not None and chosen.rate is not None:
        at = ground.case.document.choice.heat.index(chosen) + 1
        return ground.typed(name, chosen.rate, "temperature rate", path=f"choice.heat[{at}].rate")
    source = place_of(ground, cure)
    if ramp.rate is not None:
        return ledger.approved(name, ramp.rate, "temperature rate", source=source)
    most = ramp.rate_most
    if most is None:
        return ledger.default(name, RATE, "temperature rate")
    top = ledger.approved(f"{key}.rate_most", most, "temperature rate", source=source)
    if ramp.rate_least is None:
        return ledger.derive(name, below_most, most=top)
    least = ledger.approved(f"{key}.rate_least", ramp.rate_least, "temperature rate", source=source)
    return ledger.derive(name, middle_rate, least=least, most=top)


def place_of(ground: Ground, cure: Cure) -> Source:
    """Where a recipe stands in the approved data."""
    manual = ground.case.document.data.manual
    return Source(f"{manual.number} rev {manual.revision}", cure.place)


def legs(cure: Cure, point: float, rate: float | None) -> tuple[Leg, ...]:
    """Ramps and dwells joined into legs; ``point`` [K] holds for the longest dwell and the ramp to it."""
    made: list[Leg] = []
    longest = main_dwell(cure)
    for n, segment in enumerate(cure.segment):
        if segment.kind == "cool":
            # thermocouples overtake a falling set point: at the greatest rate they would pass it
            fall = segment.rate or _SHARE * (segment.rate_most or RATE / _SHARE)
            made.append(
                Leg(segment.to, fall, 0.0, segment.to, None, "cool", segment.rate_most, segment.rate_least)
            )
        elif segment.kind == "ramp":
            after = cure.segment[n + 1] if n + 1 < len(cure.segment) else None
            target = point if after is longest else segment.to
            used = rate if rate is not None else segment.rate or RATE
            low, high = target - HALF_BAND, None
            made.append(Leg(target, used, 0.0, low, high, "heat", segment.rate_most, segment.rate_least))
        else:
            target = point if segment is longest else segment.to
            low = segment.low if segment.low is not None else segment.to - HALF_BAND
            high = segment.high if segment.high is not None else segment.to + HALF_BAND
            held = segment.least or 0.0
            if made and made[-1].kind == "heat" and made[-1].dwell == 0.0:
                made[-1] = replace(made[-1], target=target, dwell=held, low=low, high=high)
            else:
                made.append(Leg(target, rate or RATE, held, low, high, "heat"))
    return tuple(made)
