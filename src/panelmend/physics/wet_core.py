"""Heat that vapour carries across a closed cell that holds water.

It leaves the warm side and settles on the cold one; its latent heat goes with it."""

from __future__ import annotations

from panelmend.errors import RangeError
from panelmend.physics import steam
from panelmend.units.fundamental import ZERO_CELSIUS

VAPOUR_GAS = 461.5  # J/(kg K)
_AT, _D, _POWER = 98066.5, 2.3e-5, 1.81  # Pa, m2/s at 273.15 K, -


def vapour_conductivity(temperature: float, air_pressure: float) -> float:
    """What vapour adds to the conductivity of a wet cell whose walls stay wet on both sides.

    Args:
        temperature: in the cell [K].
        air_pressure: of the dry air in it beside the vapour [Pa].

    Returns:
        [W/(m K)]: the most that diffusion carries; less where the warm side dries.

    Raises:
        RangeError: no air in it (then nothing holds the vapour back), or no water at this temperature.

    Source: Stefan's diffusion through still air with the latent heat; diffusivity of Schirmer, Z. VDI
    (1938), from memory; slope of the saturation line by Clausius and Clapeyron.
    """
    if not air_pressure > 0.0:
        raise RangeError(f"a cell without air has no such limit, read {air_pressure:g} Pa of air")
    vapour, latent = steam.saturation_pressure(temperature), steam.latent_heat(temperature)
    whole = air_pressure + vapour
    diffusivity = _D * (_AT / whole) * (temperature / ZERO_CELSIUS) ** _POWER
    slope = latent * vapour / (VAPOUR_GAS * temperature**2)
    return float(diffusivity * whole / air_pressure / (VAPOUR_GAS * temperature) * latent * slope)
