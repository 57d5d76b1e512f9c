"""Face stability of sandwich panels.

R. T. Sullins, G. W. Smith, E. E. Spier, Manual for structural stability analysis of sandwich plates and
shells, NASA CR-1457 (1969): dimpling, honeycomb wrinkling (.82 theory, .33 design), crimping.
N. J. Hoff, S. E. Mautner, J. Aeronautical Sciences 12 (1945) 285: thick-core wrinkling, .91 theory,
.5 design.
"""

from __future__ import annotations

import numpy as np
import pytest

from panelmend.physics.sandwich import Wrinkling, crimping_load, dimpling_stress, wrinkling_stress


def test_dimpling_of_half_millimetre_on_a_quarter_inch_cell() -> None:
    """70 GPa, .5 mm on 6.4 mm, without nu: 854 MPa as printed (three digits)."""
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


def test_design_forms() -> None:
    """Design over theory: .5/.9086 for thick cores, .33/.82 for honeycomb; hand values for one panel."""
    args = (60e9, 138e6, 44e6, 0.6e-3, 15e-3)
    assert wrinkling_stress(Wrinkling.SOLID_DESIGN, *args) == pytest.approx(357.106e6, rel=1e-5)
    theory = wrinkling_stress(Wrinkling.HONEYCOMB_THEORY, *args)
    assert theory == pytest.approx(0.82 * 60e9 * np.sqrt(138e6 * 0.6 / (60e9 * 15)), rel=1e-12)
    assert wrinkling_stress(Wrinkling.HONEYCOMB_DESIGN, *args) / theory == pytest.approx(0.33 / 0.82)


def test_crimping() -> None:
    """G d^2/tc: 44 MPa, d 15.6, tc 15 mm: 713.9 kN/m."""
    assert crimping_load(44e6, 15.6e-3, 15e-3) == pytest.approx(713_856.0, rel=1e-6)
