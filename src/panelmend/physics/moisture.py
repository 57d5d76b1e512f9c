"""Moisture in a skin and water in the core: Fick's law, drying times and what limits them.

Series: Crank, The Mathematics of Diffusion (2nd ed., Oxford 1975), section 4.3.2, plane sheet with both faces
held at a fixed concentration. A sheet that dries from one face only is half of one twice as thick.
"""

from __future__ import annotations

import math

from panelmend.errors import InputError, RangeError
from panelmend.physics.root import crossing
from panelmend.units.fundamental import GAS


def diffusivity(temperature: float, prefactor: float, activation_energy: float) -> float:
    """Diffusivity at a temperature by Arrhenius.

    Args:
        temperature: [K].
        prefactor: D0 [m2/s].
        activation_energy: [J/mol].

    Returns:
        [m2/s].

    Raises:
        InputError: a constant that is not positive.

    Source: D = D0 exp(-E/RT).
    """
    _positive(temperature=temperature, prefactor=prefactor)
    if activation_energy < 0.0:
        raise InputError(
            "an activation energy below zero would dry faster when cold", read=f"{activation_energy:g}"
        )
    return prefactor * math.exp(-activation_energy / (GAS * temperature))


def uptake(tau: float) -> float:
    """Share of the final change of moisture that has happened, both faces open.

    Args:
        tau: D t / h2 with the full thickness h [-].

    Returns:
        0 at the start to 1 [-].

    Raises:
        InputError: negative time.

    Source: Crank, equations 4.18 (long times) and 4.20 (short times).
    """
    if tau < 0.0:
        raise InputError("time runs forward", read=f"tau = {tau:g}")
    if tau < 0.02:
        total = 1.0 / math.sqrt(math.pi)
        for n in range(1, 4):
            x = n / (2.0 * math.sqrt(tau)) if tau > 0.0 else math.inf
            total += 2.0 * (-1.0) ** n * _ierfc(x)
        return 4.0 * math.sqrt(tau) * total
    terms = (math.exp(-(((2 * j + 1) * math.pi) ** 2) * tau) / (2 * j + 1) ** 2 for j in range(12))
    return 1.0 - 8.0 / math.pi**2 * sum(terms)


def _ierfc(x: float) -> float:
    if math.isinf(x):
        return 0.0
    return math.exp(-x * x) / math.sqrt(math.pi) - x * math.erfc(x)


def drying_time(thickness: float, diffusivity_: float, remaining: float, *, open_faces: int) -> float:
    """Time until only a given share of the moisture is left in a sheet.

    Args:
        thickness: of the sheet [m].
        diffusivity_: at the drying temperature [m2/s].
        remaining: share of the moisture that may stay, 0 to 1 exclusive [-].
        open_faces: 2 when both faces dry, 1 when one is closed by a coat or closed dry core (over water that
            face stays wet and the sheet never gets below half) [-].

    Returns:
        [s].

    Raises:
        InputError: a value that makes no sheet.

    Source: Crank, equation 4.18 solved for time.
    """
    _positive(thickness=thickness, diffusivity=diffusivity_)
    if not 0.0 < remaining < 1.0:
        raise InputError("the share left must lie between 0 and 1", read=f"{remaining:g}")
    if open_faces not in (1, 2):
        raise InputError("a sheet dries from one or two faces", read=f"{open_faces}")
    depth = thickness * (2 if open_faces == 1 else 1)
    tau = crossing(lambda t: uptake(t) - (1.0 - remaining), 0.0, 20.0, width=1e-14)
    return tau * depth**2 / diffusivity_


def content_after(
    time: float,
    thickness: float,
    diffusivity_: float,
    *,
    open_faces: int,
    start: float = 1.0,
    outside: float = 0.0,
) -> float:
    """Moisture left in a sheet after a time, as a share of what it holds when saturated.

    Args:
        time: of drying [s].
        thickness: of the sheet [m].
        diffusivity_: at the drying temperature [m2/s].
        open_faces: 2 when both faces dry, 1 when one is closed [-].
        start: content at the start, the same all through [-].
        outside: content the open faces take on at once: that in balance with the air there [-].

    Returns:
        mean content [-].

    Raises:
        InputError: a value that makes no sheet.

    Source: Crank, equations 4.18 and 4.20; a sheet with one closed face is half of one twice as thick.
    """
    _positive(thickness=thickness, diffusivity=diffusivity_)
    if open_faces not in (1, 2):
        raise InputError("a sheet dries from one or two faces", read=f"{open_faces}")
    depth = thickness * (2 if open_faces == 1 else 1)
    return outside + (start - outside) * (1.0 - uptake(diffusivity_ * time / depth**2))


def through_skin_flux(thickness: float, diffusivity_: float, wet: float, dry: float = 0.0) -> float:
    """Water that a closed skin lets out of wet core once flow is steady.

    Args:
        thickness: of the skin [m].
        diffusivity_: of the skin at the drying temperature [m2/s].
        wet: moisture concentration of the skin at its wet face (saturation times density) [kg/m3].
        dry: concentration at the open face [kg/m3].

    Returns:
        [kg/(m2 s)].

    Raises:
        InputError: the open face is wetter than the wet one; a thickness or diffusivity that is
            not above 0.

    Source: Fick's first law.
    """
    _positive(thickness=thickness, diffusivity=diffusivity_)
    if not 0.0 <= dry <= wet:
        raise InputError(
            "the open face must be drier than the wet one", read=f"wet {wet:g}, open {dry:g} kg/m3"
        )
    return diffusivity_ * (wet - dry) / thickness


def core_drying_time(
    water: float, thickness: float, diffusivity_: float, wet: float, dry: float = 0.0
) -> float:
    """Time for free water in the core to leave through a closed skin (usually hopelessly long).

    Args:
        water: free water behind the skin [kg/m2].
        thickness: of the skin [m].
        diffusivity_: of the skin at the drying temperature [m2/s].
        wet: concentration of the skin at its wet face [kg/m3].
        dry: concentration at the open face [kg/m3].

    Returns:
        time lag and steady flow together [s].

    Raises:
        InputError: less than no water, or a value that :func:`through_skin_flux` refuses.
        RangeError: no difference that drives the water out.

    Source: Crank, section 4.3.3: time lag h2/6D before the steady flow.
    """
    flux = through_skin_flux(thickness, diffusivity_, wet, dry)
    if water < 0.0:
        raise InputError("water cannot be less than none", read=f"{water:g} kg/m2")
    if flux == 0.0:
        raise RangeError("the open face is as wet as the core side: nothing leaves")
    return thickness**2 / (6.0 * diffusivity_) + water / flux


def _positive(**values: float) -> None:
    for name, value in values.items():
        if not (value > 0.0 and math.isfinite(value)):
            raise InputError(f"{name} must be a positive number", read=f"{value:g}")
