"""Invariants of T300/5208 (181 / 10.3 / 7.17 GPa, .28) and its quasi-isotropic constants, to two decimals."""

from __future__ import annotations

from math import radians

from panelmend.physics.laminate import Lamina, LaminatePly, effective_moduli, invariants, laminate
from printed_values import Seen, Source, printed

TSAI = Source("S. W. Tsai, H. T. Hahn, Introduction to Composite Materials, Technomic 1980", Seen.MEMORY)

T300 = Lamina(181e9, 10.3e9, 7.17e9, 0.28)


def test_invariants() -> None:
    assert [u / 1e9 for u in invariants(T300)] == printed(
        [76.37, 85.73, 19.71, 22.61, 26.88], source=TSAI, place="table 3.1, U1 to U5 [GPa]", within=0.006
    )


def test_quasi_isotropic_laminate() -> None:
    """E 69.68 GPa, nu .296, G 26.88 GPa of [0/45/-45/90]s, whatever way it is turned."""
    for start in (0, 17):
        angles = [start + a for a in (0, 45, -45, 90, 90, -45, 45, 0)]
        m = effective_moduli(laminate([LaminatePly(T300, radians(a), 0.125e-3) for a in angles]))
        young, shear = (m.Ex / 1e9, m.Ey / 1e9), m.Gxy / 1e9
        assert young == printed((69.68, 69.68), source=TSAI, place="quasi-isotropic E [GPa]", within=0.006)
        assert shear == printed(26.88, source=TSAI, place="quasi-isotropic G [GPa]", within=0.006)
        assert m.nuxy == printed(0.296, source=TSAI, place="quasi-isotropic nu", within=5e-4)
