"""S. W. Tsai and H. T. Hahn, Introduction to Composite Materials, Technomic 1980, tables 3.1 and 4.x.

Invariants of T300/5208 (181 / 10.3 / 7.17 GPa, .28) and its quasi-isotropic constants, printed to two
decimals of a GPa. From memory, recomputed.
"""

from __future__ import annotations

from math import radians

import pytest

from panelmend.physics.laminate import Lamina, LaminatePly, effective_moduli, invariants, laminate

T300 = Lamina(181e9, 10.3e9, 7.17e9, 0.28)


def test_invariants() -> None:
    assert [u / 1e9 for u in invariants(T300)] == pytest.approx(
        [76.37, 85.73, 19.71, 22.61, 26.88], abs=0.006
    )


def test_quasi_isotropic_laminate() -> None:
    """E 69.68 GPa, nu .296, G 26.88 GPa of [0/45/-45/90]s, whatever way it is turned."""
    for start in (0, 17):
        angles = [start + a for a in (0, 45, -45, 90, 90, -45, 45, 0)]
        m = effective_moduli(laminate([LaminatePly(T300, radians(a), 0.125e-3) for a in angles]))
        assert m.Ex / 1e9 == pytest.approx(69.68, abs=0.006)
        assert m.Ey / 1e9 == pytest.approx(69.68, abs=0.006)
        assert m.Gxy / 1e9 == pytest.approx(26.88, abs=0.006)
        assert m.nuxy == pytest.approx(0.296, abs=5e-4)
