"""The drying stage: what water does where it is heated, and what the data's drying reaches."""

from __future__ import annotations

from typing import assert_never

from panelmend.derive import Figure, Ledger
from panelmend.job import air
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.drying import formulas as f
from panelmend.job.drying.cells import bonds_of, heatings_of
from panelmend.job.drying.part import DryingPart, Missing, Moisture
from panelmend.job.drying.skins import Dry, skins_of

PUBLISHED_DRYING_RATE = 5.0 * 10.0 / 9.0 / 60.0  # [K/s] 10 F/min, TM 1-1500-204-23-11 para 6-6


def make(case: Case, ledger: Ledger, core: CorePart) -> DryingPart:
    """Pressures, reserves and drying times.

    Args:
        case: the repair.
        ledger: takes the figures ``drying.*``.
        core: the core part.

    Returns:
        What was computed; what could not be stands in ``missing`` with whom to ask, and nothing is assumed in
        its place.
    """
    basis = Basis(case, ledger)
    data, damage = case.document.data.drying, case.document.damage
    missing = list[Missing]()
    temperature = duration = content = None
    if data.temperature is not None:
        temperature = basis.given("drying.temperature", data.temperature, "temperature")
    if data.duration is not None:
        duration = basis.given("drying.duration", data.duration, "time")
    if data.content is not None:
        content = basis.given("drying.content", data.content, "share")
    pressure, warm = air.pressure_of(basis), air.temperature_of(basis)
    vacuum = _vacuum(basis)
    absolute = bag_boiling = air_boiling = None
    if pressure is not None:
        air_boiling = ledger.derive("drying.air_boiling", air.boiling_at, pressure=pressure)
        if vacuum is not None and float(vacuum) <= float(pressure):
            absolute = ledger.derive(
                "drying.bag_absolute", air.left_under_bag, barometer=pressure, vacuum=vacuum
            )
            bag_boiling = ledger.derive("drying.bag_boiling", air.boiling_at, pressure=absolute)
    missing += _air_missing(pressure, warm)
    most = None
    if absolute is not None and temperature is not None:
        most = ledger.derive(
            "drying.bag_content_most", f.content_in_steam, pressure=absolute, temperature=temperature
        )
    rate, heating_up = _heat_up(basis, temperature, warm)
    bonds = bonds_of(basis, core, pressure, warm, missing)
    dry = settles = None
    if temperature is not None:
        outside = _balance_with_air(basis, temperature, warm)
        if outside is not None:
            settles = ledger.derive("drying.over_water", f.over_water, outside=outside)
        dry = Dry(temperature, duration, content, outside, _dry_gas(basis, absolute))
    return DryingPart(
        damage.moisture,
        _found(damage.moisture) or temperature is not None,
        core.action != "none",
        temperature,
        duration,
        rate,
        heating_up,
        content,
        vacuum,
        air_boiling,
        bag_boiling,
        most,
        settles,
        _limits(basis),
        bonds,
        heatings_of(basis, core, temperature, vacuum, bonds, missing),
        skins_of(basis, dry, missing) if dry is not None else (),
        *_holes(basis),
        tuple(dict.fromkeys(missing)),
        _trips(basis, temperature),
    )


def _trips(basis: Basis, temperature: Figure | None) -> tuple[Figure | None, Figure] | None:
    """Between what the cut-out trips while drying: over the drying temperature, below every limit."""
    if temperature is None:
        return None
    at, kind = {"temperature": temperature}, "temperature"
    low = basis.ledger.derive_limit("least", kind, "drying.cut_out_from", f.cut_out_from, **at)
    high = basis.ledger.derive_limit("most", kind, "drying.cut_out_to", f.cut_out_to, **at)
    rated = min((limit for _, limit in _limits(basis)), key=float, default=None)
    if rated is not None and float(rated) < float(high):
        high = basis.ledger.derive_limit("most", kind, "drying.cut_out_rated", f.cut_out_under, limit=rated)
    return (low if float(low) <= float(high) else None), high


