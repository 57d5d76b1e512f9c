"""The air of the bay, as several stages need it: its pressure and warmth, and the vacuum it allows."""

from __future__ import annotations

from panelmend.derive import Figure, Source, formula
from panelmend.derive.figure import PRACTICE
from panelmend.document.approved import Cure
from panelmend.job.basis import Basis
from panelmend.physics import atmosphere, steam
from panelmend.units.fundamental import SEA_LEVEL_PRESSURE

STANDARD = Source("US Standard Atmosphere 1976", "equation 33a")
IF97 = Source("IAPWS-IF97", "equations 30 and 31")
# Sea-level pressures the weather seldom leaves: common practice, no source. The records known are 870 and
# 1084 hPa (from memory).
PRESSURE_OF_WEATHER = (95000.0, 105000.0)  # [Pa]
LEFT_BY_PUMP = (
    5000.0  # [Pa] what pump, hoses and small leaks usually leave in a bag: common practice, no source
)


@formula(
    "p of the standard atmosphere at h",
    source=STANDARD,
    kind="pressure",
    within={"elevation": (-500.0, 11000.0)},
)
def air_pressure_at(elevation: float) -> float:
    """Air pressure at an elevation on a standard day: the most a gauge vacuum can be there.

    elevation: elevation above sea level [m]
    return: pressure [Pa]
    """
    return atmosphere.standard_pressure(elevation)


@formula("p x 1050 hPa / 1013.25 hPa", source=PRACTICE, kind="pressure")
def highest_of_weather(standard: float) -> float:
    """The highest air pressure that the weather usually brings where the standard atmosphere has another.

    standard: pressure of the standard atmosphere at the bay [Pa]
    return: pressure [Pa]
    """
    return standard * PRESSURE_OF_WEATHER[1] / SEA_LEVEL_PRESSURE


@formula("v = p", source=Source("a vacuum cannot be deeper than the air above it"), kind="vacuum")
def deepest_vacuum(barometer: float) -> float:
    """The deepest gauge vacuum that can exist.

    barometer: air pressure at the bay, absolute [Pa]
    return: gauge vacuum of an empty bag [Pa]
    """
    return barometer


@formula("p - v", source=Source("pressure difference"), kind="pressure")
def left_under_bag(barometer: float, vacuum: float) -> float:
    """Absolute pressure left under a bag.

    barometer: air pressure at the bay, absolute [Pa]
    vacuum: gauge vacuum under the bag [Pa]
    return: absolute pressure under the bag [Pa]
    """
    return barometer - vacuum


@formula("T_sat(p)", source=IF97, kind="temperature")
def boiling_at(pressure: float) -> float:
    """Temperature at which water boils; 0 C where it boils at any temperature.

    pressure: absolute pressure over the water [Pa]
    return: boiling temperature [K]
    """
    return steam.LOWEST if pressure < 611.3 else steam.saturation_temperature(pressure)


@formula("h at which the standard atmosphere has p = v", source=STANDARD, kind="elevation")
def highest_for(vacuum: float) -> float:
    """Elevation above which a gauge vacuum cannot exist in the standard atmosphere.

    vacuum: gauge vacuum asked for [Pa]
    return: elevation above sea level [m]
    """
    return atmosphere.highest_elevation(vacuum)


def pressure_of(basis: Basis) -> Figure | None:
    """Air pressure at the bay: the barometer, else the standard atmosphere at its elevation, else None."""
    bay = basis.case.document.bay
    if bay.barometer is not None:
        return basis.typed("bay.barometer", bay.barometer, "pressure", path="bay.barometer")
    height = elevation_of(basis)
    if height is None:
        return None
    return basis.ledger.derive("bay.air_pressure", air_pressure_at, elevation=height)


def most_pressure_of(basis: Basis) -> Figure:
    """The most that the air at the bay can press with: the barometer, else the weather's highest there."""
    pressure = pressure_of(basis)
    if pressure is None:
        return basis.ledger.default("bay.pressure_most", PRESSURE_OF_WEATHER[1], "pressure", source=PRACTICE)
    if basis.case.document.bay.barometer is not None:
        return pressure
    return basis.ledger.derive("bay.pressure_most", highest_of_weather, standard=pressure)


def elevation_of(basis: Basis) -> Figure | None:
    """Elevation of the bay, if it is given."""
    height = basis.case.document.bay.elevation
    return None if height is None else basis.typed("bay.elevation", height, "elevation", path="bay.elevation")


def temperature_of(basis: Basis) -> Figure | None:
    """Air temperature of the bay, if it is given."""
    warm = basis.case.document.bay.air_temperature
    if warm is None:
        return None
    return basis.typed("bay.air_temperature", warm, "temperature", path="bay.air_temperature")


def deepest_vacuum_of(basis: Basis) -> Figure | None:
    """The deepest gauge vacuum the air at the bay allows."""
    pressure = pressure_of(basis)
    if pressure is None:
        return None
    return basis.ledger.derive("bag.available_vacuum", deepest_vacuum, barometer=pressure)


def least_vacuum_of(basis: Basis, number: int, cure: Cure) -> Figure:
    """Least gauge vacuum of a cure operation: its own, else the bag's, else 22 inHg."""
    if cure.vacuum is not None:
        manual = basis.case.document.data.manual
        source = Source(f"{manual.number} rev {manual.revision}", cure.place)
        key = f"bag.{number}.least_vacuum"
        stands = basis.case.stands(cure)
        return basis.ledger.approved(key, cure.vacuum, "vacuum", source=source, limit="least", stands=stands)
    least = basis.case.document.data.bag.least_vacuum
    return basis.usual("bag.least_vacuum", least)
