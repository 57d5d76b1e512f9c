"""Films and air."""

from __future__ import annotations

from panelmend.physics import film
from printed_values import Seen, Source, printed

INCROPERA = Source(
    "F. P. Incropera, D. P. DeWitt, Fundamentals of Heat and Mass Transfer, by the correlation of "
    "S. W. Churchill and H. H. S. Chu, Int. J. Heat Mass Transfer 18 (1975) 1323",
    Seen.MEMORY,
)
ATMOSPHERE = Source("US Standard Atmosphere 1976 (NOAA/NASA/USAF, Washington 1976)", Seen.MEMORY)


def test_fire_screen() -> None:
    """Ra 1.813e9, Pr 0.690."""
    nusselt = film.nusselt_upright(1.813e9, 0.690)
    assert nusselt == printed(147, source=INCROPERA, place="fire-screen example, Nu [1]", within=0.5)


def test_air_at_sea_level() -> None:
    viscosity, conductivity = film.air_viscosity(288.15), film.air_conductivity(288.15)
    assert viscosity == printed(1.7894e-5, source=ATMOSPHERE, place="viscosity at sea level [Pa s]", rel=3e-5)
    assert conductivity == printed(
        2.5326e-2, source=ATMOSPHERE, place="conductivity at sea level [W/(m K)]", rel=3e-5
    )
