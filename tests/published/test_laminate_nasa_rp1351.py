"""The report's example lamina and its 90/0/45 laminate, in US units as printed.

The report rounds nu21 to .02 instead of nu12 E2/E1 = .01951; panelmend always uses exact reciprocity, so the
tolerance is that rounding's (tests/laws/test_laminate_rounded_ratio.py).
"""

from __future__ import annotations

from math import radians

from panelmend.physics.laminate import Lamina, LaminatePly, laminate, turned_stiffness
from panelmend.units import INCH, PSI
from printed_values import Seen, Source, printed

NETTLES = Source(
    "A. T. Nettles, Basic Mechanics of Laminated Composite Plates, NASA Reference Publication 1351, 1994",
    Seen.MEMORY,
)

E1, E2, G12, NU12 = 20.010e6, 1.301e6, 1.001e6, 0.3
PLY = Lamina(E1 * PSI, E2 * PSI, G12 * PSI, NU12)


def test_turned_stiffness_within_the_rounding_of_nu21() -> None:
    bar = turned_stiffness(PLY, radians(45)) / PSI
    assert [bar[0, 0], bar[0, 1], bar[0, 2], bar[2, 2]] == printed(
        [6_557_237, 4_555_238, 4_705_483, 5_163_582],
        source=NETTLES,
        place="example lamina at 45 degrees, Q11, Q12, Q16, Q66 [psi]",
        rel=4e-4,
    )


def test_extensional_stiffness_of_90_0_45() -> None:
    """A11, A16, A66 in lb/in; 4e-4 for the rounded nu21."""
    lam = laminate([LaminatePly(PLY, radians(a), 0.005 * INCH) for a in (90, 0, 45)])
    a = lam.A / PSI / INCH
    assert [a[0, 0], a[0, 2], a[2, 2]] == printed(
        [139_984, 23_527, 35_828], source=NETTLES, place="90/0/45 laminate, A11, A16, A66 [lb/in]", rel=4e-4
    )
