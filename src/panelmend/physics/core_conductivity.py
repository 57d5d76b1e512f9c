"""How the walls, the air and the radiation across the cells of honeycomb core share the heat it conducts.

The semi-empirical form of Swann and Pittman (NASA TN D-714, 1961), as restated by Daryabeigi (AIAA 2001-2825,
who measured a metal panel 17 to 61 % away from it). Its constants are from memory.
"""

from __future__ import annotations

from panelmend.physics.film import BOLTZMANN, air_conductivity


def radiation_factor(slenderness: float, emissivity: float) -> float:
    """Radiation across a cell relative to black plates facing each other.

    Args:
        slenderness: cell height over cell width [-].
        emissivity: of the cell walls, 0 to 1 [-].

    Returns:
        [-].

    Source: Swann and Pittman: 0.664 (s + 0.3)^-0.69 e^(1.63 (s + 1)^-0.89) (from memory).
    """
    return float(0.664 * (slenderness + 0.3) ** -0.69 * emissivity ** (1.63 * (slenderness + 1.0) ** -0.89))


HEXAGON = 0.698  # see radiation_in_plane


def radiation_in_plane(cell: float, emissivity: float, temperature: float) -> float:
    """Conductivity that radiation from wall to wall of a cell adds in the plane of a core.

    For a long black cell whose walls follow a straight temperature field the mean flux along x is
    4 s T^3 (dT/dx) / (2 A) times the integral over all directions f of a half circle of cos^2 f times the
    integral of chord^2 over the cell's width square to f: 2/3 of the diameter for a round cell, 0.698 of the
    width across flats for a hexagon, alike in every direction. Grey walls: e / (2 - e), as between plates.

    Args:
        cell: width across flats [m].
        emissivity: of the walls, 0 to 1 [-].
        temperature: mean of the core [K].

    Returns:
        [W/(m K)].

    Source: own derivation, integrated anew in tests/laws/test_heat_core.py.
    """
    return HEXAGON * emissivity / (2.0 - emissivity) * 4.0 * BOLTZMANN * temperature**3 * cell


def conductivity_along_ribbon(across: float, cell: float, emissivity: float, temperature: float) -> float:
    """Conductivity along the ribbon of a core of which that across it is known.

    Only the walls conduct better along it, 3/2 : 1; air and radiation do not. What of ``across`` is more than
    still air and radiation is taken as walls.

    Args:
        across: conductivity across the ribbon [W/(m K)].
        cell: width across flats [m].
        emissivity: of the walls, 0 to 1 [-].
        temperature: mean of the core [K].

    Returns:
        [W/(m K)].

    Source: the ratio of Swann and Pittman's walls, 3/2 : 1 (regular hexagons, double ribbon walls).
    """
    beside = air_conductivity(temperature) + radiation_in_plane(cell, emissivity, temperature)
    return across + 0.5 * max(0.0, across - beside)


def warmer(
    through: float, *, thickness: float, cell: float, emissivity: float, cold: float, warm: float
) -> float:
    """Times what a core conducts through its thickness when warm, of what it does cold.

    Radiation through the cells grows with the third power of the temperature, still air a little; walls are
    taken to stay as they are.

    Args:
        through: conductivity through the thickness at ``cold`` [W/(m K)].
        thickness: of the core [m].
        cell: width across flats [m].
        emissivity: of the walls, 0 to 1 [-].
        cold: mean of the core where ``through`` was measured [K].
        warm: mean of the core now [K].

    Returns:
        [-].

    Source: Swann and Pittman's share of radiation; air by US Standard Atmosphere 1976, equation 53.
    """
    shape = radiation_factor(thickness / cell, emissivity)
    beams = shape * 4.0 * BOLTZMANN * (warm**3 - cold**3) * thickness
    return 1.0 + (beams + air_conductivity(warm) - air_conductivity(cold)) / through