def _vacuum(basis: Basis) -> Figure | None:
    """Vacuum while drying: the drying's own, else the bag's where the data gives one."""
    data = basis.case.document.data
    if data.drying.vacuum is not None:
        return basis.given("drying.vacuum", data.drying.vacuum, "vacuum")
    if data.bag.least_vacuum is not None:
        return basis.given("bag.least_vacuum", data.bag.least_vacuum, "vacuum")
    return None


def _air_missing(pressure: Figure | None, warm: Figure | None) -> list[Missing]:
    found = []
    if pressure is None:
        found.append(
            Missing("pressure", "air pressure in the bay", "bay.barometer", "read the barometer in the bay")
        )
    if warm is None:
        found.append(
            Missing(
                "pressure",
                "air temperature of the bay",
                "bay.air_temperature",
                "read it where the panel lies",
            )
        )
    return found


def _heat_up(
    basis: Basis, temperature: Figure | None, warm: Figure | None
) -> tuple[Figure | None, Figure | None]:
    """The greatest heating rate, and how long heating up takes at least."""
    if temperature is None:
        return None, None
    data = basis.case.document.data.drying
    rate = basis.given_or(
        "drying.rate_most", data.rate_most, PUBLISHED_DRYING_RATE, "temperature rate", source=f.TM_DRYING
    )
    if warm is None or float(temperature) <= float(warm):
        return rate, None
    made = basis.ledger.derive(
        "drying.heat_up", f.heat_up, temperature=temperature, air_temperature=warm, rate=rate
    )
    return rate, made


def _balance_with_air(basis: Basis, temperature: Figure, warm: Figure | None) -> Figure | None:
    """Content in balance with the bay's air; without a humidity the wettest that air can be."""
    if warm is None:
        return None
    bay, ledger = basis.case.document.bay, basis.ledger
    if bay.humidity is not None:
        humidity = basis.typed("bay.humidity", bay.humidity, "share", path="bay.humidity")
    else:
        humidity = ledger.table("drying.humidity_most", 1.0, "share", source=f.WETTEST)
    return ledger.derive(
        "drying.air_content",
        f.content_in_air,
        humidity=humidity,
        air_temperature=warm,
        temperature=temperature,
    )


def _dry_gas(basis: Basis, absolute: Figure | None) -> Figure | None:
    """Gas under the bag taken as dry, where there is a bag."""
    return (
        None if absolute is None else basis.ledger.table("drying.bag_content", 0.0, "share", source=f.DRY_GAS)
    )


def _limits(basis: Basis) -> tuple[tuple[str, Figure], ...]:
    """Temperatures that the panel and the structure behind it may not pass."""
    panel, found = basis.case.document.panel, list[tuple[str, Figure]]()
    if panel.limit is not None:
        found.append(
            ("the panel", basis.typed("panel.limit", panel.limit, "temperature", path="panel.limit"))
        )
    for i, part in enumerate(panel.structure, 1):
        if part.limit is not None:
            path = f"panel.structure[{i}].limit"
            figure = basis.typed(f"structure.{part.id}.limit", part.limit, "temperature", path=path)
            found.append((f"{part.kind} {part.id}", figure))
    return tuple(found)


def _holes(basis: Basis) -> tuple[Figure | None, Figure | None]:
    """The wet area, and the drain holes it would get, where it was mapped."""
    area = basis.case.document.damage.wet_area
    if area is None:
        return None, None
    figure = basis.typed("damage.wet_area", area, "area", path="damage.wet_area")
    return figure, basis.ledger.derive("drying.drain_holes", f.drain_holes, wet_area=figure)


def _found(moisture: Moisture) -> bool:
    """Whether water was found; AssertionError for an answer that nobody knows."""
    match moisture:
        case "found":
            return True
        case "none found" | "not checked":
            return False
        case _:
            assert_never(moisture)
