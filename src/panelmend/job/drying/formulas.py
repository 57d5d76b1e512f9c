"""The numbers of the drying stage."""

from __future__ import annotations

import math

from panelmend.derive import Source, formula
from panelmend.derive.figure import PRACTICE
from panelmend.job.defaults import CUT_OUT_ROOM, DRYING_TRIPS
from panelmend.physics import moisture, steam
from panelmend.units import INCH

DALTON = Source("Dalton's law with IAPWS-IF97", "equation 30")
DIFFERENCE = Source("pressure difference")
CRANK = Source("Crank, The Mathematics of Diffusion, 2nd ed., Oxford 1975", "equations 4.18 and 4.20")
CRANK_FLOW = Source("Crank, The Mathematics of Diffusion, 2nd ed., Oxford 1975", "section 4.3.3")
ARRHENIUS = Source("Arrhenius's law; gas constant of CODATA 2018")
VAPOUR = Source("IAPWS-IF97, equation 30; content in proportion to relative humidity")
TM_DRYING = Source("TM 1-1500-204-23-11", "para 6-6")
BOUND = Source("a bound: the slowest cloth taken through the whole skin")
WETTEST = Source("a bound: no air is wetter than saturated")
DRY_GAS = Source("the pump takes the vapour away: gas under the bag taken as dry")
FACES = {1: Source("one face open, the other closed"), 2: Source("both faces open")}
A_MILLIMETRE = Source("a film of standing water, taken as a measure")
HOLES_PER_AREA = 2.0 / INCH**2  # 1/m2; 12 holes for 6 in2 (TM_DRYING)


@formula("T + 3 K", source=PRACTICE, kind="temperature")
def cut_out_from(temperature: float) -> float:
    """Least at which the over-temperature cut-out trips while drying, or it would end it.

    temperature: drying temperature [K]
    return: temperature [K]
    """
    return temperature + CUT_OUT_ROOM


@formula("T + 8 K", source=PRACTICE, kind="temperature")
def cut_out_to(temperature: float) -> float:
    """Most at which the over-temperature cut-out trips while drying: over wet core, far below that of a cure.

    temperature: drying temperature [K]
    return: temperature [K]
    """
    return temperature + DRYING_TRIPS


@formula("T_limit", source=PRACTICE, kind="temperature")
def cut_out_under(limit: float) -> float:
    """The same where panel or structure takes less.

    limit: the least temperature that panel and structure are rated to [K]
    return: temperature [K]
    """
    return limit


def _moist(sealed_at: float) -> bool:
    """Below freezing the sealed air is taken as dry, which presses harder."""
    return sealed_at >= steam.LOWEST


@formula("(p - p_sat(T0)) T / T0 + p_sat(T)", source=DALTON, kind="pressure")
def wet_cell(temperature: float, sealed_at: float, sealed_pressure: float) -> float:
    """Absolute pressure in a closed cell that holds water and the air of the bay.

    temperature: temperature of the cell [K]
    sealed_at: air temperature at which it was closed [K]
    sealed_pressure: air pressure at which it was closed, absolute [Pa]
    return: absolute pressure in the cell [Pa]
    """
    return steam.sealed_cell_pressure(temperature, sealed_at, sealed_pressure, saturated=_moist(sealed_at))


@formula("p_cell - p", source=DIFFERENCE, kind="pressure")
def lifting(cell: float, outside: float) -> float:
    """What lifts a skin off the core where the air presses on it.

    cell: absolute pressure in the cell [Pa]
    outside: air pressure at the bay, absolute [Pa]
    return: difference, below zero where it presses the skin down [Pa]
    """
    return cell - outside


@formula("p_cell - (p - v)", source=DIFFERENCE, kind="pressure")
def lifting_bridged(cell: float, barometer: float, vacuum: float) -> float:
    """What lifts a skin under a bag where nothing bears on it.

    cell: absolute pressure in the cell [Pa]
    barometer: air pressure at the bay, absolute [Pa]
    vacuum: gauge vacuum under the bag [Pa]
    return: difference [Pa]
    """
    return cell - (barometer - vacuum)


@formula("strength / lifting pressure", source=Source("definition of a reserve"), kind="multiple")
def reserve(strength: float, lift: float) -> float:
    """How many times the lifting pressure a bond carries.

    strength: flatwise strength of the bond [Pa]
    lift: pressure that lifts the skin [Pa]
    return: reserve [1]
    """
    return strength / lift


@formula("room value x hot/wet factor", source=Source("the adhesive's own factor"), kind="pressure")
def hot_wet_strength(room: float, factor: float) -> float:
    """Flatwise strength hot and wet, where the adhesive gives only a factor for it.

    room: flatwise strength at room temperature [Pa]
    factor: hot and wet values on those at room temperature [1]
    return: flatwise strength hot and wet [Pa]
    """
    return room * factor


