"""Shear modulus of a honeycomb core across the ribbon."""

from __future__ import annotations

import math

from panelmend.physics.sandwich import honeycomb
from printed_values import Seen, Source, printed

GIBSON = Source("L. J. Gibson, M. F. Ashby, Cellular Solids, 2nd ed., chapter 4", Seen.MEMORY)


def test_cross_modulus_in_wall_lengths() -> None:
    """Doubled walls, in units of the foil's shear modulus times its thickness over the length of a wall."""
    foil = {"E": 70e9, "nu": 0.33, "rho": 2700.0, "foil": 0.018e-3, "cell": 3.175e-3}
    wall = foil["cell"] / math.sqrt(3)
    share = honeycomb(**foil).GW / (foil["E"] / 2 / 1.33 * foil["foil"] / wall)
    assert share == printed(0.577, source=GIBSON, place="G over Gs t/l, regular hexagons [1]", within=5e-4)
