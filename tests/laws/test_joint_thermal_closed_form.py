"""A double lap under load and thermal mismatch, to digits of our own closed form.

The data are those of R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, example 9-7;
what the book prints stands in tests/published/test_joint_thermal.py.
"""

from __future__ import annotations

import math

import pytest

from panelmend.physics.joint import AdhesiveLayer, Bond, BondStep, Ends, solve_bond

PSI, INCH = 6894.757293168, 0.0254
LBF_PER_INCH = PSI * INCH
KELVIN = 1.0 / 1.8


def bond() -> Bond:
    glue = AdhesiveLayer(0.2e6 * PSI, 0.020 * INCH)
    # adherend 1: both straps together; adherend 2: the steel between them
    straps, steel = 2 * 10e6 * 0.150 * LBF_PER_INCH, 30e6 * 0.100 * LBF_PER_INCH
    step = BondStep(1.0 * INCH, straps, steel, None, None, 13.3e-6 / KELVIN, 6.0e-6 / KELVIN)
    return Bond((step,), glue, faces=2)


def shear(load: float, cooling: float) -> tuple[float, float]:
    """Shear [psi] where the steel carries nothing and where it carries everything."""
    p = load * LBF_PER_INCH
    answer = solve_bond(bond(), Ends(p, 0.0, p, cooling * KELVIN), cells=240)
    return float(answer.tau[0]) / PSI, float(answer.tau[-1]) / PSI


def test_load_and_heat_together() -> None:
    first, last = shear(2000.0, 70.0 - 200.0)
    assert max(abs(first), abs(last)) == pytest.approx(4390.49, rel=1e-4)
    assert min(abs(first), abs(last)) == pytest.approx(544.43, rel=1e-3)
    assert first * last < 0.0


def test_each_alone() -> None:
    assert [abs(t) for t in shear(2000.0, 0.0)] == pytest.approx([1923.03, 1923.03], rel=1e-4)
    assert [abs(t) for t in shear(0.0, -130.0)] == pytest.approx([2467.46, 2467.46], rel=1e-4)


def test_the_decay_is_the_books() -> None:
    straps, steel = 2 * 10e6 * 0.150, 30e6 * 0.100
    root = math.sqrt(0.2e6 / 0.020 * 2 * (1 / straps + 1 / steel))
    assert root == pytest.approx(3.65, abs=0.005)