@formula("T where p_cell(T) - p = strength", source=DALTON, kind="temperature")
def reached_at(strength: float, outside: float, sealed_at: float, sealed_pressure: float) -> float:
    """Temperature at which a closed wet cell lifts the skin with the bond's strength.

    strength: flatwise strength of the bond [Pa]
    outside: absolute pressure on the skin [Pa]
    sealed_at: air temperature at which the cell was closed [K]
    sealed_pressure: air pressure at which it was closed, absolute [Pa]
    return: temperature [K]
    """
    return steam.cell_temperature(strength + outside, sealed_at, sealed_pressure, saturated=_moist(sealed_at))


@formula("D0 exp(-E / R T)", source=ARRHENIUS, kind="diffusivity")
def diffusivity(temperature: float, prefactor: float, energy: float) -> float:
    """Diffusivity of water in a cloth's laminate.

    temperature: drying temperature [K]
    prefactor: D0, diffusivity at infinite temperature [m2/s]
    energy: activation energy [J/mol]
    return: diffusivity [m2/s]
    """
    return moisture.diffusivity(temperature, prefactor, energy)


@formula("least of the cloths' diffusivities", source=BOUND, kind="diffusivity")
def slowest(**cloths: float) -> float:
    """Diffusivity of the slowest cloth of a skin.

    cloths: diffusivity of each cloth [m2/s]
    return: the least of them [m2/s]
    """
    return min(cloths.values())


@formula("RH p_sat(T_bay) / p_sat(T), at most 1", source=VAPOUR, kind="share")
def content_in_air(humidity: float, air_temperature: float, temperature: float) -> float:
    """Content in balance with the bay's air once it is warmed to the drying temperature.

    humidity: relative humidity of the bay [1]
    air_temperature: air temperature of the bay [K]
    temperature: drying temperature [K]
    return: content as a share of saturation [1]
    """
    vapour = humidity * steam.saturation_pressure(max(air_temperature, steam.LOWEST))
    return min(1.0, vapour / steam.saturation_pressure(temperature))


@formula("p / p_sat(T), at most 1", source=VAPOUR, kind="share")
def content_in_steam(pressure: float, temperature: float) -> float:
    """Content in balance with a bag that holds nothing but water vapour: the most it can be there.

    pressure: absolute pressure under the bag [Pa]
    temperature: drying temperature [K]
    return: content as a share of saturation [1]
    """
    return min(1.0, pressure / steam.saturation_pressure(temperature))


@formula(
    "c_out + (1 - c_out) (1 - G(D t / h2)); h twice the thickness for one face", source=CRANK, kind="share"
)
def left_after(thickness: float, diffusivity: float, duration: float, outside: float, faces: int) -> float:
    """Content of a skin, saturated at the start, after a drying time.

    thickness: of the skin [m]
    diffusivity: at the drying temperature [m2/s]
    duration: of drying [s]
    outside: content in balance with the air at its open faces [1]
    faces: open faces, 1 or 2 [1]
    return: mean content as a share of saturation [1]
    """
    return moisture.content_after(duration, thickness, diffusivity, open_faces=int(faces), outside=outside)


@formula("t where the content has fallen to c; h twice the thickness for one face", source=CRANK, kind="time")
def time_to(thickness: float, diffusivity: float, content: float, outside: float, faces: int) -> float:
    """Time a skin, saturated at the start, takes to dry to a content.

    thickness: of the skin [m]
    diffusivity: at the drying temperature [m2/s]
    content: content to dry to, as a share of saturation [1]
    outside: content in balance with the air at its open faces [1]
    faces: open faces, 1 or 2 [1]
    return: time [s]
    """
    remaining = (content - outside) / (1.0 - outside)
    return moisture.drying_time(thickness, diffusivity, remaining, open_faces=int(faces))


@formula("(1 + c_out) / 2", source=CRANK_FLOW, kind="share")
def over_water(outside: float) -> float:
    """Content at which a skin settles while water stands behind it: it falls evenly from 1 to the outside.

    outside: content in balance with the air at its open face [1]
    return: mean content as a share of saturation [1]
    """
    return 0.5 * (1.0 + outside)


@formula("h2 / 6 D + w h / (D s rho)", source=CRANK_FLOW, kind="time")
def core_time(water: float, thickness: float, diffusivity: float, saturation: float, density: float) -> float:
    """Time for water behind a closed skin to leave through it, with dry air outside.

    water: water behind the skin [kg/m2]
    thickness: of the skin [m]
    diffusivity: at the drying temperature [m2/s]
    saturation: water the laminate holds when saturated, on its dry mass [1]
    density: of the laminate [kg/m3]
    return: time [s]
    """
    return moisture.core_drying_time(water, thickness, diffusivity, saturation * density)


@formula("2 holes to the square inch, rounded up", source=TM_DRYING)
def drain_holes(wet_area: float) -> int:
    """Drain holes of 1/8 in that a wet area would get.

    wet_area: area found wet [m2]
    return: number of holes [1]
    """
    return math.ceil(wet_area * HOLES_PER_AREA - 1e-9)


@formula("(T - T_bay) / rate", source=Source("arithmetic"), kind="time")
def heat_up(temperature: float, air_temperature: float, rate: float) -> float:
    """Least time to heat up to the drying temperature.

    temperature: drying temperature [K]
    air_temperature: of the bay [K]
    rate: greatest heating rate [K/s]
    return: time [s]
    """
    return (temperature - air_temperature) / rate
