"""A double lap under load and thermal mismatch: aluminium straps on steel."""

from __future__ import annotations

from panelmend.physics.joint import AdhesiveLayer, Bond, BondStep, Ends, shear_decay, solve_bond
from printed_values import Seen, Source, printed

SHIGLEY = Source(
    "R. G. Budynas, J. K. Nisbett, Shigley's Mechanical Engineering Design, 8th and 9th ed., chapter 9",
    Seen.MEMORY,
)
PSI, INCH = 6894.757293168, 0.0254
LBF_PER_INCH = PSI * INCH
KELVIN = 1.0 / 1.8
GLUE = AdhesiveLayer(0.2e6 * PSI, 0.020 * INCH)
# both straps together, and the steel between them
STRAPS, STEEL = 2 * 10e6 * 0.150 * LBF_PER_INCH, 30e6 * 0.100 * LBF_PER_INCH


def test_decay_of_the_double_lap() -> None:
    decay = shear_decay(GLUE, STRAPS, STEEL, faces=2)
    assert decay * INCH == printed(3.65, source=SHIGLEY, place="example 9-7, omega [1/in]", within=0.005)


def test_load_and_cooling_of_the_double_lap() -> None:
    """2,000 lbf per inch, cooled from 200 to 70 F; about 4390 is printed."""
    step = BondStep(1.0 * INCH, STRAPS, STEEL, None, None, 13.3e-6 / KELVIN, 6.0e-6 / KELVIN)
    load = 2000.0 * LBF_PER_INCH
    answer = solve_bond(Bond((step,), GLUE, faces=2), Ends(load, 0.0, load, -130.0 * KELVIN), cells=240)
    worst = float(abs(answer.tau).max()) / PSI
    assert worst == printed(4390.0, source=SHIGLEY, place="example 9-7, largest shear [psi]", within=5.0)
