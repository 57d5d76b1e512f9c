"""Face stability of sandwich panels: formulas of others, evaluated here.

R. T. Sullins, G. W. Smith, E. E. Spier, Manual for structural stability analysis of sandwich plates and
shells, NASA CR-1457 (1969): dimpling. N. J. Hoff, S. E. Mautner, J. Aeronautical Sciences 12 (1945) 285:
thick-core wrinkling, .91 theory.
"""

from __future__ import annotations

import numpy as np
import pytest

from panelmend.physics.sandwich import Wrinkling, dimpling_stress, wrinkling_stress


def test_dimpling_of_half_millimetre_on_a_quarter_inch_cell() -> None:
    """70 GPa, .5 mm on 6.4 mm, without nu: 854 MPa by the formula, three digits."""
    assert dimpling_stress(70e9, 0.0, 0.5e-3, 6.4e-3) == pytest.approx(854e6, rel=1e-3)


def test_hoff_mautner_factor_from_linear_decay() -> None:
    """The theory factor is the minimum over zone depth and wave length of the linear-decay energy.

    s = Ef (pi tf/l)^2/12 + Ec l^2/(pi^2 h tf) + Gc h/(3 tf): minimised numerically it must give .9086.
    """
    ef, ec, gc, tf = 70e9, 100e6, 40e6, 0.5e-3
    wave = np.geomspace(1e-3, 1e-1, 1500)[:, None]
    zone = np.geomspace(1e-3, 1e-1, 1500)[None, :]
    k = np.pi / wave
    stress = ef * (k * tf) ** 2 / 12 + ec / (k**2 * zone * tf) + gc * zone / (3 * tf)
    got = wrinkling_stress(Wrinkling.SOLID_THEORY, ef, ec, gc, tf, 20e-3)
    assert got == pytest.approx(stress.min(), rel=1e-4)
