"""Moisture in a plane sheet."""

from __future__ import annotations

from panelmend.physics import moisture
from printed_values import Seen, Source, printed

CRANK = Source("J. Crank, The Mathematics of Diffusion, 2nd ed., Oxford 1975", Seen.MEMORY)
SPRINGER = Source("G. S. Springer (ed.), Environmental Effects on Composite Materials, 1981", Seen.MEMORY)


def test_half_time() -> None:
    # his is a formula good to some parts in ten thousand; the series gives 0.049183
    half = moisture.drying_time(1.0, 1.0, 0.5, open_faces=2)
    assert half == printed(
        0.04919, source=CRANK, place="equation 10.9, D t/l2 at half uptake [1]", within=1e-5
    )


def test_a_sheet_is_full_after_0_67_h2_over_d() -> None:
    share = 100.0 * moisture.uptake(0.67)
    assert share == printed(99.9, source=SPRINGER, place="uptake at D t/h2 = 0.67 [%]", within=0.02)
